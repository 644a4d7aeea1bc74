"""Many price scenarios at once: what the formula will cost, and which formulas are worth keeping.

The limit on the cost itself is not part of the search: in each scenario the cheapest formula
within all other limits is found, and those that cost more than the limit are counted.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from optimiser.answers.kept_formulas import SOME, Kept, kept_formulas
from optimiser.answers.measures import Blend, Measures, measured
from optimiser.answers.price_draws import PriceTable, Spread
from optimiser.answers.price_sweep import without_cost_limits
from optimiser.formulation import WHOLE, Formulation
from optimiser.linear_model import Floats
from optimiser.postoptimal.corners import Corners
from optimiser.solve import settle

SAME_COST = 1e-9
"""Costs that differ by less than this part are the same."""

BINS = 24
"""So many equal parts show the shape of a distribution."""

MOST_LISTED = 60
"""A table with more scenarios is not told one by one."""


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
        counts: How many scenarios lie in each of `BINS` equal parts from the least to the most.
    """

    mean: float
    p05: float
    p50: float
    p95: float
    least: float
    most: float
    counts: tuple[int, ...]

    @classmethod
    def of(cls, values: Floats) -> Distribution:
        """The distribution of some values, (N,)."""
        low, middle, high = np.quantile(values, (0.05, 0.5, 0.95)).tolist()
        ends = float(values.min()), float(values.max())
        counts = np.histogram(values, BINS)[0].tolist()
        return cls(float(values.mean()), low, middle, high, *ends, tuple(counts))


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
class Single:
    """One scenario of a short table.

    Attributes:
        label: What it is called.
        cost: What its cheapest formula costs.
        staying: What the formula compared with costs; None without one.
        measures: The cheapest formula, at today's prices.
    """

    label: str
    cost: float
    staying: float | None
    measures: Measures


@dataclass(frozen=True, eq=False)
class Scenarios:
    """What the scenarios show.

    Attributes:
        source: Where the prices came from.
        formulas: How many different formulas are the cheapest somewhere.
        cost: What the cheapest formula of each scenario costs.
        staying: What the formula compared with costs; None without one.
        regret: What staying with it costs more than the cheapest; None without one, and where
            it does not meet the brief itself.
        stays_cheapest: The part of the scenarios in which it costs no more; None likewise.
        cautious: What the formula for uncertain prices costs; None without one.
        cautious_regret: What that costs more than the cheapest.
        usage: Every ingredient used anywhere, the most often used first.
        kept: The few formulas worth keeping.
        cap: The limit on the cost, or None.
        over_cap: In how many scenarios no formula keeps to it.
        staying_over_cap: In how many the formula compared with does not.
        each: Every scenario by itself, for a short table.
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
    staying_over_cap: int
    each: tuple[Single, ...]
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
    is_rival: bool = True,
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
        is_rival: Whether the formula to compare with meets the limits itself.

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
    costs: list[Floats] = []
    held: tuple[list[Floats], list[Floats]] = ([], [])
    exactly = 0
    places: list[int] = []
    for prices in source.blocks(formulation):
        block = prices / WHOLE
        ended = corners.cheapest(block)
        exactly += ended.exactly
        costs.append(ended.cost)
        for x, found in zip(fixed, held, strict=True):
            if x is not None:
                found.append(block @ x)
        if isinstance(source, PriceTable) and len(places) < MOST_LISTED:
            places += ended.place.tolist()
        tell(sum(map(len, costs)), source.draws)
    cost = np.concatenate(costs)
    staying, caution = (np.concatenate(found) if found else None for found in held)
    regret = None
    if staying is not None and is_rival:
        regret = np.maximum(staying - cost, 0.0)
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
        kept=kept_formulas(
            formulation,
            corners,
            (prices / WHOLE for prices in source.blocks(formulation)),
            cost,
            today if is_rival else None,
        ),
        cap=cap,
        over_cap=_over(cost, cap),
        staying_over_cap=_over(staying, cap),
        each=_each(formulation, corners, source, places, cost, staying),
        settled_exactly=exactly,
    )


def _over(costs: Floats | None, cap: Fraction | None) -> int:
    """How many costs are over a limit."""
    if costs is None or cap is None:
        return 0
    return int(np.sum(costs > float(cap) * (1 + SAME_COST)))


def _each(
    formulation: Formulation,
    corners: Corners,
    source: Spread | PriceTable,
    places: Sequence[int],
    cost: Floats,
    staying: Floats | None,
) -> tuple[Single, ...]:
    """Every scenario of a short table by itself."""
    if not isinstance(source, PriceTable) or source.draws > MOST_LISTED:
        return ()
    known = {p: measured(Blend.of(formulation, corners.exact_point(p))) for p in set(places)}
    held = [None] * len(cost) if staying is None else staying.tolist()
    rows = zip(source.labels, cost.tolist(), held, places, strict=True)
    return tuple(Single(label, least, now, known[place]) for label, least, now, place in rows)


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
