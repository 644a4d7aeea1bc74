"""The net weight as a label of a region says it."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from optimiser.label import Region
from optimiser.provenance import plain_number

GRAMS_IN_AN_OUNCE = Fraction("28.349523125")
"""Exactly, by the international pound of 1959."""

OUNCES_IN_A_POUND = 16
KILOGRAM = Fraction(1000)


def net_weight(grams: Fraction, region: Region) -> str:
    """The net weight, rounded down and never up, so that no label promises too much.

    Grams are told as they are with up to one decimal, else in whole grams (below 10 g in tenths);
    from a kilogram on in kg. Ounces have one decimal, below an ounce two.

    Example:
        >>> net_weight(Fraction(120), Region.EU), net_weight(Fraction(120), Region.US)
        ('120 g', 'Net Wt 4.2 oz (120 g)')
        >>> net_weight(Fraction(500), Region.US)
        'Net Wt 17.6 oz (1 lb 1.6 oz, 500 g)'
    """
    metric = _metric(grams)
    if region.is_european:
        return metric
    ounces = grams / GRAMS_IN_AN_OUNCE
    shown = _down(ounces, 1 if ounces >= 1 else 2)
    told = f"{plain_number(shown)} oz"
    if shown < OUNCES_IN_A_POUND:
        return f"Net Wt {told} ({metric})"
    pounds, rest = divmod(shown, OUNCES_IN_A_POUND)
    pound = f"{pounds} lb {plain_number(rest)} oz" if rest else f"{pounds} lb"
    return f"Net Wt {told} ({pound}, {metric})"


def _metric(grams: Fraction) -> str:
    if grams >= KILOGRAM:
        return f"{plain_number(_down(grams, 0) / KILOGRAM)} kg"
    decimals = 1 if (grams * 10).denominator == 1 or grams < 10 else 0
    return f"{plain_number(_down(grams, decimals))} g"


def _down(value: Fraction, decimals: int) -> Fraction:
    """Rounded down to some decimals."""
    scaled = value * 10**decimals
    return Fraction(Decimal(scaled.numerator // scaled.denominator).scaleb(-decimals))
