"""How far bounds have to move until an impossible model becomes possible."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from optimiser.exact.dictionary import Ending, UnsettledError
from optimiser.linear_model import Coefficients, LinearModel, ModelRow, Sense
from optimiser.solve import settle

MOST_ROUNDS = 60
"""Solves of a ratio or of a compromise before it is given up; a few are usual."""


def nearest_bound(model: LinearModel, i: int) -> Fraction | None:
    """The bound of row i nearest to its own at which the model becomes possible.

    A ratio's extreme level is found by solving for num - level * den until nothing is left
    to gain (Dinkelbach 1967, "On nonlinear fractional programming", Manag. Sci. 13), exactly.

    Returns:
        The bound, in the maker's unit; None where moving this bound alone is not enough.

    Raises:
        UnsettledError: The extreme level was not reached in `MOST_ROUNDS`.
    """
    sense, bound = model.rows[i].sense, Fraction(model.bound[i])
    ways = {Sense.AT_LEAST: (1,), Sense.AT_MOST: (-1,), Sense.EQUAL: (1, -1)}[sense]
    ends = [end for way in ways if (end := extreme_level(model, i, way)) is not None]
    return min(ends, key=lambda end: abs(end - bound), default=None)


def extreme_level(model: LinearModel, i: int, way: int) -> Fraction | None:
    """The greatest (way 1) or least (way -1) level of row i where all other rows hold.

    Returns:
        The level in the maker's unit; None where the other rows cannot be met, or the level is
        without end or nowhere a number.

    Raises:
        UnsettledError: It was not reached in `MOST_ROUNDS`.
    """
    others = model.without_rows([i])
    # Begin where there is most to average over, so that the level is a number.
    part = model.denominator[i]
    weight = (0,) * len(model.columns) if part is None else part.numbers
    start = settle(replace(others, cost=Coefficients(tuple(-w for w in weight))))[1]
    if start.x is None:
        return None
    level = model.level(i, start.x)
    for _ in range(MOST_ROUNDS):
        if level is None:
            return None
        cost = _combined(model, i, level, -way)
        best = settle(replace(others, cost=cost))[1]
        if best.x is None:
            return None
        reached = model.level(i, best.x)
        if reached is None:  # of a point with nothing below: no end, unless it gains nothing
            return None if best.cost else level
        if reached == level:
            return level
        level = reached
    raise UnsettledError("how far a bound has to move came to no end; please report it")


def _combined(model: LinearModel, i: int, level: Fraction, sign: int) -> Coefficients:
    """sign * (numerator - level * denominator) of row i, as a cost."""
    top = model.numerator[i].numbers
    part = model.denominator[i]
    bottom = (0,) * len(top) if part is None else part.numbers
    return Coefficients(
        tuple(sign * (Fraction(a) - level * Fraction(b)) for a, b in zip(top, bottom, strict=True))
    )


def smallest_compromise(
    model: LinearModel, sizes: Sequence[Fraction]
) -> Mapping[int, Fraction] | None:
    """The bounds to move so that the sum of all moves, each relative to its size, is least.

    Only rows that may be eased are moved. For ratios the move is weighed with the weight
    of the formula found, which is settled in a few rounds and may miss the very least.

    Args:
        model: An impossible model.
        sizes: What a move of each bound is relative to, above 0, (m,).

    Returns:
        The new bound of each row that moves; None where easing is not enough.
    """
    weights = [Fraction(model.constant[i]) or Fraction(100) for i in range(len(model.rows))]
    rigid = {i for i, row in enumerate(model.rows) if not row.may_be_eased}
    best: tuple[Fraction, dict[int, Fraction]] | None = None
    wanted: dict[int, Fraction] = {}
    for _ in range(MOST_ROUNDS):
        certificate = settle(_elastic(model, sizes, weights, rigid, wanted))[1]
        if certificate.x is None:
            return None
        x = certificate.x[: len(model.columns)]
        missed = [i for i in range(len(model.rows)) if not _is_met(model, i, x)]
        levels = {i: model.level(i, x) for i in missed}
        # A ratio to nothing is met by no bound at all, so moving it is no way out; where there
        # can be something, there has to be.
        of_nothing = {i for i, level in levels.items() if level is None}
        if of_nothing:
            weighty = _weights_within_reach(model, rigid)
            wanted |= {i: weighty[i] for i in of_nothing & weighty.keys()}
            continue
        moved = {i: level for i, level in levels.items() if level is not None}
        total = sum(
            (abs(level - Fraction(model.bound[i])) / sizes[i] for i, level in moved.items()),
            Fraction(0),
        )
        is_better = best is None or total < best[0]
        if is_better:
            best = (total, moved)
        found = [model.weight(i, x) or weights[i] for i in range(len(model.rows))]
        if found == weights or not is_better:
            break
        weights = found
    return None if best is None else best[1]


def _is_met(model: LinearModel, i: int, x: Sequence[Fraction]) -> bool:
    """Whether a point meets row i, exactly."""
    over = model.numerator[i].level(x) - Fraction(model.bound[i]) * model.weight(i, x)
    sense = model.rows[i].sense
    return not (
        (over < 0 and sense is not Sense.AT_MOST) or (over > 0 and sense is not Sense.AT_LEAST)
    )


def _weights_within_reach(model: LinearModel, rigid: set[int]) -> dict[int, Fraction]:
    """Weights of the ratios that are not rigid, above 0, which one point can have together.

    A point that is the middle of those with the greatest weight of each has its part of every
    one. A ratio that can only be one to nothing becomes rigid.
    """
    while True:
        held = model.without_rows(set(range(len(model.rows))) - rigid)
        loose = [i for i in range(len(model.rows)) if i not in rigid and not model.constant[i]]
        greatest = {i: _greatest_weight(held, model.denominator[i]) for i in loose}
        empty = {i for i, weight in greatest.items() if weight <= 0}
        if not empty:
            return {i: weight / len(loose) for i, weight in greatest.items()}
        rigid |= empty


def _greatest_weight(model: LinearModel, part: Coefficients | None) -> Fraction:
    """The greatest level of a denominator; 0 without any point, a whole where it has no end."""
    assert part is not None
    cost = Coefficients(tuple(-number for number in part.numbers))
    found = settle(model.costing(cost))[1]
    if found.ending is Ending.UNBOUNDED:
        return Fraction(100)
    return Fraction(0) if found.cost is None else -found.cost


def _elastic(
    model: LinearModel,
    sizes: Sequence[Fraction],
    weights: Sequence[Fraction],
    rigid: Collection[int],
    wanted: Mapping[int, Fraction],
) -> LinearModel:
    """The model with a move for each bound that is not rigid, the moves as the only cost.

    Some ratios have to have a weight that is wanted at least.
    """
    slack: list[tuple[int, int]] = []
    for i, row in enumerate(model.rows):
        if i not in rigid:
            slack += [(i, 1)] if row.sense is not Sense.AT_MOST else []
            slack += [(i, -1)] if row.sense is not Sense.AT_LEAST else []
    in_rows: dict[int, dict[int, Fraction]] = {}
    for k, (i, way) in enumerate(slack):
        in_rows.setdefault(i, {})[k] = way * weights[i]
    n = len(model.columns)
    parts = {i: part for i in wanted if (part := model.denominator[i]) is not None}
    weighty = [
        ModelRow.helping("weight", Sense.AT_LEAST, dict(enumerate(part.numbers)), wanted[i], n)
        for i, part in parts.items()
    ]
    free = model.costing(Coefficients((0,) * n)).with_rows(weighty)
    return free.with_columns(
        [f"move {i} {way}" for i, way in slack],
        [Fraction(1) / sizes[i] for i, _ in slack],
        in_rows=in_rows,
    )
