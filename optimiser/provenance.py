"""Where a value came from, what the maker said, and what is wrong with it.

Everything above this file carries these records, so that an answer can name the file
and the key behind every limit, and a mistake can say where to look.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

Exact = Fraction | Decimal | int
"""A number without rounding."""


LONGEST_NAME_SHOWN, LONGEST_SENTENCE = 200, 1_000
"""Longer names and sentences are cut where they are printed, in letters."""


def printable(text: str, longest: int = LONGEST_NAME_SHOWN) -> str:
    r"""The text with signs that cannot be seen, or move others about, as their escapes.

    What makers copy from elsewhere holds such signs; printed as they are, they could hide a
    mistake, break a line or command the terminal.

    Args:
        text: Any text.
        longest: It is cut there, in letters.

    Example:
        >>> printable("bees​wax")
        'bees\u200Bwax'
    """
    if len(text) > longest:
        text = f"{text[: longest - 3]}..."
    if text.isprintable():
        return text
    return "".join(one if one.isprintable() else f"\\u{ord(one):04X}" for one in text)


@dataclass(frozen=True, slots=True)
class Origin:
    """A place in one of the maker's files or in the shipped tables.

    Attributes:
        file: The file's name as the maker would recognise it.
        line: The line (in a table: the row as a spreadsheet counts it), from 1.
        key: The key path in a brief, or the column of a table.
    """

    file: str
    line: int | None = None
    key: str | None = None

    def __str__(self) -> str:
        file = printable(self.file)
        place = file if self.line is None else f"{file}:{self.line}"
        return place if self.key is None else f"{place} {printable(self.key)}"


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing wrong with the input: where, what, and what to write instead."""

    origin: Origin
    problem: str

    def __str__(self) -> str:
        return f"{self.origin}: {printable(self.problem, LONGEST_SENTENCE)}"


class InputError(Exception):
    """The input is wrong; every mistake found in one pass.

    Attributes:
        mistakes: At least one, in the order of the files and lines.
    """

    def __init__(self, mistakes: list[Mistake] | tuple[Mistake, ...]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(str(mistake) for mistake in self.mistakes))


@dataclass(frozen=True, slots=True)
class Statement:
    """What the maker said, as a sentence whose number is filled in when it is printed.

    Attributes:
        key: The key path in the brief or style, such as `properties.vitamin_e.min`.
        template: The sentence, with `{bound}` where the number stands.
        origin: Where it was said.

    Example:
        >>> said = Statement("totals.powder.max", "powder at most {bound} %", Origin("b.toml", 9))
        >>> said.render(Fraction(6))
        'powder at most 6 %'
    """

    key: str
    template: str
    origin: Origin

    def render(self, bound: Exact) -> str:
        """Fill in the bound, exactly where it is a short decimal, else to six digits."""
        return self.template.format(bound=plain_number(bound))


def plain_number(value: Exact) -> str:
    """Write an exact number without exponent, trailing zeros or a negative zero.

    A number with more than twelve decimals is rounded to six significant digits.

    Example:
        >>> plain_number(Decimal("12.50")), plain_number(Fraction(1, 3))
        ('12.5', '0.333333')
    """
    fraction = Fraction(value)
    scaled = fraction * 10**12
    if scaled.denominator == 1:
        text = f"{Decimal(scaled.numerator).scaleb(-12):f}"
    else:
        text = f"{float(fraction):.6g}"
        if "e" in text:
            text = f"{Decimal(text):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
