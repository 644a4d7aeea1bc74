"""A recipe as a table: the column `ingredient`, and percentages or weights beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from optimiser.ingredient import Book
from optimiser.provenance import Exact, Origin, plain_number
from optimiser.reading.cells import cell_text
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import Names, fold, is_total
from optimiser.reading.recipe import Entry, Recipe, identified, shares_of
from optimiser.reading.recipe_amounts import (
    IN_PERCENT,
    UNSAID,
    Unit,
    amount_of_cell,
    unit_of_heading,
)
from optimiser.reading.sheet import Sheet, read_sheet
from optimiser.reading.wording import quoted

INGREDIENT = "ingredient"

UNIT = "unit"
"""The column that may hold the units of amounts whose heading gives none."""

AMOUNT_HEADINGS = (
    *("percent", "%", "grams", "g", "weight", "weight (g)", "amount", "amount (g)", "quantity"),
    *("ounces", "oz", "weight (oz)", "kg", "lb"),
)
"""The commonest headings of amounts, by which a workbook's sheet and the separator are told."""

CONTRADICTION = 1
"""Shares of two columns that differ by more, in points, are no matter of rounding."""


@dataclass(frozen=True, slots=True)
class _Column:
    """A column of amounts.

    Attributes:
        heading: As written.
        unit: What the heading gives its numbers.
        is_filled: Whether every row has an amount.
    """

    heading: str
    unit: Unit
    is_filled: bool


@dataclass(frozen=True, slots=True)
class _Trial:
    """What a column gives when it is read alone.

    Attributes:
        column: The column.
        shares: Percent by ingredient id, or None where anything is wrong.
        is_off: Whether nothing but its sum is wrong.
    """

    column: _Column
    shares: Mapping[str, Exact] | None
    is_off: bool


def shares_of_table(
    path: Path, file: str, names: Names, book: Book, findings: Findings
) -> Mapping[str, Exact] | None:
    """Percent by ingredient id, from the table in a file.

    Percentages count before weights, as long as they sum to 100; else the first column of
    weights does, and a remark says so. The other columns are not used: a remark says so, and
    where they would give quite another formula.

    Args:
        path: The CSV or XLSX file.
        file: What the maker calls it.
        names: How the ingredients may be called.
        book: Their densities turn volumes into weights.
        findings: Where mistakes and remarks are noted.
    """
    sheet = read_sheet(
        path, file, Origin(file), [INGREDIENT], AMOUNT_HEADINGS, findings, "a recipe", names
    )
    if sheet is None:
        return None
    columns = _columns(sheet, names)
    if not columns:
        found = ", ".join(quoted(heading) for heading in sheet.headings[:12] if heading)
        findings.wrong(
            Origin(file, sheet.heading_row),
            f"no column `percent` and none of weights, such as `grams`; add one to the headings, "
            f"which are {found}",
        )
        return None
    trials = [_tried(sheet, column, names, book) for column in columns if len(columns) > 1]
    used = _chosen(trials, file, findings) if trials else columns[0]
    given = {trial.column.heading: trial.shares for trial in trials}
    told = {INGREDIENT, fold(used.heading)}
    if used.unit == UNSAID:
        told.add(UNIT)
    if columns[0].unit == IN_PERCENT and used.unit != IN_PERCENT:
        told.add(fold(columns[0].heading))
    for heading in sheet.headings:
        if heading and fold(heading) not in told:
            differs = _contradiction(given.get(used.heading), given.get(heading), used.heading)
            findings.remark(file, f"the column {quoted(heading)} is not used{differs}")
    if sheet.is_empty and used.unit != IN_PERCENT:
        findings.wrong(Origin(file), "no rows below the headings; write one for each ingredient")
        return None
    recipe = _recipe(sheet, used, names, findings)
    return shares_of(recipe, names, book, findings)


def _columns(sheet: Sheet, names: Names) -> list[_Column]:
    """The columns of amounts, percentages first."""
    named = {number for number, name in sheet.texts(INGREDIENT).items() if names.known(name)}
    columns = []
    for heading in sheet.headings:
        unit = unit_of_heading(heading)
        if unit is not None:
            is_filled = named.issubset(sheet.texts(heading))
            columns.append(_Column(heading, unit, is_filled))
    return sorted(columns, key=lambda column: column.unit != IN_PERCENT)


def _tried(sheet: Sheet, column: _Column, names: Names, book: Book) -> _Trial:
    """What the formula would be by this column alone."""
    unheard = Findings()
    recipe = _recipe(sheet, column, names, unheard)
    shares = shares_of(recipe, names, book, unheard)
    is_off = bool(unheard.mistakes) and all(
        mistake.origin == recipe.origin for mistake in unheard.mistakes
    )
    return _Trial(column, None if unheard.mistakes else shares, is_off)


def _chosen(trials: list[_Trial], file: str, findings: Findings) -> _Column:
    """The column that counts: percentages that sum to 100, else weights, else the first.

    Percentages that cannot be read stay what counts, so that their mistakes are told.
    """
    percent, weights = trials[0], trials[1:]
    if percent.column.unit != IN_PERCENT:
        filled = [trial.column for trial in trials if trial.column.is_filled]
        return [*filled, percent.column][0]
    if not percent.is_off and percent.column.is_filled:
        return percent.column
    for other in weights:
        if other.column.is_filled and other.shares is not None:
            reason = "does not sum to 100" if percent.is_off else "is not filled in everywhere"
            found, counts = quoted(percent.column.heading), quoted(other.column.heading)
            findings.remark(file, f"{found} {reason}, so that {counts} counts")
            return other.column
    return percent.column


def _contradiction(
    used: Mapping[str, Exact] | None, other: Mapping[str, Exact] | None, heading: str
) -> str:
    """Where another column would give quite another formula, as the end of a sentence."""
    if used is None or other is None:
        return ""
    apart = {
        identifier: Fraction(other.get(identifier, 0)) - Fraction(used.get(identifier, 0))
        for identifier in (*used, *other)
    }
    most = max(apart, key=lambda identifier: abs(apart[identifier]), default=None)
    if most is None or abs(apart[most]) <= CONTRADICTION:
        return ""
    here, there = (plain_number(one.get(most, 0)) for one in (used, other))
    return f"; by it {most} would be {there} %, where {quoted(heading)} has {here} %"


def _recipe(sheet: Sheet, column: _Column, names: Names, findings: Findings) -> Recipe:
    """The entries of the table by one column; rows that cannot be read are mistakes."""
    heading = column.heading
    spoken = fold(heading)
    written = sheet.texts(INGREDIENT)
    cells = {row.number: cell for row, cell in sheet.column(heading)}
    row_units = _row_units(sheet, findings) if column.unit == UNSAID else {}
    entries: list[Entry] = []
    total = None
    for row in sheet.rows:
        number = row.number
        closes = row is sheet.rows[-1] and is_total(written.get(number, ""), names)
        if closes and cell_text(cells.get(number, "")).startswith("="):
            # A sum that was never calculated has nothing to be held against.
            del cells[number]
        if not closes and is_total(written.get(number, ""), names):
            problem = "a total before the last row; delete this row"
            findings.wrong(sheet.at(number, INGREDIENT), problem)
            continue
        for needed, have in ((INGREDIENT, written), (spoken, cells)):
            if number not in have and not closes:
                missing = f"no {needed} in this row; fill it in or delete the row"
                findings.wrong(sheet.at(number, needed), missing)
        amount = None
        unit = row_units.get(number, column.unit)
        if number in cells and unit is not None:
            try:
                amount = amount_of_cell(cells[number], unit)
            except Problem as problem:
                findings.wrong(sheet.at(number, heading), problem)
        if number not in written:
            continue
        at = sheet.at(number, INGREDIENT)
        if amount is None:
            if not closes:
                identified(written[number], at, names, findings)
            continue
        entry = Entry(number, written[number], amount, at, sheet.at(number, heading))
        if closes:
            total = entry
        else:
            entries.append(entry)
        if column.unit.weighs and amount.own_unit and amount.unit != column.unit:
            findings.remark(sheet.file, f"{spoken} has cells with another unit, which counts")
    origin = Origin(sheet.file, None, heading)
    return Recipe(entries, total, "row", f"{spoken} has", origin, not findings.mistakes)


def _row_units(sheet: Sheet, findings: Findings) -> dict[int, Unit | None]:
    """The units in a column of their own, by row; None, and a mistake, for unknown ones."""
    units: dict[int, Unit | None] = {}
    for number, text in sheet.texts(UNIT).items():
        unit = unit_of_heading(text)
        units[number] = None if unit == UNSAID else unit
        if units[number] is None:
            problem = f"no such unit: {quoted(text)}; write g, kg, oz, lb, ml, l or %"
            findings.wrong(sheet.at(number, UNIT), problem)
    return units
