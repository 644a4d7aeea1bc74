"""The formula that is cheapest in the worst case when at most so many prices rise."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from optimiser.answers.measures import Blend, Measures, measured
from optimiser.formulation import WHOLE, Formulation
from optimiser.postoptimal.protection import protected, worst_rise
from optimiser.solve import settle


@dataclass(frozen=True, eq=False)
class Uncertain:
    """A formula for uncertain prices.

    Attributes:
        at_most: How many prices may rise to the top of their spread.
        measures: The formula, at the prices without any rise.
        x: Percent of each ingredient on the shelf, exactly.
        worst_cost: What it costs per kg at the worst, exactly.
        rising: The ingredients whose prices rise then, the most felt first.
        least_cost: What the cheapest formula without any rise costs then.
        least_worst_cost: What that formula costs at the worst.
        spreads: How far each price may rise, in percent, by ingredient id.
    """

    at_most: int
    measures: Measures
    x: tuple[Fraction, ...]
    worst_cost: Fraction
    rising: tuple[str, ...]
    least_cost: Fraction
    least_worst_cost: Fraction
    spreads: Mapping[str, Decimal]

    @property
    def price_of_caution(self) -> Fraction:
        """Money per kg more than the cheapest formula, as long as no price rises."""
        return (self.measures.cost_per_kg or Fraction(0)) - self.least_cost


def uncertain_prices(
    formulation: Formulation, spreads: Mapping[str, Decimal], at_most: int
) -> Uncertain | None:
    """Find the formula that costs least in the worst case, and prove it.

    Args:
        formulation: The request as a model.
        spreads: How far each price may rise, in percent, by ingredient id; 0 for others.
        at_most: How many prices may rise at once.

    Returns:
        None where no formula meets every limit.

    Raises:
        UnsettledError: The exact arithmetic came to no end.
    """
    model = formulation.model
    n = len(model.columns)
    rises = [
        Fraction(cost) * Fraction(spreads.get(name, Decimal(0))) / WHOLE
        for name, cost in zip(model.columns, model.cost.numbers, strict=True)
    ]
    _, least = settle(model)
    if least.x is None or least.cost is None:
        return None
    _, worst = settle(protected(model, rises, at_most))
    if worst.x is None or worst.cost is None:
        return None
    x = worst.x[:n]
    felt = sorted(range(n), key=lambda j: -rises[j] * x[j])[:at_most]
    return Uncertain(
        at_most=at_most,
        measures=measured(Blend.of(formulation, x)),
        x=x,
        worst_cost=worst.cost,
        rising=tuple(model.columns[j] for j in felt if rises[j] * x[j]),
        least_cost=least.cost,
        least_worst_cost=least.cost + worst_rise(least.x, rises, at_most),
        spreads=spreads,
    )
