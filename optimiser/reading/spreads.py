"""The table `price_spread` of a brief: how far prices may move."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from optimiser.ingredient import Book
from optimiser.provenance import plain_number
from optimiser.reading.names import Names
from optimiser.reading.subjects import by_ingredient
from optimiser.reading.toml_document import Document, Entry

MOST = 300
"""The widest spread, in percent."""


def read_spreads(
    document: Document,
    entry: Entry | None,
    subjects: Names,
    book: Book,
    groups: Mapping[str, tuple[str, ...]],
) -> dict[str, Decimal]:
    """The spread of each ingredient that the table speaks of, in percent, by id.

    Args:
        document: The brief.
        entry: The table, or None.
        subjects: How kinds, groups and ingredients may be called.
        book: The ingredients.
        groups: The maker's own groups.
    """
    if entry is None:
        return {}
    example = '[price_spread] and lines such as "cocoa-butter" = 30'
    said: dict[str, tuple[Entry, Decimal]] = {}
    for name, inner in (document.any_table(entry, example) or {}).items():
        subject = document.find(inner, name, subjects)
        percent = document.number(inner, "30")
        if percent is not None and not 0 <= percent <= MOST:
            problem = (
                f"{plain_number(percent)} is not from 0 to {MOST} percent; write for instance 30"
            )
            document.wrong(inner, problem)
            continue
        if subject is None or percent is None:
            continue
        if subject in said:
            document.wrong(inner, f"{subject} stands here already; keep one line")
            continue
        said[subject] = inner, percent
    found, contradictions = by_ingredient(
        ((subject, percent) for subject, (_, percent) in said.items()), book, groups
    )
    for name, one, other in contradictions:
        problem = f"{name} is in {one} too; give it a line of its own, or both the same number"
        document.wrong(said[other][0], problem)
    return found
