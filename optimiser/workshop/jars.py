"""From a batch to jars and back.

rho = rho_0 / (1 + overrun)
fill = volume * filled * rho
jars = floor(batch * (1 - loss) / fill)
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Jars:
    """How many jars a batch fills.

    Attributes:
        fill_g: What goes into each.
        count: Full jars.
        charged_g: The batch as weighed in.
        lost_g: What stays in bowls and on spatulas.
        left_g: What is left and fills no jar.
    """

    fill_g: Fraction
    count: int
    charged_g: Fraction
    lost_g: Fraction
    left_g: Fraction

    @property
    def filled_g(self) -> Fraction:
        """What is in all the jars together."""
        return self.fill_g * self.count


def fill_of_volume(
    volume_ml: Fraction, filled: Fraction, density: Fraction, overrun: Fraction
) -> Fraction:
    """The weight in a jar, in grams.

    Args:
        volume_ml: The jar to the brim.
        filled: Part of it that is filled, 0 to 1.
        density: Grams per ml before whipping.
        overrun: Air over product by volume, 0 for none.
    """
    return volume_ml * filled * density / (1 + overrun)


def jars_of(charged_g: Fraction, loss: Fraction, fill_g: Fraction) -> Jars:
    """The jars that a batch fills.

    Args:
        charged_g: The batch as weighed in.
        loss: Part of it that is lost, 0 to below 1.
        fill_g: What goes into each jar.
    """
    usable = charged_g * (1 - loss)
    count = math.floor(usable / fill_g)
    return Jars(fill_g, count, charged_g, charged_g * loss, usable - count * fill_g)


def batch_for(count: int, loss: Fraction, fill_g: Fraction, division_g: Fraction) -> Fraction:
    """The batch, in whole divisions of the scale, that fills so many jars."""
    needed = count * fill_g / (1 - loss)
    return math.ceil(needed / division_g) * division_g
