"""Shopping: whole packs at the least total cost, against enumeration of every way to buy."""

from __future__ import annotations

import random
from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest

from optimiser.price import Ware
from optimiser.provenance import Origin
from optimiser.workshop.pack_model import total_cost
from optimiser.workshop.shopping import Want, each_alone, shopping, stocked


def ware(
    item: str,
    content: str,
    price: str,
    supplier: str = "Larkmoor Oils",
    delivery: str = "0",
    least: str | None = None,
    free: str | None = None,
    stock: str | None = None,
    line: int = 2,
) -> Ware:
    """A row of a price list."""
    return Ware(
        item=item,
        supplier=supplier,
        pack=f"{content} kg",
        content=Fraction(content),
        price=Decimal(price),
        delivery=Decimal(delivery),
        in_stock=None if stock is None else Fraction(stock),
        minimum_order=None if least is None else Decimal(least),
        free_delivery_from=None if free is None else Decimal(free),
        origin=Origin("prices.csv", line),
    )


def want(item: str, needed: str, stock: str = "0") -> Want:
    return Want(item, Fraction(needed), Fraction(stock))


def counts(found) -> dict[tuple[str, str], int]:
    """Packs bought by item and pack."""
    return {(one.want.item, p.ware.pack): p.count for one in found.items for p in one.purchases}


# by hand


def test_whole_packs_are_bought():
    """1.2 kg are two packs of 1 kg, and 0.8 kg are left over."""
    found = shopping([want("shea", "1.2")], [ware("shea", "1", "9.60")])
    assert counts(found) == {("shea", "1 kg"): 2}
    assert found.items[0].left_over == Fraction("0.8")
    assert found.total == Fraction("19.2")


def test_a_large_pack_may_be_cheaper_than_many_small_ones():
    """Five kilos at 39.50 beat five packs at 9.60, and four packs cost less than the five kilos."""
    both = [ware("shea", "5", "39.50"), ware("shea", "1", "9.60")]
    assert counts(shopping([want("shea", "4.5")], both)) == {("shea", "5 kg"): 1}
    assert counts(shopping([want("shea", "3.9")], both)) == {("shea", "1 kg"): 4}


def test_stock_is_used_first_and_never_below_nothing():
    """Only what is short is bought; where the stock is enough nothing is."""
    offered = [ware("shea", "1", "9.60")]
    found = shopping([want("shea", "1.2", "0.5"), want("cocoa", "1", "3")], offered)
    assert counts(found) == {("shea", "1 kg"): 1}
    assert [one.left_over for one in found.items] == [Fraction("0.3"), Fraction(2)]
    assert found.cannot_buy == ()


def test_what_nobody_sells_is_told_and_the_rest_is_bought():
    """An item without an offer does not keep the others from being bought."""
    found = shopping([want("shea", "1"), want("rare", "1")], [ware("shea", "1", "9.60")])
    assert found.cannot_buy == ("rare",)
    assert found.total == Fraction("9.6")


def test_delivery_is_paid_once_for_a_supplier():
    """Two wares of one supplier come together, at the delivery of the dearer one."""
    offered = [
        ware("shea", "1", "9.60", delivery="1.20"),
        ware("cocoa", "1", "19.90", delivery="4.80"),
    ]
    found = shopping([want("shea", "1"), want("cocoa", "1")], offered)
    assert found.total == Fraction("9.6") + Fraction("19.9") + Fraction("4.8")
    assert len(found.orders) == 1


def test_wares_without_a_supplier_come_one_by_one():
    """Where nobody names the supplier each row is an order of its own."""
    offered = [
        ware("shea", "1", "9", supplier="", delivery="1", line=2),
        ware("cocoa", "1", "19", supplier="", delivery="2", line=3),
    ]
    found = shopping([want("shea", "1"), want("cocoa", "1")], offered)
    assert found.delivery == 3
    assert len(found.orders) == 2


def test_it_may_pay_to_buy_all_at_one_supplier():
    """A ware dearer by 1 saves a delivery of 4."""
    offered = [
        ware("shea", "1", "10", "Larkmoor Oils", "4"),
        ware("cocoa", "1", "20", "Hollin & Wray", "4"),
        ware("cocoa", "1", "21", "Larkmoor Oils", "4"),
    ]
    found = shopping([want("shea", "1"), want("cocoa", "1")], offered)
    assert found.total == 35
    assert found.total < each_alone([want("shea", "1"), want("cocoa", "1")], offered)


def test_it_may_pay_to_buy_more_for_a_free_delivery():
    """A third pack of 9 lifts 18 over the 25 from which a delivery of 12 is free."""
    offered = [ware("shea", "1", "9", delivery="12", free="25")]
    found = shopping([want("shea", "2")], offered)
    assert counts(found) == {("shea", "1 kg"): 3}
    assert found.total == 27
    assert found.orders[0].is_free


def test_a_minimum_order_sends_to_another_supplier():
    """One pack of 9 is below the minimum of 30, so the dearer shop without one is cheaper."""
    offered = [
        ware("shea", "1", "9", "Larkmoor Oils", least="30"),
        ware("shea", "1", "11", "Hollin & Wray"),
    ]
    found = shopping([want("shea", "1")], offered)
    assert [order.supplier for order in found.orders] == ["Hollin & Wray"]
    assert all(order.meets_minimum for order in found.orders)


def test_a_minimum_order_is_filled_up_where_nobody_else_sells():
    """Four packs of 9 reach a minimum of 30."""
    found = shopping([want("shea", "1")], [ware("shea", "1", "9", least="30")])
    assert counts(found) == {("shea", "1 kg"): 4}


def test_of_equal_totals_the_fewest_orders_then_the_least_left_over():
    """The same money: one order rather than two, and the pack that leaves less."""
    offered = [
        ware("shea", "1", "10", "Larkmoor Oils"),
        ware("cocoa", "1", "20", "Hollin & Wray"),
        ware("cocoa", "1", "20", "Larkmoor Oils"),
    ]
    found = shopping([want("shea", "1"), want("cocoa", "1")], offered)
    assert [order.supplier for order in found.orders] == ["Larkmoor Oils"]


def test_a_sample_for_nothing_is_taken():
    """A ware of price 0 costs its delivery only."""
    found = shopping([want("shea", "0.1")], [ware("shea", "0.1", "0", delivery="2")])
    assert found.total == 2


def test_stock_is_the_sum_over_the_rows_of_an_item():
    """Two rows with stock are two shelves."""
    offered = [ware("shea", "1", "9", stock="0.5"), ware("shea", "5", "39", stock="1.25")]
    assert stocked(offered) == {"shea": Fraction("1.75")}


def test_very_many_packs_cover_the_need_exactly():
    """A million packs of a gram, and 0.4 g more: the solver's tolerance is no excuse."""
    found = shopping([want("shea", "1000.0004")], [ware("shea", "0.001", "0.01", delivery="3")])
    assert counts(found) == {("shea", "0.001 kg"): 1_000_001}
    assert found.items[0].left_over == Fraction("0.0006")


@pytest.mark.parametrize("needed", ["1.00000001", "1.0000001", "1.0000003", "1.00001"])
def test_a_need_just_above_a_whole_pack_is_two_packs(needed):
    """Two packs for 4 with 1.50 of delivery, not the large one for 19.99 with 5."""
    offered = [
        ware("sunflower", "1", "2", "Larkmoor Oils", "1.50"),
        ware("sunflower", "5", "19.99", "Hollin & Wray", "5"),
    ]
    found = shopping([want("sunflower", needed)], offered)
    assert found.total == Fraction("5.5")


def test_a_shortfall_of_a_microgram_is_one_pack():
    """What is short by next to nothing is bought at the least, for both items together."""
    offered = [
        ware("sunflower", "1", "6", "Larkmoor Oils", "4"),
        ware("sunflower", "5", "18", "Hollin & Wray", "2"),
        ware("beeswax", "1", "17", "Larkmoor Oils", "4"),
    ]
    wants = [want("sunflower", "0.8", "0.799999999"), want("beeswax", "0.2", "0.199999999")]
    assert shopping(wants, offered).total == 6 + 17 + 4
    hair = [want("sunflower", "0.8", "0.79999999999999"), want("beeswax", "0.2")]
    assert shopping(hair, offered).total == 6 + 17 + 4


def test_a_threshold_out_of_reach_changes_nothing():
    """Free delivery from a million on is no reason to buy elsewhere."""
    offered = [
        ware("label", "10", "0.01", "Bramble Packaging", "5", free="1000000"),
        ware("label", "10", "0.03", "Hollin & Wray", "5"),
    ]
    assert shopping([want("label", "10")], offered).total == Fraction("5.01")


def test_wares_for_nothing_never_reach_a_minimum_order():
    """A sample of a supplier who takes no order below 10 cannot be had alone."""
    found = shopping([want("shea", "1")], [ware("shea", "1", "0", least="10")])
    assert found.cannot_buy == ("shea",)


# against every way to buy


def random_case(rng: random.Random) -> tuple[list[Want], list[Ware]]:
    """Up to three items, two or three suppliers, some with thresholds, minimums, deliveries."""
    terms = {
        f"supplier {k}": (
            rng.choice([None, None, str(rng.randint(5, 30))]),
            rng.choice([None, None, str(rng.randint(10, 40))]),
        )
        for k in range(rng.randint(1, 3))
    }
    wants, wares = [], []
    for i in range(rng.randint(1, 3)):
        wants.append(want(f"item {i}", str(rng.randint(1, 12) / 4), str(rng.choice([0, 0, 0.5]))))
        for supplier in rng.sample(sorted(terms), rng.randint(1, len(terms))):
            least, free = terms[supplier]
            wares.append(
                ware(
                    f"item {i}",
                    rng.choice(["0.25", "0.5", "1", "2"]),
                    str(rng.randint(2, 24) / 2),
                    supplier,
                    str(rng.choice([0, 1, 2.5, 5])),
                    least,
                    free,
                    line=len(wares) + 2,
                )
            )
    return wants, wares


def least_total(wants: list[Want], wares: list[Ware]) -> Fraction:
    """The least total over every number of packs that can make sense."""
    best = None
    most = []
    for one in wares:
        short = next(w.short for w in wants if w.item == one.item)
        enough = -(-short // one.content) if short else 0
        thresholds = [t for t in (one.minimum_order, one.free_delivery_from) if t is not None]
        reach = [int(-(-Fraction(t) // Fraction(one.price))) for t in thresholds]
        most.append(max([int(enough), *reach]) if short else 0)
    for packs in product(*(range(count + 1) for count in most)):
        bought: dict[str, Fraction] = {}
        goods: dict[str, Fraction] = {}
        for one, count in zip(wares, packs, strict=True):
            bought[one.item] = bought.get(one.item, Fraction(0)) + count * one.content
            if count:
                goods[one.order] = goods.get(one.order, Fraction(0)) + count * Fraction(one.price)
        if any(bought.get(w.item, 0) < w.short for w in wants):
            continue
        if any(
            goods[one.order] < (one.minimum_order or 0)
            for one, count in zip(wares, packs, strict=True)
            if count
        ):
            continue
        total = sum(goods.values(), Fraction(0))
        for order, money in goods.items():
            mine = [(o, c) for o, c in zip(wares, packs, strict=True) if o.order == order and c]
            free = mine[0][0].free_delivery_from
            if free is None or money < free:
                total += max(Fraction(o.delivery) for o, _ in mine)
        best = total if best is None else min(best, total)
    assert best is not None
    return best


def size(wants: list[Want], wares: list[Ware]) -> int:
    """About how many ways there are to buy."""
    ways = 1
    for one in wares:
        short = next(w.short for w in wants if w.item == one.item)
        thresholds = [t for t in (one.minimum_order, one.free_delivery_from) if t is not None]
        reach = [int(-(-Fraction(t) // Fraction(one.price))) for t in thresholds]
        ways *= 1 + max([int(-(-short // one.content)), *reach])
    return ways


@pytest.mark.parametrize("seed", range(12))
def test_no_way_to_buy_is_cheaper(seed):
    """Twenty small random lists a seed: the total is the least of all ways, counted one by one."""
    rng = random.Random(seed)
    tried = 0
    while tried < 20:
        wants, wares = random_case(rng)
        if size(wants, wares) > 20_000:
            continue
        tried += 1
        found = shopping(wants, wares)
        assert found.total == least_total(wants, wares)
        assert all(order.meets_minimum for order in found.orders)
        assert all(one.left_over >= 0 for one in found.items)
        packs = [p for one in found.items for p in one.purchases]
        assert found.total == total_cost([p.count for p in packs], [p.ware for p in packs])
        for one in found.items:
            bought = sum((p.content for p in one.purchases), Fraction(0))
            assert one.want.in_stock + bought - one.want.needed == one.left_over
        assert found.total <= each_alone(wants, wares)


def test_the_order_of_the_rows_does_not_matter():
    """Shuffled rows give the same packs."""
    rng = random.Random(7)
    for _ in range(10):
        wants, wares = random_case(rng)
        first = shopping(wants, wares)
        shuffled = rng.sample(wares, len(wares))
        assert counts(shopping(wants, shuffled)) == counts(first)


# beyond what the solver can tell apart


@pytest.mark.parametrize(
    ("one", "packs", "total"),
    [
        (ware("shea", "1", "1e-9", least="1e9"), 10**18, Fraction(10**9)),
        (ware("shea", "1e-18", "1"), 2 * 10**18, Fraction(2 * 10**18)),
        (ware("shea", "1e-3", "1e-9", delivery="1e9", free="1e9"), 2000, 10**9 + Fraction("2e-6")),
    ],
)
def test_packs_beyond_number_are_bought_all_the_same(one, packs, total):
    """A solver holds 16 digits; where it finds nothing each item is bought alone, and told so."""
    found = shopping([want("shea", "2"), want("lid", "3")], [one, ware("lid", "1", "5", "Other")])
    assert counts(found) == {("shea", one.pack): packs, ("lid", "1 kg"): 3}
    assert found.total == total + 15
    assert all(order.meets_minimum for order in found.orders)
    assert not found.is_least


def test_thousands_of_suppliers_end_within_memory_and_in_words():
    """The cheapest of each item are searched among; it is told that something cheaper may exist."""
    rng = random.Random(3)
    offered = [
        ware("shea", f"{rng.randint(1, 50)}e-2", f"{rng.randint(1, 99)}", f"s{k}", line=k)
        for k in range(3000)
    ]
    offered += [ware("lid", "1", "2", least="40"), ware("lid", "9", "0", f"s{5}", least="40")]
    found = shopping([want("shea", "2.2"), want("lid", "3")], offered)
    assert not found.is_least
    assert found.cannot_buy == ()
    assert all(order.meets_minimum for order in found.orders)
    assert all(one.left_over >= 0 for one in found.items)
    again = shopping([want("shea", "2.2"), want("lid", "3")], rng.sample(offered, len(offered)))
    assert (counts(again), again.total) == (counts(found), found.total)
