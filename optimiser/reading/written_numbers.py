"""Numbers as people write them: which mark is the decimal one, and what the number is.

A column is looked at as a whole before any cell is read: `8,50` further down tells that
`1,234` is one and a bit. Where nothing in the column tells, such a cell is a mistake.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from optimiser.reading.exact_numbers import sensible
from optimiser.reading.findings import Problem
from optimiser.reading.wording import quoted

CURRENCIES_OF_SIGN = {
    "£": frozenset({"GBP"}),
    "€": frozenset({"EUR"}),
    "$": frozenset({"USD", "CAD", "AUD", "NZD", "SGD", "HKD", "MXN"}),
    "¥": frozenset({"JPY", "CNY"}),
}
"""The currencies that each sign may stand for."""

# A blank between digits may be an ordinary, no-break, figure, thin or narrow no-break one.
_BLANKS = " \u00a0\u2007\u2009\u202f"
_NO_BLANKS = str.maketrans(dict.fromkeys(_BLANKS, " ") | dict.fromkeys("\u2019\u02bc", "'"))
_MINUS = str.maketrans({"\u2212": "-"})
_BEFORE = re.compile(r"([£€$¥]|[A-Z]{3}(?![A-Za-z])) ?(?=[-+.,0-9])")
_AFTER = re.compile(r" ?([£€$¥]|(?<![A-Za-z])[A-Z]{3})$")
_BODY = re.compile(r"([-+]?)([0-9](?:[0-9.,' ]*[0-9])?|[.,][0-9]+)")
_GROUPS = re.compile(r"[1-9][0-9]{0,2}(?:([.,' ])[0-9]{3})(?:\1[0-9]{3})*")


LIKE_A_PRICE = "write it like 8.50"
"""What a message says of a text that is no number, unless its column has a better example."""


@dataclass(frozen=True, slots=True)
class Written:
    """A number taken apart, its marks not yet understood.

    Attributes:
        text: As the maker wrote it.
        body: Digits and marks, with a minus sign where it is negative.
        currency: A currency sign or code beside it, or empty.
        percent: Whether a percent sign follows.
    """

    text: str
    body: str
    currency: str
    percent: bool


@dataclass(frozen=True, slots=True)
class Spelling:
    """How the numbers of one column are written.

    Attributes:
        point_row: The first row that shows the point to be the decimal mark, or None.
        comma_row: The first row that shows the comma to be it, or None.
    """

    point_row: int | None
    comma_row: int | None

    @property
    def mark(self) -> str | None:
        """The decimal mark, or None where the column does not tell."""
        if self.point_row is not None:
            return "."
        return None if self.comma_row is None else ","

    def check(self) -> None:
        """Refuse a column that uses both.

        Raises:
            Problem: Naming a row with each.
        """
        if self.point_row is not None and self.comma_row is not None:
            raise Problem(
                f"row {self.point_row} has a decimal point and row {self.comma_row} a decimal "
                "comma; write all numbers of the column in one way"
            )


def taken_apart(text: str, advice: str = LIKE_A_PRICE) -> Written:
    """The number without currency and percent signs.

    Args:
        text: What was written.
        advice: What to write instead, where it is no number.

    Raises:
        Problem: It is no number, or a formula.
    """
    refuse_formula(text)
    rest = text.translate(_NO_BLANKS).translate(_MINUS).strip()
    percent = rest.endswith("%")
    rest = rest.removesuffix("%").rstrip()
    negative = rest.startswith("-")
    rest = rest.removeprefix("-").lstrip() if negative else rest
    currency = ""
    before = _BEFORE.match(rest)
    after = _AFTER.search(rest)
    if before is not None:
        currency, rest = before.group(1), rest[before.end() :]
    elif after is not None:
        currency, rest = after.group(1), rest[: after.start()]
    body = _BODY.fullmatch(rest)
    if body is None or (negative and body.group(1)):
        raise Problem(f"{quoted(text.strip())} is not a number; {advice}")
    sign = "-" if negative or body.group(1) == "-" else ""
    return Written(text.strip(), sign + body.group(2), currency, percent)


def refuse_formula(text: str) -> None:
    """Refuse a formula whose value was not stored, as programs leave it that calculate nothing.

    Raises:
        Problem: It begins with an equals sign.
    """
    if text.lstrip().startswith("="):
        raise Problem(
            f"{quoted(text.strip())} is a formula without its value; open the file in a "
            "spreadsheet and save it there, or write the value"
        )


def spelling(rows: Iterable[tuple[int, Written]], largest: int | None = None) -> Spelling:
    """What the cells of a column tell about its decimal mark.

    Args:
        rows: Its cells with their row numbers.
        largest: What no number of the column can exceed, or None: `38.125` in percent
            cannot be 38125.
    """
    point_row = comma_row = None
    for row, written in rows:
        mark = _telling_mark(written.body.removeprefix("-"), largest)
        if mark == "." and point_row is None:
            point_row = row
        elif mark == "," and comma_row is None:
            comma_row = row
    return Spelling(point_row, comma_row)


def _telling_mark(digits: str, largest: int | None) -> str | None:
    """The decimal mark as far as this one number shows it; a malformed one shows nothing."""
    points, commas = digits.count("."), digits.count(",")
    if points and commas:
        mark = "." if digits.rindex(".") > digits.rindex(",") else ","
        return mark if _GROUPS.fullmatch(digits.partition(mark)[0]) else None
    if points + commas == 0:
        return None
    mark, other = (".", ",") if points else (",", ".")
    if points + commas > 1:
        return other if _GROUPS.fullmatch(digits) else None
    if not _ambiguous(digits, mark):
        return mark
    return mark if largest is not None and int(digits.replace(mark, "")) > largest else None


def _ambiguous(digits: str, mark: str) -> bool:
    """Whether the one mark could be a decimal mark or part thousands."""
    before, _, after = digits.partition(mark)
    return len(after) == 3 and before.isdigit() and len(before) <= 3 and before[0] != "0"


def read_number(
    written: Written, mark: str | None, advice: str = LIKE_A_PRICE
) -> tuple[Decimal, bool]:
    """The number, and whether its thousands are parted.

    Args:
        written: The number taken apart.
        mark: The decimal mark of its column, or None where the column does not tell.
        advice: What to write instead, where its marks make no sense.

    Raises:
        Problem: It can be read in two ways, or its marks make no sense.
    """
    negative = written.body.startswith("-")
    digits = written.body.removeprefix("-")
    for one in ".," if mark is None else "":
        if digits.count(one) == 1 and _ambiguous(digits, one):
            raise Problem(
                f"{quoted(written.text)} can be read in two ways; write "
                f"{digits.replace(one, '')} or {digits.replace(one, '.')}0"
            )
    whole, _, decimals = digits.partition(mark or ".")
    groups = _GROUPS.fullmatch(whole)
    grouped = groups is not None and groups.group(1) != mark
    if not (grouped or whole.isdigit() or not whole) or not (decimals.isdigit() or not decimals):
        raise Problem(f"{quoted(written.text)} is not a number; {advice}")
    plain = "".join(letter for letter in whole if letter.isdigit())
    value = sensible(Decimal(f"{plain or '0'}.{decimals}" if decimals else plain))
    return (-value if negative else value), grouped


def read_plain_number(text: str, advice: str = LIKE_A_PRICE) -> Decimal:
    """One number by itself, its decimal mark a point or a comma.

    Args:
        text: What was written.
        advice: What to write instead, where it is no number.

    Raises:
        Problem: It is no number, can be read in two ways, or has a sign of its own.
    """
    written = taken_apart(text, advice)
    if written.currency or written.percent:
        raise Problem(f"{quoted(text.strip())} is not a plain number; {advice}")
    return read_number(written, spelling([(1, written)]).mark, advice)[0]
