"""An exact simplex dictionary: the basic variables written in terms of the others.

    v_basic = table . v_nonbasic / divisor        cost = cost_row . v_nonbasic / divisor

over the n columns and the m row levels of an `IntegerProgram`, in integers throughout
(see `kernel`).

From a solver's final basis there is usually nothing left to do. Otherwise the dual simplex
method brings the variables within their bounds (with costs 0 where the start is not dual
feasible, which then is phase one) and the primal simplex method lowers the cost, both with
the least-index rule (Bland 1977, "New finite pivoting rules for the simplex method", Math.
Oper. Res. 2), so that they end without any tolerance.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from enum import StrEnum
from fractions import Fraction

import numpy as np

from optimiser.exact.integer_program import IntegerProgram, Integers, Whole, integers
from optimiser.exact.kernel import Basis, Kernel, Rest, pivoted


class UnsettledError(Exception):
    """The exact arithmetic did not come to an end, or its check failed; nothing is claimed."""


class Ending(StrEnum):
    """How a walk over bases ended."""

    OPTIMAL = "optimal"
    INFEASIBLE = "infeasible"
    UNBOUNDED = "unbounded"
    UNSETTLED = "unsettled"


def least_ratio(candidates: Iterable[tuple[Whole, Whole, int, int]]) -> tuple[Fraction, int] | None:
    """The smallest top / bottom and its place; ties go to the least variable.

    Args:
        candidates: (top, bottom, variable, place) with bottom above 0.
    """
    best: tuple[Whole, Whole, int, int] | None = None
    for candidate in candidates:
        if best is None:
            best = candidate
            continue
        ours, theirs = candidate[0] * best[1], best[0] * candidate[1]
        if ours < theirs or (ours == theirs and candidate[2] < best[2]):
            best = candidate
    return None if best is None else (Fraction(best[0], best[1]), best[3])


class Dictionary:
    """One basis of an integer programme, with everything written in its terms.

    Attributes:
        program: What it belongs to.
        table: (m + 1, n) integers; the last row is the cost (times `cost_scale`).
        divisor: Positive integer.
        basic: Variable of each of the m rows.
        nonbasic: Variable of each of the n columns.
        at_upper: The nonbasic variables that rest at their upper bound.
    """

    def __init__(
        self,
        program: IntegerProgram,
        table: Integers,
        divisor: int,
        basic: list[int],
        nonbasic: list[int],
        at_upper: set[int],
    ) -> None:
        self.program = program
        self.table = table
        self.divisor = divisor
        self.basic = basic
        self.nonbasic = nonbasic
        self.at_upper = at_upper
        self._values: Integers | None = None

    @classmethod
    def of(cls, program: IntegerProgram, kernel: Kernel, at_upper: Iterable[int]) -> Dictionary:
        """Write all variables in terms of the kernel's rows and the other columns."""
        n, m = program.n, program.m
        inside, binding = list(kernel.columns), list(kernel.rows)
        others = sorted(set(range(n)) - set(inside))
        free_rows = sorted(set(range(m)) - set(binding))
        bound_part = program.matrix[np.ix_(binding, others)]
        upper_left, divisor = kernel.inverse, kernel.divisor
        below = np.vstack([program.matrix[free_rows], program.cost[np.newaxis, :]])
        lower_left = below[:, inside].dot(upper_left)
        left = np.vstack([upper_left, lower_left])
        right = -left.dot(bound_part)
        right[len(inside) :] += below[:, others] * divisor
        return cls(
            program,
            np.hstack([left, right]),
            divisor,
            inside + [n + i for i in free_rows],
            [n + i for i in binding] + others,
            set(at_upper),
        )._rested()

    def copy(self) -> Dictionary:
        """An independent copy; the table is never changed in place, so it is shared."""
        twin = Dictionary(
            self.program,
            self.table,
            self.divisor,
            list(self.basic),
            list(self.nonbasic),
            set(self.at_upper),
        )
        twin._values = self._values
        return twin

    def _rested(self) -> Dictionary:
        """Let every nonbasic variable rest at a bound that it has, and no other."""
        lower, upper = self.program.lower, self.program.upper
        self.at_upper.intersection_update(self.nonbasic)
        for v in self.nonbasic:
            if lower[v] is None and upper[v] is not None:
                self.at_upper.add(v)
            elif upper[v] is None:
                self.at_upper.discard(v)
        return self

    # Values, all as integers over value_scale (nonbasic) or value_scale * divisor (basic).

    def resting(self, v: int) -> Whole:
        """Where a nonbasic variable rests, over `value_scale`; 0 where it is free."""
        bound = self.program.upper[v] if v in self.at_upper else self.program.lower[v]
        return 0 if bound is None else bound

    @property
    def values(self) -> Integers:
        """The basic variables, then the cost, over value_scale * divisor, (m + 1,)."""
        if self._values is None:
            at = [self.resting(v) for v in self.nonbasic]
            moved = [j for j, value in enumerate(at) if value]
            if moved:
                self._values = self.table[:, moved].dot(integers([at[j] for j in moved]))
            else:
                self._values = integers([0] * len(self.table))
        return self._values

    @property
    def cost_row(self) -> Integers:
        """Reduced costs over cost_scale * divisor, (n,)."""
        row: Integers = self.table[-1]
        return row

    def value(self, v: int) -> Fraction:
        """The exact value of any variable."""
        scale = self.program.value_scale
        if v in self.basic:
            return Fraction(self.values[self.basic.index(v)], scale * self.divisor)
        return Fraction(self.resting(v), scale)

    def point(self) -> tuple[Fraction, ...]:
        """The n columns' values, exactly."""
        scale = self.program.value_scale
        at = {v: Fraction(self.resting(v), scale) for v in self.nonbasic}
        at |= {
            v: Fraction(value, scale * self.divisor)
            for v, value in zip(self.basic, self.values[:-1], strict=True)
        }
        return tuple(at[j] for j in range(self.program.n))

    def row_prices(self) -> tuple[Fraction, ...]:
        """Dual of each row per unit of its unscaled level, (m,): 0 where basic."""
        n, scale = self.program.n, self.program.cost_scale * self.divisor
        found = [Fraction(0)] * self.program.m
        for v, reduced in zip(self.nonbasic, self.cost_row, strict=True):
            if v >= n:
                found[v - n] = Fraction(reduced * self.program.row_scale[v - n], scale)
        return tuple(found)

    def basis(self) -> Basis:
        """Which variables are basic and where the others rest."""
        rests = [Rest.UPPER if v in self.at_upper else Rest.LOWER for v in range(self._count)]
        for v in self.basic:
            rests[v] = Rest.BASIC
        return Basis(tuple(rests[: self.program.n]), tuple(rests[self.program.n :]))

    @property
    def _count(self) -> int:
        return self.program.n + self.program.m

    # Feasibility.

    def overstep(self, row: int) -> int:
        """1 where the basic variable of a row is above its upper bound, -1 below, else 0."""
        v, value = self.basic[row], self.values[row]
        low, high = self.program.lower[v], self.program.upper[v]
        if low is not None and value < low * self.divisor:
            return -1
        return 1 if high is not None and value > high * self.divisor else 0

    def directions(self, column: int) -> tuple[int, ...]:
        """Ways a nonbasic variable may move from where it rests: +1, -1, both or none."""
        v = self.nonbasic[column]
        low, high = self.program.lower[v], self.program.upper[v]
        if low is None and high is None:
            return (1, -1)
        if low == high:
            return ()
        return (-1,) if v in self.at_upper else (1,)

    def improving(self, column: int) -> int:
        """The allowed direction in which a column lowers the cost, else 0."""
        reduced = self.cost_row[column]
        return next((way for way in self.directions(column) if way * reduced < 0), 0)

    def exchange(self, row: int, column: int, to_upper: bool) -> None:
        """The basic variable of a row leaves to a bound, the column's variable enters."""
        leaving, entering = self.basic[row], self.nonbasic[column]
        self.table, self.divisor = pivoted(self.table, self.divisor, row, column)
        self.basic[row], self.nonbasic[column] = entering, leaving
        self.at_upper -= {entering, leaving}
        if to_upper:
            self.at_upper.add(leaving)
        self._values = None

    def flip(self, column: int) -> None:
        """Move a nonbasic variable to its other bound."""
        self.at_upper ^= {self.nonbasic[column]}
        self._values = None

    def settle(self, most_pivots: int) -> tuple[Ending, int]:
        """Walk to an end.

        Returns the ending, and the row (infeasible) or column (unbounded) that shows it.
        """
        lower, upper = self.program.lower, self.program.upper
        for column, v in enumerate(self.nonbasic):
            if self.improving(column) and lower[v] is not None and upper[v] is not None:
                self.flip(column)
        dual_feasible = not any(self.improving(column) for column in range(len(self.nonbasic)))
        ending, place, left = self._reach_bounds(most_pivots, keep_prices=dual_feasible)
        if ending is Ending.OPTIMAL:
            ending, place = self._lower_cost(left)
        return ending, place

    def _reach_bounds(self, most_pivots: int, keep_prices: bool) -> tuple[Ending, int, int]:
        """Dual simplex: bring every basic variable within its bounds.

        With `keep_prices` reduced costs keep their signs, so that the end is optimal;
        without, costs count as 0, so that the end is only within bounds.
        """
        for done in range(most_pivots + 1):
            broken = [(v, row) for row, v in enumerate(self.basic) if self.overstep(row)]
            if not broken:
                return Ending.OPTIMAL, -1, most_pivots - done
            row = min(broken)[1]
            above = self.overstep(row) > 0
            column = self.entering(row, -1 if above else 1, keep_prices)
            if column < 0:
                return Ending.INFEASIBLE, row, 0
            self.exchange(row, column, to_upper=above)
        return Ending.UNSETTLED, -1, 0

    def _lower_cost(self, most_pivots: int) -> tuple[Ending, int]:
        """Primal simplex: from within all bounds to the least cost."""
        for _ in range(most_pivots + 1):
            falling = [(v, j) for j, v in enumerate(self.nonbasic) if self.improving(j)]
            if not falling:
                return Ending.OPTIMAL, -1
            column = min(falling)[1]
            if self.slide(column, self.improving(column)) is None:
                return Ending.UNBOUNDED, column
        return Ending.UNSETTLED, -1

    def entering(self, row: int, needed: int, keep_prices: bool = True) -> int:
        """The column that can move a row's variable the needed way, else -1.

        With `keep_prices` the one whose reduced cost reaches 0 first; ties, and all
        columns without, go to the least variable.
        """
        entries, reduced = self.table[row], self.cost_row
        best = least_ratio(
            (abs(reduced[column]) if keep_prices else 0, abs(entry), self.nonbasic[column], column)
            for column, entry in enumerate(entries)
            if entry and any(way * entry * needed > 0 for way in self.directions(column))
        )
        return -1 if best is None else best[1]

    def slide(self, column: int, way: int) -> Fraction | None:
        """Move a nonbasic variable until something stops it, and exchange or flip there.

        Returns:
            The step, over `value_scale`; None where nothing stops it.
        """
        v = self.nonbasic[column]
        low, high = self.program.lower[v], self.program.upper[v]
        row, step = self.blocking(column, way)
        if low is not None and high is not None and (step is None or high - low < step):
            self.flip(column)
            return Fraction(high - low)
        if step is not None:
            self.exchange(row, column, to_upper=self.table[row, column] * way > 0)
        return step

    def blocking(self, column: int, way: int) -> tuple[int, Fraction | None]:
        """The row whose variable a moving column first drives to a bound.

        Returns:
            The row and the step over `value_scale`; None where no row stops it. Ties go to
            the least variable.
        """
        lower, upper, divisor = self.program.lower, self.program.upper, self.divisor
        values = self.values

        def candidates() -> Iterator[tuple[Whole, Whole, int, int]]:
            for row, v in enumerate(self.basic):
                entry = self.table[row, column] * way
                end = (upper[v] if entry > 0 else lower[v]) if entry else None
                if end is not None:
                    yield abs(end * divisor - values[row]), abs(entry), v, row

        best = least_ratio(candidates())
        return (-1, None) if best is None else (best[1], best[0])

    def hold(self, v: int, value: Whole) -> None:
        """Fix a nonbasic variable at a value over `value_scale`; it never moves by itself."""
        if value != self.resting(v):
            self._values = None
        lower, upper = list(self.program.lower), list(self.program.upper)
        lower[v] = upper[v] = value
        self.program = replace(self.program, lower=tuple(lower), upper=tuple(upper))
        self.at_upper.discard(v)
