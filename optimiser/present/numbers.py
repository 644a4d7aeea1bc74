"""Numbers as a maker writes them: money, percent, figures of three digits."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

CENTS = 2
"""Decimals of money and of percent in print."""


def rounded(value: Fraction, decimals: int) -> str:
    """A number with fixed decimals, never a negative zero.

    Example:
        >>> rounded(Fraction(1, 3), 2), rounded(Fraction(-1, 1000), 2)
        ('0.33', '0.00')
    """
    scaled = round(value * 10**decimals)
    return f"{Decimal(scaled).scaleb(-decimals):.{decimals}f}" if scaled else f"{0:.{decimals}f}"


def money(value: Fraction | None) -> str:
    """Money with cents."""
    return "no price" if value is None else rounded(value, CENTS)


def small_money(value: Fraction) -> str:
    """A rate of money: cents, for less than ten cents one digit more, for next to nothing so.

    Example:
        >>> small_money(Fraction(2137, 100000)), small_money(Fraction(5, 2))
        ('0.021', '2.50')
        >>> small_money(Fraction(4, 1000))
        'under 0.01'
    """
    size = abs(value)
    if not size or size >= Fraction(1, 10):
        return rounded(value, CENTS)
    return rounded(value, CENTS + 1) if size >= Fraction(1, 100) else "under 0.01"


def significant(value: Fraction, digits: int = 3) -> str:
    """A number to some significant digits, without exponent or needless zeros.

    Whole parts are never cut: 1234.5 gives 1234.

    Example:
        >>> significant(Fraction(12345, 1000)), significant(Fraction(1, 3))
        ('12.3', '0.333')
    """
    if not value:
        return "0"
    number = Decimal(value.numerator) / Decimal(value.denominator)
    decimals = max(0, digits - 1 - number.adjusted())
    text = f"{number.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_EVEN):f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def rounded_towards(value: Fraction, upwards: bool, digits: int = 4) -> Fraction:
    """A number with few digits on the given side of it, so that a bound still suffices.

    Example:
        >>> rounded_towards(Fraction(124, 3), upwards=False)
        Fraction(4133, 100)
    """
    if not value:
        return value
    exponent = (Decimal(value.numerator) / Decimal(value.denominator)).adjusted()
    scale = Fraction(10) ** (digits - 1 - exponent)
    scaled = value * scale
    whole = (
        -(-scaled.numerator // scaled.denominator)
        if upwards
        else (scaled.numerator // scaled.denominator)
    )
    return whole / scale


def share_of_cost(share: Fraction | None) -> str:
    """A part of the cost in whole percent; what is there is not printed as nothing."""
    if share is None:
        return ""
    percent = share * 100
    return "under 1 %" if 0 < percent < 1 else f"{rounded(percent, 0)} %"


def rounded_up(value: Fraction) -> Fraction:
    """Money rounded up to cents, so that what is printed suffices."""
    scaled = value * 10**CENTS
    return Fraction(-(-scaled.numerator // scaled.denominator), 10**CENTS)


def shares_adding_up(shares: Sequence[Fraction], decimals: int = CENTS) -> list[str]:
    """Percentages with fixed decimals that add up to the rounded whole in print.

    The largest remainders are rounded up; this is for reading, the exact shares stay as
    they are.

    Example:
        >>> shares_adding_up([Fraction(100, 3)] * 3)
        ['33.34', '33.33', '33.33']
    """
    scale = 10**decimals
    scaled = [share * scale for share in shares]
    whole = [value.numerator // value.denominator for value in scaled]
    missing = round(sum(scaled)) - sum(whole)
    by_remainder = sorted(range(len(shares)), key=lambda i: (whole[i] - scaled[i], i))
    for i in by_remainder[:missing]:
        whole[i] += 1
    return [f"{Decimal(value).scaleb(-decimals):.{decimals}f}" for value in whole]


def printed_shares(shares: Sequence[Fraction]) -> list[str]:
    """Shares as `shares_adding_up`, but fine steps in full and a trace not as nothing.

    Example:
        >>> printed_shares([Fraction("99.999"), Fraction("0.0001"), Fraction("0.0009")])
        ['99.9990', '0.0001', '0.0009']
        >>> printed_shares([Fraction(299999, 3000), Fraction(1, 3000)])
        ['100.00', 'under 0.01']
    """
    decimals = next((d for d in range(CENTS, 5) if all(_fits(s, d) for s in shares)), CENTS)
    texts = shares_adding_up(shares, decimals)
    return [
        "under 0.01" if share > 0 and float(text) == 0 else text
        for share, text in zip(shares, texts, strict=True)
    ]


def _fits(share: Fraction, decimals: int) -> bool:
    scaled: Fraction = share * 10**decimals
    return scaled.denominator == 1
