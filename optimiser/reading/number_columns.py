"""The numbers and packs of one column, its decimal mark decided over all of its cells."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from optimiser.reading.cells import Cell, Money, cell_text
from optimiser.reading.dates import is_day
from optimiser.reading.exact_numbers import sensible
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.sheet import Sheet
from optimiser.reading.weights import LIKE_A_PACK, Pack, pack_taken_apart
from optimiser.reading.wording import quoted
from optimiser.reading.written_numbers import (
    LIKE_A_PRICE,
    Written,
    read_number,
    spelling,
    taken_apart,
)


@dataclass(frozen=True, slots=True)
class NumberColumn:
    """The numbers of a column.

    Attributes:
        values: By row number; blank cells and mistakes are absent.
        currencies: The currency sign or code beside a number, by row number, where there is one.
    """

    values: Mapping[int, Decimal]
    currencies: Mapping[int, str]


@dataclass(frozen=True, slots=True)
class Holds:
    """What the numbers of a column are.

    Attributes:
        needed: What they are, as a sentence calls it; a percent sign is refused there.
            Empty where percent signs may stand.
        advice: What to write instead of something else, like `write it like 8.50`.
        instead_of_percent: What to write instead of a percentage, where that differs.
        instead_of_rate: What to write instead of money for a weight, such as `9.00/kg`; empty
            where that is no number like any other text.
        money: Whether currency signs may stand.
        largest: What no number can exceed, which tells decimals from thousands, or None.
    """

    needed: str
    advice: str
    instead_of_percent: str = ""
    instead_of_rate: str = ""
    money: bool = False
    largest: int | None = None


_RATE = re.compile(
    r"[^\d/]{0,6}[0-9][0-9.,]*[^\d/]{0,6}?(?:/|\b(?:per|pro|je|par|por|al)\b)"
    r"\s*(?:[0-9][0-9.,]*)?\s*[^\W\d_]{1,12}\.?",
    re.IGNORECASE,
)
"""Money for a weight or a piece, in one cell."""

MONEY = Holds("money", LIKE_A_PRICE, money=True)


@dataclass(slots=True)
class _Habits:
    """Habits of writing in a column, each with what is told of its first row."""

    found: dict[str, str] = field(default_factory=dict)

    def note(self, habit: str, row: int, written: str, read_as: str) -> None:
        """Note a habit by which a number may have been misread."""
        self.found.setdefault(habit, f"; row {row}, {quoted(written)}, is read as {read_as}")

    def remark(self, sheet: Sheet, heading: str, findings: Findings) -> None:
        """Tell every habit once."""
        for habit, example in sorted(self.found.items()):
            findings.remark(sheet.file, f"{heading} has {habit}{example}")


def read_number_column(
    sheet: Sheet, heading: str, findings: Findings, holds: Holds
) -> NumberColumn:
    """The numbers under a heading.

    Args:
        sheet: The table.
        heading: The column; it may be missing.
        findings: Where mistakes, and habits of writing, are noted.
        holds: What its numbers are.
    """
    written: dict[int, Written] = {}
    values: dict[int, Decimal] = {}
    currencies: dict[int, str] = {}
    for row, cell in sheet.column(heading):
        try:
            if isinstance(cell, Decimal):
                values[row.number] = sensible(cell)
            elif isinstance(cell, Money) and holds.money:
                values[row.number] = sensible(cell.amount)
                currencies[row.number] = cell.currency
            else:
                written[row.number] = _number(cell, holds)
        except Problem as problem:
            findings.wrong(sheet.at(row.number, heading), problem)
    habits = _Habits({"currency signs": ""} if currencies else {})
    mark = _mark(sheet, heading, written, findings, holds.largest)
    for number, one in written.items() if mark != "" else ():
        try:
            value, parted = read_number(one, mark, holds.advice)
        except Problem as problem:
            findings.wrong(sheet.at(number, heading), problem)
            continue
        values[number] = value
        if parted:
            habits.note("thousands separators", number, one.text, f"{value:f}")
        if one.currency:
            habits.found["currency signs"] = ""
        if one.percent:
            habits.found["percent signs"] = ""
        if mark == "," and "," in one.body:
            habits.note("decimal commas", number, one.text, f"{value:f}")
    habits.remark(sheet, heading, findings)
    return NumberColumn(
        dict(sorted(values.items())),
        currencies | {number: one.currency for number, one in written.items() if one.currency},
    )


def _number(cell: Cell, holds: Holds) -> Written:
    """A cell's number taken apart.

    Raises:
        Problem: It is none, or has a sign that does not belong here.
    """
    if isinstance(cell, date):
        raise Problem(f"the date {cell.isoformat()} where a number is needed; {holds.advice}")
    cell = cell_text(cell)
    if holds.instead_of_rate and _RATE.fullmatch(cell):
        raise Problem(f"{quoted(cell)} is money for a pack of its own; {holds.instead_of_rate}")
    one = taken_apart(cell, holds.advice)
    if one.percent and holds.needed:
        advice = holds.instead_of_percent or holds.advice
        raise Problem(f"{one.text} is a percentage where {holds.needed} is needed; {advice}")
    if one.currency and not holds.money:
        raise Problem(f"{one.text} has a currency sign; {holds.advice}")
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
    habits = _Habits()
    for number, pack in packs.items() if mark != "" else ():
        try:
            value, parted = read_number(pack.number, mark, LIKE_A_PACK)
        except Problem as problem:
            findings.wrong(sheet.at(number, heading), problem)
            continue
        sizes[number] = (pack.size(value), pack.measure)
        read_as = pack.text.replace(pack.number.text, f"{value:f}")
        if parted:
            habits.note("thousands separators", number, pack.text, read_as)
        if mark == "," and "," in pack.number.body:
            habits.note("decimal commas", number, pack.text, read_as)
    habits.remark(sheet, heading, findings)
    return sizes


def _pack(cell: Cell) -> Pack:
    """A cell's pack taken apart.

    Raises:
        Problem: It is none.
    """
    if isinstance(cell, date):
        raise Problem(f"the date {cell.isoformat()} where a pack is needed; {LIKE_A_PACK}")
    if isinstance(cell, Decimal):
        return pack_taken_apart(f"{sensible(cell):f}")
    text = cell_text(cell)
    if is_day(text):
        raise Problem(f"the date {text} where a pack is needed; {LIKE_A_PACK}")
    return pack_taken_apart(text)


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
