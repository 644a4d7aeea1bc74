"""What a jar costs, with the loss inside, and what is left of its price.

Whatever a batch takes is spread over the jars that it fills. Money is exact until it is shown:
totals are rounded half up to the cent, and their parts by largest remainder, so that the parts
as shown add up to the total as shown.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

CENTS = 100


@dataclass(frozen=True, slots=True)
class BatchCost:
    """What a batch costs, by part.

    Attributes:
        parts: Money for the batch by part, such as `ingredients`; exact.
        jars: Jars filled, or None where no jar is stated.
        filled_kg: What is in the jars; without jars what is left of the batch after loss.
    """

    parts: Mapping[str, Fraction]
    jars: int | None
    filled_kg: Fraction

    @property
    def total(self) -> Fraction:
        """Money for the batch."""
        return sum(self.parts.values(), Fraction(0))

    @property
    def per_jar(self) -> Fraction | None:
        """Money for one jar; None without jars."""
        return self.total / self.jars if self.jars else None

    @property
    def jar_parts(self) -> dict[str, Fraction]:
        """Money for one jar by part; empty without jars."""
        return {name: part / self.jars for name, part in self.parts.items()} if self.jars else {}

    @property
    def per_kg(self) -> Fraction | None:
        """Money for a kg that is filled; None where nothing is."""
        return self.total / self.filled_kg if self.filled_kg else None


@dataclass(frozen=True, slots=True)
class Margin:
    """What is left of a price.

    Attributes:
        price: Money for one jar.
        money: What is left of it above the cost.
        percent: The same in percent of the price.
    """

    price: Fraction
    money: Fraction
    percent: Fraction


def margin_at(price: Fraction, cost: Fraction) -> Margin:
    """What is left of a price above 0."""
    return Margin(price, price - cost, (price - cost) / price * 100)


def price_for(margin_percent: Fraction, cost: Fraction) -> Fraction:
    """The price of which so many percent are left; below 100."""
    return cost / (1 - margin_percent / 100)


def to_cents(value: Fraction) -> Fraction:
    """Money rounded half up to the cent.

    Example:
        >>> to_cents(Fraction("0.125")), to_cents(Fraction("0.124"))
        (Fraction(13, 100), Fraction(3, 25))
    """
    return Fraction(math.floor(value * CENTS + Fraction(1, 2)), CENTS)


def parts_to_cents(parts: Mapping[str, Fraction]) -> dict[str, Fraction]:
    """Parts in whole cents that add up to their total rounded half up; largest remainders up."""
    total = to_cents(sum(parts.values(), Fraction(0))) * CENTS
    whole = {name: math.floor(part * CENTS) for name, part in parts.items()}
    missing = int(total) - sum(whole.values())
    by_remainder = sorted(parts, key=lambda name: whole[name] - parts[name] * CENTS)
    for name in by_remainder[:missing]:
        whole[name] += 1
    return {name: Fraction(count, CENTS) for name, count in whole.items()}
