"""A brief at other prices: the new formula beside the one in use."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from optimiser.answers.cheapest import ActiveLimit, Cheapest, cheapest
from optimiser.answers.checked import Checked, all_held
from optimiser.answers.measures import Blend
from optimiser.answers.price_questions import why_not
from optimiser.brief import COST, End, Family, Limit, Request
from optimiser.price import cheapest_offers

FEW = 4
"""So many ingredients with another price in vain are named."""


@dataclass(frozen=True, eq=False)
class Changed:
    """The brief at other prices.

    Attributes:
        request: The brief with the other prices.
        answer: Its cheapest formula, or why there is none.
        staying_cost: What the formula in use costs per kg then; None where one of its
            ingredients has no price then, or there is no formula in use.
        staying_missed: Limits that it does not meet then.
        released: Limits that held the old formula and no longer hold the new one.
        taken: Limits that hold the new formula and did not hold the old one.
        over_cap: Where there is no formula, but is without the limit on the cost: that one.
        in_vain: Ingredients with another price that may not be used, few and named one by one,
            and why not.
    """

    request: Request
    answer: Cheapest
    staying_cost: Fraction | None
    staying_missed: tuple[Checked, ...]
    released: tuple[ActiveLimit, ...]
    taken: tuple[ActiveLimit, ...]
    over_cap: Cheapest | None
    in_vain: tuple[tuple[str, str], ...]

    @property
    def saving(self) -> Fraction | None:
        """Money per kg saved by changing; None where either cost is not known."""
        new = None if self.answer.measures is None else self.answer.measures.cost_per_kg
        return None if new is None or self.staying_cost is None else self.staying_cost - new


def at_other_prices(
    request: Request, today: Cheapest, in_use: Blend | None, seconds: float
) -> Changed:
    """The brief at other prices beside today's.

    Args:
        request: The brief with the other prices.
        today: The answer at today's prices.
        in_use: The formula in use, or None.
        seconds: Time limit of a search among weighable formulas.

    Raises:
        InputError: The brief cannot be stated as a model.
        UnsettledError: The exact arithmetic came to no end.
    """
    answer = cheapest(request, seconds)
    staying = None if in_use is None else Blend.at(request, in_use.shares)
    old, new = (
        {active.row.statement.key: active for active in found.active_limits if active.is_felt}
        for found in (today, answer)
    )
    both = today.measures is not None and answer.measures is not None
    return Changed(
        request=request,
        answer=answer,
        staying_cost=None if staying is None else staying.cost_per_kg,
        staying_missed=() if staying is None else missed_limits(staying),
        released=tuple(a for key, a in old.items() if both and key not in new),
        taken=tuple(a for key, a in new.items() if both and key not in old),
        over_cap=_over_cap(request, seconds) if answer.measures is None else None,
        in_vain=_in_vain(today, answer),
    )


def missed_limits(blend: Blend) -> tuple[Checked, ...]:
    """The limits of its brief that a formula does not meet."""
    return tuple(check for check in all_held(blend) if check.is_met is False)


def is_cost_ceiling(limit: Limit) -> bool:
    """Whether a limit says what a kg may cost at most."""
    is_cost = limit.family is Family.PROPERTIES and limit.of == COST
    return is_cost and limit.end is End.MAX


def _over_cap(request: Request, seconds: float) -> Cheapest | None:
    """The cheapest formula without a limit on the cost; None where there is no such limit."""
    limits = tuple(limit for limit in request.brief.limits if not is_cost_ceiling(limit))
    if len(limits) == len(request.brief.limits):
        return None
    found = cheapest(replace(request, brief=replace(request.brief, limits=limits)), seconds)
    return None if found.measures is None else found


def _in_vain(today: Cheapest, answer: Cheapest) -> tuple[tuple[str, str], ...]:
    """Ingredients whose price differs and that may not be used, where they are few."""
    before, after = (cheapest_offers(found.request.offers) for found in (today, answer))
    moved = [
        name
        for name, offer in after.items()
        if name not in before or before[name].price_per_kg != offer.price_per_kg
    ]
    columns = answer.formulation.model.columns
    if len(moved) > FEW:
        return ()
    return tuple((name, why_not(answer.formulation, name)) for name in moved if name not in columns)
