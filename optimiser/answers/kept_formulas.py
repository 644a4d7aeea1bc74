"""The few formulas that are near the cheapest in most of many price scenarios."""

from __future__ import annotations

from collections.abc import Sequence
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


class Few:
    """Which of some formulas are near the cheapest in each scenario, one bit a formula."""

    def __init__(self) -> None:
        """Begin with no scenario looked at."""
        self.places: list[int] = []
        self.has_today = False
        self._points: Floats | None = None
        self._bits: list[NDArray[np.uint64]] = []

    def look_at(self, corners: Corners, costs: Floats, least: Floats, today: Floats | None) -> None:
        """Take a block of scenarios; the first one chooses the formulas."""
        if self._points is None:
            often = np.argsort(-np.array(corners.counts), kind="stable")[:CANDIDATES]
            points = [corners.points[place] for place in often]
            self.has_today = today is not None
            if today is not None:
                others = [k for k, x in enumerate(points) if np.abs(x - today).max() > SOME]
                often, points = often[others], [today, *(points[k] for k in others)]
            self.places = often.tolist()
            self._points = np.array(points)
        near = costs @ self._points.T <= least[:, None] * (1 + float(NEAR))
        bits = np.zeros((len(costs), 64), dtype=bool)
        bits[:, : near.shape[1]] = near
        packed = np.packbits(bits, axis=1, bitorder="little")
        self._bits.append(packed.view("<u8").ravel().astype(np.uint64))

    def kept(
        self, formulation: Formulation, corners: Corners, today: Sequence[Fraction] | None
    ) -> tuple[Kept, ...]:
        """The few: each time the formula that is near in most scenarios still left."""
        masks, counts = np.unique(np.concatenate(self._bits), return_counts=True)
        total = counts.sum()
        width = len(self.places) + self.has_today
        table = np.array([(masks >> np.uint64(k)) & np.uint64(1) for k in range(width)], dtype=bool)
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
            x, often = self._formula(best, corners, today)
            kept.append(
                Kept(
                    measures=measured(Blend.of(formulation, x)),
                    is_today=self.has_today and best == 0,
                    cheapest_in=often / float(total),
                    near_in=float(table[best] @ counts / total),
                    together=covered,
                )
            )
        return tuple(kept)

    def _formula(
        self, k: int, corners: Corners, today: Sequence[Fraction] | None
    ) -> tuple[tuple[Fraction, ...], int]:
        """A formula in exact shares, and how often it is the cheapest."""
        if self.has_today and k == 0:
            assert today is not None
            at = np.array([float(share) for share in today])
            same = [p for p, x in enumerate(corners.points) if np.abs(x - at).max() <= SOME]
            return tuple(today), sum(corners.counts[place] for place in same)
        place = self.places[k - self.has_today]
        return corners.exact_point(place), corners.counts[place]
