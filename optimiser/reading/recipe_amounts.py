"""The amounts of a recipe as makers write them: `40 %`, `40`, `120 g`, `4 oz`, `10 ml`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from optimiser.reading.cells import Cell, cell_text
from optimiser.reading.exact_numbers import sensible
from optimiser.reading.findings import Problem
from optimiser.reading.names import fold
from optimiser.reading.weights import KG, pack_taken_apart
from optimiser.reading.wording import quoted
from optimiser.reading.written_numbers import Written, refuse_formula, taken_apart

PERCENT = "%"
BARE = ""

_PERCENT_WORDS = re.compile(r"\s*(?:%|percent|per cent|percentage|pct)(?:\s*w/w)?", re.IGNORECASE)
_HEADING = re.compile(
    r"(?P<what>weight|amount|quantity|qty|mass|volume)?s?(?:\s+in\b)?"
    r"\s*[(\[/,:]?\s*(?P<unit>[a-z%][a-z%. /]*)?\s*[)\]]?"
)


@dataclass(frozen=True, slots=True)
class Unit:
    """What an amount is multiplied by, and what it is then.

    Attributes:
        factor: Turns the number into `measure`.
        measure: `kg`, `ml`, `%`, or empty where a number stands alone.
    """

    factor: Fraction
    measure: str

    @property
    def weighs(self) -> bool:
        """Whether it is a weight, or a volume that becomes one."""
        return self.measure not in {PERCENT, BARE}


IN_PERCENT = Unit(Fraction(1), PERCENT)
UNSAID = Unit(Fraction(1), BARE)
GRAMS = Unit(Fraction(1, 1000), KG)

_SPOKEN = {
    Unit(pack.unit, pack.measure): name
    for name in ("kg", "g", "lb", "oz", "ml", "l", "US fl oz", "UK fl oz")
    for pack in (pack_taken_apart(f"1 {name}"),)
}


def spoken(unit: Unit) -> str:
    """The unit as a sentence writes it.

    Example:
        >>> spoken(GRAMS)
        'g'
    """
    return _SPOKEN.get(unit, unit.measure)


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount taken apart, the marks of its number not yet understood.

    Attributes:
        text: As the maker wrote it.
        number: What is multiplied by `unit`; a number where a workbook stores one.
        unit: Its unit, from beside it or from the heading above.
        count: How many there are of it: 2 in `2 x 500 g`.
        own_unit: Whether the unit stands beside the number.
    """

    text: str
    number: Written | Decimal
    unit: Unit
    count: int = 1
    own_unit: bool = False


def unit_of_heading(heading: str) -> Unit | None:
    """The unit that a column heading gives its numbers, or None where it heads no amounts.

    `weight`, `amount` and the like alone give none: then `UNSAID`, and each cell has its own.

    Example:
        >>> unit_of_heading("Weight (g)") == unit_of_heading("grams") == GRAMS
        True
    """
    found = _HEADING.fullmatch(fold(heading))
    if found is None or not found.group().strip():
        return None
    unit = (found.group("unit") or "").strip()
    if not unit:
        return UNSAID if found.group("what") else None
    if _PERCENT_WORDS.fullmatch(unit):
        return IN_PERCENT
    try:
        pack = pack_taken_apart(f"1 {unit}")
    except Problem:
        return None
    return Unit(pack.unit, pack.measure)


def amount_of_cell(cell: Cell, heading: Unit) -> Amount:
    """The amount in a cell.

    Args:
        cell: Text, or a number or date of a workbook.
        heading: The unit that its column has, or `UNSAID`.

    Raises:
        Problem: It is no amount.
    """
    if isinstance(cell, date):
        raise Problem(f"the date {cell.isoformat()} where a number is needed; write it like 8.50")
    if isinstance(cell, Decimal):
        value = sensible(cell)
        return Amount(f"{value:f}", value, heading)
    cell = cell_text(cell)
    if heading == IN_PERCENT:
        text = cell.strip()
        return Amount(text, _plain(text), IN_PERCENT, own_unit=text.endswith("%"))
    amount = amount_taken_apart(cell)
    if not amount.own_unit:
        return Amount(amount.text, amount.number, heading)
    if heading.weighs and not amount.unit.weighs:
        raise Problem(f"{amount.text} under a heading in {spoken(heading)}; write the weight")
    return amount


def amount_taken_apart(text: str) -> Amount:
    """The number and unit of an amount.

    Raises:
        Problem: It is no amount, or its unit is not known or means two things.
    """
    refuse_formula(text)
    text = text.strip()
    bare = text.rstrip("%abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ/ ").rstrip()
    after = text[len(bare) :]
    if not after.strip():
        return Amount(text, _plain(text), UNSAID)
    if _PERCENT_WORDS.fullmatch(after):
        return Amount(text, _plain(bare), IN_PERCENT, own_unit=True)
    if not text[:1].isdigit() and text[:1] not in {".", ","}:
        if text[:1] in {"-", "\u2212"} and bare != text[:1]:
            raise Problem(f"{text} is less than nothing; write 0 or more")
        raise Problem(f"{quoted(text)} is no amount; write it like 120 g")
    pack = pack_taken_apart(text)
    return Amount(text, pack.number, Unit(pack.unit, pack.measure), pack.count, own_unit=True)


def _plain(text: str) -> Written:
    """A number without a currency.

    Raises:
        Problem: It is none.
    """
    written = taken_apart(text)
    if written.currency:
        raise Problem(f"{written.text} has a currency sign; write a plain number like 8.50")
    return written
