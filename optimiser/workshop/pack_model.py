"""Whole packs at the least total cost, as an integer programme.

Columns: packs of each ware; for each order one switch for every delivery that its wares have,
in rising order (the first switch says that anything is bought there), what is paid for each
rise from one delivery to the next, and a switch for free delivery.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from optimiser.linear_model import Coefficients, LinearModel, ModelRow, Sense
from optimiser.price import Ware
from optimiser.provenance import Exact
from optimiser.solve import Status, solve
from optimiser.workshop.bought_alone import packs_alone

MARGINS = (Fraction(0), Fraction(1, 10**5))
"""By how much needs are raised for the solver, relative.

To its tolerance a need a hair above a whole pack is that pack, and it may then miss what is best;
with the margin it is well above. Both searches are made and the better outcome counts.
"""

EQUAL_COST = Fraction(1, 10**7)
"""Costs this near, relative, are told apart by counting packs exactly, not by the solver."""

SECONDS = 5.0
"""Time limit of one search; what is found by then is taken, and told as such."""

NOTHING = Fraction(0)

Entries = Mapping[int, Exact]


def cheapest_packs(short: Mapping[str, Fraction], wares: Sequence[Ware]) -> Packs:
    """How many packs of each ware to buy.

    Args:
        short: What has to be bought of each item at least, above 0.
        wares: What can be bought; at least one ware of each item, and every minimum order can
            be reached.

    Returns:
        Counts that cover every need and keep every minimum order, of the least total cost; of
        equally cheap ones those with the fewest orders, then with the least left over in money.
        Where the solver finds none, as with a million million packs, each item bought alone.
    """
    if not short:
        return Packs((0,) * len(wares), is_least=True)
    stated = _stated(short, wares)
    first = _search(stated, stated.cost, ())
    if first is None:
        return Packs(packs_alone(short, wares), is_least=False)
    best = first.counts
    if not first.in_time:
        return Packs(best, is_least=False)
    least = total_cost(best, wares)
    orders = dict.fromkeys(stated.orders, 1)
    spent = _Line(stated.cost, Sense.AT_MOST, least * (1 + EQUAL_COST))
    best = _better(best, _search(stated, orders, (spent,)), least, wares)
    fewest = len({ware.order for ware, count in zip(wares, best, strict=True) if count})
    few = _Line(orders, Sense.AT_MOST, fewest)
    worth = {j: Fraction(ware.price) for j, ware in enumerate(wares)}
    best = _better(best, _search(stated, worth, (spent, few)), least, wares)
    return Packs(best, is_least=True)


def total_cost(counts: Sequence[int], wares: Sequence[Ware]) -> Fraction:
    """Money for some packs with their deliveries, exactly."""
    goods: dict[str, Fraction] = {}
    dearest: dict[str, Fraction] = {}
    free_from: dict[str, Fraction | None] = {}
    for ware, count in zip(wares, counts, strict=True):
        if count:
            goods[ware.order] = goods.get(ware.order, Fraction(0)) + count * Fraction(ware.price)
            dearest[ware.order] = max(dearest.get(ware.order, Fraction(0)), Fraction(ware.delivery))
            free_from[ware.order] = _exact(ware.free_delivery_from)
    total = Fraction(0)
    for order, money in goods.items():
        least = free_from[order]
        is_free = least is not None and money >= least
        total += money + (0 if is_free else dearest[order])
    return total


def _better(
    known: tuple[int, ...], found: _Found | None, least: Fraction, wares: Sequence[Ware]
) -> tuple[int, ...]:
    """The packs found where they cost exactly as little, or less, else those known."""
    if found is None or total_cost(found.counts, wares) > least:
        return known
    return min(known, found.counts, key=lambda counts: _rank(counts, wares))


@dataclass(frozen=True, slots=True)
class _Line:
    """A row as its entries, side and bound."""

    entries: Entries
    sense: Sense
    bound: Exact


@dataclass(frozen=True, slots=True)
class _Found:
    """Counts, and whether the search came to its end in time."""

    counts: tuple[int, ...]
    in_time: bool


@dataclass(frozen=True, slots=True)
class Packs:
    """How many packs of each ware to buy.

    Attributes:
        counts: In the order of the wares.
        is_least: Whether the solver's search for the least total came to its end.
    """

    counts: tuple[int, ...]
    is_least: bool


@dataclass(slots=True)
class _Stated:
    """The programme while it is stated.

    Attributes:
        wares: What can be bought; the first columns are packs of these.
        short: What has to be bought of each item.
        upper: Upper bounds of the columns, None where there is none.
        whole: Which columns are whole numbers.
        cost: Money for one unit of a column, where it costs anything.
        lines: The rows but those of the needs.
        orders: The column that says for each order that anything is bought there.
    """

    wares: Sequence[Ware]
    short: Mapping[str, Fraction]
    upper: list[Exact | None] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    cost: dict[int, Exact] = field(default_factory=dict)
    lines: list[_Line] = field(default_factory=list)
    orders: list[int] = field(default_factory=list)

    def column(self, upper: Exact | None, cost: Exact = 0, whole: bool = True) -> int:
        """Add a column; its place."""
        place = len(self.upper)
        self.upper.append(upper)
        self.whole.append(whole)
        if cost:
            self.cost[place] = cost
        return place

    def row(self, entries: Entries, sense: Sense, bound: Exact = 0) -> None:
        """Add a row."""
        self.lines.append(_Line(entries, sense, bound))

    def model(self, cost: Entries, more: Iterable[_Line], margin: Fraction) -> LinearModel:
        """The programme with some cost, some rows more, and needs raised by a margin."""
        needs = [
            _Line(
                # A pack that covers the need alone covers it once, however large it is.
                {
                    j: min(w.content / least, Fraction(1))
                    for j, w in enumerate(self.wares)
                    if w.item == item
                },
                Sense.AT_LEAST,
                1 + margin,
            )
            for item, least in self.short.items()
        ]
        width = len(self.upper)
        rows = [
            ModelRow.helping("shopping", line.sense, line.entries, line.bound, width)
            for line in (*needs, *self.lines, *more)
        ]
        return LinearModel(
            columns=tuple(f"column {place}" for place in range(width)),
            rows=tuple(row.row for row in rows),
            numerator=tuple(row.numerator for row in rows),
            denominator=tuple(row.denominator for row in rows),
            constant=tuple(row.constant for row in rows),
            bound=tuple(row.bound for row in rows),
            cost=Coefficients.sparse(cost, width),
            lower=(0,) * width,
            upper=tuple(self.upper),
            is_integer=tuple(self.whole),
        )


def _stated(short: Mapping[str, Fraction], wares: Sequence[Ware]) -> _Stated:
    stated = _Stated(wares, short)
    dearest: dict[str, Fraction] = {}
    for ware in wares:
        dearest[ware.order] = max(dearest.get(ware.order, Fraction(0)), Fraction(ware.delivery))
    for ware in wares:
        most = _most(ware, short[ware.item], dearest[ware.order])
        stated.column(most, Fraction(ware.price))
    for order in dict.fromkeys(ware.order for ware in wares):
        _state_order(stated, [j for j, ware in enumerate(wares) if ware.order == order])
    return stated


def _most(ware: Ware, short: Fraction, dearest: Fraction) -> int:
    """As many packs as can make sense.

    What is short; or what reaches the order's minimum; or what a free delivery may be worth,
    as goods beyond the need that cost more than the delivery never pay.
    """
    enough = math.ceil(short / ware.content)
    price = Fraction(ware.price)
    if not price:
        return enough
    reaching = math.ceil(Fraction(ware.minimum_order or 0) / price)
    worth = 0 if ware.free_delivery_from is None else math.ceil(dearest / price)
    return max(enough + worth, reaching)


def _state_order(stated: _Stated, members: Sequence[int]) -> None:
    """The switches and rows of one order."""
    wares = stated.wares
    first = wares[members[0]]
    levels = sorted({Fraction(wares[j].delivery) for j in members})
    switches = [stated.column(1) for _ in levels]
    stated.orders.append(switches[0])
    for lower, higher in zip(switches, switches[1:], strict=False):
        stated.row({higher: 1, lower: -1}, Sense.AT_MOST)
    for j in members:
        switch = switches[levels.index(Fraction(wares[j].delivery))]
        most = stated.upper[j]
        assert most is not None
        stated.row({j: 1, switch: -most}, Sense.AT_MOST)
    goods = {j: Fraction(wares[j].price) for j in members}
    if first.minimum_order:
        stated.row({**goods, switches[0]: -Fraction(first.minimum_order)}, Sense.AT_LEAST)
    free: int | None = None
    reachable = sum((price * Fraction(stated.upper[j] or 0) for j, price in goods.items()), NOTHING)
    free_from = _exact(first.free_delivery_from)
    if free_from is not None and levels[-1] and free_from <= reachable:
        free = stated.column(1)
        stated.row({**goods, free: -free_from}, Sense.AT_LEAST)
    before = Fraction(0)
    for level, switch in zip(levels, switches, strict=True):
        if level > before:
            paid = stated.column(None, level - before, whole=False)
            waived = {} if free is None else {free: 1}
            stated.row({paid: 1, switch: -1, **waived}, Sense.AT_LEAST)
        before = level


def _search(stated: _Stated, cost: Entries, more: Iterable[_Line]) -> _Found | None:
    """The best counts that keep needs and minimum orders exactly, or None."""
    rows = tuple(more)
    found: list[tuple[int, ...]] = []
    in_time = True
    for margin in MARGINS:
        solution = solve(stated.model(cost, rows, margin), SECONDS)
        in_time = in_time and solution.status is not Status.LIMIT
        if solution.x is None:
            continue
        counts = tuple(round(value) for value in solution.x.tolist()[: len(stated.wares)])
        if not _is_enough(stated, counts):
            counts = _filled_up(stated, counts)
        if _is_taken(stated, counts):
            found.append(counts)
        if not in_time:
            break
    if not found:
        return None
    return _Found(min(found, key=lambda counts: _rank(counts, stated.wares)), in_time)


def _rank(counts: Sequence[int], wares: Sequence[Ware]) -> tuple[Fraction, int, Fraction]:
    """Total cost, orders and goods, by which the better of two ways to buy is told."""
    orders = {ware.order for ware, count in zip(wares, counts, strict=True) if count}
    priced = zip(wares, counts, strict=True)
    goods = sum((count * Fraction(ware.price) for ware, count in priced), NOTHING)
    return total_cost(counts, wares), len(orders), goods


def _filled_up(stated: _Stated, counts: Sequence[int]) -> tuple[int, ...]:
    """The same with as many more packs as cover every need."""
    filled = list(counts)
    for item, least in stated.short.items():
        mine = [j for j, ware in enumerate(stated.wares) if ware.item == item]
        bought = sum((filled[j] * stated.wares[j].content for j in mine), Fraction(0))
        if bought < least:
            used = [j for j in mine if filled[j]] or mine
            j = min(used, key=lambda j: Fraction(stated.wares[j].price))
            filled[j] += math.ceil((least - bought) / stated.wares[j].content)
    return tuple(filled)


def _is_enough(stated: _Stated, counts: Sequence[int]) -> bool:
    """Whether every need is covered."""
    bought: dict[str, Fraction] = {}
    for ware, count in zip(stated.wares, counts, strict=True):
        bought[ware.item] = bought.get(ware.item, Fraction(0)) + count * ware.content
    return all(bought[item] >= least for item, least in stated.short.items())


def _is_taken(stated: _Stated, counts: Sequence[int]) -> bool:
    """Whether every supplier takes its order."""
    goods: dict[str, Fraction] = {}
    for ware, count in zip(stated.wares, counts, strict=True):
        if count:
            goods[ware.order] = goods.get(ware.order, Fraction(0)) + count * Fraction(ware.price)
    return all(
        goods[ware.order] >= (_exact(ware.minimum_order) or 0)
        for ware, count in zip(stated.wares, counts, strict=True)
        if count
    )


def _exact(value: Exact | None) -> Fraction | None:
    return None if value is None else Fraction(value)
