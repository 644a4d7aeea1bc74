"""Every reader of files by name, to be given any bytes at all."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from reading_support import COSTING, PRICES
from recipe_support import wider_book

from optimiser.ingredient import Book
from optimiser.provenance import InputError, Origin
from optimiser.reading import (
    ingredient_names,
    read_book,
    read_formula,
    read_request,
    read_scenarios,
)
from optimiser.reading.certificates import add_certificates
from optimiser.reading.findings import Findings
from optimiser.reading.skin_tables import with_skin_tables

OWN = "ingredient,kind,vitamin_e\nMarula oil,oil,12.5\nbeeswax,,0.5\n"
"""An own sheet without mistakes."""

BRIEF_WITH_SHEET = COSTING + '[shelf]\nsheets = ["{own}"]\n'


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of reading: a record or messages.

    Attributes:
        record: What was read, or None.
        messages: What is wrong, one line a mistake.
        remarks: What is told beside the record.
    """

    record: object
    messages: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()


@cache
def plain_book() -> Book:
    """The small book with names that hold digits."""
    return wider_book()


@cache
def skin_book() -> Book:
    """The shipped book with limits on skin."""
    return with_skin_tables(read_book())


def _brief(folder: Path, data: bytes, name: str) -> Outcome:
    put(folder, "prices.csv", PRICES.encode())
    put(folder, "own.csv", OWN.encode())
    put(folder, name, data)
    request = read_request(folder / name, book=skin_book())
    return Outcome(request, remarks=request.remarks)


def _prices(folder: Path, data: bytes, name: str) -> Outcome:
    put(folder, "brief.toml", COSTING.replace("prices.csv", name).encode())
    put(folder, name, data)
    request = read_request(folder / "brief.toml", book=plain_book())
    return Outcome(request, remarks=request.remarks)


def _own(folder: Path, data: bytes, name: str) -> Outcome:
    put(folder, "brief.toml", BRIEF_WITH_SHEET.format(own=name).encode())
    put(folder, "prices.csv", PRICES.encode())
    put(folder, name, data)
    request = read_request(folder / "brief.toml", book=plain_book())
    return Outcome(request, remarks=request.remarks)


def _certificates(folder: Path, data: bytes, name: str) -> Outcome:
    put(folder, name, data)
    findings, book = Findings(), skin_book()
    names = ingredient_names(book)
    found = add_certificates(book, folder / name, name, Origin(name), names, findings)
    findings.stop_if_wrong([name])
    return Outcome((found.constituents, found.certified), remarks=tuple(findings.remarks))


def _scenarios(folder: Path, data: bytes, name: str) -> Outcome:
    put(folder, name, data)
    table = read_scenarios(folder / name, plain_book(), "GBP")
    return Outcome(table, remarks=table.remarks)


def _recipe(folder: Path, data: bytes, name: str) -> Outcome:
    put(folder, name, data)
    formula = read_formula(folder / name, plain_book())
    return Outcome(formula, remarks=formula.remarks)


READERS: dict[str, Callable[[Path, bytes, str], Outcome]] = {
    "brief.toml": _brief,
    "prices.csv": _prices,
    "own.csv": _own,
    "certificates.csv": _certificates,
    "scenarios.csv": _scenarios,
    "recipe.csv": _recipe,
    "recipe.txt": _recipe,
    "prices.xlsx": _prices,
    "own.xlsx": _own,
    "certificates.xlsx": _certificates,
    "scenarios.xlsx": _scenarios,
    "recipe.xlsx": _recipe,
}
"""What reads a file of this name."""


def put(folder: Path, name: str, data: bytes) -> None:
    """Write a file, unless it has these bytes already."""
    path = folder / name
    if not path.is_file() or path.read_bytes() != data:
        path.write_bytes(data)


def outcome(folder: Path, name: str, data: bytes) -> Outcome:
    """What the reader of `name` makes of the bytes; any exception but `InputError` passes."""
    try:
        return READERS[name](folder, data, name)
    except InputError as error:
        return Outcome(None, tuple(str(mistake) for mistake in error.mistakes))


def checked(folder: Path, name: str, data: bytes) -> Outcome:
    """The outcome, after checking what holds for every input.

    A message or a remark is one printable line that begins with a file's name, and reading
    again gives the same.
    """
    first = outcome(folder, name, data)
    assert (first.record is None) == bool(first.messages)
    known = {name, "brief.toml", "prices.csv", "own.csv"}
    for sentence in (*first.messages, *first.remarks):
        assert sentence.isprintable(), sentence
        assert sentence.startswith(tuple(known)), sentence
        assert len(sentence) < 2_000, sentence
    assert outcome(folder, name, data) == first
    return first
