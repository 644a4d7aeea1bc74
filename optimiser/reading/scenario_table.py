"""A table of price scenarios: a column an ingredient, a row a scenario, money per kg."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from optimiser.ingredient import Book
from optimiser.provenance import Origin
from optimiser.reading.currencies import same_currency
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import Names, fold, ingredient_names
from optimiser.reading.number_columns import MONEY, read_number_column
from optimiser.reading.sheet import Sheet, read_sheet
from optimiser.reading.wording import quoted

LABELS = frozenset(
    {"scenario", "name", "label", "date", "year", "month", "season", "case"}
    | {"note", "notes", "comment", "remark"}
)
"""Headings of columns that name a row and hold no price."""

SUMMARIES = frozenset(
    {"total", "totals", "sum", "mean", "average", "averages", "median"}
    | {"grand", "overall", "min", "max", "minimum", "maximum"}
    | {"summe", "gesamt", "mittelwert", "durchschnitt", "somme", "moyenne", "suma", "media"}
    | {"totaal", "som", "gemiddelde", "totale", "somma"}
)
"""The words of labels of rows that are made from the others, in several languages."""

OPTION = "--scenarios"


@dataclass(frozen=True, slots=True)
class ScenarioTable:
    """Prices of some ingredients in some scenarios.

    Attributes:
        prices: Money per kg by ingredient id, one for each scenario.
        labels: What each scenario is called: its label, else `row 2` and so on.
        remarks: What was read in a way worth telling.
    """

    prices: Mapping[str, list[Decimal]]
    labels: tuple[str, ...]
    remarks: tuple[str, ...]


def read_scenarios(path: Path, book: Book, currency: str = "") -> ScenarioTable:
    """A table of scenarios.

    Args:
        path: A CSV or XLSX file.
        book: The ingredients.
        currency: The currency that prices are in; another beside a price is a mistake.

    Raises:
        InputError: With every mistake.
    """
    findings = Findings()
    file = path.name or str(path)
    names = ingredient_names(book)
    where = Origin(OPTION, None, file)
    sheet = read_sheet(
        path, file, where, (), list(book.ingredients), findings, "a table of scenarios"
    )
    found: dict[str, list[Decimal]] = {}
    if sheet is not None:
        if sheet.is_empty:
            findings.wrong(Origin(file), "no rows below the headings; write one a scenario")
        found = _columns(sheet, names, currency, findings)
        _refuse_totals(sheet, findings)
        if not found and not findings.mistakes:
            findings.wrong(Origin(file), "no column is headed by an ingredient; name some")
    findings.stop_if_wrong([file])
    assert sheet is not None
    return ScenarioTable(found, _labels(sheet), tuple(findings.remarks))


def _refuse_totals(sheet: Sheet, findings: Findings) -> None:
    """Note rows that sum up the others, which are no scenarios."""
    for heading in sheet.headings:
        if fold(heading) in LABELS:
            for number, text in sheet.texts(heading).items():
                if SUMMARIES.issuperset(fold(text.replace(":", " ")).split()):
                    problem = f"{quoted(text)} sums up the others; delete the row, or rename it"
                    findings.wrong(sheet.at(number, heading), problem)


def _labels(sheet: Sheet) -> tuple[str, ...]:
    """What the rows are called: by the first column that holds labels."""
    heading = next((one for one in sheet.headings if fold(one) in LABELS), None)
    texts = {} if heading is None else sheet.texts(heading)
    return tuple(texts.get(row.number, f"row {row.number}") for row in sheet.rows)


def _columns(
    sheet: Sheet, names: Names, currency: str, findings: Findings
) -> dict[str, list[Decimal]]:
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
            advice = "; a column of names is headed scenario"
            findings.wrong(at, f"{quoted(heading)}: {problem}{advice}")
            continue
        if name in heads:
            findings.wrong(at, f"the same ingredient as {quoted(heads[name])}; delete one")
            continue
        heads[name] = heading
        column = read_number_column(sheet, heading, findings, MONEY)
        prices = column.values
        for number, sign in column.currencies.items():
            if currency and not same_currency(sign, currency):
                problem_of_sign = f"{sign} where the brief costs in {currency}; write {currency}"
                findings.wrong(sheet.at(number, heading), problem_of_sign)
        blank = set(sheet.texts(heading))
        for row in sheet.rows:
            if row.number not in blank:
                advice = "no price in this scenario; fill in the usual one, or leave the column out"
                findings.wrong(sheet.at(row.number, heading), advice)
            elif prices.get(row.number, 0) < 0:
                findings.wrong(sheet.at(row.number, heading), "less than 0; write 0 or more")
        found[name] = [prices[row.number] for row in sheet.rows if row.number in prices]
    return found
