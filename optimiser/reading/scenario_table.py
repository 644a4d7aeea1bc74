"""A table of price scenarios: a column an ingredient, a row a scenario, money per kg."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from optimiser.ingredient import Book
from optimiser.provenance import Origin
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import Names, fold, ingredient_names
from optimiser.reading.number_columns import MONEY, read_number_column
from optimiser.reading.sheet import Sheet, read_sheet
from optimiser.reading.wording import quoted

LABELS = frozenset({"scenario", "name", "label", "date", "note"})
"""Headings of columns that name a row and hold no price."""

OPTION = "--scenarios"


def read_scenarios(path: Path, book: Book) -> tuple[dict[str, list[Decimal]], tuple[str, ...]]:
    """The prices per kg of each ingredient, by id, one for each row; and remarks.

    Args:
        path: A CSV or XLSX file.
        book: The ingredients.

    Raises:
        InputError: With every mistake.
    """
    findings = Findings()
    file = path.name or str(path)
    names = ingredient_names(book)
    where = Origin(OPTION, None, file)
    sheet = read_sheet(path, file, where, (), list(book.ingredients), findings)
    found: dict[str, list[Decimal]] = {}
    if sheet is not None:
        if sheet.is_empty:
            findings.wrong(Origin(file), "no rows below the headings; write one a scenario")
        found = _columns(sheet, names, findings)
        if not found and not findings.mistakes:
            findings.wrong(Origin(file), "no column is headed by an ingredient; name some")
    findings.stop_if_wrong([file])
    return found, tuple(findings.remarks)


def _columns(sheet: Sheet, names: Names, findings: Findings) -> dict[str, list[Decimal]]:
    """Every column of prices, complete and not below 0."""
    found: dict[str, list[Decimal]] = {}
    heads: dict[str, str] = {}
    for heading in sheet.headings:
        if fold(heading) in LABELS or not heading:
            continue
        at = sheet.at(sheet.heading_row, heading)
        try:
            name = names.find(heading)
        except Problem as problem:
            findings.wrong(at, f"{quoted(heading)}: {problem}")
            continue
        if name in heads:
            findings.wrong(at, f"the same ingredient as {quoted(heads[name])}; delete one")
            continue
        heads[name] = heading
        prices = read_number_column(sheet, heading, findings, MONEY).values
        blank = set(sheet.texts(heading))
        for row in sheet.rows:
            if row.number not in blank:
                advice = "no price in this scenario; fill it in, or leave the column out"
                findings.wrong(sheet.at(row.number, heading), advice)
            elif prices.get(row.number, 0) < 0:
                findings.wrong(sheet.at(row.number, heading), "less than 0; write 0 or more")
        found[name] = [prices[row.number] for row in sheet.rows if row.number in prices]
    return found
