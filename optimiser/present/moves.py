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


def watch_said(before: Measures | None, after: Measures, book: Book) -> list[str]:
    """What to watch on the bench and on the label that was not there before."""
    known = () if before is None else before.cautions
    said = [text for text in after.cautions if text not in known]
    old = {} if before is None else shares_of(before)
    for word, these, others in (
        ("newly in", shares_of(after), old),
        ("no longer in", old, shares_of(after)),
    ):
        said += [
            f"{word}, {book.ingredients[name].common_name}: {book.ingredients[name].allergen_note}"
            for name in sorted(these)
            if name not in others and book.ingredients[name].allergen_note
        ]
    return said


def levels_rows(before: Measures | None, after: Measures) -> list[tuple[str, str, str, str]]:
    """The limited properties before and after: title, two values, unit."""
    old = {} if before is None else {v.quantity.id: v.value for v in before.properties}

    def told(value: Fraction | None) -> str:
        return "-" if value is None else significant(value)

    return [
        (v.quantity.title, told(old.get(v.quantity.id)), told(v.value), v.quantity.spoken_unit)
        for v in after.properties
        if v.is_limited
    ]


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
