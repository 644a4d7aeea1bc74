"""The natural step of a limit: by how much a maker would think of moving it."""

from __future__ import annotations

from fractions import Fraction

from optimiser.brief import COST, Family, Limit
from optimiser.formulation import Formulation

STEP_OF_SHARES = Fraction(1)
"""A limit on shares moves by one percentage point, or a tenth where it is small."""
SMALL_SHARE = 4
STEP_OF_RATIOS = Fraction(1, 10)
STEP_OF_COST = Fraction(1, 10)


def natural_step(formulation: Formulation, limit: Limit) -> Fraction:
    """A natural step of a limit, in its own unit."""
    if limit.family is Family.RATIOS:
        return STEP_OF_RATIOS
    if limit.family is Family.PROPERTIES:
        if limit.of == COST:
            return STEP_OF_COST
        return Fraction(formulation.request.book.properties[limit.of].step)
    return STEP_OF_SHARES if limit.value >= SMALL_SHARE else STEP_OF_SHARES / 10
