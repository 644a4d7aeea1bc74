"""Bounds on the numbers a maker may write, so that exact arithmetic stays small."""

from __future__ import annotations

from decimal import Decimal

from optimiser.reading.findings import Problem

MOST_DIGITS = 15
"""So many significant digits or decimals at most; a spreadsheet keeps no more either."""

LARGEST = Decimal(10) ** 9
"""The largest magnitude that any percentage, price or figure may have."""


def sensible(value: Decimal) -> Decimal:
    """The same number, when it is one that a maker can mean.

    Raises:
        Problem: It is not finite, beyond a thousand million, or has too many digits.
    """
    if not value.is_finite():
        raise Problem("not a finite number; write a plain number such as 30")
    if not value:
        return Decimal(0)
    # Looking at the exponent first keeps 1e999999 from ever being written out.
    if value.adjusted() > 9 or abs(value) > LARGEST:
        raise Problem("a number beyond 1,000,000,000; check it, and write a smaller one")
    _, digits, exponent = value.as_tuple()
    assert isinstance(exponent, int)
    significant = len(digits)
    while significant > 1 and digits[significant - 1] == 0:
        significant -= 1
    if significant > MOST_DIGITS:
        raise Problem(f"a number with more than {MOST_DIGITS} digits; write fewer")
    if exponent + len(digits) - significant < -MOST_DIGITS:
        raise Problem(f"a number with more than {MOST_DIGITS} decimals; write fewer")
    return value
