"""A draft declaration as tables."""

from __future__ import annotations

from optimiser.tables.frame import Column, Holds, Table, floated, table
from optimiser.workshop.declaration import Declaration

NAME = Column("name", "name on the label")
UP_TO = Column("percent", "up to", Holds.FIGURE, "%")
STATUS = Column("status", "how it is known")


def declaration_tables(answer: Declaration) -> dict[str, Table]:
    """All tables of an answer by name: `list`, `allergens`, `allergen_sources`, `origins`."""
    return {
        "list": _names(answer),
        "allergens": _allergens(answer),
        "allergen_sources": _sources(answer),
        "origins": _origins(answer),
    }


def _names(answer: Declaration) -> Table:
    rows = [
        (
            line.name,
            floated(line.percent),
            str(line.place),
            "; ".join(answer.called(name) for name, _ in line.sources),
            line.is_settled,
        )
        for line in answer.lines
    ]
    columns = [
        NAME,
        Column("percent", "percent of the product", Holds.FIGURE, "%"),
        Column("place", "part of the list"),
        Column("from", "from"),
        Column("settled", "settled", Holds.YES_NO),
    ]
    return table("List of ingredients", columns, rows)


def _allergens(answer: Declaration) -> Table:
    rows = [
        (
            one.allergen.name,
            floated(one.percent),
            float(one.threshold),
            one.is_declared,
            "2023" if one.allergen.is_later else "first",
            one.allergen.status,
        )
        for one in answer.allergens
    ]
    columns = [
        Column("name", "allergen"),
        UP_TO,
        Column("threshold", "threshold", Holds.BOUND, "%"),
        Column("declared", "above it", Holds.YES_NO),
        Column("list", "list"),
        Column("status", "how the rule was read"),
    ]
    return table("Scent allergens", columns, rows)


def _sources(answer: Declaration) -> Table:
    rows = [
        (
            one.allergen.name,
            share.ingredient,
            share.name,
            floated(share.share),
            floated(share.content),
            floated(share.percent),
            share.status,
            share.source,
        )
        for one in answer.allergens
        for share in one.shares
    ]
    columns = [
        Column("allergen", "allergen"),
        Column("ingredient", "id", Holds.KEY),
        Column("name", "from"),
        Column("share", "share of it in the product", Holds.FIGURE, "%"),
        Column("content", "it holds up to", Holds.FIGURE, "%"),
        Column("percent", "adds up to", Holds.FIGURE, "%"),
        STATUS,
        Column("source", "source"),
    ]
    return table("Where allergens come from", columns, rows)


def _origins(answer: Declaration) -> Table:
    rows = [
        (
            made.ingredient,
            name,
            f"{made.how} {made.of}",
            " ".join(sorted(made.food_lists)),
            made.note,
            made.status,
        )
        for name, made in answer.made_from
    ]
    columns = [
        Column("ingredient", "id", Holds.KEY),
        Column("name", "ingredient"),
        Column("origin", "origin"),
        Column("food_lists", "on lists of food allergens"),
        Column("note", "note"),
        STATUS,
    ]
    return table("Origins", columns, rows)
