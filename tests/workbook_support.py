"""Workbooks read again, and what holds for every one of them."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import Any

from openpyxl import load_workbook
from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

ANSWER = "Answer"
TOGETHER = "together"
NUMBER = re.compile(r"[-+]?\d+([.,]\d+)?( ?%)?")

Row = dict[str, Any]


def read(path: Path) -> Workbook:
    """A workbook, after checking what holds for all."""
    book = load_workbook(io.BytesIO(path.read_bytes()))
    assert book.sheetnames[0] == ANSWER
    for sheet in book:
        check_sheet(sheet)
    return book


def check_sheet(sheet: Worksheet) -> None:
    """Print set up, widths set; of a table headings frozen and bold, and no number as text."""
    assert int(sheet.page_setup.paperSize) == 9
    assert (int(sheet.page_setup.fitToWidth), int(sheet.page_setup.fitToHeight)) == (1, 0)
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert len(sheet.title) <= 31
    widths = [column.width for column in sheet.column_dimensions.values()]
    assert widths
    assert all(9 <= width <= 100 for width in widths)
    if sheet.title == ANSWER:
        assert all(cell.alignment.wrap_text for (cell,) in sheet.iter_rows() if cell.value)
        return
    assert sheet.freeze_panes in ("A2", "B2")
    assert sheet.print_title_rows == "$1:$1"
    assert all(cell.font.bold and cell.data_type == "s" for cell in sheet[1])
    assert len({cell.value for cell in sheet[1]}) == sheet.max_column
    assert all(sheet.column_dimensions[cell.column_letter].width >= 9 for cell in sheet[1])
    for row in sheet.iter_rows(min_row=2):
        for cell in row:
            if cell.data_type == "s":
                assert not NUMBER.fullmatch(cell.value), (sheet.title, cell.coordinate)
            elif cell.data_type == "f":
                assert row[0].value == TOGETHER or row[0].value.startswith("cost"), cell.coordinate
            elif cell.value is not None:
                assert isinstance(cell.value, int | float)
                assert cell.number_format != "General", (sheet.title, cell.coordinate)


def rows(book: Workbook, title: str) -> list[Row]:
    """The rows of a sheet by heading, without sums."""
    sheet = book[title]
    heads = [cell.value for cell in sheet[1]]
    found = []
    for cells in sheet.iter_rows(min_row=2, values_only=True):
        if cells[0] == TOGETHER:
            break
        found.append(dict(zip(heads, cells, strict=True)))
    return found


def column(book: Workbook, title: str, heading: str) -> list[Any]:
    """The cells of a column."""
    return [row[heading] for row in rows(book, title)]


def words(book: Workbook) -> list[str]:
    """The lines of the first sheet."""
    return [cell for (cell,) in book[ANSWER].iter_rows(values_only=True) if cell]
