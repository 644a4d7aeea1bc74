"""Which shares move between two formulas, in words."""

from __future__ import annotations

from fractions import Fraction

from optimiser.answers.measures import Measures
from optimiser.ingredient import Book
from optimiser.present.numbers import significant

MENTIONED = Fraction(1, 20)
"""Shares that move by less than this many points are not mentioned in a sweep."""

MOST_MENTIONED = 4
"""So many moves are named in a row of a sweep."""


def shares_of(measures: Measures) -> dict[str, Fraction]:
    """Percent by ingredient id."""
    return {share.ingredient: share.percent for share in measures.formula}


def moves_said(before: Measures, after: Measures, book: Book, least: Fraction = MENTIONED) -> str:
    """Which shares move from one formula to another, the largest moves first."""
    one, other = shares_of(before), shares_of(after)
    moves = {
        name: other.get(name, Fraction(0)) - one.get(name, Fraction(0)) for name in {*one, *other}
    }
    ranked = sorted(moves, key=lambda name: (-abs(moves[name]), name))
    told = [name for name in ranked if abs(moves[name]) >= least]
    texts = [
        f"{book.ingredients[name].common_name} {'+' if moves[name] > 0 else ''}"
        f"{significant(moves[name], 2)}"
        for name in told[:MOST_MENTIONED]
    ]
    return "; ".join(texts) + ("; .." if len(told) > MOST_MENTIONED else "")
