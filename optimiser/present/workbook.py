"""Some words and named tables as an XLSX workbook that a maker goes on working in."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import TYPE_CHECKING

from optimiser.present.page import Entries, Footnote, Items, Page, Part, Picture
from optimiser.present.page import Table as PageTable
from optimiser.present.sheet_cells import (
    USUAL_SIZE,
    bold,
    lines_of,
    put_text,
    set_height,
    set_up_print,
    storable,
)
from optimiser.present.table_sheet import write_table
from optimiser.tables.frame import Table

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

ANSWER = "Answer"

WIDTH = 88
"""Width of the sheet with the words, in characters: an A4 page upright."""

INDENT = 2
TITLE_SIZE = 14


def workbook_bytes(page: Page, tables: Sequence[Table]) -> bytes:
    """A workbook with the words on its first sheet and a sheet for each table.

    Args:
        page: The answer in words; its own tables stand on sheets instead.
        tables: What stands on the other sheets, in order.
    """
    from openpyxl import Workbook

    book = Workbook()
    book.properties.creator = "optimiser"
    book.properties.title = storable(page.title)
    book.active.title = ANSWER
    _write_words(book.active, page)
    for table in tables:
        write_table(book.create_sheet(table.title), table)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _write_words(sheet: Worksheet, page: Page) -> None:
    row = 1
    _say(sheet, row, page.title, TITLE_SIZE)
    for section in page.sections:
        row += 1
        if section.title:
            row += 1
            _say(sheet, row, section.title, USUAL_SIZE)
        for part in section.parts:
            is_list = isinstance(part, Items)
            for text in _words(part):
                row += 1
                _say(sheet, row, text, indent=int(is_list))
    sheet.column_dimensions["A"].width = WIDTH
    set_up_print(sheet, is_wide=False)


def _words(part: Part) -> list[str]:
    """The words of a part; a table stands on a sheet of its own, a picture nowhere."""
    if isinstance(part, PageTable | Footnote | Picture):
        return []
    if isinstance(part, Items):
        return list(part.texts)
    if isinstance(part, Entries):
        return [f"{entry.term}: {' '.join(entry.texts)}" for entry in part.entries]
    return [part.text]


def _say(sheet: Worksheet, row: int, text: str, title_size: int = 0, indent: int = 0) -> None:
    """A paragraph in one cell; a title where it has a size of its own."""
    from openpyxl.styles import Alignment

    cell = sheet.cell(row, 1)
    put_text(cell, text)
    cell.alignment = Alignment(wrap_text=True, vertical="top", indent=indent)
    size = title_size or USUAL_SIZE
    if title_size:
        cell.font = bold(size)
    lines = lines_of(text, WIDTH - INDENT * (1 + indent), size, is_bold=bool(title_size))
    set_height(sheet, row, lines, size)
