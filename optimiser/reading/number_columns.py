"""The numbers and packs of one column, its decimal mark decided over all of its cells."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from optimiser.reading.cells import Cell
from optimiser.reading.exact_numbers import sensible
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.sheet import Sheet
from optimiser.reading.weights import Pack, pack_taken_apart
from optimiser.reading.written_numbers import Written, read_number, spelling, taken_apart


@dataclass(frozen=True, slots=True)
class NumberColumn:
    """The numbers of a column.

    Attributes:
        values: By row number; blank cells and mistakes are absent.
        currencies: The currency sign or code beside a number, by row number, where there is one.
    """

    values: Mapping[int, Decimal]
    currencies: Mapping[int, str]


def read_number_column(
    sheet: Sheet,
    heading: str,
    findings: Findings,
    money: bool = False,
    largest: int | None = None,
) -> NumberColumn:
    """The numbers under a heading.

    Args:
        sheet: The table.
        heading: The column; it may be missing.
        findings: Where mistakes, and habits of writing, are noted.
        money: True where currency signs may stand and percent signs may not.
        largest: What no number here can exceed, which tells decimals from thousands.
    """
    written: dict[int, Written] = {}
    values: dict[int, Decimal] = {}
    for row, cell in sheet.column(heading):
        try:
            if isinstance(cell, Decimal):
                values[row.number] = sensible(cell)
            else:
                written[row.number] = _number(cell, money)
        except Problem as problem:
            findings.wrong(sheet.at(row.number, heading), problem)
    habits = set()
    mark = _mark(sheet, heading, written, findings, largest)
    for number, one in written.items() if mark != "" else ():
        try:
            values[number], parted = read_number(one, mark)
        except Problem as problem:
            findings.wrong(sheet.at(number, heading), problem)
            continue
        if parted:
            habits.add("thousands separators")
        if one.currency:
            habits.add("currency signs")
        if one.percent:
            habits.add("percent signs")
        if mark == "," and "," in one.body:
            habits.add("decimal commas")
    for habit in sorted(habits):
        findings.remark(sheet.file, f"{heading} has {habit}")
    return NumberColumn(
        dict(sorted(values.items())),
        {number: one.currency for number, one in written.items() if one.currency},
    )


def _number(cell: Cell, money: bool) -> Written:
    """A cell's number taken apart.

    Raises:
        Problem: It is none, or has a sign that does not belong here.
    """
    if isinstance(cell, date):
        raise Problem(f"the date {cell.isoformat()} where a number is needed; write it like 8.50")
    assert isinstance(cell, str)
    one = taken_apart(cell)
    if money and one.percent:
        raise Problem(f"{one.text} is a percentage where money is needed; write it like 8.50")
    if one.currency and not money:
        raise Problem(f"{one.text} has a currency sign; write a plain number like 8.50")
    return one


def read_pack_column(
    sheet: Sheet, heading: str, findings: Findings
) -> dict[int, tuple[Fraction, str]]:
    """The packs under a heading: the size in kg or ml, and in which of them, by row number.

    Args:
        sheet: The table.
        heading: The column; it may be missing.
        findings: Where mistakes, and habits of writing, are noted.
    """
    packs: dict[int, Pack] = {}
    for row, cell in sheet.column(heading):
        try:
            packs[row.number] = _pack(cell)
        except Problem as problem:
            findings.wrong(sheet.at(row.number, heading), problem)
    mark = _mark(sheet, heading, {number: pack.number for number, pack in packs.items()}, findings)
    sizes: dict[int, tuple[Fraction, str]] = {}
    habits = {"decimal commas"} if mark == "," else set()
    for number, pack in packs.items() if mark != "" else ():
        try:
            value, parted = read_number(pack.number, mark)
        except Problem as problem:
            findings.wrong(sheet.at(number, heading), problem)
            continue
        sizes[number] = (pack.size(value), pack.measure)
        if parted:
            habits.add("thousands separators")
    for habit in sorted(habits):
        findings.remark(sheet.file, f"{heading} has {habit}")
    return sizes


def _pack(cell: Cell) -> Pack:
    """A cell's pack taken apart.

    Raises:
        Problem: It is none.
    """
    if isinstance(cell, date):
        raise Problem(f"the date {cell.isoformat()} where a pack is needed; write it like 5 kg")
    if isinstance(cell, Decimal):
        return pack_taken_apart(f"{sensible(cell):f}")
    return pack_taken_apart(cell)


def _mark(
    sheet: Sheet,
    heading: str,
    written: Mapping[int, Written],
    findings: Findings,
    largest: int | None = None,
) -> str | None:
    """The decimal mark of a column; empty, and a mistake noted, where it uses both."""
    found = spelling(written.items(), largest)
    try:
        found.check()
    except Problem as problem:
        findings.wrong(sheet.at(sheet.heading_row, heading), problem)
        return ""
    return found.mark
