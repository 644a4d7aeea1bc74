"""Records of the price list."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
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
