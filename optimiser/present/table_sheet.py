"""One table as a sheet: numbers as numbers, sums and costs that go on working."""

from __future__ import annotations

from collections.abc import Sequence
from math import isnan
from typing import TYPE_CHECKING, Any

from optimiser.present.number_formats import as_count, number_formats
from optimiser.present.sheet_cells import (
    bold,
    lines_of,
    put_number,
    put_text,
    set_height,
    set_up_print,
)
from optimiser.tables.frame import Column, Holds, Table

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

NARROWEST, WIDEST = 11, 42
"""Widths of columns in characters; longer text is wrapped."""

MARGIN = 2

MANY_COLUMNS = 7
"""A sheet with more is printed on its side, and keeps its first column in sight."""

TOGETHER = "together"

SUMMED = (Holds.PERCENT, Holds.PART, Holds.WEIGHT)
"""What has a sum below the ingredients of a formula."""

HEADING, FIRST = 1, 2
"""The row of the headings, and the first one below it."""


def write_table(sheet: Worksheet, table: Table) -> None:
    """Write a table onto an empty sheet, without what only programs read."""
    shown = [j for j, column in enumerate(table.columns) if _is_shown(table, j, column)]
    columns = [table.columns[j] for j in shown]
    rows = [[row[j] for j in shown] for row in table.frame.itertuples(index=False, name=None)]
    widths = []
    for j, column in enumerate(columns, start=1):
        values = [row[j - 1] for row in rows]
        write = _write_texts if _is_text(column) else _write_numbers
        longest = write(sheet, j, column, values)
        heading = max(map(len, heading_of(column).split()), default=0) + 1
        widths.append(min(max(longest, heading, NARROWEST), WIDEST) + MARGIN)
    _write_headings(sheet, columns)
    _set_sizes(sheet, columns, rows, widths)
    if table.adds_up and rows:
        _Sums(sheet, columns, len(rows)).write()
    is_wide = len(columns) > MANY_COLUMNS
    sheet.freeze_panes = "B2" if is_wide else "A2"
    sheet.print_title_rows = f"{HEADING}:{HEADING}"
    set_up_print(sheet, is_wide)


def _is_shown(table: Table, j: int, column: Column) -> bool:
    """Whether a column is for the maker: no key, no formula that does not exist."""
    is_absent = (
        table.adds_up and column.holds is Holds.PERCENT and table.frame.iloc[:, j].isna().all()
    )
    return column.holds is not Holds.KEY and not is_absent


def heading_of(column: Column) -> str:
    """What stands above a column: its name in the trade, and the unit of all its rows."""
    return f"{column.heading} ({column.unit})" if column.unit else column.heading


def _is_text(column: Column) -> bool:
    return column.holds in (Holds.WORDS, Holds.YES_NO)


def _worded(value: Any) -> str:
    if isinstance(value, str):
        return value
    # What is not known compares with nothing, not even as unequal.
    return {"True": "yes", "False": "no"}.get(str(value), "not known")


def _write_headings(sheet: Worksheet, columns: Sequence[Column]) -> None:
    from openpyxl.styles import Alignment, Border, Side

    for j, column in enumerate(columns, start=1):
        cell = sheet.cell(HEADING, j)
        put_text(cell, heading_of(column))
        cell.font, cell.border = bold(), Border(bottom=Side(style="thin"))
        side, indent = ("left", int(j > 1)) if _is_text(column) else ("right", 0)
        cell.alignment = Alignment(
            wrap_text=True, vertical="bottom", horizontal=side, indent=indent
        )


def _write_texts(sheet: Worksheet, j: int, column: Column, values: Sequence[Any]) -> int:
    """Write a column of words; returns the length of the longest line."""
    from openpyxl.styles import Alignment

    longest = 0
    for row, value in enumerate(values, start=FIRST):
        text = _worded(value)
        if text:
            cell = sheet.cell(row, j)
            put_text(cell, text)
            # A unit stands clear of the number on its left.
            cell.alignment = Alignment(
                wrap_text=True, vertical="top", horizontal="left", indent=int(j > 1)
            )
            longest = max(longest, *map(len, text.splitlines()), 0)
    return longest


def _write_numbers(sheet: Worksheet, j: int, column: Column, values: Sequence[float]) -> int:
    """Write a column of numbers, none where one is not known; returns the longest as shown."""
    from openpyxl.styles import Alignment

    longest = 0
    styles = number_formats(column.holds, values)
    for row, (value, style) in enumerate(zip(values, styles, strict=True), start=FIRST):
        if not isnan(value):
            cell = sheet.cell(row, j)
            put_number(cell, as_count(value) if column.holds is Holds.COUNT else value)
            cell.number_format = style
            cell.alignment = Alignment(vertical="top")
            longest = max(longest, len(f"{abs(value):.0f}") + len(style.partition(";")[0]))
    return longest


def _set_sizes(
    sheet: Worksheet, columns: Sequence[Column], rows: Sequence[Sequence[Any]], widths: list[int]
) -> None:
    """Set the widths of columns, and the heights of rows with wrapped text."""
    from openpyxl.utils import get_column_letter

    for j, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(j)].width = width
    room = [width - MARGIN for width in widths]
    headings = zip(columns, room, strict=True)
    set_height(sheet, HEADING, max(lines_of(heading_of(c), w, is_bold=True) for c, w in headings))
    texts = [(k, room[k]) for k, column in enumerate(columns) if _is_text(column)]
    for number, row in enumerate(rows, start=FIRST):
        lines = max((lines_of(_worded(row[k]), width) for k, width in texts), default=1)
        if lines > 1:
            set_height(sheet, number, lines)


class _Sums:
    """Sums and costs below formulas, as formulas that follow what the maker changes."""

    def __init__(self, sheet: Worksheet, columns: Sequence[Column], count: int) -> None:
        """Take a sheet with its rows written."""
        from openpyxl.utils import get_column_letter

        self.sheet, self.columns = sheet, columns
        self.last, self.total = FIRST + count - 1, FIRST + count
        self.letters = {c.name: get_column_letter(j) for j, c in enumerate(columns, start=1)}

    def write(self) -> None:
        """Write the row of sums, and where formulas share their prices one of costs."""
        from openpyxl.styles import Border, Side

        self._label(self.total, TOGETHER)
        for column in self.columns:
            if column.holds in SUMMED and self._known(column):
                self._put(column, self.total, f"=SUM({self._span(column)})", column)
        prices = {column.name: column for column in self.columns}
        for column in self.columns:
            if column.priced_by:
                price = prices[column.priced_by]
                sharing = [c for c in self.columns if c.priced_by == price.name]
                if len(sharing) == 1:
                    self._put(price, self.total, self._cost(column, price), price)
                else:
                    self._label(self.total + 1, f"cost ({price.unit})")
                    self._put(column, self.total + 1, self._cost(column, price), price)
        for j in range(1, len(self.columns) + 1):
            self.sheet.cell(self.total, j).border = Border(top=Side(style="thin"))

    def _span(self, column: Column) -> str:
        letter = self.letters[column.name]
        return f"{letter}{FIRST}:{letter}{self.last}"

    def _cost(self, shares: Column, price: Column) -> str:
        """Money per kg of a formula; nothing where a used ingredient has no price."""
        parts, prices = self._span(shares), self._span(price)
        unpriced = f'SUMPRODUCT(({parts}>0)*({prices}=""))'
        unknown = f"OR({unpriced}>0,SUM({parts})=0)"
        return f'=IF({unknown},"",SUMPRODUCT({parts},{prices})/SUM({parts}))'

    def _known(self, column: Column) -> list[str]:
        """The number formats of the cells of a column that have a number."""
        letter = self.letters[column.name]
        cells = [self.sheet[f"{letter}{row}"] for row in range(FIRST, self.total)]
        return [cell.number_format for cell in cells if cell.value is not None]

    def _put(self, place: Column, row: int, formula: str, like: Column) -> None:
        cell = self.sheet[f"{self.letters[place.name]}{row}"]
        cell.value = formula
        cell.number_format = next(iter(self._known(like)), cell.number_format)
        cell.font = bold()

    def _label(self, row: int, text: str) -> None:
        cell = self.sheet.cell(row, 1)
        put_text(cell, text)
        cell.font = bold()
