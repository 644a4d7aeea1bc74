"""The shipped tables of what scents are made of and of limits on skin.

They are read only where something asks for them, so that a brief without scents does not
wait for them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from importlib.resources import files
from importlib.resources.abc import Traversable

from optimiser.ingredient import Book
from optimiser.provenance import InputError, Origin
from optimiser.reading.strict_tables import PACKAGE, Tables
from optimiser.skin import CATEGORIES, Constituent, Counted, RuleKind, SkinLimit


def with_skin_tables(book: Book, folder: Traversable | None = None) -> Book:
    """The book with constituents and limits on skin.

    Args:
        book: The ingredients and sources they refer to.
        folder: Where the tables are; by default the package `ingredient_data`.

    Raises:
        InputError: A table is missing or has a mistake; every one is told.
    """
    tables = Tables(files(PACKAGE) if folder is None else folder, [])
    constituents = _constituents(tables, book)
    whole = replace(
        book,
        constituents={**constituents, **book.constituents},
        skin_limits=_skin_limits(tables, book),
    )
    if tables.mistakes:
        raise InputError(tables.mistakes)
    return whole


def _constituents(tables: Tables, book: Book) -> dict[str, dict[str, Constituent]]:
    """What scents are made of, by ingredient id and name of the substance."""
    found: dict[str, dict[str, Constituent]] = {}
    for at, cells in tables.rows("constituents.csv"):
        ingredient, name, low, typical, high, status, source, note = cells
        tables.known(at, ingredient, book.ingredients, "ingredient")
        tables.known(at, source, book.sources, "source")
        one = Constituent(
            name=name,
            low=tables.number(at, low) if low else None,
            typical=tables.number(at, typical) if typical else None,
            high=tables.number(at, high),
            status=status,
            source=source,
            origin=at,
            note=note,
        )
        known = [value for value in (one.low, one.typical, one.high) if value is not None]
        if known != sorted(known) or not 0 <= one.high <= 100:
            tables.wrong(at, "low, typical and high must rise, from 0 to 100")
        if tables.new(at, name, found.setdefault(ingredient, {})):
            found[ingredient][name] = one
    return found


def _skin_limits(tables: Tables, book: Book) -> tuple[SkinLimit, ...]:
    """Limits on skin; rows of one limit differ only in categories, bound and source."""
    limits: list[SkinLimit] = []
    shape: dict[str, list[str]] = {}
    for at, cells in tables.rows("skin_limits.csv"):
        identifier, title, of, parts, but_not, categories, value, rule, source, *rest = cells
        locator, status, note, caution = rest
        tables.known(at, source, book.sources, "source")
        for category in categories.split():
            tables.known(at, category, CATEGORIES, "category")
        for name in but_not.split():
            tables.known(at, name, book.ingredients, "ingredient")
        if shape.setdefault(identifier, cells[1:5]) != cells[1:5]:
            tables.wrong(at, f"{identifier} is told otherwise further up; tell it alike")
        counted = tables.word(at, of, Counted, Counted.CONSTITUENTS)
        limits.append(
            SkinLimit(
                id=identifier,
                title=title,
                of=counted,
                parts=_parts(tables, at, parts, book, counted),
                but_not=frozenset(but_not.split()),
                categories=frozenset(categories.split()),
                value=tables.number(at, value),
                rule=tables.word(at, rule, RuleKind, RuleKind.ADVICE),
                source=source,
                locator=locator,
                status=status,
                note=note,
                caution=caution,
                origin=at,
            )
        )
    return tuple(limits)


def _parts(tables: Tables, at: Origin, text: str, book: Book, of: Counted) -> Mapping[str, Decimal]:
    """`Retinol 1; Retinyl Palmitate 0.546`; a single constituent needs no weight."""
    if of is Counted.CONSTITUENTS and ";" not in text:
        name, _, weight = text.rpartition(" ")
        if not name or not _is_number(weight):
            return {text: Decimal(1)}
    parts: dict[str, Decimal] = {}
    for part in text.split(";"):
        name, _, weight = part.strip().rpartition(" ")
        if of is Counted.INGREDIENTS:
            tables.known(at, name, book.ingredients, "ingredient")
        parts[name] = tables.number(at, weight)
        if parts[name] <= 0:
            tables.wrong(at, f"{name} needs a number above 0 behind it")
    return parts


def _is_number(text: str) -> bool:
    return text.replace(".", "", 1).isdigit()
