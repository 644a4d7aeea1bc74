"""What points there are that cost only a little more than the least."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from optimiser.exact.kernel import Basis, Rest
from optimiser.exact.proof import Certificate, certified, prove
from optimiser.exact.recosting import recosted
from optimiser.linear_model import Coefficients, LinearModel, ModelRow, Sense
from optimiser.solve import concluded

Point = tuple[Fraction, ...]


@dataclass(frozen=True, eq=False)
class NearOptimal:
    """The points that cost at most a part more than the least.

    Attributes:
        model: The model with its cost capped.
        most: The cap.
        ranges: The least and greatest value of every column, None where there is no end, (n,).
        points: A point for each end of each range that has one.
    """

    model: LinearModel
    most: Fraction
    ranges: tuple[tuple[Fraction | None, Fraction | None], ...]
    points: tuple[Point, ...]


def near_optimal(model: LinearModel, least: Certificate, slack: Fraction) -> NearOptimal:
    """How far every column can move at a cost of at most (1 + slack) times the least.

    For a least cost below 0 the slack is taken of its size, so that the cap is above it.

    Args:
        model: A continuous model.
        least: Its settled optimum.
        slack: At least 0: with less than the least cost nothing is possible.

    Raises:
        ValueError: The slack is below 0, or there is no optimum.
        UnsettledError: The exact arithmetic came to no end.
    """
    if slack < 0:
        raise ValueError("nothing costs less than the least")
    if least.cost is None or least.dictionary is None:
        raise ValueError("room to move needs an optimum")
    most = least.cost + slack * abs(least.cost)
    cap = ModelRow.helping("cost", Sense.AT_MOST, {}, most, len(model.columns))
    capped = model.with_rows([replace(cap, numerator=model.cost)])
    basis = least.dictionary.basis()
    near = concluded(prove(capped, Basis(basis.columns, (*basis.rows, Rest.BASIC)))).dictionary
    n = len(model.columns)
    ranges: list[Sequence[Fraction | None]] = []
    points: list[Point] = []
    for j in range(n):
        ends: list[Fraction | None] = []
        for way in (1, -1):
            assert near is not None
            cost = Coefficients.sparse({j: way}, n)
            found = concluded(certified(capped.costing(cost), recosted(near, cost)))
            if found.x is None or found.dictionary is None:
                ends.append(None)
                continue
            near = found.dictionary
            ends.append(found.x[j])
            points.append(found.x)
        ranges.append(ends)
    return NearOptimal(capped, most, tuple((low, high) for low, high in ranges), tuple(points))
