"""What to buy: whole packs at the least total cost over all suppliers.

With n whole packs of each ware, an order at each supplier whose delivery is that of its dearest
ware, free from a value of goods on, and perhaps a least value of goods:

    minimise   sum of price * n  +  sum of deliveries paid
    such that  what is bought of an item covers what is short of it,
               goods at a supplier are 0 or at least its minimum order.

An integer programme, solved by HiGHS; its packs are counted and its sums made again exactly.
That nothing is cheaper is the solver's word.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from optimiser.price import Ware
from optimiser.workshop.bought_alone import worth_a_look
from optimiser.workshop.pack_model import cheapest_packs

NOTHING = Fraction(0)


@dataclass(frozen=True, slots=True)
class Want:
    """How much is needed of an item.

    Attributes:
        item: Ingredient id, or the name of a piece of packaging.
        needed: In the unit of its wares: kg, or pieces.
        in_stock: What the workshop has of it.
    """

    item: str
    needed: Fraction
    in_stock: Fraction = NOTHING

    @property
    def short(self) -> Fraction:
        """What has to be bought at least."""
        return max(self.needed - self.in_stock, NOTHING)


@dataclass(frozen=True, slots=True)
class Purchase:
    """Some packs of one ware."""

    ware: Ware
    count: int

    @property
    def content(self) -> Fraction:
        """What they hold."""
        return self.count * self.ware.content

    @property
    def goods(self) -> Fraction:
        """Money for them, without delivery."""
        return self.count * Fraction(self.ware.price)


@dataclass(frozen=True, slots=True)
class Bought:
    """What is bought of one item.

    Attributes:
        want: What is needed of it.
        purchases: The packs; empty where the stock is enough, or nobody sells it.
        can_be_had: False where it is short and nobody sells it.
    """

    want: Want
    purchases: tuple[Purchase, ...]
    can_be_had: bool = True

    @property
    def left_over(self) -> Fraction:
        """What there is afterwards, stock included; never below 0."""
        bought = sum((one.content for one in self.purchases), NOTHING)
        return max(self.want.in_stock + bought - self.want.needed, NOTHING)

    @property
    def goods(self) -> Fraction:
        """Money for its packs."""
        return sum((one.goods for one in self.purchases), NOTHING)


@dataclass(frozen=True, slots=True)
class Order:
    """What is ordered at one supplier.

    Attributes:
        supplier: Its name; empty for a ware whose supplier nobody names.
        purchases: The packs.
    """

    supplier: str
    purchases: tuple[Purchase, ...]

    @property
    def goods(self) -> Fraction:
        """Money for the packs."""
        return sum((one.goods for one in self.purchases), NOTHING)

    @property
    def is_free(self) -> bool:
        """Whether the order is large enough for a free delivery."""
        free_from = self.purchases[0].ware.free_delivery_from
        return free_from is not None and self.goods >= free_from

    @property
    def delivery(self) -> Fraction:
        """Money for bringing it: that of its dearest ware, once."""
        if self.is_free:
            return NOTHING
        return max(Fraction(one.ware.delivery) for one in self.purchases)

    @property
    def meets_minimum(self) -> bool:
        """Whether the supplier takes an order of this size."""
        least = self.purchases[0].ware.minimum_order
        return least is None or self.goods >= least


@dataclass(frozen=True, slots=True)
class Shopping:
    """The answer.

    Attributes:
        items: Every item that is needed, in the order asked.
        orders: One for each supplier that is bought from, by name.
        is_least: Whether the search for the least total came to its end among all wares.
    """

    items: tuple[Bought, ...]
    orders: tuple[Order, ...]
    is_least: bool = True

    @property
    def goods(self) -> Fraction:
        """Money for all packs."""
        return sum((order.goods for order in self.orders), NOTHING)

    @property
    def delivery(self) -> Fraction:
        """Money for all deliveries."""
        return sum((order.delivery for order in self.orders), NOTHING)

    @property
    def total(self) -> Fraction:
        """Money in all."""
        return self.goods + self.delivery

    @property
    def cannot_buy(self) -> tuple[str, ...]:
        """Items that are short and that nobody sells."""
        return tuple(one.want.item for one in self.items if not one.can_be_had)


def shopping(wants: Iterable[Want], wares: Iterable[Ware]) -> Shopping:
    """What to buy so that everything that is wanted is there, at the least total cost.

    Of equally cheap ways one with the fewest orders is taken, then one that leaves the least
    over, valued at its price.

    Args:
        wants: What is needed, each item once.
        wares: What can be bought.
    """
    wanted = tuple(wants)
    by_item: dict[str, list[Ware]] = {}
    for ware in _sellable(wares, {want.item for want in wanted if want.short}):
        by_item.setdefault(ware.item, []).append(ware)
    short = {want.item: want.short for want in wanted if want.short and want.item in by_item}
    every = sorted((ware for item in short for ware in by_item[item]), key=_order_of)
    offered = worth_a_look(short, every)
    packs = cheapest_packs(short, offered)
    purchases = tuple(
        Purchase(ware, count) for ware, count in zip(offered, packs.counts, strict=True) if count
    )
    return Shopping(
        items=tuple(
            Bought(
                want,
                tuple(one for one in purchases if one.ware.item == want.item),
                can_be_had=not want.short or want.item in by_item,
            )
            for want in wanted
        ),
        orders=_orders(purchases),
        is_least=packs.is_least and len(offered) == len(every),
    )


def _sellable(wares: Iterable[Ware], items: set[str]) -> list[Ware]:
    """The wares of some items but those of an order that cannot reach its minimum.

    That is one whose wares cost nothing although the supplier takes no order below some value.
    """
    asked = [ware for ware in wares if ware.item in items]
    paid = {ware.order for ware in asked if ware.price}
    return [ware for ware in asked if not ware.minimum_order or ware.order in paid]


def each_alone(wants: Iterable[Want], wares: Sequence[Ware]) -> Fraction:
    """Money for buying every item by itself, each at its own least cost, deliveries included."""
    return sum((shopping([want], wares).total for want in wants), NOTHING)


def _order_of(ware: Ware) -> tuple[str, str, Fraction, Fraction, str]:
    """An order that does not depend on that of the rows."""
    return ware.supplier, ware.item, Fraction(ware.price), ware.content, str(ware.origin)


def _orders(purchases: Sequence[Purchase]) -> tuple[Order, ...]:
    together: dict[str, list[Purchase]] = {}
    for one in purchases:
        together.setdefault(one.ware.order, []).append(one)
    return tuple(Order(ones[0].ware.supplier, tuple(ones)) for ones in together.values())


def stocked(wares: Iterable[Ware]) -> Mapping[str, Fraction]:
    """What is in stock of each item: the sum over its rows."""
    stock: dict[str, Fraction] = {}
    for ware in wares:
        if ware.in_stock is not None:
            stock[ware.item] = stock.get(ware.item, NOTHING) + ware.in_stock
    return stock
