"""A recipe file as shares of a whole."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from optimiser.brief import Brief, Request
from optimiser.ingredient import Book
from optimiser.reading import read_formula


def recipe_shares(path: Path, book: Book) -> tuple[dict[str, Fraction], tuple[str, ...]]:
    """Percent by ingredient id, 100 together, and what is worth telling of the reading.

    Percentages as typed may miss 100 by a rounding; the shares of the whole do not.

    Raises:
        InputError: The file cannot be read as a recipe.
    """
    recipe = read_formula(path, book)
    total = sum((Fraction(share) for share in recipe.shares.values()), Fraction(0))
    shares = {name: Fraction(share) * 100 / total for name, share in recipe.shares.items()}
    return shares, recipe.remarks


def bare_request(book: Book) -> Request:
    """A request without limits and prices.

    Args:
        book: What is known of ingredients.
    """
    brief = Brief(
        name="",
        file="",
        style=None,
        currency="",
        use=None,
        leave_out=(),
        groups={},
        limits=(),
    )
    return Request(brief, book, ())
