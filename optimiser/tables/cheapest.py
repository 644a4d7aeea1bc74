"""The answer of `formulate` as tables."""

from __future__ import annotations

from collections.abc import Iterable

from optimiser.answers.cheapest import ActiveLimit, Cheapest
from optimiser.answers.measures import Measures
from optimiser.brief import Brief
from optimiser.ingredient import Book
from optimiser.tables.formulas import formula_table, properties_table, totals_table
from optimiser.tables.frame import (
    INGREDIENT,
    LIMIT,
    NAME,
    SAID,
    UNIT,
    Column,
    Holds,
    Table,
    floated,
    per_kg,
    table,
)
from optimiser.tables.impossible import why_none


def cheapest_tables(answer: Cheapest) -> dict[str, Table]:
    """All tables of an answer by name; those without rows keep their columns.

    Returns:
        `formula`, `totals`, `properties`, `active_limits`, `used`, `unused`, `left_out`; where
        there is no formula also why: `conflicts`, `ways_out` and, where limits are to blame,
        `compromise` and `compromise_formula`.
    """
    measures, brief, book = answer.measures, answer.request.brief, answer.request.book
    money = per_kg(brief)
    price = Column("price_per_kg", "price", Holds.MONEY, money)
    return {
        "formula": formula_table("Formula", measures, brief),
        "totals": totals_table(measures),
        "properties": properties_table(measures),
        "active_limits": active_limits_table(answer.active_limits, brief),
        "used": table(
            "Prices, used",
            [
                INGREDIENT,
                NAME,
                price,
                Column("stays_from", "the formula stays from", Holds.LOWEST_PRICE, money),
                Column("stays_to", "the formula stays up to", Holds.MONEY, money),
            ],
            [
                (
                    found.ingredient,
                    book.ingredients[found.ingredient].common_name,
                    float(found.price_per_kg),
                    floated(found.stays_from),
                    floated(found.stays_to),
                )
                for found in answer.used
            ],
        ),
        "unused": table(
            "Prices, not used",
            [
                INGREDIENT,
                NAME,
                price,
                Column("enters_below", "it would come in below", Holds.LOWEST_PRICE, money),
            ],
            [
                (
                    found.ingredient,
                    book.ingredients[found.ingredient].common_name,
                    float(found.price_per_kg),
                    floated(found.stays_from),
                )
                for found in answer.unused
            ],
        ),
        "on_skin": on_skin_table(answer.measures),
        "left_out": left_out_table(
            ((out.ingredient, out.missing, out.needed_by) for out in answer.left_out), book
        ),
        **why_none(answer),
    }


def active_limits_table(limits: Iterable[ActiveLimit], brief: Brief) -> Table:
    """The limits that a formula just meets, with what each costs either way."""
    money = per_kg(brief)
    return table(
        "What holds it there",
        [
            SAID,
            LIMIT,
            Column("bound", "bound", Holds.BOUND),
            UNIT,
            Column("cost_per_unit", "each unit more costs", Holds.RATE, money),
            Column("holds_to", "until", Holds.FIGURE),
            Column("cost_per_unit_down", "each unit less costs", Holds.RATE, money),
            Column("holds_from", "down to", Holds.FIGURE),
            Column("eased_bound", "eased a step, to", Holds.BOUND),
            Column("eased_cost_per_kg", "the formula then costs", Holds.MONEY, money),
        ],
        [
            (
                active.row.statement.render(active.bound),
                active.row.statement.key,
                float(active.bound),
                active.row.unit,
                floated(active.up.per_unit),
                floated(active.up.until),
                floated(active.down.per_unit),
                floated(active.down.until),
                floated(None if active.eased is None else active.eased.bound),
                floated(None if active.eased is None else active.eased.cost_per_kg),
            )
            for active in limits
        ],
    )


def on_skin_table(measures: Measures | None) -> Table:
    """The levels of limits on skin, the fullest first."""
    return table(
        "On skin",
        [
            Column("title", "what is limited"),
            LIMIT,
            Column("level", "level", Holds.FIGURE),
            Column("bound", "at most", Holds.BOUND),
            UNIT,
            Column("rule", "rule"),
            Column("status", "how it was read"),
        ],
        [
            (
                one.title,
                one.limit.key,
                float(one.level),
                float(one.limit.value),
                one.unit,
                one.limit.origin.file if one.rule is None else one.rule.locator,
                "own" if one.rule is None else one.rule.status,
            )
            for one in (() if measures is None else measures.on_skin)
        ],
    )


def left_out_table(rows: Iterable[tuple[str, str, str]], book: Book) -> Table:
    """Ingredients left out, the property that nobody gives, and the key that needs it."""
    columns = [
        INGREDIENT,
        NAME,
        Column("missing", "id", Holds.KEY),
        Column("title", "figure that nobody gives"),
        Column("needed_by", "needed by"),
    ]
    titles = {name: quantity.title for name, quantity in book.properties.items()}
    named = [
        (id_, book.ingredients[id_].common_name, missing, titles.get(missing, missing), needed_by)
        for id_, missing, needed_by in rows
    ]
    return table("Left out", columns, named)
