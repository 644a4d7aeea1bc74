"""Weights as a workshop writes them."""

from __future__ import annotations

import math
from fractions import Fraction

from optimiser.present.numbers import rounded
from optimiser.provenance import plain_number

MOST_DECIMALS = 4
"""Finer divisions than a tenth of a milligram are no workshop's."""

TENTH = Fraction(1, 10)


def decimals_of(division_g: Fraction) -> int:
    """How many decimals show whole divisions of a scale."""
    for decimals in range(MOST_DECIMALS):
        if (division_g * 10**decimals).denominator == 1:
            return decimals
    return MOST_DECIMALS


def on_scale(grams: Fraction, division_g: Fraction) -> str:
    """Grams with the decimals of the scale.

    Example:
        >>> on_scale(Fraction(12), Fraction(1, 10))
        '12.0'
    """
    return rounded(grams, decimals_of(division_g))


def weight_text(grams: Fraction) -> str:
    """A weight with its unit: kg from a kilo up where that is short, else grams.

    Example:
        >>> weight_text(Fraction(2500)), weight_text(Fraction(1987)), weight_text(Fraction(1, 3))
        ('2.5 kg', '1987 g', '0.333333 g')
    """
    if grams >= 1000 and (grams / 10).denominator == 1:
        return f"{plain_number(grams / 1000)} kg"
    return f"{plain_number(grams)} g"


def about_grams(grams: Fraction) -> str:
    """Grams to a tenth.

    Example:
        >>> about_grams(Fraction(1234, 100)), about_grams(Fraction(20))
        ('12.3 g', '20 g')
    """
    return f"{plain_number(Fraction(round(grams * 10), 10))} g"


def at_least_grams(grams: Fraction) -> str:
    """Grams rounded up to a tenth, so that what is printed suffices.

    Example:
        >>> at_least_grams(Fraction("85.21"))
        '85.3 g'
    """
    return f"{plain_number(math.ceil(grams / TENTH) * TENTH)} g"
