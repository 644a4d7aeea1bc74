"""Whole divisions near the targets that miss as few limits as can be.

An integer programme over the few divisions around each target. Relative deviation from the
target falls up to it and rises beyond, so the divisions of an ingredient stand in columns of
their own below the target, across it and above it; each limit has a column that is 1 where it
is missed and costs more than all deviation together. What the solver says is checked in exact
arithmetic: its rounding never lets a missed limit pass for a kept one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from optimiser.linear_model import Coefficients, LinearModel, ModelRow, Sense
from optimiser.provenance import Exact
from optimiser.solve import solve
from optimiser.workshop.apportionment import Span

SECONDS = 2.0
"""Time limit of one search."""

MARGINS = tuple(map(Fraction, ("0", "1e-6", "1e-4", "1e-3")))
"""By how much limits are tightened for the solver where its tolerance lets one break.

In divisions of the ingredient that counts most.
"""


@dataclass(frozen=True, slots=True)
class LimitOnScale:
    """A limit over whole divisions: coefficients . n on one side of a bound.

    Attributes:
        coefficients: One for each ingredient, (n,).
        sense: At least or at most.
        bound: The bound.
    """

    coefficients: tuple[Fraction, ...]
    sense: Sense
    bound: Fraction

    def level(self, counts: Sequence[int]) -> Fraction:
        """Its left side, exactly."""
        return sum((a * n for a, n in zip(self.coefficients, counts, strict=True)), Fraction(0))

    def is_kept(self, counts: Sequence[int]) -> bool:
        """Whether whole divisions keep it, exactly."""
        level = self.level(counts)
        return level >= self.bound if self.sense is Sense.AT_LEAST else level <= self.bound

    def can_be_kept(self, spans: Sequence[Span]) -> bool:
        """Whether any whole divisions within some spans keep it, whatever they add up to."""
        is_floor = self.sense is Sense.AT_LEAST
        best = [
            span.high if (a > 0) == is_floor else span.low
            for a, span in zip(self.coefficients, spans, strict=True)
        ]
        return self.is_kept(best)

    def most_missed(self, spans: Sequence[Span]) -> Fraction:
        """By how much it can be missed at the most within some spans; below 0 where never."""
        is_floor = self.sense is Sense.AT_LEAST
        worst = [
            span.low if (a > 0) == is_floor else span.high
            for a, span in zip(self.coefficients, spans, strict=True)
        ]
        level = self.level(worst)
        return self.bound - level if is_floor else level - self.bound


@dataclass(frozen=True, slots=True)
class _Column:
    """Some divisions of one ingredient: whose, how many at most, what each does to deviation."""

    of: int
    most: int
    cost: Fraction


def fewest_missed(
    targets: Sequence[Fraction],
    spans: Sequence[Span],
    whole: int,
    limits: Sequence[LimitOnScale],
) -> tuple[int, ...] | None:
    """Whole divisions that add up to `whole` and miss the fewest limits; of these the nearest.

    Args:
        targets: Divisions of each ingredient before rounding, above 0, (n,).
        spans: Where its whole divisions may lie, (n,).
        whole: The batch in divisions.
        limits: What is to be kept.

    Returns:
        The best that the solver finds in its time; None where it finds nothing.
    """
    best: tuple[int, ...] | None = None
    fewest = len(limits) + 1
    for margin in MARGINS:
        columns = _columns(targets, spans)
        model, claimed = _model(columns, spans, whole, limits, margin)
        solution = solve(model, SECONDS)
        if solution.x is None:
            return best
        counts = [span.low for span in spans]
        for column, value in zip(columns, solution.x, strict=False):
            counts[column.of] += round(value)
        missed = [k for k, limit in enumerate(limits) if not limit.is_kept(counts)]
        if sum(counts) == whole and len(missed) < fewest:
            best, fewest = tuple(counts), len(missed)
        said = {k for k, j in claimed.items() if round(solution.x[j])}
        if said >= set(missed):
            break
    return best


def _columns(targets: Sequence[Fraction], spans: Sequence[Span]) -> list[_Column]:
    """The divisions of each ingredient above the low end of its span."""
    columns = []
    for j, (target, span) in enumerate(zip(targets, spans, strict=True)):
        below, above = math.floor(target), math.ceil(target)
        crossing = (below + above - 2 * target) / target
        for start, end, cost in (
            (span.low, min(below, span.high), -1 / target),
            (max(below, span.low), min(above, span.high), crossing),
            (max(above, span.low), span.high, 1 / target),
        ):
            if end > start:
                columns.append(_Column(j, end - start, cost))
    return columns


def _model(
    columns: Sequence[_Column],
    spans: Sequence[Span],
    whole: int,
    limits: Sequence[LimitOnScale],
    margin: Fraction,
) -> tuple[LinearModel, dict[int, int]]:
    """The programme, and the column that says whether a limit is missed, for each that can be."""
    slack = {
        k: most
        for k, one in enumerate(limits)
        if any(one.coefficients) and (most := one.most_missed(spans)) > 0
    }
    claimed = {k: len(columns) + place for place, k in enumerate(slack)}
    width = len(columns) + len(slack)
    lows = [span.low for span in spans]
    every = dict.fromkeys(range(len(columns)), 1)
    rows = [ModelRow.helping("batch", Sense.EQUAL, every, whole - sum(lows), width)]
    for k, room in slack.items():
        limit = limits[k]
        sign = 1 if limit.sense is Sense.AT_LEAST else -1
        # Scaled to a largest coefficient of 1, so that all limits have numbers of one size.
        size = max(abs(a) for a in limit.coefficients)
        entries: dict[int, Exact] = {
            j: limit.coefficients[column.of] / size for j, column in enumerate(columns)
        }
        entries[claimed[k]] = sign * (room / size + margin)
        bound = (limit.bound - limit.level(lows)) / size + sign * margin
        rows.append(ModelRow.helping("limit", limit.sense, entries, bound, width))
    penalty = 1 + sum((abs(column.cost) * column.most for column in columns), Fraction(0))
    costs = [*(column.cost for column in columns), *(penalty for _ in slack)]
    empty = LinearModel(
        columns=tuple(f"{j}" for j in range(width)),
        rows=(),
        numerator=(),
        denominator=(),
        constant=(),
        bound=(),
        cost=Coefficients(tuple(costs)),
        lower=(0,) * width,
        upper=(*(column.most for column in columns), *(1 for _ in slack)),
        is_integer=(True,) * width,
    )
    return empty.with_rows(rows), claimed
