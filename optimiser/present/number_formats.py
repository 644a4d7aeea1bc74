"""How a spreadsheet shows the numbers of a column; what it stores stays exact."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, isnan, log10

from optimiser.tables.frame import Holds

CENTS = 2
FEWEST, MOST = 2, 4
"""Decimals of percent."""

TRACE = 0.05
"""Shares below this many percent are shown with the most decimals."""

DIGITS = {Holds.FIGURE: 4, Holds.BOUND: 7, Holds.RATE: 3}
"""Significant digits."""

NO_PRICE = "none"
"""Shown for a price below 0."""

MOST_DECIMALS = 8
SHORT = 4
"""A number that ends within so many decimals is shown in full."""

NEAR = 1e-12
"""What a float misses of a short decimal, as a part of it."""


def number_formats(holds: Holds, values: Sequence[float]) -> list[str]:
    """The format of each cell of a column.

    Example:
        >>> number_formats(Holds.MONEY, [18.56]), number_formats(Holds.PERCENT, [38.6, 61.4])
        (['0.00'], ['0.00', '0.00'])
        >>> number_formats(Holds.PERCENT, [99.9948, 0.0052])
        ['0.0000', '0.0000']
        >>> number_formats(Holds.FIGURE, [64.5678, 0.00123456, 12])
        ['0.00', '0.000000', '0']
    """
    if holds is Holds.PERCENT:
        return [_fixed(_share_decimals(values))] * len(values)
    if holds is Holds.WEIGHT:
        decimals = max((_decimals(value, SHORT) for value in values), default=0)
        return [_fixed(decimals)] * len(values)
    if holds is Holds.PART:
        return ["0.0%"] * len(values)
    if holds is Holds.COUNT:
        return ["0"] * len(values)
    if holds is Holds.LOWEST_PRICE:
        return [f'{_fixed(CENTS)};"{NO_PRICE}"'] * len(values)
    if holds is Holds.MONEY:
        return [_fixed(CENTS)] * len(values)
    least = CENTS if holds is Holds.RATE else 0
    return [_fixed(max(least, _decimals(value, DIGITS[holds]))) for value in values]


def as_count(value: float) -> int:
    """A count as a whole number."""
    return round(value)


def _fixed(decimals: int) -> str:
    return f"0.{'0' * decimals}" if decimals else "0"


def _share_decimals(values: Sequence[float]) -> int:
    known = [abs(value) for value in values if not isnan(value)]
    for decimals in range(FEWEST, MOST + 1):
        if all(_ends_within(value, decimals) for value in known):
            return decimals
    return MOST if any(0 < value < TRACE for value in known) else FEWEST


def _decimals(value: float, digits: int) -> int:
    """As many decimals as some significant digits take, fewer where the number ends before."""
    if isnan(value) or not value:
        return 0
    for decimals in range(SHORT + 1):
        if _ends_within(value, decimals):
            return decimals
    return min(MOST_DECIMALS, max(0, digits - 1 - floor(log10(abs(value)))))


def _ends_within(value: float, decimals: int) -> bool:
    return abs(round(value, decimals) - value) <= NEAR * max(1.0, abs(value))
