"""The answer of `substitute` as tables."""

from __future__ import annotations

from optimiser.answers.likeness import Substitute
from optimiser.answers.substitute import Substitution
from optimiser.brief import Family
from optimiser.ingredient import Trait
from optimiser.price import cheapest_offers
from optimiser.tables.cheapest import left_out_table
from optimiser.tables.formulas import numbered, shares_of, side_by_side
from optimiser.tables.frame import (
    INGREDIENT,
    NAME,
    UNIT,
    Column,
    Holds,
    Table,
    floated,
    per_kg,
    table,
)
from optimiser.tables.impossible import impossible_tables

PRICE = "price_per_kg"
DIFFERENCE = Column("difference", "difference (changes just noticed)", Holds.FIGURE)
NOT_JUDGED = Column("not_judged", "judged without")


def substitution_tables(answer: Substitution) -> dict[str, Table]:
    """All tables of an answer by name.

    Returns:
        `formulas` (percent of the one in use and of each that was found, side by side),
        `costs`, `changes`, `between` and `between_formulas` (in the latter `corner` is the row
        of the former), `candidates`, `left_out`; without any formula also why.
    """
    brief, book = answer.request.brief, answer.request.book
    found = _found(answer)
    money = per_kg(brief)
    cost = Column("cost_per_kg", "cost", Holds.MONEY, money)
    reference = answer.reference
    in_use = dict(zip((i.id for i in reference.ingredients), reference.x, strict=True))
    beside = [
        (Column("in_use", "in use", Holds.PERCENT, "%", PRICE), in_use),
        *(
            (Column(name, words, Holds.PERCENT, "%", PRICE), shares_of(one.measures))
            for name, words, one in found
        ),
    ]
    prices = (Column(PRICE, "price", Holds.MONEY, money), cheapest_offers(answer.request.offers))
    explained = answer.explanation
    return {
        "formulas": side_by_side("Formulas side by side", book, beside, [prices]),
        "costs": table(
            "Costs",
            [Column("of", "formula"), cost, DIFFERENCE, NOT_JUDGED],
            [
                ("in use", floated(reference.cost_per_kg), 0.0, ""),
                *((words, *_judged(one)) for _, words, one in found),
            ],
        ),
        "changes": _changes(answer, found),
        "between": table(
            "Between cheapest and like",
            [cost, DIFFERENCE, NOT_JUDGED],
            [_judged(one) for one in answer.between],
        ),
        "between_formulas": numbered("corner", [one.measures for one in answer.between]),
        "candidates": table(
            "One ingredient in its place",
            [
                INGREDIENT,
                NAME,
                Column("percent", "its share", Holds.PERCENT, "%"),
                cost,
                DIFFERENCE,
                NOT_JUDGED,
            ],
            [
                (
                    candidate.ingredient,
                    book.ingredients[candidate.ingredient].common_name,
                    float(candidate.percent),
                    floated(candidate.substitute.measures.cost_per_kg),
                    float(candidate.substitute.difference),
                    ", ".join(candidate.not_judged),
                )
                for candidate in answer.candidates
            ],
        ),
        "left_out": left_out_table(
            ((name, trait, f"character.{trait}") for name, trait in answer.left_out), book
        ),
        **({} if explained is None else impossible_tables(explained, brief, book)),
    }


Found = tuple[str, str, Substitute]
"""A formula with its name in a DataFrame and in words."""


def _found(answer: Substitution) -> list[Found]:
    parts = (
        ("closest", "most like it", answer.closest),
        ("closest_rest_kept", "most like it, the rest kept", answer.closest_rest_kept),
        ("cheapest", "cheapest", answer.cheapest),
    )
    return [(name, words, one) for name, words, one in parts if one is not None]


def _judged(one: Substitute) -> tuple[float, float, str]:
    return floated(one.measures.cost_per_kg), float(one.difference), ", ".join(one.not_judged)


def _changes(answer: Substitution, found: list[Found]) -> Table:
    def named(trait: Trait) -> tuple[str, str]:
        if trait.family != Family.PROPERTIES:
            return trait.of, "%"
        quantity = answer.request.book.properties[trait.of]
        return quantity.title, quantity.spoken_unit

    rows = []
    for _, words, one in found:
        for change in one.changes:
            trait = change.aim.trait
            title, unit = named(trait)
            levels = float(change.aim.before), floated(change.after)
            counts = float(trait.tolerance), float(change.difference)
            rows.append((words, trait.of, title, *levels, unit, *counts))
    return table(
        "What changes in the jar",
        [
            Column("of", "formula"),
            Column("property", "id", Holds.KEY),
            Column("title", "what"),
            Column("before", "before", Holds.FIGURE),
            Column("after", "after", Holds.FIGURE),
            UNIT,
            Column("tolerance", "just noticed from", Holds.BOUND),
            Column("difference", "changes just noticed", Holds.FIGURE),
        ],
        rows,
    )
