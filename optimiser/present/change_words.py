"""How a formula's character differs from another's, in words."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from optimiser.answers.closeness import Change
from optimiser.brief import Family
from optimiser.ingredient import Book
from optimiser.present.numbers import significant
from optimiser.statements import PLURALS

MANY = 3
"""A change of more tolerances than this is called much."""

SLIGHT = Fraction(1, 5)
"""A change of less than this part of a tolerance is not worth telling."""


def change_in_words(book: Book, change: Change) -> str:
    """One trait that differs, in words with its level before and after."""
    trait = change.aim.trait
    after = Fraction(0) if change.after is None else change.after
    word = trait.more if after > change.aim.before else trait.less
    size = "much" if change.difference > MANY else "clearly" if change.is_noticed else "slightly"
    title, unit = trait_named(book, change)
    levels = f"{significant(change.aim.before)} to {significant(after)} {unit}".strip()
    return f"{word}, {size} ({title} {levels})"


def trait_named(book: Book, change: Change) -> tuple[str, str]:
    """A trait's title and unit."""
    trait = change.aim.trait
    if trait.family == Family.PROPERTIES:
        quantity = book.properties[trait.of]
        return quantity.title, quantity.spoken_unit
    return next((PLURALS[kind] for kind in PLURALS if kind == trait.of), trait.of), "%"


def changes_in_words(book: Book, changes: Sequence[Change]) -> list[str]:
    """The changes worth telling, the largest first."""
    ranked = sorted(changes, key=lambda change: -change.difference)
    return [change_in_words(book, change) for change in ranked if change.difference >= SLIGHT]
