"""Several batches, and what has to be bought for all of them together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from optimiser.price import Offer, PackagingOffer, Ware
from optimiser.reading.names import fold
from optimiser.workshop.batch import Batch
from optimiser.workshop.jars import jars_of
from optimiser.workshop.shopping import Shopping, Want, each_alone, shopping, stocked

FACTORS = (Fraction(1, 2), Fraction(1), Fraction(2), Fraction(4))
"""Sizes at which the cost of a jar is told, in batches."""


@dataclass(frozen=True, slots=True)
class BoughtForSize:
    """What a jar costs at another size of the batch, when all of it is bought in whole packs.

    Attributes:
        size_g: The batch.
        jars: Jars it fills.
        per_jar: Money for a jar at prices per kg, everything counted that is in the cost.
        bought_per_jar: The same with the money that whole packs and deliveries really take,
            with nothing in stock and nothing said for what is left over.
    """

    size_g: Fraction
    jars: int
    per_jar: Fraction
    bought_per_jar: Fraction


@dataclass(frozen=True, eq=False)
class Batches:
    """The answer of `batch`.

    Attributes:
        batches: At least one.
        shopping: What to buy for all of them; None where there is no price list.
        alone: Money for buying each item by itself; None without shopping.
        packaging: The items of `shopping` that are packaging.
        summed_stock: Needed items whose stock stands in several rows.
        sizes: The cost of a jar at other sizes; empty for several batches, and where a price or
            a jar is missing.
    """

    batches: tuple[Batch, ...]
    shopping: Shopping | None = None
    alone: Fraction | None = None
    packaging: frozenset[str] = frozenset()
    summed_stock: tuple[str, ...] = ()
    sizes: tuple[BoughtForSize, ...] = ()


def needs_kg(batches: Sequence[Batch]) -> dict[str, Fraction]:
    """What all batches take of each ingredient, in kg."""
    needs: dict[str, Fraction] = {}
    for batch in batches:
        for name, weight in batch.needs_kg.items():
            needs[name] = needs.get(name, Fraction(0)) + weight
    return needs


def pieces(batches: Sequence[Batch]) -> dict[str, int]:
    """How many pieces of packaging all batches take, by item as the first brief spells it."""
    wanted: dict[str, int] = {}
    spelled: dict[str, str] = {}
    for batch in batches:
        count = 0 if batch.jars is None else batch.jars.count
        for item, each in batch.asked.jar.packaging.items():
            name = spelled.setdefault(fold(item), item)
            wanted[name] = wanted.get(name, 0) + each * count
    return wanted


def with_shopping(
    batches: tuple[Batch, ...], offers: Sequence[Offer], packaging: Sequence[PackagingOffer]
) -> Batches:
    """The batches with one list of shopping.

    Args:
        batches: At least one.
        offers: Every row of their price lists, each once.
        packaging: Likewise for packaging; its items are named as the plans name them.
    """
    if not offers:
        return Batches(batches)
    wares = [*map(Ware.of, offers), *map(Ware.of, packaging)]
    stock = stocked(wares)
    items = pieces(batches)
    needs = {**needs_kg(batches), **{item: Fraction(count) for item, count in items.items()}}
    wants = [Want(item, need, stock.get(item, Fraction(0))) for item, need in needs.items()]
    return Batches(
        batches=batches,
        shopping=shopping(wants, wares),
        alone=each_alone(wants, wares),
        packaging=frozenset(items),
        summed_stock=_stated_more_than_once(wares, needs),
        sizes=_sizes(batches[0], wares) if len(batches) == 1 else (),
    )


def _stated_more_than_once(wares: Sequence[Ware], needs: Mapping[str, Fraction]) -> tuple[str, ...]:
    counts = Counter(ware.item for ware in wares if ware.in_stock is not None)
    return tuple(item for item in needs if counts[item] > 1)


def _sizes(batch: Batch, wares: Sequence[Ware]) -> tuple[BoughtForSize, ...]:
    """The cost of a jar at half the size, the same, twice and four times."""
    cost, jars = batch.cost, batch.jars
    if cost is None or jars is None or not jars.count:
        return ()
    found = []
    for factor in FACTORS:
        size = batch.weights.size_g * factor
        filled = jars_of(size, batch.loss / 100, jars.fill_g).count
        if not filled:
            continue
        wants = [Want(name, kg * factor) for name, kg in batch.needs_kg.items()]
        each = batch.asked.jar.packaging
        wants += [Want(item, Fraction(filled * count)) for item, count in each.items()]
        goods = sum(batch.cost_of_goods(factor, filled), Fraction(0))
        rest = cost.total - sum(batch.cost_of_goods(Fraction(1), jars.count), Fraction(0))
        bought = shopping(wants, wares)
        if bought.cannot_buy:
            return ()
        found.append(
            BoughtForSize(size, filled, (goods + rest) / filled, (bought.total + rest) / filled)
        )
    return tuple(found)
