"""`ingredients`: what is known of the ingredients, with the sources."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from optimiser.commands.named import found_id
from optimiser.ingredient import Book, Ingredient
from optimiser.present.answer_json import as_text
from optimiser.present.ingredient_sheets import (
    figures_csv,
    ingredient_document,
    ingredient_text,
    list_csv,
    list_document,
    list_text,
)
from optimiser.present.output import check_outputs, write_answers
from optimiser.reading import read_book


def run(name: str | None, as_json: bool, out: Sequence[Path]) -> tuple[str, int]:
    """List the ingredients, or show one.

    Raises:
        InputError: No such ingredient, or an output cannot be written.
    """
    forms = (".json", ".csv", ".md", ".html", ".xlsx")
    check_outputs(out, forms, [])
    book = read_book()
    ingredient = None if name is None else book.ingredients[found_id(name, book)]
    write_answers(out, lambda form: _written(book, ingredient, form))
    return _worded(book, ingredient, ".json" if as_json else ""), 0


def _written(book: Book, ingredient: Ingredient | None, form: str) -> str | bytes:
    if form == ".xlsx":
        from optimiser.present.ingredient_workbook import book_workbook, ingredient_workbook

        return book_workbook(book) if ingredient is None else ingredient_workbook(book, ingredient)
    if form == ".html":
        from optimiser.present.ingredient_page import ingredient_page, list_page
        from optimiser.present.page_html import page_html

        return page_html(
            list_page(book) if ingredient is None else ingredient_page(book, ingredient)
        )
    return _worded(book, ingredient, form)


def _worded(book: Book, ingredient: Ingredient | None, form: str) -> str:
    if ingredient is None:
        if form == ".json":
            return as_text(list_document(book))
        return list_csv(book) if form == ".csv" else list_text(book, form == ".md")
    if form == ".json":
        return as_text(ingredient_document(book, ingredient))
    if form == ".csv":
        return figures_csv(book, ingredient)
    return ingredient_text(book, ingredient, form == ".md")
