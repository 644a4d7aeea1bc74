"""A formula as makers have it: a table of percentages or weights, or pasted lines."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from optimiser.ingredient import Book
from optimiser.provenance import Exact, Origin
from optimiser.reading.caps import MOST_ROWS, ROWS_ABOVE_HEADINGS
from optimiser.reading.files import is_folder, other_kind_of_file, read_bytes
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import fold, ingredient_names
from optimiser.reading.recipe import shares_of
from optimiser.reading.recipe_amounts import unit_of_heading
from optimiser.reading.recipe_lines import recipe_of_lines
from optimiser.reading.recipe_table import INGREDIENT, shares_of_table
from optimiser.reading.separated_text import decoded

ENDINGS_OF_TEXT = frozenset({".csv", ".tsv", ".txt", ".md"})
"""Files that may hold pasted lines instead of a table."""

_LINE = re.compile(r"[^\r\n]+")
_SEPARATOR = re.compile("sep=", re.IGNORECASE)
_CELL_END = re.compile(r"[,;|\t]")


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula that a maker has.

    Attributes:
        shares: Percent of the formula by ingredient id. Percentages are `Decimal`, as typed,
            and sum to 100 within 0.05; those of a weighed recipe are `Fraction`, and sum to
            100 exactly.
        file: The file as given.
        remarks: What was read in a way worth telling.
    """

    shares: Mapping[str, Exact]
    file: str
    remarks: tuple[str, ...] = ()


def read_formula(path: str | Path, book: Book) -> Formula:
    """Read a formula.

    It is a table, CSV or XLSX, with the column `ingredient` and one of percentages or weights
    (`percent`, `grams`, `weight (oz)`, or `amount` with cells like `120 g`); or lines of an
    ingredient and its amount, such as `Shea butter 40 %` or `12 g beeswax`.

    Args:
        path: The file.
        book: The ingredients it may name; their densities turn volumes into weights.

    Raises:
        InputError: With every mistake in it; percentages that sum to something else than 100
            by more than 0.05 say by how much.
    """
    file = Path(path).name or str(path)
    findings = Findings()
    names = ingredient_names(book)
    try:
        lines, habits = _pasted_lines(Path(path), file)
    except Problem as problem:
        findings.wrong(Origin(file), problem)
        lines, habits = "", []
    shares: Mapping[str, Exact] | None = None
    if lines is None:
        shares = shares_of_table(Path(path), file, names, book, findings)
    elif not findings.mistakes:
        for habit in habits:
            findings.remark(file, habit)
        shares = shares_of(recipe_of_lines(lines, file, names, findings), names, book, findings)
    findings.stop_if_wrong([file])
    return Formula(shares or {}, str(path), tuple(findings.remarks))


def _pasted_lines(path: Path, file: str) -> tuple[str | None, list[str]]:
    """The text of a file without headings, and its habits; no text where it is a table.

    Raises:
        Problem: The file is one of text, and cannot be read.
    """
    if path.suffix.casefold() not in ENDINGS_OF_TEXT or is_folder(path):
        return None, []
    data = read_bytes(path, file)
    kind = other_kind_of_file(data)
    if kind:
        raise Problem(f"this is {kind}, not a CSV; save it as CSV or as .xlsx")
    text, habits = decoded(data)
    return (None if _has_headings(text) else text), habits


def _has_headings(text: str) -> bool:
    """Whether the first line that says anything is one of headings, or one below a title."""
    seen = 0
    for found in islice(_LINE.finditer(text), MOST_ROWS):
        stripped = found.group().strip()
        if not stripped.strip(",;|") or stripped[0] == "#" or _SEPARATOR.match(stripped):
            continue
        cells = [cell.strip(' "') for cell in _CELL_END.split(stripped)]
        if (len(cells) > 1 or not seen) and any(fold(cell) == INGREDIENT for cell in cells):
            return True
        wordy = len(cells) > 1 and not any(letter.isdigit() for letter in stripped)
        if not seen and wordy and any(unit_of_heading(cell) is not None for cell in cells):
            return True
        seen += 1
        if seen == ROWS_ABOVE_HEADINGS:
            break
    return False
