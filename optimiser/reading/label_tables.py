"""The shipped tables of what labels say: scent allergens, colours, origins, rules.

They are read only where a label, or a certificate of a scent, asks for them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from importlib.resources import files
from importlib.resources.abc import Traversable

from optimiser.ingredient import Book
from optimiser.label import (
    Colour,
    LabelQuestion,
    LabelRule,
    LabelTables,
    MadeFrom,
    Region,
    Says,
)
from optimiser.provenance import InputError, Origin
from optimiser.reading.findings import Problem
from optimiser.reading.inci import ci_numbers
from optimiser.reading.names import fold
from optimiser.reading.strict_tables import PACKAGE, Tables
from optimiser.skin import Allergen

LATER = "2023"
_LISTS = frozenset({"first", LATER})
_OCCASIONS = frozenset({"always", "scent", "net", "net pound"})


def with_label_tables(book: Book, folder: Traversable | None = None) -> Book:
    """The book with scent allergens and what else labels ask for.

    Args:
        book: The ingredients and sources they refer to.
        folder: Where the tables are; by default the package `ingredient_data`.

    Raises:
        InputError: A table is missing or has a mistake; every one is told.
    """
    tables = Tables(files(PACKAGE) if folder is None else folder, [])
    allergens = tuple(_allergens(tables, book))
    label = LabelTables(
        colours=tuple(_colours(tables, book)),
        made_from=tuple(_made_from(tables, book)),
        questions=tuple(_questions(tables, book)),
        rules=tuple(_rules(tables, book, allergens)),
    )
    if tables.mistakes:
        raise InputError(tables.mistakes)
    return replace(book, allergens=allergens, label=label)


def _allergens(tables: Tables, book: Book) -> Iterator[Allergen]:
    """Scent allergens; a name counts towards one of them only."""
    owner: dict[str, str] = {}
    for at, cells in tables.rows("allergens.csv"):
        name, covers, listed, leave_on, rinse_off, source, status, _ = cells
        tables.known(at, listed, _LISTS, "list")
        tables.known(at, source, book.sources, "source")
        names = (name, *(part.strip() for part in covers.split(";") if part.strip()))
        for one in names:
            if owner.setdefault(fold(one), name) != name or names.count(one) > 1:
                tables.wrong(at, f"{one} counts towards {owner[fold(one)]} already; keep one")
        high, low = tables.number(at, rinse_off), tables.number(at, leave_on)
        if not 0 < low <= high:
            tables.wrong(at, "the thresholds must be above 0, and rise from leave-on to rinse-off")
        yield Allergen(name, names, low, high, listed == LATER, source, status, at)


def _colours(tables: Tables, book: Book) -> Iterator[Colour]:
    """Colourants; those without an ingredient are parts of coated ones."""
    for at, cells in tables.rows("colours.csv"):
        name, number, ingredient, status, source, note = cells
        _check(tables, at, book, source, ingredient)
        if number:
            try:
                ci_numbers(number)
            except Problem as problem:
                tables.wrong(at, str(problem))
        yield Colour(name, number, ingredient, status, source, note, at)


def _made_from(tables: Tables, book: Book) -> Iterator[MadeFrom]:
    """What ingredients come from."""
    for at, cells in tables.rows("origins.csv"):
        ingredient, of, how, lists, status, source, note = cells
        _check(tables, at, book, source, ingredient)
        yield MadeFrom(ingredient, of, how, _regions(tables, at, lists), status, source, note, at)


def _questions(tables: Tables, book: Book) -> Iterator[LabelQuestion]:
    """What to ask of suppliers."""
    for at, (ingredient, question, status, source) in tables.rows("label_questions.csv"):
        _check(tables, at, book, source, ingredient)
        yield LabelQuestion(ingredient, question, status, source, at)


def _rules(tables: Tables, book: Book, allergens: tuple[Allergen, ...]) -> Iterator[LabelRule]:
    """What the law of a region wants besides."""
    known = _OCCASIONS | {allergen.name for allergen in allergens}
    for at, (regions, says, when, text, status, source) in tables.rows("label_rules.csv"):
        _check(tables, at, book, source, "")
        tables.known(at, when, known, "occasion")
        kind = tables.word(at, says, Says, Says.NOTE)
        yield LabelRule(_regions(tables, at, regions), kind, when, text, status, source, at)


def _regions(tables: Tables, at: Origin, text: str) -> frozenset[Region]:
    return frozenset(tables.word(at, word, Region, Region.EU) for word in text.split())


def _check(tables: Tables, at: Origin, book: Book, source: str, ingredient: str) -> None:
    """Note a source or an ingredient that no other table knows."""
    tables.known(at, source, book.sources, "source")
    if ingredient:
        tables.known(at, ingredient, book.ingredients, "ingredient")
