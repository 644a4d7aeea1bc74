"""Ingredients named on the command line."""

from __future__ import annotations

from optimiser.ingredient import Book
from optimiser.provenance import InputError, Mistake, Origin
from optimiser.reading import Problem, ingredient_names


def found_id(name: str, book: Book, option: str | None = None) -> str:
    """The id of an ingredient by any of its names.

    Args:
        name: What was typed.
        book: The ingredients known.
        option: The option it was typed after, or None.

    Raises:
        InputError: No such ingredient, or several; with the nearest names.
    """
    try:
        return ingredient_names(book).find(name)
    except Problem as problem:
        where = Origin(f'"{name}"' if option is None else f'{option} "{name}"')
        raise InputError([Mistake(where, str(problem))]) from None
