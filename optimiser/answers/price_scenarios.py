"""Many price scenarios at once: what the formula will cost, and which formulas are worth keeping.

The limit on the cost itself is not part of the search: in each scenario the cheapest formula
within all other limits is found, and those that cost more than the limit are counted.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from optimiser.answers.measures import Blend, Measures, measured
from optimiser.answers.price_draws import PriceTable, Spread
from optimiser.answers.price_sweep import without_cost_limits
from optimiser.formulation import WHOLE, Formulation
from optimiser.linear_model import Floats
from optimiser.postoptimal.corners import Corners
from optimiser.solve import settle

SOME = 1e-7
"""A share below this many percent is none."""

SAME_COST = 1e-9
"""Costs that differ by less than this part are the same."""

NEAR = Fraction(1, 100)
"""A formula is near the cheapest where it costs at most this part more."""

CANDIDATES = 63
"""So many formulas, those cheapest most often at first, may be among the few worth keeping."""

MOST_KEPT = 4
ENOUGH = 0.95
LEAST_GAIN = 0.01
"""Formulas are added to the few while each is near in this part more, up to `ENOUGH`."""


@dataclass(frozen=True, slots=True)
class Distribution:
    """How money per kg is spread over the scenarios.

    Quantiles that fall between two scenarios are interpolated.

    Attributes:
        mean: The mean.
        p05: One scenario in twenty is below this.
        p50: The median.
        p95: One scenario in twenty is above this.
        least: The least.
        most: The most.
    """

    mean: float
    p05: float
    p50: float
    p95: float
    least: float
    most: float

    @classmethod
    def of(cls, values: Floats) -> Distribution:
        """The distribution of some values, (N,)."""
        low, middle, high = np.quantile(values, (0.05, 0.5, 0.95)).tolist()
        ends = float(values.min()), float(values.max())
        return cls(float(values.mean()), low, middle, high, *ends)


@dataclass(frozen=True, slots=True)
class Usage:
    """How often and how much an ingredient is used by the cheapest formulas.

    Attributes:
        ingredient: Its id.
        used_in: In which part of the scenarios, 0 to 1.
        percent_low: Its share where it is used: one in twenty is below.
        percent_high: One in twenty is above.
    """

    ingredient: str
    used_in: float
    percent_low: float
    percent_high: float


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


@dataclass(frozen=True, eq=False)
class Scenarios:
    """What the scenarios show.

    Attributes:
        source: Where the prices came from.
        formulas: How many different formulas are the cheapest somewhere.
        cost: What the cheapest formula of each scenario costs.
        staying: What the formula compared with costs; None without one.
        regret: What staying with it costs more than the cheapest; None without one.
        stays_cheapest: The part of the scenarios in which it costs no more.
        cautious: What the formula for uncertain prices costs; None without one.
        cautious_regret: What that costs more than the cheapest.
        usage: Every ingredient used anywhere, the most often used first.
        kept: The few formulas worth keeping.
        cap: The limit on the cost, or None.
        over_cap: In how many scenarios no formula keeps to it.
        settled_exactly: How many were settled in exact arithmetic, where floats wandered.
    """

    source: Spread | PriceTable
    formulas: int
    cost: Distribution
    staying: Distribution | None
    regret: Distribution | None
    stays_cheapest: float | None
    cautious: Distribution | None
    cautious_regret: Distribution | None
    usage: tuple[Usage, ...]
    kept: tuple[Kept, ...]
    cap: Fraction | None
    over_cap: int
    settled_exactly: int

    @property
    def count(self) -> int:
        """How many scenarios."""
        return self.source.draws


def price_scenarios(
    formulation: Formulation,
    source: Spread | PriceTable,
    today: Sequence[Fraction] | None = None,
    cautious: Sequence[Fraction] | None = None,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> Scenarios | None:
    """Find the cheapest formula of every scenario.

    Each is settled by the optimality test of the simplex method in floats; sums over the
    scenarios are as good as that.

    Args:
        formulation: The request as a model; its prices are those the scenarios start from.
        source: The scenarios.
        today: Percent of each ingredient of the shelf in a formula to compare with, or None.
        cautious: The same of a formula for uncertain prices, or None.
        tell: Takes how many scenarios of how many are done.

    Returns:
        None where no formula meets the limits.

    Raises:
        InputError: The brief asks for a least cost.
        UnsettledError: A scenario came to no end.
    """
    model, cap = without_cost_limits(formulation)
    _, first = settle(model)
    if first.dictionary is None:
        return None
    corners = Corners(model, first.dictionary.basis())
    fixed = [None if x is None else np.array([float(s) for s in x]) for x in (today, cautious)]
    few = _Few()
    costs: list[Floats] = []
    held: tuple[list[Floats], list[Floats]] = ([], [])
    exactly = 0
    for prices in source.blocks(formulation):
        block = prices / WHOLE
        ended = corners.cheapest(block)
        exactly += ended.exactly
        costs.append(ended.cost)
        for x, found in zip(fixed, held, strict=True):
            if x is not None:
                found.append(block @ x)
        few.look_at(corners, block, ended.cost, fixed[0])
        tell(sum(map(len, costs)), source.draws)
    cost = np.concatenate(costs)
    staying, caution = (np.concatenate(found) if found else None for found in held)
    regret = None if staying is None else np.maximum(staying - cost, 0.0)
    return Scenarios(
        source=source,
        formulas=sum(count > 0 for count in corners.counts),
        cost=Distribution.of(cost),
        staying=None if staying is None else Distribution.of(staying),
        regret=None if regret is None else Distribution.of(regret),
        stays_cheapest=None if regret is None else float(np.mean(regret <= SAME_COST * cost)),
        cautious=None if caution is None else Distribution.of(caution),
        cautious_regret=None
        if caution is None
        else Distribution.of(np.maximum(caution - cost, 0.0)),
        usage=_usage(corners, model.columns),
        kept=few.kept(formulation, corners, today),
        cap=cap,
        over_cap=0 if cap is None else int(np.sum(cost > float(cap) * (1 + SAME_COST))),
        settled_exactly=exactly,
    )


def _usage(corners: Corners, columns: Sequence[str]) -> tuple[Usage, ...]:
    """How often and how much each ingredient is used, over all scenarios."""
    counts = np.array(corners.counts, dtype=float)
    met = np.flatnonzero(counts)
    points, counts = np.array([corners.points[place] for place in met]), counts[met]
    found = []
    for j, name in enumerate(columns):
        order = np.argsort(points[:, j])
        order = order[points[order, j] > SOME]
        if not len(order):
            continue
        reached = np.cumsum(counts[order])
        low, high = (
            float(points[order[np.searchsorted(reached, part * reached[-1])], j])
            for part in (0.05, 0.95)
        )
        found.append(Usage(name, float(reached[-1] / counts.sum()), low, high))
    return tuple(sorted(found, key=lambda usage: (-usage.used_in, -usage.percent_high)))


class _Few:
    """Which of some formulas are near the cheapest in each scenario, one bit a formula."""

    def __init__(self) -> None:
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
            if gains[best] < (LEAST_GAIN if kept else SAME_COST):
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
