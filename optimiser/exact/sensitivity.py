"""What a limit costs and how long a price holds, exactly and on each side.

The optimal cost as a function of one bound is piecewise linear; at a corner its two slopes
differ, and any number between them is a valid dual. So each side is followed by itself:
parametric simplex steps from the optimal dictionary, first those of length 0 (degenerate
optima), then the first real one, which gives the slope and how far it holds.
(Jansen, de Jong, Roos and Terlaky 1997, "Sensitivity analysis in linear programming: just
be careful!", EJOR 101, say why; cited from memory.)
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np

from optimiser.exact.dictionary import Dictionary, UnsettledError, least_ratio
from optimiser.exact.integer_program import Integers, integers
from optimiser.exact.proof import certified, dictionary_at
from optimiser.exact.recosting import written
from optimiser.linear_model import LinearModel, Sense

MOST_PIVOTS = 500
"""Parametric steps before a rate is given up as not settled."""

Drift = Iterable[tuple[int, Any]]
"""Columns of a dictionary, each with how much of it something moves, over `divisor`."""

GIVEN_UP = "how the cost answers to a bound or a price came to no end; please report it"


@dataclass(frozen=True, slots=True)
class Rate:
    """How the cost answers to a bound that moves one way.

    Attributes:
        per_unit: Change of the cost when the bound moves by one unit that way, at the
            bound's place; None where the model becomes impossible (or, for a ratio, is
            possible only by a jump to where nothing of it is left).
        until: The bound up to which this holds; None where it holds for ever. For a ratio
            the rate drifts, and up to here the same limits stay active; a ratio's rate of 0
            reaches as far as the cost stays.
    """

    per_unit: Fraction | None
    until: Fraction | None


def bound_rate(model: LinearModel, dictionary: Dictionary, i: int, way: int) -> Rate:
    """How the optimal cost answers when the bound of active row i moves up or down.

    Args:
        model: The model.
        dictionary: Its optimal dictionary; not changed.
        i: An active row: its level equals its bound.
        way: +1 for a rising bound, -1 for a falling one.

    Raises:
        UnsettledError: Too many degenerate steps.
    """
    rate, here = _edge_or_absent(model, dictionary, i, way)
    for _ in range(MOST_PIVOTS):
        if model.denominator[i] is None or rate.per_unit != 0 or rate.until is None:
            return rate
        # Where a ratio costs nothing there are many bases; each tells a part of the reach.
        moved = model.with_bound(i, rate.until)
        there = certified(moved, dictionary_at(moved, here.basis()))
        if there.x is None or there.dictionary is None:
            raise UnsettledError(GIVEN_UP)
        if there.cost != model.cost_of(dictionary.point()):
            return rate
        if moved.level(i, there.x) not in (None, rate.until):
            return rate
        further, here = _edge_or_absent(moved, there.dictionary, i, way)
        if further.per_unit != 0 or further.until == rate.until:
            return rate
        rate = further
    raise UnsettledError(GIVEN_UP)


def _edge_or_absent(
    model: LinearModel, dictionary: Dictionary, i: int, way: int
) -> tuple[Rate, Dictionary]:
    """The edge of a bound; of a ratio with nothing in it also where no basis can follow.

    A point with nothing of a ratio meets each of its bounds, so a tighter one costs nothing, and
    nothing is gained by an easier one where the optimum does not lean on it.
    """
    if not model.weight(i, dictionary.point()):
        tightens = (model.rows[i].sense, way) in ((Sense.AT_LEAST, 1), (Sense.AT_MOST, -1))
        if tightens or dictionary.program.n + i in dictionary.basic:
            return Rate(Fraction(0), None), dictionary
    return bound_edge(model, dictionary, i, way)


def bound_edge(
    model: LinearModel, dictionary: Dictionary, i: int, way: int
) -> tuple[Rate, Dictionary]:
    """The same with the last dictionary of the steps.

    For a ratio with a rate its basis is optimal from the bound to where the rate holds.
    """
    v = dictionary.program.n + i
    sense = model.rows[i].sense
    loosens = (sense, way) in ((Sense.AT_LEAST, -1), (Sense.AT_MOST, 1))
    here = dictionary.copy()
    rest = dictionary.value(v) * dictionary.program.value_scale
    if v in here.basic:
        if loosens:  # the optimum does not lean on this limit
            return Rate(Fraction(0), None), here
        row = here.basic.index(v)
        column = here.entering(row, way)
        if column < 0:
            return Rate(None, Fraction(model.bound[i])), here
        here.exchange(row, column, to_upper=False)
    here.hold(v, rest)
    follow = _follow_sum if model.denominator[i] is None else _follow_ratio
    return follow(model, here, i, way, loosens), here


def _slope(here: Dictionary, v: int) -> Fraction:
    """Change of the cost per unit of a nonbasic variable's scaled level."""
    column = here.nonbasic.index(v)
    return Fraction(here.cost_row[column], here.program.cost_scale * here.divisor)


def _follow_sum(model: LinearModel, here: Dictionary, i: int, way: int, loosens: bool) -> Rate:
    """Follow a bound whose row has a constant denominator: its level is linear in it."""
    v, scale = here.program.n + i, here.program.row_scale[i]
    constant = Fraction(model.constant[i])
    bound, slope, moved = Fraction(model.bound[i]), None, Fraction(0)

    def rate(until: Fraction | None) -> Rate:
        per_unit = None if slope is None else slope * way * scale * constant
        return Rate(per_unit, until)

    for _ in range(MOST_PIVOTS):
        column = here.nonbasic.index(v)
        row, step = here.blocking(column, way)
        now = _slope(here, v)
        if loosens and now * way >= 0:  # the limit no longer binds
            return Rate(Fraction(0), None) if slope is None else rate(bound + way * moved)
        if step is None or step > 0:
            slope = now
            if step is None:
                return rate(None)
            moved += step / (here.program.value_scale * scale * constant)
            here.hold(v, here.resting(v) + way * step)
        entering = _entering_behind(here, row, column, way)
        if entering < 0:  # nothing more can give way, or only the limit itself can
            binding = slope is not None or not loosens
            return rate(bound + way * moved) if binding else Rate(Fraction(0), None)
        if slope is not None and here.cost_row[entering]:
            return rate(bound + way * moved)
        here.exchange(row, entering, to_upper=here.table[row, column] * way > 0)
    raise UnsettledError(GIVEN_UP)


def _entering_behind(here: Dictionary, row: int, column: int, way: int) -> int:
    """Which column may enter as a moving one drives a row's variable to a bound, else -1."""
    return here.entering(row, -1 if here.table[row, column] * way > 0 else 1)


def _follow_ratio(model: LinearModel, here: Dictionary, i: int, way: int, loosens: bool) -> Rate:
    """Follow the bound of a ratio to the first change of the active limits.

    Moving the bound b of numerator/denominator to b + s/D(s) is moving the row's level in
    the model by s, where D(s) is the denominator's level after the move: both the columns
    and, as the row's own coefficients move, the reduced costs are linear in s,
    d_j(s) = d_j + (y / D(0)) rho_j s with rho the denominator written in the dictionary.
    Where D is 0 no column moves, and the reduced costs drift by y rho_j for s in place of
    s / D(0).
    """
    v, scale = here.program.n + i, here.program.row_scale[i]
    bound = Fraction(model.bound[i])
    for _ in range(MOST_PIVOTS):
        column = here.nonbasic.index(v)
        weight = model.weight(i, here.point())
        price = _slope(here, v) * scale
        row, step = here.blocking(column, way)
        reach = None
        if step is not None and weight:
            reach = step / (here.program.value_scale * scale)
        if loosens and price * way >= 0:  # the limit no longer binds
            return Rate(Fraction(0), None)
        part = model.denominator[i]
        assert part is not None
        drift, bottom = written(here, part)
        speed = price / (weight or 1) * way / bottom
        turning, turn = _first_turn(here, enumerate(drift), speed, column)
        if turn == 0:
            if here.slide(turning, here.directions(turning)[0]) is None:
                raise UnsettledError(GIVEN_UP)
            continue
        if reach == 0:
            entering = _entering_behind(here, row, column, way)
            if entering < 0:
                return Rate(Fraction(0), None) if loosens else Rate(None, bound)
            here.exchange(row, entering, to_upper=here.table[row, column] * way > 0)
            continue
        steps = [s for s in (reach, turn) if s is not None]
        growth = Fraction(drift[column] * scale * way, bottom)
        end = _ratio_end(bound, way, weight or Fraction(1), growth, steps)
        return Rate(price * weight * way, end)
    raise UnsettledError(GIVEN_UP)


def _ratio_end(
    bound: Fraction, way: int, weight: Fraction, growth: Fraction, steps: Sequence[Fraction]
) -> Fraction | None:
    """Where a ratio's bound is after the smallest step: bound + s / (weight + growth s)."""
    if not steps:
        return bound + way / growth if growth > 0 else None
    step = min(steps)
    after = weight + growth * step
    return bound + way * step / after if after > 0 else None


def _in_terms(here: Dictionary, j: int) -> Drift:
    """Column j of the model in terms of the nonbasic variables, over `divisor`."""
    if j in here.basic:
        return enumerate(here.table[here.basic.index(j)])
    return [(here.nonbasic.index(j), here.divisor)]


def _first_turn(
    here: Dictionary, drift: Drift, speed: Fraction, without: int
) -> tuple[int, Fraction | None]:
    """The column whose reduced cost first reaches 0 as each drifts by its pull * speed.

    Returns:
        The column and how long it takes; None where no reduced cost ever does.
    """
    if not speed:
        return -1, None
    sign = 1 if speed > 0 else -1
    best = least_ratio(
        (abs(here.cost_row[column]), abs(pull), here.nonbasic[column], column)
        for column, pull in drift
        if pull
        and column != without
        and any(pull * sign * way < 0 for way in here.directions(column))
    )
    if best is None:
        return -1, None
    return best[1], best[0] / (abs(speed) * here.program.cost_scale * here.divisor)


def cost_range(dictionary: Dictionary, j: int) -> tuple[Fraction | None, Fraction | None]:
    """Within which costs of column j this optimal point stays one, others unchanged.

    Returns:
        The lowest and the highest cost; None where there is no end.

    Raises:
        UnsettledError: Too many degenerate steps.
    """
    program = dictionary.program
    today = Fraction(program.cost[j], program.cost_scale)
    down, up = (_cost_reach(dictionary.copy(), j, way) for way in (-1, 1))
    return (None if down is None else today - down, None if up is None else today + up)


def _cost_reach(here: Dictionary, j: int, way: int) -> Fraction | None:
    """How far the cost of column j can move one way before the optimal point moves."""
    for _ in range(MOST_PIVOTS):
        column, reach = _first_turn(here, _in_terms(here, j), Fraction(way, here.divisor), -1)
        if reach is None:
            return None
        direction = here.directions(column)[0]
        row, step = here.blocking(column, direction)
        if step != 0:
            return reach
        here.exchange(row, column, to_upper=here.table[row, column] * direction > 0)
    raise UnsettledError(GIVEN_UP)


def equal_ranges(
    dictionary: Dictionary, columns: Sequence[int]
) -> dict[int, tuple[Fraction | None, Fraction | None]] | None:
    """How far columns can move at the same optimal cost; None where the optimum is unique.

    Returns:
        The lowest and the highest value of each column; None where there is no end.

    Raises:
        UnsettledError: Too many steps.
    """
    free = {
        c
        for c in range(len(dictionary.nonbasic))
        if dictionary.cost_row[c] == 0 and dictionary.directions(c)
    }
    if not free:
        return None
    face = dictionary.copy()
    for c, v in enumerate(dictionary.nonbasic):
        if c not in free:
            face.hold(v, face.resting(v))
    ranges: dict[int, tuple[Fraction | None, Fraction | None]] = {}
    for j in columns:
        pulls = {c: pull for c, pull in _in_terms(face, j) if pull and c in free}
        if pulls:
            slope = integers([pulls.get(c, 0) for c in range(len(face.nonbasic))])
            low, high = (_extreme(face.copy(), slope, j, way) for way in (1, -1))
            ranges[j] = (low, high)
        else:
            at = dictionary.value(j)
            ranges[j] = (at, at)
    moves = any(low is None or low != high for low, high in ranges.values())
    return ranges if moves else None


def _extreme(face: Dictionary, slope: Integers, j: int, way: int) -> Fraction | None:
    """The least (way 1) or greatest (way -1) value of a column on a face, None without end."""
    face.table = np.vstack([face.table[:-1], (slope * way)[np.newaxis, :]])
    for _ in range(MOST_PIVOTS):
        falling = [(v, c) for c, v in enumerate(face.nonbasic) if face.improving(c)]
        if not falling:
            return face.value(j)
        column = min(falling)[1]
        if face.slide(column, face.improving(column)) is None:
            return None
    raise UnsettledError(GIVEN_UP)
