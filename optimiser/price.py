"""Records of the price list."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from optimiser.provenance import Origin


@dataclass(frozen=True, slots=True)
class Offer:
    """One pack of one ingredient at one supplier.

    Attributes:
        ingredient: Ingredient id.
        supplier: Name, or empty.
        pack: The pack as the maker wrote it, such as `5 kg`.
        pack_kg: What the pack holds, in kg, exactly.
        price: Money for one pack.
        delivery: Money for bringing one pack.
        currency: Currency code, or empty where the list does not say.
        in_stock_kg: What the workshop has, in kg, or None.
        quoted_on: The date of the quote as written, or empty.
        origin: The row of the price list.
    """

    ingredient: str
    supplier: str
    pack: str
    pack_kg: Fraction
    price: Decimal
    delivery: Decimal
    currency: str
    in_stock_kg: Fraction | None
    quoted_on: str
    origin: Origin

    @property
    def price_per_kg(self) -> Fraction:
        """Money per kg with the delivery spread over the pack, exactly."""
        return (Fraction(self.price) + Fraction(self.delivery)) / self.pack_kg


def cheapest_offers(offers: Iterable[Offer]) -> Mapping[str, Offer]:
    """The lowest price per kg for each ingredient; the first row wins a tie."""
    best: dict[str, Offer] = {}
    for offer in offers:
        known = best.get(offer.ingredient)
        if known is None or offer.price_per_kg < known.price_per_kg:
            best[offer.ingredient] = offer
    return best


@dataclass(frozen=True, slots=True)
class PriceChange:
    """Another price of one ingredient; one of the two is given.

    Attributes:
        ingredient: Ingredient id.
        to: The new price per kg, delivery included, or None.
        by: Percent by which every offer of it changes, delivery included, or None.
        origin: Where that was said.
    """

    ingredient: str
    to: Decimal | None
    by: Decimal | None
    origin: Origin


def repriced(
    offers: Iterable[Offer], changes: Iterable[PriceChange], currency: str
) -> tuple[Offer, ...]:
    """The offers with changed prices; an ingredient without any gets one.

    Args:
        offers: Every row of the price lists.
        changes: At most one for an ingredient.
        currency: The currency that new prices are in.
    """
    wanted = {change.ingredient: change for change in changes}
    found: list[Offer] = []
    for offer in offers:
        change = wanted.get(offer.ingredient)
        if change is None:
            found.append(offer)
        elif change.by is not None:
            factor = 1 + change.by / 100
            price, delivery = offer.price * factor, offer.delivery * factor
            found.append(replace(offer, price=price, delivery=delivery))
    for change in wanted.values():
        if change.to is not None:
            none = Decimal(0)
            found.append(
                Offer(
                    ingredient=change.ingredient,
                    supplier="",
                    pack="1 kg",
                    pack_kg=Fraction(1),
                    price=change.to,
                    delivery=none,
                    currency=currency,
                    in_stock_kg=None,
                    quoted_on="",
                    origin=change.origin,
                )
            )
    return tuple(found)
