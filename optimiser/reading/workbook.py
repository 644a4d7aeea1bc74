"""A sheet of an XLSX workbook."""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Mapping, Sequence, Set
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from optimiser.reading.caps import (
    LONGEST_CELL,
    MOST_CELLS,
    MOST_COLUMNS,
    MOST_LETTERS,
    MOST_ROWS,
    ROWS_ABOVE_HEADINGS,
)
from optimiser.reading.cells import Cell, Money, NumberedRow
from optimiser.reading.findings import Problem
from optimiser.reading.names import LONGEST_NAME, fold
from optimiser.reading.wording import listed, quoted
from optimiser.reading.workbook_parts import Part, checked_parts
from optimiser.reading.written_numbers import CURRENCIES_OF_SIGN

DECIMALS = 15
"""A calculated number has no more that mean anything."""

MOST_TOLD = 5
"""So many hidden rows or columns are named."""

FIRST_OWN_FORMAT = 164
"""Number formats of lower numbers are built in (ECMA-376 part 1, 18.8.30; from memory)."""

_LOCAL_CURRENCY = re.compile(r"\[\$([^\]\-]+)[^\]]*\]")
_QUOTED = re.compile(r'"([^"]*)"')
_CODE = re.compile(r"[A-Z]{3}")
_LITERAL = re.compile(r'"[^"]*"|\\.')
"""Text in a number format that is shown as it stands; a % in it scales nothing."""


def read_workbook(
    data: bytes, known: Set[str], name: str = ""
) -> tuple[list[NumberedRow], list[str]]:
    """The rows of the sheet that is named, else of the one that has the known headings.

    Args:
        data: The file.
        known: Headings it may have, folded.
        name: The sheet's name, or empty.

    Returns:
        Each row with its number, and what is worth a remark.

    Raises:
        Problem: It is no workbook, openpyxl is missing, there is no such sheet, several are as
            likely, or the table is too large.
    """
    parts = checked_parts(data)
    try:
        from openpyxl import load_workbook
    except ImportError:
        raise Problem(
            "reading a workbook needs openpyxl; run `pip install openpyxl`, or save it as CSV"
        ) from None
    with warnings.catch_warnings():
        # It warns of styles and extensions it does not keep; we keep none of them either.
        warnings.simplefilter("ignore")
        try:
            book = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
            try:
                return _best_sheet(book, known, name, parts)
            finally:
                book.close()
        except Problem:
            raise
        except Exception:
            # A damaged workbook fails in as many ways as it has parts, none of them documented.
            raise Problem("this is not a workbook that can be read; save it again") from None


def _best_sheet(
    book: Any, known: Set[str], name: str, parts: Mapping[str, Part]
) -> tuple[list[NumberedRow], list[str]]:
    """The rows of the sheet that is named or has the most known headings."""
    sheets = list(book.worksheets)
    if not sheets:
        raise Problem("this workbook has no sheet with cells; save the table as CSV")
    for sheet in sheets:
        # The stored extent is often wrong, and then cells would be left out.
        sheet.reset_dimensions()
    best = _named(sheets, name) if name else _likeliest(sheets, known)
    habits = []
    if best.sheet_state != "visible":
        habits.append(f"the sheet {quoted(str(best.title))} is hidden, and is read all the same")
    elif len(sheets) > 1 and not name:
        habits.append(f"read from the sheet {quoted(str(best.title))}")
    part = parts.get(best._worksheet_path, Part())
    rows = _rows(best, part)
    return rows, [*habits, *_hidden(rows, part)]


def _rows(sheet: Any, part: Part) -> list[NumberedRow]:
    """The rows of a sheet that are not blank.

    Raises:
        Problem: There are too many, or too many cells in them.
    """
    rows: list[NumberedRow] = []
    filled = letters = 0
    for number, cells in enumerate(sheet.iter_rows(), start=1):
        if number > MOST_ROWS:
            raise Problem(
                f"more than {MOST_ROWS:,} rows, empty ones counted; "
                "delete those below the last one needed"
            )
        row = [
            part.formulas.get((number, place), "") if cell.value is None else _as_shown(cell)
            for place, cell in enumerate(cells, start=1)
        ]
        while row and row[-1] == "":
            row.pop()
        if len(row) > MOST_COLUMNS:
            raise Problem(
                f"more than {MOST_COLUMNS:,} columns in row {number}; keep only those that are "
                "needed"
            )
        if any(isinstance(cell, str) and len(cell) > LONGEST_CELL for cell in row):
            raise Problem(f"row {number} has a cell of over {LONGEST_CELL:,} letters; shorten it")
        filled += sum(cell != "" for cell in row)
        if filled > MOST_CELLS:
            raise Problem(f"more than {MOST_CELLS:,} cells; keep only those that are needed")
        letters += sum(len(cell) for cell in row if isinstance(cell, str))
        if letters > MOST_LETTERS:
            raise Problem(f"more than {MOST_LETTERS:,} letters; keep only what is needed")
        if row:
            rows.append((number, row))
    return rows


def _hidden(rows: Sequence[NumberedRow], part: Part) -> list[str]:
    """What is read although nobody sees it, as remarks."""
    told = []
    unseen = [number for number, _ in rows if number in part.hidden_rows]
    if unseen:
        told.append(_hidden_ones("row", [str(number) for number in unseen]))
    widest = max((len(cells) for _, cells in rows), default=0)
    columns = [
        place
        for place in range(1, widest + 1)
        if any(first <= place <= last for first, last in part.hidden_columns)
        and any(len(cells) >= place and cells[place - 1] != "" for _, cells in rows)
    ]
    if columns:
        told.append(_hidden_ones("column", [_letters(place) for place in columns]))
    return told


def _hidden_ones(what: str, names: Sequence[str]) -> str:
    """The remark that some rows or columns are hidden."""
    shown = list(names[:MOST_TOLD])
    more = len(names) - len(shown)
    which = listed([*shown, f"{more} more"] if more else shown, "and")
    if len(names) == 1:
        return f"{what} {which} is hidden, and is read all the same"
    return f"{what}s {which} are hidden, and are read all the same"


def _letters(column: int) -> str:
    """A column as a spreadsheet calls it, from 1."""
    letters = ""
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def _named(sheets: Sequence[Any], name: str) -> Any:
    """The sheet of a name, in any case.

    Raises:
        Problem: There is none; with those there are.
    """
    for sheet in sheets:
        if str(sheet.title).casefold() == name.casefold():
            return sheet
    known = listed([quoted(str(sheet.title)) for sheet in sheets], "and")
    raise Problem(f"there is no sheet {quoted(name)} in it; there is {known}")


def _likeliest(sheets: Sequence[Any], known: Set[str]) -> Any:
    """The sheet with the most known headings.

    Raises:
        Problem: Several have as many, so that one has to be named.
    """
    found = [_headings(sheet, known) for sheet in sheets]
    most = max(found)
    likely = [sheet for sheet, count in zip(sheets, found, strict=True) if count == most]
    # A hidden sheet is often an older copy of the one in sight.
    likely = [sheet for sheet in likely if sheet.sheet_state == "visible"] or likely
    if most and len(likely) > 1:
        names = listed([quoted(str(sheet.title)) for sheet in likely], "and")
        raise Problem(
            f"the sheets {names} have the same headings; name one behind the file, as in "
            f"book.xlsx#{likely[0].title}"
        )
    return likely[0]


def _headings(sheet: Any, known: Set[str]) -> int:
    """How many known headings the row with most of them has, among the first."""
    most = seen = 0
    for values in sheet.iter_rows(max_row=100, values_only=True):
        filled = [str(value) for value in values if value not in (None, "")]
        if filled:
            seen += 1
            most = max(most, sum(fold(text[:LONGEST_NAME]) in known for text in filled))
        if seen >= ROWS_ABOVE_HEADINGS:
            break
    return most


def _as_shown(cell: Any) -> Cell:
    """A cell; a number that is shown as a percentage or as money with that sign."""
    shown = _cell(cell.value)
    if not isinstance(shown, Decimal):
        return shown
    number_format = str(cell.number_format)
    if "%" in _LITERAL.sub("", number_format):
        return f"{(100 * shown).normalize():f} %"
    # Which currency a format without its own text shows is up to the country of the reader.
    own_text = cell.style_array.numFmtId >= FIRST_OWN_FORMAT
    currency = _currency(number_format) if own_text else ""
    return Money(shown, currency) if currency else shown


def _currency(number_format: str) -> str:
    """The currency sign or code that a number format shows beside the number, or nothing.

    ECMA-376 part 1, 18.8.31: `[$€-407]` and quoted text (from memory).

    Example:
        >>> _currency('[$€-407] #,##0.00'), _currency('#,##0.00 "GBP"'), _currency('0.00 "kg"')
        ('€', 'GBP', '')
    """
    positive = number_format.partition(";")[0]
    for piece in (*_LOCAL_CURRENCY.findall(positive), *_QUOTED.findall(positive), positive):
        for sign in CURRENCIES_OF_SIGN:
            if sign in piece and (sign != "$" or piece is not positive):
                return sign
        if piece is not positive and _CODE.fullmatch(piece.strip()):
            return str(piece.strip())
    return ""


def _cell(value: object) -> Cell:
    """A cell as text, exact number or date."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, int):
        return Decimal(value)
    if isinstance(value, float):
        # Fifteen digits are what the spreadsheet shows and keeps: 12.12, not
        # 12.120000000000001 as the binary number of a calculated cell would read.
        number = Decimal(f"{value:.15g}")
        return round(number, DECIMALS) if 0 < abs(value) < 1 and _is_long(number) else number
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    if isinstance(value, time | timedelta):
        return str(value)
    return str(value)


def _is_long(number: Decimal) -> bool:
    return number != round(number, DECIMALS)
