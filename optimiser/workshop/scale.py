"""Whether a target is large enough for the scale that it is weighed on.

A scale shows whole divisions, so half a division is in doubt at every reading. A target of 20
divisions or more is asked for; 25 bring the doubt down to 2 % of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

LEAST_DIVISIONS = 20
"""Below this a target is too small for the scale."""

FINE_DIVISIONS = 25
"""From here on half a division is no more than 2 % of the target."""

LEADING = 2
"""Digits to which a larger batch is rounded up, so that it reads as a size."""


@dataclass(frozen=True, slots=True)
class ScaleWarning:
    """A target that is small for its scale.

    Attributes:
        divisions: How many divisions it is, before rounding.
        doubt: Half a division in percent of it.
        is_too_small: Under 20 divisions.
        is_lost: Less than half a division: the scale does not show it at all.
        finer_g: The coarsest division at which the warning would go.
        size_g: A batch at which it would go with this scale.
        dilution: How many times its weight a premix would have to be for it to go.
    """

    divisions: Fraction
    doubt: Fraction
    is_too_small: bool
    is_lost: bool
    finer_g: Fraction
    size_g: Fraction
    dilution: int


def scale_warning(percent: Fraction, size_g: Fraction, division_g: Fraction) -> ScaleWarning | None:
    """The warning for one line, or None where it is fine.

    Args:
        percent: Its share of the batch, above 0.
        size_g: The batch.
        division_g: The division of the scale.
    """
    target_g = percent * size_g / 100
    divisions = target_g / division_g
    if divisions >= FINE_DIVISIONS:
        return None
    needed = FINE_DIVISIONS * division_g
    return ScaleWarning(
        divisions=divisions,
        doubt=Fraction(50) / divisions,
        is_too_small=divisions < LEAST_DIVISIONS,
        is_lost=divisions < Fraction(1, 2),
        finer_g=_finer(target_g / FINE_DIVISIONS),
        size_g=_rounded_up(needed * 100 / percent, division_g),
        dilution=math.ceil(needed / target_g),
    )


def _finer(most_g: Fraction) -> Fraction:
    """The coarsest usual division, 1, 2 or 5 of a power of ten, that is no coarser."""
    exponent = math.floor(math.log10(most_g)) + 1
    sizes = (
        step * Fraction(10) ** power
        for power in (exponent, exponent - 1, exponent - 2)
        for step in (5, 2, 1)
    )
    return next(size for size in sizes if size <= most_g)


def _rounded_up(size_g: Fraction, division_g: Fraction) -> Fraction:
    """A size of two leading digits that is a whole number of divisions, no smaller."""
    exponent = math.floor(math.log10(size_g)) - LEADING + 1
    step = max(Fraction(10) ** exponent, division_g)
    step = math.ceil(step / division_g) * division_g
    return math.ceil(size_g / step) * step
