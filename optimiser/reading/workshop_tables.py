"""The shipped tables of the workshop: steps of the work, and how far short a fill may fall."""

from __future__ import annotations

from decimal import Decimal
from importlib.resources import files
from importlib.resources.abc import Traversable

from optimiser.ingredient import Book, Kind
from optimiser.production import FillTolerance, Step
from optimiser.provenance import InputError, Origin
from optimiser.reading.strict_tables import PACKAGE, Tables

ANY_STYLE = "any"
"""What stands for a product of no style."""

PERCENT, GRAM = "percent", "g"


def read_method(book: Book, folder: Traversable | None = None) -> tuple[Step, ...]:
    """The steps of every style, in the order of the work.

    Args:
        book: The styles and ingredients that the steps name.
        folder: Where the table is; by default the package `ingredient_data`.

    Raises:
        InputError: The table is missing or has a mistake; every one is told.
    """
    tables = Tables(files(PACKAGE) if folder is None else folder, [])
    steps: list[Step] = []
    last: dict[str, Decimal] = {}
    added: dict[tuple[str, str], Origin] = {}
    styles = {ANY_STYLE, *book.styles}
    for at, cells in tables.rows("method.csv"):
        style, order, phase, adds, only_with, text, *numbers, status, note = cells
        tables.known(at, style, styles, "style")
        place = tables.number(at, order)
        if place <= last.get(style, Decimal(0)):
            tables.wrong(at, f"step {order} of {style} must come after {last[style]}")
        last[style] = place
        for kind in adds.split():
            tables.known(at, kind, set(Kind), "kind")
            if (style, kind) in added:
                tables.wrong(at, f"{kind} is added in {added[style, kind]} already")
            added[style, kind] = at
        for name in only_with.split():
            tables.known(at, name, {*Kind, *book.ingredients}, "kind or ingredient")
        low, high, shortest, longest = (
            tables.number(at, text) if text else None for text in numbers
        )
        for least, most in ((low, high), (shortest, longest)):
            if least is not None and most is not None and least > most:
                tables.wrong(at, f"{least} is above {most}")
        if not text or not phase or not status:
            tables.wrong(at, "a step has a phase, words and a status")
        steps.append(
            Step(
                style="" if style == ANY_STYLE else style,
                phase=phase,
                adds=frozenset(adds.split()),
                only_with=frozenset(only_with.split()),
                text=text,
                temperature=(low, high),
                minutes=(shortest, longest),
                status=status,
                note=note,
                origin=at,
            )
        )
    _check_kinds(tables, styles, added)
    if tables.mistakes:
        raise InputError(tables.mistakes)
    return tuple(steps)


def _check_kinds(tables: Tables, styles: set[str], added: dict[tuple[str, str], Origin]) -> None:
    """Every kind goes in somewhere, whatever the style."""
    for style in sorted(styles):
        for kind in Kind:
            if (style, kind) not in added and not tables.mistakes:
                at = Origin(f"{PACKAGE}/method.csv")
                tables.wrong(at, f"{style} has no step that adds {kind}")


def read_fill_tolerances(
    book: Book, folder: Traversable | None = None
) -> tuple[FillTolerance, ...]:
    """How far short a fill may fall, by scheme and weight on the label.

    Args:
        book: The sources that the table names.
        folder: Where the table is; by default the package `ingredient_data`.

    Raises:
        InputError: The table is missing or has a mistake; every one is told.
    """
    tables = Tables(files(PACKAGE) if folder is None else folder, [])
    found: list[FillTolerance] = []
    ends: dict[str, Decimal] = {}
    for at, cells in tables.rows("fill_tolerances.csv"):
        scheme, title, start, end, value, unit, source, locator, status = cells
        tables.known(at, source, book.sources, "source")
        tables.known(at, unit, {PERCENT, GRAM}, "unit")
        one = FillTolerance(
            scheme=scheme,
            title=title,
            from_g=tables.number(at, start),
            to_g=tables.number(at, end),
            value=tables.number(at, value),
            is_percent=unit == PERCENT,
            source=source,
            locator=locator,
            status=status,
            origin=at,
        )
        if one.from_g >= one.to_g or one.from_g != ends.get(scheme, one.from_g):
            tables.wrong(at, "bands must rise and meet")
        ends[scheme] = one.to_g
        found.append(one)
    if tables.mistakes:
        raise InputError(tables.mistakes)
    return tuple(found)
