"""Cells, heights and printing of a maker's sheet."""

from __future__ import annotations

import re
from copy import copy
from textwrap import wrap
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from openpyxl.cell import Cell
    from openpyxl.styles import Font
    from openpyxl.worksheet.worksheet import Worksheet

USUAL_SIZE = 11
LINE = 15.0
"""Size of the text and height of a line of it, in points."""

LETTERS = 1.1
"""Letters of running text in the width of a digit, by which columns are measured."""

BOLD = 1.15
"""Bold text is so much wider."""

MOST_SIGNS = 32_767
"""A cell of the format holds no more."""

UNSTORABLE = re.compile("[^\t\n\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What XML has no place for: control characters, halves of characters and the like."""

ESCAPE_LIKE = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
"""Text that the format would read as the number of a character."""

REPLACED = "\ufffd"

ACTIVE = tuple("=+-@\t\r\n")
"""Text that begins so would be taken for a formula when its cell is edited."""


def storable(text: str) -> str:
    """Text as the format can hold it: line breaks as one sign, what has no place replaced."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    kept = UNSTORABLE.sub(REPLACED, lines)
    return ESCAPE_LIKE.sub("_x005F_", kept)[:MOST_SIGNS]


def put_text(cell: Cell, text: str) -> None:
    """Text that no spreadsheet takes for a formula, a number or an error."""
    cell.value = storable(text)
    cell.data_type = "s"
    if text.startswith(ACTIVE):
        cell.quotePrefix = True


def put_number(cell: Cell, value: float) -> None:
    """A number with every digit, where openpyxl alone would round it to sixteen."""
    cell.value = repr(value + 0)
    cell.data_type = "n"


def bold(size: int = USUAL_SIZE) -> Font:
    """The usual letters, bold."""
    from openpyxl.styles.fonts import DEFAULT_FONT

    font = copy(DEFAULT_FONT)
    font.b, font.sz = True, size
    return font


def lines_of(text: str, width: float, size: int = USUAL_SIZE, is_bold: bool = False) -> int:
    """In how many lines a column of some width, in usual characters, shows a text."""
    wider = size / USUAL_SIZE * (BOLD if is_bold else 1.0)
    fitting = max(1, int(width * LETTERS / wider))
    return sum(max(1, len(wrap(line, fitting))) for line in text.splitlines() or [""])


def set_height(sheet: Worksheet, row: int, lines: int, size: int = USUAL_SIZE) -> None:
    """Make a row high enough for its lines.

    Not every spreadsheet does that itself for text that it did not wrap itself.
    """
    sheet.row_dimensions[row].height = LINE * lines * size / USUAL_SIZE


def set_up_print(sheet: Worksheet, is_wide: bool) -> None:
    """A4, as wide as the page, as long as need be."""
    sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
    sheet.page_setup.orientation = "landscape" if is_wide else "portrait"
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.oddFooter.left.text = "&A"
    sheet.oddFooter.right.text = "&P / &N"
