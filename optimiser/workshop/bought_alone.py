"""Items bought each by itself: which wares are worth a look, and packs where no search ends.

Buying alone is never wrong, only dear: deliveries and minimum orders are not shared. So it
tells which of very many wares to leave to the search, and it is the answer where the numbers
are so far apart that the solver finds none.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction

from optimiser.price import Ware

MOST_WARES = 240
"""So many wares are searched among; time and memory of the search grow with the square."""


def worth_a_look(short: Mapping[str, Fraction], wares: Sequence[Ware]) -> list[Ware]:
    """The wares that are searched among: all, or of very many the cheapest of each item.

    Every order that has a minimum keeps a ware that costs something, so that it is in reach.

    Args:
        short: What has to be bought of each item at least, above 0.
        wares: What can be bought of these items.
    """
    if len(wares) <= MOST_WARES:
        return list(wares)
    each = max(1, MOST_WARES // len(short))
    kept = {
        j
        for item in short
        for j in sorted(
            (j for j, ware in enumerate(wares) if ware.item == item),
            key=lambda j: cost_alone(wares[j], short[wares[j].item]),
        )[:each]
    }
    reached = {wares[j].order for j in kept if wares[j].price}
    waiting = {wares[j].order for j in kept if wares[j].minimum_order} - reached
    for j, ware in enumerate(wares):
        if ware.price and ware.order in waiting:
            kept.add(j)
            waiting.remove(ware.order)
    return [ware for j, ware in enumerate(wares) if j in kept]


def cost_alone(ware: Ware, short: Fraction) -> tuple[bool, Fraction]:
    """What covering a need by one ware alone takes, after whether its minimum is out of reach."""
    least = Fraction(ware.minimum_order or 0)
    goods = max(math.ceil(short / ware.content) * Fraction(ware.price), least)
    is_free = ware.free_delivery_from is not None and goods >= ware.free_delivery_from
    return not ware.price and least > 0, goods + (0 if is_free else Fraction(ware.delivery))


def packs_alone(short: Mapping[str, Fraction], wares: Sequence[Ware]) -> tuple[int, ...]:
    """Counts that cover every need and reach every minimum order, each item from one ware.

    Args:
        short: What has to be bought of each item at least, above 0.
        wares: What can be bought; at least one ware of each item, and every minimum order can
            be reached.
    """
    counts = [0] * len(wares)
    for item, least in short.items():
        mine = [j for j, ware in enumerate(wares) if ware.item == item]
        j = min(mine, key=lambda j: cost_alone(wares[j], least))
        counts[j] = math.ceil(least / wares[j].content)
    for order in dict.fromkeys(ware.order for ware, n in zip(wares, counts, strict=True) if n):
        mine = [j for j, ware in enumerate(wares) if ware.order == order]
        goods = sum((counts[j] * Fraction(wares[j].price) for j in mine), Fraction(0))
        missing = Fraction(wares[mine[0]].minimum_order or 0) - goods
        if missing > 0:
            paid = [j for j in mine if wares[j].price]
            j = min(paid, key=lambda j: (not counts[j], Fraction(wares[j].price)))
            counts[j] += math.ceil(missing / Fraction(wares[j].price))
    return tuple(counts)
