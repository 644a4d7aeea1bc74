"""Formulas side by side: percent of each ingredient, a column a formula."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from optimiser.answers.measures import Measures
from optimiser.ingredient import Book
from optimiser.present.console import short
from optimiser.present.moves import shares_of
from optimiser.present.numbers import printed_shares

NONE = Fraction(0)


def ids_abreast(formulas: Sequence[Measures | None]) -> list[str]:
    """The ingredients of some formulas, that with the largest share first."""
    shares = [{} if formula is None else shares_of(formula) for formula in formulas]
    return sorted(
        {name for each in shares for name in each},
        key=lambda name: (-max(each.get(name, NONE) for each in shares), name),
    )


def rows_abreast(
    formulas: Sequence[Measures | None], book: Book, ids: Sequence[str] | None = None
) -> list[tuple[str, ...]]:
    """A row an ingredient: its name and its percent in each formula; a dash for none.

    Args:
        formulas: The formulas, None for a column without any.
        book: The ingredients.
        ids: The order of the ingredients; by default that with the largest share first.
    """
    names = ids_abreast(formulas) if ids is None else ids
    shares = [{} if formula is None else shares_of(formula) for formula in formulas]
    columns = [printed_shares([each.get(name, NONE) for name in names]) for each in shares]
    return [
        (
            short(book.ingredients[name].common_name),
            *(
                cells[k] if each.get(name) else "-"
                for cells, each in zip(columns, shares, strict=True)
            ),
        )
        for k, name in enumerate(names)
    ]
