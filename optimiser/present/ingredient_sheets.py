"""The ingredient data in print: the list, and one ingredient with its sources."""

from __future__ import annotations

from typing import Any

from optimiser.ingredient import Book, Ingredient
from optimiser.present.console import columns, heading, wrapped
from optimiser.present.csv_text import csv_text
from optimiser.present.markdown import inert, table
from optimiser.provenance import plain_number


def list_document(book: Book) -> dict[str, Any]:
    """All ingredients and properties."""
    return {
        "ingredients": [
            {
                "ingredient": i.id,
                "common_name": i.common_name,
                "inci_name": i.inci_name,
                "cas": i.cas,
                "kind": str(i.kind),
                "figures": sorted(i.figures),
            }
            for i in book.ingredients.values()
        ],
        "properties": [
            {
                "property": p.id,
                "title": p.title,
                "unit": p.unit,
                "over": str(p.over),
                "rule": str(p.rule),
                "trust": str(p.trust),
                "meaning": p.meaning,
            }
            for p in book.properties.values()
        ],
        "styles": list(book.styles),
    }


def list_csv(book: Book) -> str:
    """The ingredients, one a row."""
    head = ("ingredient", "common_name", "inci_name", "cas", "kind", "figures")
    rows = [
        (i.id, i.common_name, i.inci_name, i.cas, str(i.kind), str(len(i.figures)))
        for i in book.ingredients.values()
    ]
    return csv_text([head, *rows])


def list_text(book: Book, as_markdown: bool) -> str:
    """The ingredients by kind, the properties with what they mean, and the styles."""
    head, rows, measured = LIST_HEAD, list_rows(book), property_rows(book)
    styles = styles_said(book)
    if as_markdown:
        lines = ["# Ingredients", "", *table(head, rows, ()), "", "# Properties", ""]
        lines += [*table(PROPERTY_HEAD, measured, ()), "", styles]
        return "\n".join(lines) + "\n"
    lines = columns([head, *rows], right=(), indent="")
    lines += ["", "Properties that a brief can limit"]
    for name, unit, trust, meaning in measured:
        lines += wrapped(f"{name}, {unit} ({trust}): {meaning}", "  ", "    ")
    lines += ["", *wrapped(styles)]
    lines += wrapped(ONE_BY_ONE)
    return "\n".join(lines) + "\n"


LIST_HEAD = ("ingredient", "common name", "kind", "figures")
PROPERTY_HEAD = ("property", "unit", "trust", "meaning")
FIGURE_HEAD = ("property", "typical", "low to high", "unit", "status")

ONE_BY_ONE = "One ingredient with its sources: optimiser ingredients NAME"


def list_rows(book: Book) -> list[tuple[str, ...]]:
    """Each ingredient: id, common name, kind, how many figures are known."""
    return [
        (i.id, i.common_name, str(i.kind), f"{len(i.figures)} of {len(book.properties)}")
        for i in book.ingredients.values()
    ]


def property_rows(book: Book) -> list[tuple[str, str, str, str]]:
    """Each property: id, unit, how far it is to be trusted, what it means."""
    return [
        (p.id, f"{p.unit} of the {p.over}", str(p.trust), p.meaning)
        for p in book.properties.values()
    ]


def styles_said(book: Book) -> str:
    """The styles that bring limits."""
    return f"Styles with customary starting limits: {', '.join(book.styles)}."


def ingredient_document(book: Book, ingredient: Ingredient) -> dict[str, Any]:
    """One ingredient with every figure, its source and status."""
    return {
        "ingredient": ingredient.id,
        "common_name": ingredient.common_name,
        "inci_name": ingredient.inci_name,
        "cas": ingredient.cas,
        "kind": str(ingredient.kind),
        "allergen_note": ingredient.allergen_note,
        "figures": [
            {
                "property": name,
                "low": float(figure.low),
                "typical": float(figure.typical),
                "high": float(figure.high),
                "unit": book.properties[name].unit,
                "status": figure.status,
                "source": figure.source,
                "note": figure.note,
            }
            for name, figure in ingredient.figures.items()
        ],
        "missing": [name for name in book.properties if name not in ingredient.figures],
        "sources": {
            source.id: f"{source.citation}, {source.year}".rstrip(", ")
            for source in book.sources.values()
            if source.id in _sources_of(ingredient)
        },
    }


def figures_csv(book: Book, ingredient: Ingredient) -> str:
    """One ingredient's figures, one a row."""
    head = ("property", "low", "typical", "high", "unit", "status", "source", "note")
    rows = [
        (
            name,
            plain_number(f.low),
            plain_number(f.typical),
            plain_number(f.high),
            book.properties[name].unit,
            f.status,
            f.source,
            f.note,
        )
        for name, f in ingredient.figures.items()
    ]
    return csv_text([head, *rows])


def ingredient_text(book: Book, ingredient: Ingredient, as_markdown: bool) -> str:
    """One ingredient: names, figures with range and status, what is missing, sources."""
    facts, head, rows = facts_of(ingredient), FIGURE_HEAD, figure_rows(book, ingredient)
    missing = missing_figures(book, ingredient)
    notes, sources = notes_of(ingredient), sources_said(book, ingredient)
    if as_markdown:
        lines = [f"# {inert(ingredient.common_name)}", ""]
        lines += [f"- {label}: {inert(text)}" for label, text in facts]
        lines += ["", *table(head, rows, (1,)), ""]
        if missing:
            lines += [f"Nobody gives: {inert(', '.join(missing))}.", ""]
        for title, texts in (("Notes", notes), ("Sources", sources)):
            lines += [f"## {title}", "", *(f"- {inert(text)}" for text in texts), ""]
        return "\n".join(lines)
    lines = heading(ingredient.common_name)
    for label, text in facts:
        lines += wrapped(f"{label}: {text}", "", "  ")
    lines += ["", *columns([head, *rows], right=(1,), indent="")]
    if missing:
        lines += ["", *wrapped(f"Nobody gives: {', '.join(missing)}.", "", "  ")]
    for title, texts in (("Notes", notes), ("Sources", sources)):
        if texts:
            lines += ["", title, *(line for text in texts for line in wrapped(text, "  ", "    "))]
    return "\n".join(lines) + "\n"


def facts_of(ingredient: Ingredient) -> list[tuple[str, str]]:
    """Names, numbers and origin, each with its label."""
    return [
        ("id", ingredient.id),
        ("INCI name", ingredient.inci_name or "not known"),
        ("CAS number", ingredient.cas or "not known"),
        ("kind", str(ingredient.kind)),
        ("origin", ingredient.allergen_note or "no note on food allergens; ask the supplier"),
    ]


def figure_rows(book: Book, ingredient: Ingredient) -> list[tuple[str, ...]]:
    """Each figure: property, typical value, range, unit, status."""
    return [
        (
            name,
            plain_number(f.typical),
            "-" if f.low == f.high else f"{plain_number(f.low)} to {plain_number(f.high)}",
            book.properties[name].unit,
            f.status,
        )
        for name, f in ingredient.figures.items()
    ]


def missing_figures(book: Book, ingredient: Ingredient) -> list[str]:
    """Properties of which nobody gives a figure."""
    return [name for name in book.properties if name not in ingredient.figures]


def sources_said(book: Book, ingredient: Ingredient) -> list[str]:
    """The sources of the figures."""
    return [
        f"{source.id}: {source.citation}, {source.year}".rstrip(", ")
        for source in book.sources.values()
        if source.id in _sources_of(ingredient)
    ]


def notes_of(ingredient: Ingredient) -> list[str]:
    """The notes on figures, those of one source and wording together."""
    told: dict[tuple[str, str], list[str]] = {}
    for name, figure in ingredient.figures.items():
        if figure.note:
            told.setdefault((figure.source, figure.note), []).append(name)
    return [f"{', '.join(names)} ({source}): {note}" for (source, note), names in told.items()]


def _sources_of(ingredient: Ingredient) -> set[str]:
    return {name for f in ingredient.figures.values() for name in f.source.split()}
