"""Some words and named tables as an XLSX workbook that a maker goes on working in."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

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
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

ANSWER = "Answer"

WIDTH = 88
"""Width of the sheet with the words, in characters: an A4 page upright."""

INDENT = 2
TITLE_SIZE = 14

NO_TIME = (1980, 1, 1, 0, 0, 0)
"""The first day that ZIP knows; neither it nor the properties can do without one."""

UNIX, READABLE = 3, 0o100644
"""What ZIP says of each part's system and mode, whatever they are here."""


def workbook_bytes(page: Page, tables: Sequence[Table]) -> bytes:
    """A workbook with the words on its first sheet and a sheet for each table.

    The same page and tables give the same bytes: no part of it holds the time.

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
    return _packed(book)


def _packed(book: Workbook) -> bytes:
    """A workbook's bytes, with one day in the place of every time.

    `Workbook.save` says when it was saved; the writer below it does not.
    """
    from openpyxl.writer.excel import ExcelWriter

    book.properties.created = book.properties.modified = datetime(*NO_TIME)
    dated, out = io.BytesIO(), io.BytesIO()
    ExcelWriter(book, ZipFile(dated, "w")).save()
    with ZipFile(dated) as parts, ZipFile(out, "w") as packed:
        for name in parts.namelist():
            part = ZipInfo(name, NO_TIME)
            part.create_system = UNIX
            part.external_attr = READABLE << 16
            packed.writestr(part, parts.read(name), ZIP_DEFLATED)
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
