"""A linear model in integers: what the exact arithmetic works on.

Every row is multiplied by the common denominator of its numbers, every bound by one
common scale. Variables are numbered 0 to n-1 for the columns and n to n+m-1 for the
rows' levels r = A x, so that a column and a limit are the same kind of thing: a number
between a lower and an upper bound.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np
from numpy.typing import NDArray

from optimiser.linear_model import LinearModel, Sense

Integers = NDArray[Any]
"""An array of Python integers (dtype object), so that nothing overflows or rounds."""


Whole = int | Fraction
"""A bound over the common scale: an integer, but for a bound moved on its way."""


def integers(values: Sequence[Any]) -> Integers:
    """Python integers as an object array."""
    array = np.empty(np.shape(values), dtype=object)
    array[...] = values
    return array


@dataclass(frozen=True, eq=False)
class IntegerProgram:
    """Minimise cost . x / cost_scale with r = matrix x and bounds on x and r.

    Attributes:
        matrix: Scaled rows, (m, n) integers.
        row_scale: What each row was multiplied by, (m,).
        cost: Scaled costs, (n,) integers.
        cost_scale: What the costs were multiplied by.
        lower: Lower bounds of the n columns, then the m rows; None where unbounded.
        upper: Upper bounds likewise.
        value_scale: Bounds are these integers divided by this scale.
    """

    matrix: Integers
    row_scale: tuple[int, ...]
    cost: Integers
    cost_scale: int
    lower: tuple[Whole | None, ...]
    upper: tuple[Whole | None, ...]
    value_scale: int

    @property
    def n(self) -> int:
        """How many columns."""
        return len(self.cost)

    @property
    def m(self) -> int:
        """How many rows."""
        return len(self.row_scale)

    @classmethod
    def of(cls, model: LinearModel) -> IntegerProgram:
        """Scale a model to integers."""
        scaled = [model.exact_row(i) for i in range(len(model.rows))]
        row_scale = tuple(scale for _, scale in scaled)
        lower: list[Fraction | None] = [Fraction(bound) for bound in model.lower]
        upper = [None if bound is None else Fraction(bound) for bound in model.upper]
        for i, row in enumerate(model.rows):
            side = model.right_side(i) * row_scale[i]
            lower.append(None if row.sense is Sense.AT_MOST else side)
            upper.append(None if row.sense is Sense.AT_LEAST else side)
        value_scale = math.lcm(*{b.denominator for b in (*lower, *upper) if b is not None})
        cost, cost_scale = model.cost.integers
        matrix = np.empty((len(scaled), len(model.columns)), dtype=object)
        for i, (row_integers, _) in enumerate(scaled):
            matrix[i] = row_integers
        return cls(
            matrix=matrix,
            row_scale=row_scale,
            cost=integers(cost),
            cost_scale=cost_scale,
            lower=tuple(None if b is None else int(b * value_scale) for b in lower),
            upper=tuple(None if b is None else int(b * value_scale) for b in upper),
            value_scale=value_scale,
        )
