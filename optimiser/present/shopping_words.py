"""What to buy, and what a jar costs at other sizes, in words."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from optimiser.present.answer_json import number
from optimiser.present.numbers import rounded
from optimiser.present.page import Items, Paragraph, Part, Section, Table
from optimiser.present.weight_numbers import weight_text
from optimiser.provenance import plain_number
from optimiser.workshop.batches import Batches
from optimiser.workshop.jar_cost import to_cents
from optimiser.workshop.shopping import Bought, Order, Shopping

SMALL = Fraction(1, 10)
"""Weights are told to a tenth of a gram."""

LEAST = (
    "Whole packs at the least total over all suppliers, delivery once an order at that of its "
    "dearest line, buying nothing but what the batches take; the sums are exact, that nothing is "
    "cheaper is the solver's word."
)

IN_TIME = (
    "Whole packs, the best that was found before the search was cut short; something cheaper may "
    "exist. Delivery once an order at that of its dearest line; the sums are exact."
)


def shopping_sections(answer: Batches) -> list[Section]:
    """What to buy, and the cost of a jar at other sizes; nothing without a price list."""
    found = answer.shopping
    if found is None:
        return []
    sections = [_shopping(answer, found)]
    if answer.sizes:
        sections.append(_sizes(answer))
    return sections


def _shopping(answer: Batches, found: Shopping) -> Section:
    names = _names(answer)
    currency = answer.batches[0].request.brief.currency
    items = {one.want.item: one for one in found.items}
    parts: list[Part] = [
        _order_table(answer, names, items, order, currency) for order in found.orders
    ]
    notes = []
    if found.cannot_buy:
        missing = ", ".join(names.get(item, item) for item in found.cannot_buy)
        notes.append(f"Not to be had from the price list: {missing}.")
    for order in found.orders:
        least = order.purchases[0].ware.minimum_order
        if least:
            bound = f"{plain_number(least)} {currency}".strip()
            notes.append(
                f"{order.supplier or 'That supplier'} takes no order below {bound}: what is bought "
                "beyond the need may be for that; something else that you use may fill it better."
            )
    used = [one for one in found.items if one.want.in_stock]
    if used:
        told = (
            f"{names.get(one.want.item, one.want.item)} "
            f"{_amount(answer, one.want.item, one.want.in_stock)}"
            + ("" if one.want.short else " (enough)")
            for one in used
        )
        notes.append(f"Counted as in stock: {'; '.join(told)}.")
    for item in answer.summed_stock:
        notes.append(f"{names.get(item, item)}: several rows state a stock; they are added up.")
    if found.orders:
        notes += [*_money(answer, found, currency), LEAST if found.is_least else IN_TIME]
    elif not found.cannot_buy:
        notes.append("Nothing has to be bought.")
    return Section("Shopping", [*parts, Items(notes)])


def _names(answer: Batches) -> dict[str, str]:
    """Common names by ingredient id."""
    return {
        line.ingredient.id: line.ingredient.common_name
        for batch in answer.batches
        for line in batch.lines
    }


def _order_table(
    answer: Batches,
    names: Mapping[str, str],
    items: Mapping[str, Bought],
    order: Order,
    currency: str,
) -> Table:
    """What is ordered at one supplier, with its delivery and total."""
    rows = []
    for purchase in order.purchases:
        one = items[purchase.ware.item]
        rows.append(
            (
                names.get(one.want.item, one.want.item),
                f"{purchase.count} x {purchase.ware.pack}",
                rounded(to_cents(purchase.goods), 2),
                _amount(answer, one.want.item, one.want.needed),
                _amount(answer, one.want.item, one.left_over),
            )
        )
    delivery = "free" if order.is_free else rounded(to_cents(order.delivery), 2)
    rows.append(("delivery", "", delivery, "", ""))
    rows.append(("together", "", rounded(to_cents(order.goods + order.delivery), 2), "", ""))
    head = (order.supplier or "no supplier named", "packs", currency or "money")
    return Table((*head, "needed", "left over"), rows, right=(2, 3, 4))


def _amount(answer: Batches, item: str, value: Fraction) -> str:
    if item in answer.packaging:
        return str(int(value))
    grams = value * 1000
    return weight_text(Fraction(round(grams / SMALL)) * SMALL)


def _money(answer: Batches, found: Shopping, currency: str) -> list[str]:
    """What it takes now beside the costing and beside buying each by itself."""
    said = []
    costs = [batch.cost for batch in answer.batches if batch.cost is not None]
    total = f"{rounded(to_cents(found.total), 2)} {currency}".strip()
    if len(costs) == len(answer.batches):
        parts = ("ingredients", "packaging")
        costing = sum(
            (cost.parts.get(part, Fraction(0)) for cost in costs for part in parts), Fraction(0)
        )
        counted = f"{rounded(to_cents(costing), 2)} {currency}".strip()
        said.append(
            f"All orders together: {total}; the costing counts {counted} for what goes into the "
            "jars, at prices per kg, stock and leftovers aside."
        )
    if answer.alone is not None and answer.alone > found.total:
        saved = f"{rounded(to_cents(answer.alone - found.total), 2)} {currency}".strip()
        said.append(f"That is {saved} less than buying each by itself.")
    return said


def _sizes(answer: Batches) -> Section:
    """The cost of a jar at other sizes of the batch."""
    currency = answer.batches[0].request.brief.currency
    rows = [
        (
            weight_text(one.size_g),
            str(one.jars),
            rounded(to_cents(one.per_jar), 2),
            rounded(to_cents(one.bought_per_jar), 2),
        )
        for one in answer.sizes
    ]
    head = ("batch", "jars", "a jar, per-kg prices", "a jar, whole packs bought")
    said = f"In {currency}. " if currency else ""
    said += (
        "Labour and overhead as stated, for one batch of any size; whole packs with nothing in "
        "stock, and nothing said for what is left over."
    )
    return Section("A jar at other sizes", [Table(head, rows, right=(1, 2, 3)), Paragraph(said)])


def shopping_document(answer: Batches) -> dict[str, Any]:
    """The same for JSON; nothing without a price list."""
    found = answer.shopping
    if found is None:
        return {}
    weighed = [one for one in found.items if one.want.item not in answer.packaging]
    counted = [one for one in found.items if one.want.item in answer.packaging]
    return {
        "shopping": [
            {
                "ingredient": one.want.item,
                "needed_g": number(one.want.needed * 1000),
                "in_stock_g": number(one.want.in_stock * 1000),
                "buy": _buy(one),
                "left_over_g": number(one.left_over * 1000),
                "can_be_had": one.can_be_had,
            }
            for one in weighed
        ],
        "packaging": [
            {
                "item": one.want.item,
                "needed": int(one.want.needed),
                "in_stock": int(one.want.in_stock),
                "buy": _buy(one),
                "left_over": int(one.left_over),
                "can_be_had": one.can_be_had,
            }
            for one in counted
        ],
        "orders": [
            {
                "supplier": order.supplier,
                "goods": number(order.goods),
                "delivery": number(order.delivery),
                "free_delivery": order.is_free,
            }
            for order in found.orders
        ],
        "spending": {
            "goods": number(found.goods),
            "delivery": number(found.delivery),
            "total": number(found.total),
            "each_alone": number(answer.alone),
            "is_least": found.is_least,
        },
        "sizes": [
            {
                "size_g": number(one.size_g),
                "jars": one.jars,
                "per_jar": number(one.per_jar),
                "bought_per_jar": number(one.bought_per_jar),
            }
            for one in answer.sizes
        ],
    }


def _buy(one: Bought) -> list[dict[str, Any]]:
    return [
        {
            "supplier": purchase.ware.supplier,
            "pack": purchase.ware.pack,
            "count": purchase.count,
            "price": number(Fraction(purchase.ware.price)),
        }
        for purchase in one.purchases
    ]
