"""A sheet of an XLSX workbook."""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Iterable, Sequence, Set
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from optimiser.reading.cells import MOST_COLUMNS, MOST_ROWS, Cell, NumberedRow
from optimiser.reading.findings import Problem
from optimiser.reading.names import fold
from optimiser.reading.wording import listed, quoted

MOST_UNPACKED_BYTES = 200_000_000
"""A workbook that unpacks to more is refused."""

DECIMALS = 15
"""A calculated number has no more that mean anything."""

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
    _refuse_bombs(data)
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
            book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
            try:
                return _best_sheet(book, known, name)
            finally:
                book.close()
        except Problem:
            raise
        except Exception:
            # A damaged workbook fails in as many ways as it has parts, none of them documented.
            raise Problem("this is not a workbook that can be read; save it again") from None


def _refuse_bombs(data: bytes) -> None:
    """Refuse what is no zip file or unpacks beyond all measure.

    Raises:
        Problem: Saying which.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            size = sum(part.file_size for part in packed.infolist())
    except Exception:
        # zipfile raises BadZipFile, struct.error, NotImplementedError and others on damage.
        raise Problem("this is not an XLSX workbook; save it as .xlsx or .csv") from None
    if size > MOST_UNPACKED_BYTES:
        raise Problem("this workbook is too large when unpacked; save the sheet as CSV")


def _best_sheet(book: Any, known: Set[str], name: str) -> tuple[list[NumberedRow], list[str]]:
    """The rows of the sheet that is named or has the most known headings."""
    sheets = list(book.worksheets)
    if not sheets:
        raise Problem("this workbook has no sheet with cells; save the table as CSV")
    for sheet in sheets:
        # The stored extent is often wrong, and then cells would be left out.
        sheet.reset_dimensions()
    best = _named(sheets, name) if name else _likeliest(sheets, known)
    habits = []
    if len(sheets) > 1 and not name:
        habits.append(f"read from the sheet {quoted(str(best.title))}")
    rows: list[NumberedRow] = []
    for number, cells in enumerate(best.iter_rows(), start=1):
        if number > MOST_ROWS:
            raise Problem(
                f"more than {MOST_ROWS:,} rows, empty ones counted; "
                "delete those below the last one needed"
            )
        row = [_as_shown(cell) for cell in cells]
        while row and row[-1] == "":
            row.pop()
        if len(row) > MOST_COLUMNS:
            raise Problem(f"more than {MOST_COLUMNS:,} columns in row {number}")
        if row:
            rows.append((number, row))
    return rows, habits


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
    found = [sum(fold(str(cell)) in known for cell in _first_row(sheet)) for sheet in sheets]
    most = max(found)
    likely = [sheet for sheet, count in zip(sheets, found, strict=True) if count == most]
    if most and len(likely) > 1:
        names = listed([quoted(str(sheet.title)) for sheet in likely], "and")
        raise Problem(
            f"the sheets {names} have the same headings; name one behind the file, as in "
            f"book.xlsx#{likely[0].title}"
        )
    return likely[0]


def _first_row(sheet: Any) -> Iterable[object]:
    """The first row that is not blank, within the first hundred."""
    for values in sheet.iter_rows(max_row=100, values_only=True):
        filled = [value for value in values if value not in (None, "")]
        if filled:
            return filled
    return ()


def _as_shown(cell: Any) -> Cell:
    """A cell; one that is formatted as a percentage with its sign, as the sheet shows it."""
    shown = _cell(cell.value)
    if isinstance(shown, Decimal) and "%" in _LITERAL.sub("", cell.number_format):
        return f"{(100 * shown).normalize():f} %"
    return shown


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
