"""Between which prices a formula stays the cheapest, each price alone."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from optimiser.brief import COST, Family
from optimiser.exact.dictionary import Dictionary
from optimiser.exact.kernel import Basis
from optimiser.exact.proof import Certificate, prove
from optimiser.exact.sensitivity import cost_range
from optimiser.formulation import WHOLE, Formulation
from optimiser.linear_model import Sense


@dataclass(frozen=True, slots=True)
class PriceRange:
    """Between which prices per kg this formula stays the cheapest, others unchanged.

    Attributes:
        ingredient: Its id.
        price_per_kg: Today's price.
        stays_from: The lowest price, None where there is none. For an unused ingredient
            this is the price below which it enters.
        stays_to: The highest price, None where there is none.
    """

    ingredient: str
    price_per_kg: Fraction
    stays_from: Fraction | None
    stays_to: Fraction | None


def price_ranges(
    formulation: Formulation, certificate: Certificate
) -> tuple[tuple[PriceRange, ...], tuple[PriceRange, ...]]:
    """The price ranges of the ingredients used, largest share first, and of the others.

    Args:
        formulation: The request's model.
        certificate: Its settled optimum.

    Raises:
        UnsettledError: Too many degenerate steps.
    """
    model, x = formulation.model, certificate.x
    assert x is not None
    dictionary = _without_cost_limits(formulation, certificate)
    used: list[PriceRange] = []
    unused: list[PriceRange] = []
    for j, offer in enumerate(formulation.offers):
        price = offer.price_per_kg
        if dictionary is None:
            low, high = (price, price) if x[j] else (None, None)
        else:
            low, high = (None if end is None else end * WHOLE for end in cost_range(dictionary, j))
            low, high = _within_cost_limits(formulation, certificate, j, (low, high))
        found = PriceRange(model.columns[j], price, low, high)
        (used if x[j] else unused).append(found)
    used.sort(key=lambda found: (-x[model.columns.index(found.ingredient)], found.ingredient))
    unused.sort(key=_price_drop)
    return tuple(used), tuple(unused)


def _price_drop(unused: PriceRange) -> tuple[bool, Fraction, str]:
    """Ingredients nearest to coming in first, those that never do last."""
    never = unused.stays_from is None or unused.stays_from <= 0
    drop = Fraction(0) if unused.stays_from is None else unused.price_per_kg - unused.stays_from
    return never, drop, unused.ingredient


def cost_rows(formulation: Formulation) -> list[int]:
    """The rows that limit the cost itself."""
    return [
        i
        for i, limit in enumerate(formulation.limits)
        if limit is not None and limit.family is Family.PROPERTIES and limit.of == COST
    ]


def _without_cost_limits(formulation: Formulation, certificate: Certificate) -> Dictionary | None:
    """The optimal dictionary without limits on the cost itself.

    A price moves such a limit's row as well as the cost. A ceiling never changes which
    formula is cheapest, only whether that one is still allowed, which is looked at
    separately. A floor that binds does: then no used price may move, and no unused one
    matters. None stands for that.
    """
    rows = cost_rows(formulation)
    assert certificate.dictionary is not None
    if not rows:
        return certificate.dictionary
    basis = certificate.dictionary.basis()
    kept = tuple(rest for i, rest in enumerate(basis.rows) if i not in rows)
    again = prove(formulation.model.without_rows(rows), Basis(basis.columns, kept))
    return again.dictionary if again.x == certificate.x else None


def _within_cost_limits(
    formulation: Formulation,
    certificate: Certificate,
    j: int,
    ends: tuple[Fraction | None, Fraction | None],
) -> tuple[Fraction | None, Fraction | None]:
    """A price range cut to where the formula's own cost stays within the limits on it."""
    model, x, cost = formulation.model, certificate.x, certificate.cost
    assert x is not None
    assert cost is not None
    if not x[j]:
        return (None, None) if _is_on_a_floor(formulation, cost) else ends
    low, high = ends
    price = formulation.offers[j].price_per_kg
    for i in cost_rows(formulation):
        # The price at which the formula costs just the bound.
        edge = price + (Fraction(model.bound[i]) - cost) * WHOLE / x[j]
        if model.rows[i].sense is not Sense.AT_LEAST:
            high = edge if high is None else min(high, edge)
        if model.rows[i].sense is not Sense.AT_MOST:
            low = edge if low is None else max(low, edge)
    return low, high


def _is_on_a_floor(formulation: Formulation, cost: Fraction) -> bool:
    """Whether a limit forbids whatever costs less, so that no price brings anything in."""
    model = formulation.model
    return any(
        model.rows[i].sense is not Sense.AT_MOST and model.bound[i] == cost
        for i in cost_rows(formulation)
    )
