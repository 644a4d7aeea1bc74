"""The ingredient data as a page."""

from __future__ import annotations

from optimiser.ingredient import Book, Ingredient
from optimiser.present.ingredient_sheets import (
    FIGURE_HEAD,
    LIST_HEAD,
    ONE_BY_ONE,
    PROPERTY_HEAD,
    facts_of,
    figure_rows,
    list_rows,
    missing_figures,
    notes_of,
    property_rows,
    sources_said,
    styles_said,
)
from optimiser.present.page import Items, Page, Paragraph, Part, Section, Table


def list_page(book: Book) -> Page:
    """All ingredients, the properties with what they mean, and the styles."""
    return Page(
        "Ingredients",
        [
            Section("", [Paragraph(ONE_BY_ONE)]),
            Section("What can be used", [Table(LIST_HEAD, list_rows(book))]),
            Section(
                "Properties that a brief can limit",
                [Table(PROPERTY_HEAD, property_rows(book)), Paragraph(styles_said(book))],
            ),
        ],
    )


def ingredient_page(book: Book, ingredient: Ingredient) -> Page:
    """One ingredient: names, figures with range and status, what is missing, sources."""
    figures: list[Part] = [Table(FIGURE_HEAD, figure_rows(book, ingredient), right=(1,))]
    missing = missing_figures(book, ingredient)
    if missing:
        figures.append(Paragraph(f"Nobody gives: {', '.join(missing)}."))
    sections = [
        Section("", [Items([f"{label}: {text}" for label, text in facts_of(ingredient)])]),
        Section("Figures", figures),
    ]
    notes, sources = notes_of(ingredient), sources_said(book, ingredient)
    for title, texts in (("Notes", notes), ("Sources", sources)):
        if texts:
            sections.append(Section(title, [Items(texts)]))
    return Page(ingredient.common_name, sections)
