"""Room to move, and staying near a recipe, in words, tables and JSON."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from optimiser.answers.near_recipe import NearRecipe
from optimiser.answers.room import Room
from optimiser.present.abreast import rows_abreast
from optimiser.present.answer_json import number
from optimiser.present.console import short
from optimiser.present.moves import levels_rows, watch_said
from optimiser.present.numbers import (
    money,
    rounded_towards,
    significant,
    small_money,
)
from optimiser.present.page import Items, Paragraph, Part, Section, Table
from optimiser.provenance import plain_number

KEEPING = frozenset({"iodine_value", "oxidation_index"})
"""How formulas keep is told of each, limited or not."""

HARDLY = Fraction(1, 100)
"""A movement of less, in points, is that of written decimals."""

ANY_SHARES = "Shares of any size: whole steps, counts and either-or are not regarded here."


NO_ROOM = Section("Room to move", [Paragraph("No formula meets the brief, so there is none.")])


def room_section(room: Room) -> Section:
    """How far everything can move for a little more money, and what else there is."""
    request, unit = room.request, f"{room.request.brief.currency} per kg".strip()
    slack = plain_number(100 * room.slack)
    title = f"Room to move: at most {slack} % dearer, {money(room.most_cost)} {unit}"
    names = {i.id: i.common_name for i in request.book.ingredients.values()}
    parts: list[Part] = []
    if request.brief.has_choices:
        least = f"The cheapest costs {money(room.least_cost)} then."
        parts.append(Paragraph(f"{ANY_SHARES} {least}"))
    parts += [
        Table(
            ("percent", "least", "cheapest has", "most"),
            [
                (short(names[span.name]), *map(_percent, (span.low, span.now, span.high)))
                for span in room.ingredients
            ],
            right=(1, 2, 3),
        ),
        Table(
            ("property", "least", "cheapest has", "most", "unit"),
            [
                (
                    quantity.title,
                    *map(significant, (span.low, span.now, span.high)),
                    quantity.spoken_unit,
                )
                for quantity, span in room.properties
            ],
            right=(1, 2, 3),
        ),
    ]
    if room.not_judged:
        titles = ", ".join(quantity.title for quantity in room.not_judged)
        parts.append(Paragraph(f"Not told, for want of a figure on the shelf: {titles}."))
    if room.variants:
        parts.append(Paragraph("Truly different formulas within it, the furthest first:"))
        parts.append(_variant_table(room, names))
    else:
        parts.append(Paragraph("All formulas within it are much the same."))
    parts.append(Paragraph("Each end alone: not all can be reached together. The ends are exact."))
    return Section(title, parts)


def _percent(share: Fraction) -> str:
    return significant(share) if share else "-"


def _variant_table(room: Room, names: dict[str, str]) -> Table:
    formulas = [room.cheapest, *(variant.measures for variant in room.variants)]
    rows = rows_abreast(formulas, room.request.book)
    rows.append(("cost per kg", *(money(measures.cost_per_kg) for measures in formulas)))
    for quantity, _ in room.properties:
        told = any(v.quantity.id == quantity.id and v.is_limited for v in room.cheapest.properties)
        if told or quantity.id in KEEPING:
            rows.append((quantity.title, *(_level(measures, quantity.id) for measures in formulas)))
    apart = ["-", *(significant(variant.apart, 2) for variant in room.variants)]
    rows.append(("points from those before", *apart))
    heads = ["cheapest", *(str(k) for k in range(1, len(formulas)))]
    return Table(("percent", *heads), rows, right=range(1, len(formulas) + 1))


def _level(measures: Any, name: str) -> str:
    value = next((v.value for v in measures.properties if v.quantity.id == name), None)
    return "-" if value is None else significant(value)


def room_document(room: Room) -> dict[str, Any]:
    """Room to move as JSON."""
    return {
        "within_percent": number(100 * room.slack),
        "most_cost_per_kg": number(room.most_cost),
        "ingredients": [
            {
                "ingredient": span.name,
                "percent_low": number(span.low),
                "percent": number(span.now),
                "percent_high": number(span.high),
            }
            for span in room.ingredients
        ],
        "properties": [
            {
                "property": span.name,
                "low": number(span.low),
                "value": number(span.now),
                "high": number(span.high),
                "unit": quantity.unit,
            }
            for quantity, span in room.properties
        ],
        "not_judged": [quantity.id for quantity in room.not_judged],
        "formulas": [
            {
                "points_apart": number(variant.apart),
                "cost_per_kg": number(variant.measures.cost_per_kg),
                "formula": [
                    {"ingredient": s.ingredient, "percent": number(s.percent)}
                    for s in variant.measures.formula
                ],
            }
            for variant in room.variants
        ],
    }


def near_section(near: NearRecipe) -> Section:
    """The cheapest formula that moves a recipe by only so much."""
    unit = f"{near.request.brief.currency} per kg".strip()
    points = plain_number(near.points)
    title = f"Near the recipe: all shares together moved by at most {points} points"
    if near.measures is None:
        if near.least_moved is None:
            return Section(title, [Paragraph("No formula meets the brief.")])
        least = significant(rounded_towards(near.least_moved, upwards=True), 4)
        said = f"None meets the brief within so little; {least} points would do."
        return Section(title, [Paragraph(said)])
    cost, now = near.measures.cost_per_kg, near.recipe.cost_per_kg
    assert cost is not None
    text = f"The cheapest of them costs {money(cost)} {unit}"
    if now is not None and now != cost:
        word = "less" if cost < now else "more"
        text += f", {small_money(abs(now - cost))} {word} than the recipe"
    moved = near.moved or Fraction(0)
    far = "hardly at all" if moved < HARDLY else f"by {significant(moved)} points"
    text += f", and moves it {far}."
    if near.request.brief.has_choices:
        text += f" {ANY_SHARES}"
    book = near.request.book
    rows = rows_abreast([near.recipe, near.measures], book)
    head = ("What it measures", "recipe", "formula", "unit")
    watch = [f"Watch: {text}" for text in watch_said(near.recipe, near.measures, book)]
    return Section(
        title,
        [
            Paragraph(text),
            Table(("percent", "recipe", "formula"), rows, right=(1, 2)),
            Table(head, levels_rows(near.recipe, near.measures), right=(1, 2)),
            Paragraph("Proven in exact arithmetic: none that moves no further costs less."),
            *([Items(watch)] if watch else []),
        ],
    )


def near_document(near: NearRecipe) -> dict[str, Any]:
    """Staying near a recipe as JSON."""
    document: dict[str, Any] = {
        "points": number(near.points),
        "least_moved_points": number(near.least_moved),
    }
    if near.measures is None:
        return document | {"status": "infeasible"}
    return document | {
        "formula": [
            {"ingredient": s.ingredient, "percent": number(s.percent)}
            for s in near.measures.formula
        ],
        "cost_per_kg": number(near.measures.cost_per_kg),
        "moved_points": number(near.moved),
    }
