"""A CSV file as spreadsheets of many countries write it."""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Iterator, Set
from itertools import islice

from optimiser.reading.caps import (
    LONGEST_CELL,
    MOST_CELLS,
    MOST_COLUMNS,
    MOST_ROWS,
    ROWS_ABOVE_HEADINGS,
)
from optimiser.reading.cells import NumberedRow
from optimiser.reading.findings import Problem
from optimiser.reading.names import fold
from optimiser.reading.wording import quoted

_SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "upright strokes"}

_WIDE = (
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)

LETTERS_COMPARED = 400
"""So many bytes are looked at to tell UTF-16 where no byte-order mark does."""

ROWS_COMPARED = 200
"""So many rows are looked at to tell the separator where the headings do not."""


def read_separated(data: bytes, known: Set[str]) -> tuple[list[NumberedRow], list[str]]:
    """The rows of a CSV file.

    Args:
        data: The file.
        known: Headings it may have, folded; they tell the separator.

    Returns:
        Each row with its number as a spreadsheet shows it, and the habits worth a remark.

    Raises:
        Problem: The bytes are no text, a quote is not closed, or the table is too large.
    """
    text, habits = decoded(data)
    text, announced = _announced_separator(text)
    separator = announced or _separator(text, known)
    if announced:
        habits.append("the first line tells the separator")
    if separator != ",":
        habits.append(f"columns are separated by {_SEPARATORS.get(separator, separator)}")
    rows: list[NumberedRow] = []
    number = filled = 0
    try:
        for number, cells in enumerate(_records(text, separator), start=1):
            if number > MOST_ROWS:
                raise Problem(f"more than {MOST_ROWS:,} rows; keep only those that are needed")
            if len(cells) > MOST_COLUMNS:
                raise Problem(
                    f"more than {MOST_COLUMNS:,} columns in row {number}; keep only those that "
                    "are needed"
                )
            filled += sum(map(bool, cells))
            if filled > MOST_CELLS:
                raise Problem(f"more than {MOST_CELLS:,} cells; keep only those that are needed")
            if any(len(cell) > LONGEST_CELL for cell in cells):
                raise Problem(_too_long(number))
            rows.append((number, list(cells)))
    except csv.Error as fault:
        where = f"row {number + 1}"
        if "field larger" in str(fault):
            raise Problem(_too_long(number + 1)) from None
        raise Problem(f'{where}: a " is not closed or stands inside a cell; check it') from None
    return rows, habits


def _too_long(row: int) -> str:
    """What is wrong with a cell that nobody can have meant."""
    return f"row {row} has a cell of over {LONGEST_CELL:,} letters; shorten it"


def decoded(data: bytes) -> tuple[str, list[str]]:
    """The text of a file, and what is worth telling about its encoding.

    A byte-order mark decides, or every other byte being zero; else it is UTF-8 if it can be,
    else Windows-1252.

    Raises:
        Problem: It is no text.
    """
    text, habits = None, []
    for mark, encoding in _WIDE:
        if data.startswith(mark):
            text = _try(data, encoding)
            habits = [f"read as {encoding.upper()}"]
            break
    else:
        wide = _wide_without_mark(data)
        if wide:
            habits = ["read as UTF-16"]
        elif data.startswith(codecs.BOM_UTF8):
            habits = ["it begins with a byte-order mark"]
        text = _try(data, wide or "utf-8-sig")
        if text is None and not habits:
            text = _try(data, "cp1252")
            habits = ["read as Windows-1252"]
    if text is None or "\0" in text:
        raise Problem("this is no text; save it as CSV in UTF-8")
    return text.removeprefix("\ufeff"), habits


def _wide_without_mark(data: bytes) -> str:
    """The encoding of text in two bytes a letter, every other one nothing, or an empty name."""
    head = data[:LETTERS_COMPARED]
    for empty, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
        bytes_there = head[empty::2]
        if 2 * bytes_there.count(0) > len(bytes_there) and 0 not in head[1 - empty :: 2]:
            return encoding
    return ""


def _try(data: bytes, encoding: str) -> str | None:
    """The text in this encoding, or None."""
    try:
        return data.decode(encoding)
    except UnicodeDecodeError:
        return None


def _announced_separator(text: str) -> tuple[str, str | None]:
    """Take off a first line such as `sep=;`, which a spreadsheet obeys and does not show.

    Raises:
        Problem: It names a sign that cells are made of.
    """
    first = re.split(r"[\r\n]", text[:20], maxsplit=1)[0]
    if not first.casefold().startswith("sep=") or len(first) != 5:
        return text, None
    if first[4].isalnum() or first[4] in "\"' .-":
        raise Problem(f"{quoted(first)} names no separator; write sep=; or delete the line")
    rest = text[5:]
    return rest.removeprefix("\r").removeprefix("\n"), first[4]


def _records(text: str, separator: str) -> Iterator[list[str]]:
    """The records of the text, empty lines included."""
    return csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)


def _separator(text: str, known: Set[str]) -> str:
    """The separator: the one that gives the most known headings, then the steadiest rows."""
    best, best_merit = ",", (0, False, 0)
    for separator in _SEPARATORS:
        widths: list[int] = []
        headings = 0
        width = 0
        try:
            for cells in islice(_records(text, separator), MOST_ROWS):
                if any(cell.strip() for cell in cells):
                    widths.append(len(cells))
                    found = sum(fold(cell) in known for cell in cells[:MOST_COLUMNS])
                    if len(widths) <= ROWS_ABOVE_HEADINGS and found > headings:
                        headings, width = found, len(cells)
                if len(widths) >= ROWS_COMPARED:
                    break
        except csv.Error:
            # What was read before it still counts; the fault is told by the real reading.
            pass
        if widths:
            steady = widths[0] > 1 and len(set(widths)) == 1
            merit = (headings, steady, width or widths[0])
            if merit > best_merit:
                best, best_merit = separator, merit
    return best
