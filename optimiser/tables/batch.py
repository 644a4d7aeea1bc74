"""The answer of `batch` as tables."""

from __future__ import annotations

from decimal import Decimal

from optimiser.tables.frame import INGREDIENT, NAME, PERCENT, Column, Holds, Table, floated, table
from optimiser.workshop.batch import Batch
from optimiser.workshop.batches import Batches

GRAMS = "g"

BLANKS = ("actual g", "deviation g", "supplier", "lot", "expiry", "weighed by", "checked by")
"""What is written by hand."""


def batch_tables(answer: Batches) -> dict[str, Table]:
    """All tables of an answer by name.

    Returns:
        `weigh`, `steps`, `jars` and `cost`; of several batches each with its number, as `weigh_2`;
        then `shopping`, `orders` and `sizes`.
    """
    found: dict[str, Table] = {}
    for place, batch in enumerate(answer.batches, start=1):
        mark = "" if len(answer.batches) == 1 else f"_{place}"
        for name, one in _of_one(batch).items():
            found[f"{name}{mark}"] = one.titled(f"{one.title}{mark.replace('_', ' ')}")
    return found | {
        "shopping": _shopping(answer),
        "orders": _orders(answer),
        "sizes": _sizes(answer),
    }


def _of_one(batch: Batch) -> dict[str, Table]:
    return {
        "weigh": _weigh(batch),
        "steps": _steps(batch),
        "jars": _jars(batch),
        "cost": _cost(batch),
    }


def _weigh(batch: Batch) -> Table:
    columns = [
        INGREDIENT,
        NAME,
        Column("inci_name", "INCI name"),
        Column("step", "step", Holds.COUNT),
        Column("phase", "phase"),
        PERCENT,
        Column("grams", "target", Holds.WEIGHT, GRAMS),
        *(Column(blank.replace(" ", "_"), blank) for blank in BLANKS),
    ]
    rows = [
        (
            line.ingredient.id,
            line.ingredient.common_name,
            line.ingredient.inci_name,
            line.step,
            line.phase,
            float(line.percent),
            float(line.grams),
            *("" for _ in BLANKS),
        )
        for line in batch.lines
    ]
    return table("Weigh sheet", columns, rows, adds_up=True)


def _steps(batch: Batch) -> Table:
    columns = [
        Column("step", "step", Holds.COUNT),
        Column("phase", "phase"),
        Column("text", "what to do"),
        Column("low_c", "from", Holds.FIGURE, "C"),
        Column("high_c", "to", Holds.FIGURE, "C"),
        Column("low_minutes", "at least", Holds.FIGURE, "minutes"),
        Column("high_minutes", "at most", Holds.FIGURE, "minutes"),
        Column("note", "note"),
        Column("actual_c", "actual C"),
        Column("time", "time"),
        Column("status", "where it comes from"),
    ]
    rows = [
        (
            place,
            step.phase,
            step.text,
            *(_number(end) for end in (*step.temperature, *step.minutes)),
            step.note,
            "",
            "",
            step.status,
        )
        for place, step in enumerate(batch.method.steps, start=1)
    ]
    return table("Steps", columns, rows)


def _number(end: Decimal | None) -> float:
    return float("nan") if end is None else float(end)


def _jars(batch: Batch) -> Table:
    columns = [
        Column("of", "of"),
        Column("amount", "amount", Holds.FIGURE),
        Column("unit", "unit"),
    ]
    jars, fill = batch.jars, batch.fill
    if jars is None or fill is None:
        return table("Jars", columns, [])
    rows = [
        ("jars", float(jars.count), ""),
        ("on the label", float(fill.fill.label_g), GRAMS),
        ("filled into each on average", float(jars.fill_g), GRAMS),
        ("weighed in", float(jars.charged_g), GRAMS),
        ("lost", float(jars.lost_g), GRAMS),
        ("left over", float(jars.left_g), GRAMS),
        *((one.row.title, float(one.grams), GRAMS) for one in fill.fill.shortfalls),
    ]
    return table("Jars", columns, rows)


def _cost(batch: Batch) -> Table:
    unit = batch.request.brief.currency
    columns = [
        Column("part", "part"),
        Column("batch", "batch", Holds.MONEY, unit),
        Column("jar", "a jar", Holds.MONEY, unit),
    ]
    cost = batch.cost
    if cost is None:
        return table("Cost", columns, [])
    jar = cost.jar_parts
    rows = [(name, float(part), floated(jar.get(name))) for name, part in cost.parts.items()]
    rows.append(("together", float(cost.total), floated(cost.per_jar)))
    return table("Cost", columns, rows)


def _shopping(answer: Batches) -> Table:
    """What to buy: a row a pack, amounts in grams or pieces as the unit says."""
    unit = answer.batches[0].request.brief.currency
    columns = [
        Column("item", "item"),
        Column("supplier", "supplier"),
        Column("pack", "pack"),
        Column("count", "how many", Holds.COUNT),
        Column("price", "price of one", Holds.MONEY, unit),
        Column("goods", "together", Holds.MONEY, unit),
        Column("needed", "needed", Holds.FIGURE),
        Column("in_stock", "in stock", Holds.FIGURE),
        Column("left_over", "left over", Holds.FIGURE),
        Column("unit", "unit"),
    ]
    rows = []
    for one in () if answer.shopping is None else answer.shopping.items:
        is_counted = one.want.item in answer.packaging
        scale = 1 if is_counted else 1000
        for bought in one.purchases:
            rows.append(
                (
                    one.want.item,
                    bought.ware.supplier,
                    bought.ware.pack,
                    bought.count,
                    float(bought.ware.price),
                    float(bought.goods),
                    float(one.want.needed * scale),
                    float(one.want.in_stock * scale),
                    float(one.left_over * scale),
                    "pieces" if is_counted else GRAMS,
                )
            )
    return table("Shopping", columns, rows)


def _orders(answer: Batches) -> Table:
    """What each supplier is paid."""
    unit = answer.batches[0].request.brief.currency
    columns = [
        Column("supplier", "supplier"),
        Column("goods", "goods", Holds.MONEY, unit),
        Column("delivery", "delivery", Holds.MONEY, unit),
        Column("together", "together", Holds.MONEY, unit),
    ]
    found = () if answer.shopping is None else answer.shopping.orders
    rows = [
        (
            order.supplier,
            float(order.goods),
            float(order.delivery),
            float(order.goods + order.delivery),
        )
        for order in found
    ]
    return table("Orders", columns, rows)


def _sizes(answer: Batches) -> Table:
    """The cost of a jar at other sizes of the batch."""
    unit = answer.batches[0].request.brief.currency
    columns = [
        Column("size_g", "batch", Holds.WEIGHT, GRAMS),
        Column("jars", "jars", Holds.COUNT),
        Column("per_jar", "a jar, per-kg prices", Holds.MONEY, unit),
        Column("bought_per_jar", "a jar, whole packs bought", Holds.MONEY, unit),
    ]
    rows = [
        (float(one.size_g), one.jars, float(one.per_jar), float(one.bought_per_jar))
        for one in answer.sizes
    ]
    return table("Other sizes", columns, rows)
