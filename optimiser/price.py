"""Records of the price list."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Context, Decimal
from fractions import Fraction

from optimiser.provenance import Origin

EXACTLY = Context(prec=100)
"""The usual 28 digits would round a price of 15 digits times a factor of 18."""


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
        minimum_order: The least value of goods that the supplier takes an order for, or None.
        free_delivery_from: The value of goods from which delivery is free, or None.
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
    minimum_order: Decimal | None = None
    free_delivery_from: Decimal | None = None

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
            factor = EXACTLY.add(1, EXACTLY.scaleb(change.by, -2))
            price = EXACTLY.multiply(offer.price, factor)
            delivery = EXACTLY.multiply(offer.delivery, factor)
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


@dataclass(frozen=True, slots=True)
class PackagingOffer:
    """One pack of pieces of packaging at one supplier.

    Attributes:
        item: What it is, as the maker calls it, such as `jar 120 ml`.
        supplier: Name, or empty.
        pack: The pack as the maker wrote it, such as `100 pieces`.
        pieces: How many there are in a pack.
        price: Money for one pack.
        delivery: Money for bringing one pack.
        currency: Currency code, or empty where the list does not say.
        in_stock: How many pieces the workshop has, or None.
        quoted_on: The date of the quote as written, or empty.
        origin: The row of the price list.
        minimum_order: The least value of goods that the supplier takes an order for, or None.
        free_delivery_from: The value of goods from which delivery is free, or None.
    """

    item: str
    supplier: str
    pack: str
    pieces: int
    price: Decimal
    delivery: Decimal
    currency: str
    in_stock: int | None
    quoted_on: str
    origin: Origin
    minimum_order: Decimal | None = None
    free_delivery_from: Decimal | None = None

    @property
    def price_per_piece(self) -> Fraction:
        """Money for a piece with the delivery spread over the pack, exactly."""
        return (Fraction(self.price) + Fraction(self.delivery)) / self.pieces


@dataclass(frozen=True, slots=True)
class Ware:
    """A pack that can be bought, of an ingredient or of packaging alike.

    Attributes:
        item: Ingredient id, or the name of a piece of packaging.
        supplier: Name, or empty.
        pack: The pack as the maker wrote it.
        content: What a pack holds: kg, or pieces.
        price: Money for one pack.
        delivery: Money for bringing an order with this in it.
        in_stock: What the workshop has, as this row says, in the unit of `content`, or None.
        minimum_order: The least value of goods that the supplier takes an order for, or None.
        free_delivery_from: The value of goods from which delivery is free, or None.
        origin: The row of the price list.
    """

    item: str
    supplier: str
    pack: str
    content: Fraction
    price: Decimal
    delivery: Decimal
    in_stock: Fraction | None
    minimum_order: Decimal | None
    free_delivery_from: Decimal | None
    origin: Origin

    @property
    def order(self) -> str:
        """What is brought together: all of a supplier, or one row where nobody names any."""
        folded = " ".join(self.supplier.casefold().split())
        return folded or f"row {self.origin}"

    @classmethod
    def of(cls, offer: Offer | PackagingOffer) -> Ware:
        """A row of the price list."""
        if isinstance(offer, Offer):
            item, content, stock = offer.ingredient, offer.pack_kg, offer.in_stock_kg
        else:
            item, content = offer.item, Fraction(offer.pieces)
            stock = None if offer.in_stock is None else Fraction(offer.in_stock)
        return cls(
            item=item,
            supplier=offer.supplier,
            pack=offer.pack,
            content=content,
            price=offer.price,
            delivery=offer.delivery,
            in_stock=stock,
            minimum_order=offer.minimum_order,
            free_delivery_from=offer.free_delivery_from,
            origin=offer.origin,
        )
