"""Room to move, and staying near a recipe, as tables."""

from __future__ import annotations

from optimiser.answers.near_recipe import NearRecipe
from optimiser.answers.room import Room, Span
from optimiser.price import cheapest_offers
from optimiser.tables.formulas import shares_of, side_by_side
from optimiser.tables.frame import INGREDIENT, NAME, UNIT, Column, Holds, Table, per_kg, table


def room_tables(room: Room) -> dict[str, Table]:
    """All tables of a room by name: `room_ingredients`, `room_properties`, `room_formulas`."""
    book, brief = room.request.book, room.request.brief
    shares = [
        (span.name, book.ingredients[span.name].common_name, *_ends(span))
        for span in room.ingredients
    ]
    levels = [
        (quantity.id, quantity.title, *_ends(span), quantity.unit)
        for quantity, span in room.properties
    ]
    formulas = [room.cheapest, *(variant.measures for variant in room.variants)]
    names = ["cheapest", *(f"formula {k}" for k in range(1, len(formulas)))]
    columns = [
        Column(name.replace(" ", "_"), name, Holds.PERCENT, "%", "price_per_kg") for name in names
    ]
    price = Column("price_per_kg", "price", Holds.MONEY, per_kg(brief))
    return {
        "room_ingredients": table(
            "Room of ingredients", [INGREDIENT, NAME, *_three(Holds.PERCENT, "%")], shares
        ),
        "room_properties": table(
            "Room of properties",
            [
                Column("property", "id", Holds.KEY),
                Column("title", "property"),
                *_three(Holds.FIGURE),
                UNIT,
            ],
            levels,
        ),
        "room_formulas": side_by_side(
            "Formulas in the room",
            book,
            zip(columns, map(shares_of, formulas), strict=True),
            [(price, cheapest_offers(room.request.offers))],
        ),
    }


def _three(holds: Holds, unit: str = "") -> list[Column]:
    words = ("least", "cheapest has", "most")
    names = ("low", "now", "high")
    pairs = zip(names, words, strict=True)
    return [Column(name, word, holds, unit) for name, word in pairs]


def _ends(span: Span) -> tuple[float, float, float]:
    return float(span.low), float(span.now), float(span.high)


def near_tables(near: NearRecipe) -> dict[str, Table]:
    """The recipe and the formula near it, by name: `near_recipe`."""
    price = Column("price_per_kg", "price", Holds.MONEY, per_kg(near.request.brief))
    formulas = [
        (Column("recipe", "recipe", Holds.PERCENT, "%", "price_per_kg"), shares_of(near.recipe)),
        (
            Column("near", "near it", Holds.PERCENT, "%", "price_per_kg"),
            None if near.measures is None else shares_of(near.measures),
        ),
    ]
    prices = [(price, cheapest_offers(near.request.offers))]
    return {"near_recipe": side_by_side("Near the recipe", near.request.book, formulas, prices)}
