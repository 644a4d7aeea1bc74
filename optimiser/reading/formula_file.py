"""A formula as a table of ingredients and percentages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from optimiser.ingredient import Book
from optimiser.provenance import Origin, plain_number
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import ingredient_names
from optimiser.reading.number_columns import read_number_column
from optimiser.reading.sheet import Sheet, read_sheet
from optimiser.reading.wording import quoted

SUM_MAY_BE_OFF = Decimal("0.05")
"""How far the percentages may be from 100 in all, in points, as rounded shares are."""


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula that a maker has.

    Attributes:
        shares: Percent of the formula by ingredient id, as written; they sum to 100 within
            0.05.
        file: The file as given.
        remarks: What was read in a way worth telling.
    """

    shares: Mapping[str, Decimal]
    file: str
    remarks: tuple[str, ...] = ()


def read_formula(path: str | Path, book: Book) -> Formula:
    """Read a formula: CSV or XLSX with the columns `ingredient` and `percent`.

    Args:
        path: The file.
        book: The ingredients it may name.

    Raises:
        InputError: With every mistake in it; a sum that is off by more than 0.05 says by
            how much.
    """
    file = Path(path).name or str(path)
    findings = Findings()
    sheet = read_sheet(Path(path), file, Origin(file), ["ingredient", "percent"], (), findings)
    shares = {} if sheet is None else _shares(sheet, book, findings)
    if not findings.mistakes:
        _check_sum(shares, file, findings)
    findings.stop_if_wrong([file])
    return Formula(shares, str(path), tuple(findings.remarks))


def _shares(sheet: Sheet, book: Book, findings: Findings) -> dict[str, Decimal]:
    """The percentages by ingredient id; mistakes are noted."""
    used = {sheet.position(heading) for heading in ("ingredient", "percent")}
    for place, heading in enumerate(sheet.headings):
        if place not in used and heading:
            findings.remark(sheet.file, f"the column {quoted(heading)} is not used")
    names = ingredient_names(book)
    written, filled = sheet.texts("ingredient"), sheet.texts("percent")
    percents = read_number_column(sheet, "percent", findings, largest=100).values
    shares: dict[str, Decimal] = {}
    row_of: dict[str, int] = {}
    for number in (row.number for row in sheet.rows):
        for heading, cells in (("ingredient", written), ("percent", filled)):
            if number not in cells:
                missing = f"no {heading} in this row; fill it in or delete the row"
                findings.wrong(sheet.at(number, heading), missing)
        percent = percents.get(number, Decimal(0))
        if not 0 <= percent <= 100:
            beyond = f"{plain_number(percent)} is no percentage; write 0 to 100"
            findings.wrong(sheet.at(number, "percent"), beyond)
        if number not in written:
            continue
        name = written[number]
        try:
            identifier = names.find(name)
        except Problem as problem:
            findings.wrong(sheet.at(number, "ingredient"), f"{quoted(name)}: {problem}")
            continue
        if identifier in row_of:
            twice = f"{quoted(name)} stands in row {row_of[identifier]} too; add the two up"
            findings.wrong(sheet.at(number, "ingredient"), twice)
        row_of.setdefault(identifier, number)
        shares[identifier] = percent
    return shares


def _check_sum(shares: Mapping[str, Decimal], file: str, findings: Findings) -> None:
    """Note a sum that is not 100."""
    total = sum(shares.values(), Decimal(0))
    off = total - 100
    if abs(off) > SUM_MAY_BE_OFF:
        side = "too much" if off > 0 else "too little"
        problem = (
            f"the percentages sum to {plain_number(total)}, {plain_number(abs(off))} {side}; "
            "make them 100"
        )
        findings.wrong(Origin(file, None, "percent"), problem)
