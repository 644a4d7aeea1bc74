"""The ingredient data as workbooks: all of them, and one with its sources."""

from __future__ import annotations

from optimiser.ingredient import Book, Ingredient
from optimiser.present.page import Items, Page, Paragraph, Section
from optimiser.present.workbook import workbook_bytes
from optimiser.tables.ingredients import book_tables, ingredient_tables
from optimiser.tables.sheets import filled


def book_workbook(book: Book) -> bytes:
    """All ingredients and properties."""
    said = [
        f"{len(book.ingredients)} ingredients and {len(book.properties)} properties that a brief "
        "can limit.",
        "Typical figures: an empty cell is a figure that nobody gives. Ranges, status and sources "
        "of one ingredient: optimiser ingredients NAME.",
        f"Styles with customary starting limits: {', '.join(book.styles)}.",
    ]
    page = Page("Ingredients", [Section("", [Paragraph(text) for text in said])])
    return workbook_bytes(page, filled(book_tables(book).values()))


def ingredient_workbook(book: Book, ingredient: Ingredient) -> bytes:
    """One ingredient with every figure, its source and status."""
    note = ingredient.allergen_note or "no note on food allergens; ask the supplier"
    facts = [
        f"id: {ingredient.id}",
        f"INCI name: {ingredient.inci_name or 'not known'}",
        f"CAS number: {ingredient.cas or 'not known'}",
        f"kind: {ingredient.kind}",
        f"origin: {note}",
    ]
    missing = [name for name in book.properties if name not in ingredient.figures]
    parts = [Paragraph(f"Nobody gives: {', '.join(missing)}.")] if missing else []
    page = Page(ingredient.common_name, [Section("", [Items(facts)]), Section("", parts)])
    return workbook_bytes(page, filled(ingredient_tables(book, ingredient).values()))
