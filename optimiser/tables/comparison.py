"""The answer of `compare` as tables."""

from __future__ import annotations

from optimiser.answers.comparison import Comparison
from optimiser.price import cheapest_offers
from optimiser.tables.formulas import shares_of, side_by_side
from optimiser.tables.frame import SAID, UNIT, Column, Holds, Table, floated, per_kg, table


def comparison_tables(answer: Comparison) -> dict[str, Table]:
    """All tables of an answer by name.

    Returns:
        `formulas`, `properties`, `changes` against the first formula, `missed` limits.
    """
    formulas, request = answer.formulas, answer.request
    keys = [f"formula_{k}" for k in range(1, len(formulas) + 1)]
    prices = []
    if answer.has_brief:
        column = Column("price_per_kg", "price", Holds.MONEY, per_kg(request.brief))
        prices = [(column, cheapest_offers(request.offers))]
    priced_by = "price_per_kg" if prices else ""
    shares = [
        (Column(key, one.name, Holds.PERCENT, "%", priced_by), shares_of(one.measures))
        for key, one in zip(keys, formulas, strict=True)
    ]
    measured = [{v.quantity.id: v.value for v in one.measures.properties} for one in formulas]
    properties = table(
        "What they measure",
        [
            Column("property", "id", Holds.KEY),
            Column("title", "property"),
            *(Column(key, one.name, Holds.FIGURE) for key, one in zip(keys, formulas, strict=True)),
            UNIT,
        ],
        [
            (
                quantity.id,
                quantity.title,
                *(floated(levels.get(quantity.id)) for levels in measured),
                quantity.unit,
            )
            for quantity in request.book.properties.values()
            if any(levels.get(quantity.id) is not None for levels in measured)
        ],
    )
    changes = table(
        "What would be noticed",
        [
            Column("name", "formula"),
            Column("property", "of"),
            Column("before", "first", Holds.FIGURE),
            Column("after", "this one", Holds.FIGURE),
            Column("tolerance", "just noticed", Holds.FIGURE),
            Column("difference", "times just noticed", Holds.FIGURE),
        ],
        [
            (
                one.name,
                change.aim.trait.of,
                float(change.aim.before),
                floated(change.after),
                float(change.aim.trait.tolerance),
                float(change.difference),
            )
            for one in formulas[1:]
            for change in one.changes
        ],
    )
    missed = table(
        "Limits missed",
        [Column("name", "formula"), Column("limit", "where the brief says it"), SAID],
        [
            (
                one.name,
                check.row.statement.key,
                check.row.statement.render(check.bound or 0),
            )
            for one in formulas
            for check in one.missed
        ],
    )
    return {
        "formulas": side_by_side("Formulas", request.book, shares, prices),
        "properties": properties,
        "changes": changes,
        "missed": missed,
    }
