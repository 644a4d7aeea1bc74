"""The heart: rows, columns and bounds of one linear programme, each with its label.

The mathematics knows no ingredients. A row is one limit with one side, kept as it was
said: a numerator and a denominator over the columns, and a bound in the maker's unit,

    level(x) = numerator . x / (constant + denominator . x)      sense      bound

which is linear in x once the bound is fixed:

    (numerator - bound * denominator) . x      sense      bound * constant.

A plain sum has denominator 0 and constant 1, an average over the whole formula
denominator 0 and constant 100, a ratio of two sums constant 0. The denominator's level
is at least 0 wherever the columns are within their bounds.

Numbers are exact (`int`, `Decimal` or `Fraction`, as they came); the floating arrays
that the solver reads are derived from them once.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from optimiser.provenance import Exact, Origin, Statement

Floats = NDArray[np.float64]


class Sense(StrEnum):
    """Which side of the bound a level has to be on."""

    AT_LEAST = ">="
    AT_MOST = "<="
    EQUAL = "="


@dataclass(frozen=True, slots=True)
class Row:
    """What a row says, apart from its numbers.

    Attributes:
        statement: The maker's sentence, key path and origin.
        sense: The side.
        unit: The unit of the bound and the level.
        may_be_eased: False for what may not be changed: the sum to 100, and statements
            that the maker marked as firm.
        is_said: False for what is no statement of the maker's, such as the sum to 100; it
            is never named as part of a conflict.
        step: A natural step of the unit, by which a maker would think of moving the bound.
        least: The lowest bound that makes sense, such as 0 for a share; None for any.
        is_customary: True for a statement that came along and was not made by the maker.
        is_money: True where the bound is money, printed with cents.
    """

    statement: Statement
    sense: Sense
    unit: str
    may_be_eased: bool = True
    is_said: bool = True
    step: Fraction = Fraction(1)
    least: Fraction | None = None
    is_customary: bool = False
    is_money: bool = False


@dataclass(frozen=True, eq=False)
class Coefficients:
    """One exact number for each column, shared by every model that uses it.

    Attributes:
        numbers: Exact numbers, (n,).
    """

    numbers: tuple[Exact, ...]

    @classmethod
    def typed(cls, values: Iterable[float]) -> Coefficients:
        """Take floats as the shortest decimals that read as them: 0.1 is one tenth."""
        return _Typed(values)

    @classmethod
    def sparse(cls, entries: Mapping[int, Exact], width: int) -> Coefficients:
        """A few numbers by column, 0 elsewhere."""
        return cls(tuple(entries.get(j, 0) for j in range(width)))

    def followed_by(self, more: Sequence[Exact]) -> Coefficients:
        """These numbers and then those of further columns."""
        return Coefficients((*self.numbers, *more))

    def __len__(self) -> int:
        return len(self.numbers)

    @cached_property
    def floats(self) -> Floats:
        """The nearest floats, (n,), read-only."""
        return _read_only([float(number) for number in self.numbers])

    @cached_property
    def integers(self) -> tuple[tuple[int, ...], int]:
        """Integers and the one denominator that they share."""
        pairs = [number.as_integer_ratio() for number in self.numbers]
        denominator = math.lcm(*{pair[1] for pair in pairs})
        return tuple(top * (denominator // bottom) for top, bottom in pairs), denominator

    def level(self, x: Sequence[Fraction]) -> Fraction:
        """The exact sum of each number times the share of its column."""
        integers, denominator = self.integers
        total = sum(
            (share * number for number, share in zip(integers, x, strict=True) if number and share),
            Fraction(0),
        )
        return total / denominator


class _Typed(Coefficients):
    """Coefficients given as floats; the exact numbers are made when they are asked for."""

    def __init__(self, values: Iterable[float]) -> None:
        self.__dict__["floats"] = _read_only(values)

    def __len__(self) -> int:
        return len(self.floats)

    @cached_property
    def numbers(self) -> tuple[Exact, ...]:
        """The shortest decimals that read as the floats, (n,)."""
        return tuple(Decimal(repr(value)) for value in self.floats.tolist())


def _read_only(values: Iterable[float]) -> Floats:
    array = np.array(values if isinstance(values, np.ndarray) else list(values), dtype=np.float64)
    array.flags.writeable = False
    return array


@dataclass(frozen=True, eq=False)
class ModelRow:
    """One row with its numbers; see `LinearModel` for the parts."""

    row: Row
    numerator: Coefficients
    denominator: Coefficients | None
    constant: Exact
    bound: Exact

    @classmethod
    def helping(
        cls, what: str, sense: Sense, entries: Mapping[int, Exact], bound: Exact, width: int
    ) -> ModelRow:
        """A row that is no statement of the maker's: a plain sum of a few columns.

        Args:
            what: What it is for, in a word.
            sense: Its side.
            entries: Coefficients by column; 0 elsewhere.
            bound: Its bound.
            width: How many columns there are.
        """
        said = Statement(what, f"{what} {{bound}}", Origin("optimiser"))
        row = Row(said, sense, "", may_be_eased=False, is_said=False)
        return cls(row, Coefficients.sparse(entries, width), None, 1, bound)


@dataclass(frozen=True, eq=False)
class LinearModel:
    """Minimise cost . x over the rows and lower <= x <= upper; m rows, n columns.

    Attributes:
        columns: Labels of the columns, (n,).
        rows: What each row says, (m,).
        numerator: Coefficients of each row's numerator, (m,) of (n,).
        denominator: Coefficients of each row's denominator, None for all zero, (m,).
        constant: The constant part of each denominator, (m,).
        bound: Each row's bound in the maker's unit, (m,).
        cost: Money for one unit of each column, (n,).
        lower: Lower bounds, (n,).
        upper: Upper bounds, None where there is none, (n,).
        is_integer: True where only whole numbers are allowed, (n,).
    """

    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    numerator: tuple[Coefficients, ...]
    denominator: tuple[Coefficients | None, ...]
    constant: tuple[Exact, ...]
    bound: tuple[Exact, ...]
    cost: Coefficients
    lower: tuple[Exact, ...]
    upper: tuple[Exact | None, ...]
    is_integer: tuple[bool, ...]

    def __post_init__(self) -> None:
        m, n = len(self.rows), len(self.columns)
        by_row = (self.numerator, self.denominator, self.constant, self.bound)
        by_column = (self.cost, self.lower, self.upper, self.is_integer)
        wide = [part for part in (*self.numerator, *self.denominator) if part is not None]
        if (
            any(len(part) != m for part in by_row)
            or any(len(part) != n for part in by_column)
            or any(len(part) != n for part in wide)
        ):
            raise ValueError(f"the parts of the model do not fit {m} rows and {n} columns")

    @cached_property
    def matrix(self) -> Floats:
        """numerator - bound * denominator, (m, n)."""
        table = np.empty((len(self.rows), len(self.columns)))
        for i, (top, bottom) in enumerate(zip(self.numerator, self.denominator, strict=True)):
            table[i] = top.floats
            if bottom is not None:
                table[i] -= float(self.bound[i]) * bottom.floats
        table.flags.writeable = False
        return table

    @cached_property
    def rhs(self) -> Floats:
        """bound * constant, (m,)."""
        return _read_only(float(self.right_side(i)) for i in range(len(self.rows)))

    def right_side(self, i: int) -> Fraction:
        """bound * constant of row i, exactly."""
        return Fraction(self.bound[i]) * Fraction(self.constant[i])

    def exact_row(self, i: int) -> tuple[list[int], int]:
        """Row i of the matrix as integers over one denominator."""
        top, top_scale = self.numerator[i].integers
        bottom_part = self.denominator[i]
        if bottom_part is None:
            return list(top), top_scale
        bottom, bottom_scale = bottom_part.integers
        p, q = Fraction(self.bound[i]).as_integer_ratio()
        # top/a - (p/q) bottom/b over the common denominator of a and q*b
        scale = math.lcm(top_scale, q * bottom_scale)
        left, right = scale // top_scale, p * (scale // (q * bottom_scale))
        return [a * left - b * right for a, b in zip(top, bottom, strict=True)], scale

    def weight(self, i: int, x: Sequence[Fraction]) -> Fraction:
        """The denominator's level: what row i is an average over, exactly."""
        part = self.denominator[i]
        constant = Fraction(self.constant[i])
        return constant if part is None else constant + part.level(x)

    def level(self, i: int, x: Sequence[Fraction]) -> Fraction | None:
        """Row i's left side in the maker's unit, exactly; None where it is x / 0."""
        weight = self.weight(i, x)
        return self.numerator[i].level(x) / weight if weight else None

    def cost_of(self, x: Sequence[Fraction]) -> Fraction:
        """The exact cost of a point."""
        return self.cost.level(x)

    def with_bound(self, i: int, bound: Exact) -> LinearModel:
        """The same model with row i's bound moved."""
        return replace(self, bound=(*self.bound[:i], bound, *self.bound[i + 1 :]))

    def with_cost(self, j: int, cost: Exact) -> LinearModel:
        """The same model with another cost of column j."""
        numbers = self.cost.numbers
        return replace(self, cost=Coefficients((*numbers[:j], cost, *numbers[j + 1 :])))

    def with_rows(self, more: Iterable[ModelRow]) -> LinearModel:
        """The same model with further rows."""
        rows = list(more)
        return replace(
            self,
            rows=(*self.rows, *(part.row for part in rows)),
            numerator=(*self.numerator, *(part.numerator for part in rows)),
            denominator=(*self.denominator, *(part.denominator for part in rows)),
            constant=(*self.constant, *(part.constant for part in rows)),
            bound=(*self.bound, *(part.bound for part in rows)),
        )

    def with_columns(
        self,
        labels: Sequence[str],
        cost: Sequence[Exact],
        upper: Exact | None = None,
        is_integer: bool = False,
        in_rows: Mapping[int, Mapping[int, Exact]] | None = None,
    ) -> LinearModel:
        """The same model with further columns from 0 up.

        Args:
            labels: Their labels, (k,).
            cost: Their costs, (k,).
            upper: Their upper bound, None for none.
            is_integer: Whether only whole numbers are allowed.
            in_rows: Their coefficients in the numerators, by row and then by position
                among the new columns; 0 elsewhere.
        """
        k = len(labels)
        nothing = (0,) * k
        entries = in_rows or {}
        return replace(
            self,
            columns=(*self.columns, *labels),
            numerator=tuple(
                part.followed_by([entries.get(i, {}).get(j, 0) for j in range(k)])
                for i, part in enumerate(self.numerator)
            ),
            denominator=tuple(
                None if part is None else part.followed_by(nothing) for part in self.denominator
            ),
            cost=self.cost.followed_by(cost),
            lower=(*self.lower, *nothing),
            upper=(*self.upper, *(upper,) * k),
            is_integer=(*self.is_integer, *(is_integer,) * k),
        )

    def costing(self, cost: Coefficients) -> LinearModel:
        """The same model with other costs altogether."""
        return replace(self, cost=cost)

    def without_rows(self, dropped: Iterable[int]) -> LinearModel:
        """The same model with some rows left out."""
        gone = set(dropped)
        kept = [i for i in range(len(self.rows)) if i not in gone]
        return replace(
            self,
            rows=tuple(self.rows[i] for i in kept),
            numerator=tuple(self.numerator[i] for i in kept),
            denominator=tuple(self.denominator[i] for i in kept),
            constant=tuple(self.constant[i] for i in kept),
            bound=tuple(self.bound[i] for i in kept),
        )
