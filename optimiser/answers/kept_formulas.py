"""The few formulas that are near the cheapest in most of many price scenarios."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from optimiser.answers.measures import Blend, Measures, measured
from optimiser.formulation import Formulation
from optimiser.linear_model import Floats
from optimiser.postoptimal.corners import Corners

SOME = 1e-7
"""A share below this many percent is none."""

NEAR = Fraction(1, 100)
"""A formula is near the cheapest where it costs at most this part more."""

CANDIDATES = 63
"""So many formulas, those cheapest most often at first, may be among the few worth keeping."""

MOST_KEPT = 4
ENOUGH = 0.95
LEAST_GAIN = 0.01
"""Formulas are added to the few while each is near in this part more, up to `ENOUGH`."""


@dataclass(frozen=True, eq=False)
class Kept:
    """One of the few formulas that are near the cheapest in most scenarios.

    Attributes:
        measures: The formula, at today's prices.
        is_today: Whether it is the one that was compared with.
        cheapest_in: The part of the scenarios in which it is the cheapest.
        near_in: The part in which it is near the cheapest.
        together: The part in which it or one of those before it is.
    """

    measures: Measures
    is_today: bool
    cheapest_in: float
    near_in: float
    together: float


def kept_formulas(
    formulation: Formulation,
    corners: Corners,
    blocks: Iterable[Floats],
    least: Floats,
    today: Sequence[Fraction] | None,
) -> tuple[Kept, ...]:
    """The few: each time the formula that is near in most scenarios still left.

    Args:
        formulation: The request as a model.
        corners: The points met, and how often each was the cheapest.
        blocks: The costs of the columns in every scenario once more, (N, n) a block.
        least: What the cheapest formula of each scenario costs.
        today: The formula compared with, or None.

    Raises:
        UnsettledError: A point met is not exactly within the limits.
    """
    often = np.argsort(-np.array(corners.counts), kind="stable")[:CANDIDATES]
    points = [corners.points[place] for place in often]
    places: list[int | None] = often.tolist()
    if today is not None:
        at = np.array([float(share) for share in today])
        others = [k for k, x in enumerate(points) if np.abs(x - at).max() > SOME]
        points = [at, *(points[k] for k in others)]
        places = [None, *(places[k] for k in others)]
    masks, counts = np.unique(_near(np.array(points), blocks, least), return_counts=True)
    total = counts.sum()
    table = np.array([(masks >> np.uint64(k)) & np.uint64(1) for k in range(len(points))])
    table = table.astype(bool)
    left = np.ones(len(masks), dtype=bool)
    kept: list[Kept] = []
    covered = 0.0
    while len(kept) < MOST_KEPT and covered < ENOUGH:
        gains = table[:, left] @ counts[left] / total
        best = int(np.argmax(gains))
        if gains[best] <= (LEAST_GAIN if kept else 0.0):
            break
        left &= ~table[best]
        covered += float(gains[best])
        x, often_cheapest = _formula(places[best], corners, today)
        kept.append(
            Kept(
                measures=measured(Blend.of(formulation, x)),
                is_today=places[best] is None,
                cheapest_in=often_cheapest / float(total),
                near_in=float(table[best] @ counts / total),
                together=covered,
            )
        )
    return tuple(kept)


def _near(points: Floats, blocks: Iterable[Floats], least: Floats) -> NDArray[np.uint64]:
    """Which of at most 64 points are near the cheapest in each scenario, one bit a point."""
    found: list[NDArray[np.uint64]] = []
    start = 0
    for costs in blocks:
        most = least[start : start + len(costs)] * (1 + float(NEAR))
        start += len(costs)
        bits = np.zeros((len(costs), 64), dtype=bool)
        bits[:, : len(points)] = costs @ points.T <= most[:, None]
        packed = np.packbits(bits, axis=1, bitorder="little")
        found.append(packed.view("<u8").ravel().astype(np.uint64))
    return np.concatenate(found)


def _formula(
    place: int | None, corners: Corners, today: Sequence[Fraction] | None
) -> tuple[tuple[Fraction, ...], int]:
    """A formula in exact shares, and how often it is the cheapest; no place is today's."""
    if place is not None:
        return corners.exact_point(place), corners.counts[place]
    assert today is not None
    at = np.array([float(share) for share in today])
    same = [p for p, x in enumerate(corners.points) if np.abs(x - at).max() <= SOME]
    return tuple(today), sum(corners.counts[p] for p in same)
