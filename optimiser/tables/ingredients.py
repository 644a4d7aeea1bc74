"""The ingredient data as tables: all of them, and one with its sources."""

from __future__ import annotations

from optimiser.ingredient import Book, Ingredient
from optimiser.tables.frame import NAME, UNIT, Column, Holds, Table, floated, table

INCI = Column("inci_name", "INCI name")
CAS = Column("cas", "CAS number")
KIND = Column("kind", "kind")


def book_tables(book: Book) -> dict[str, Table]:
    """All ingredients and properties.

    Returns:
        `ingredients`, `figures` (typical figures, a column a property; nan where nobody gives
        one), `properties`.
    """
    quantities = tuple(book.properties.values())
    return {
        "ingredients": table(
            "Ingredients",
            [
                NAME,
                Column("ingredient", "id in a brief"),
                INCI,
                CAS,
                KIND,
                Column("figures", "figures known", Holds.COUNT),
                Column("allergen_note", "origin"),
            ],
            [
                (
                    one.common_name,
                    one.id,
                    one.inci_name,
                    one.cas,
                    str(one.kind),
                    len(one.figures),
                    one.allergen_note,
                )
                for one in book.ingredients.values()
            ],
        ),
        "figures": table(
            "Typical figures",
            [
                NAME,
                KIND,
                *(Column(q.id, q.title, Holds.FIGURE, q.spoken_unit) for q in quantities),
            ],
            [
                (
                    one.common_name,
                    str(one.kind),
                    *(
                        float(one.figures[q.id].typical) if q.id in one.figures else floated(None)
                        for q in quantities
                    ),
                )
                for one in book.ingredients.values()
            ],
        ),
        "properties": table(
            "Properties",
            [
                Column("title", "property"),
                Column("property", "id in a brief"),
                UNIT,
                Column("over", "of the product or the fat"),
                Column("trust", "adding up is"),
                Column("meaning", "what it means"),
            ],
            [(q.title, q.id, q.unit, str(q.over), str(q.trust), q.meaning) for q in quantities],
        ),
    }


def ingredient_tables(book: Book, ingredient: Ingredient) -> dict[str, Table]:
    """One ingredient.

    Returns:
        `figures`, `sources`.
    """
    used = {name for figure in ingredient.figures.values() for name in figure.source.split()}
    return {
        "figures": table(
            "Figures",
            [
                Column("title", "property"),
                Column("property", "id in a brief"),
                Column("low", "low", Holds.FIGURE),
                Column("typical", "typical", Holds.FIGURE),
                Column("high", "high", Holds.FIGURE),
                UNIT,
                Column("status", "status"),
                Column("source", "source"),
                Column("note", "note"),
            ],
            [
                (
                    book.properties[name].title,
                    name,
                    float(figure.low),
                    float(figure.typical),
                    float(figure.high),
                    book.properties[name].unit,
                    figure.status,
                    figure.source,
                    figure.note,
                )
                for name, figure in ingredient.figures.items()
            ],
        ),
        "sources": table(
            "Sources",
            [Column("source", "source"), Column("citation", "citation and year")],
            [
                (source.id, f"{source.citation}, {source.year}".rstrip(", "))
                for source in book.sources.values()
                if source.id in used
            ],
        ),
    }
