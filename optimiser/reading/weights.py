"""Packs as people write them: `5 kg`, `2 x 500 g`, `16 oz`, `1 l`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from optimiser.reading.findings import Problem
from optimiser.reading.wording import quoted
from optimiser.reading.written_numbers import Written, refuse_formula, taken_apart

_KG = {
    Fraction(1): ("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme"),
    Fraction(1, 1000): ("g", "gram", "grams", "gramme", "grammes"),
    # The international pound of 1959 is exactly 0.45359237 kg, the ounce a sixteenth of it.
    Fraction(45359237, 10**8): ("lb", "lbs", "pound", "pounds"),
    Fraction(45359237, 16 * 10**8): ("oz", "ounce", "ounces"),
}
_ML = {
    Fraction(1): ("ml", "millilitre", "millilitres", "milliliter", "milliliters"),
    Fraction(1000): ("l", "litre", "litres", "liter", "liters"),
    # 1/128 of 231 cubic inches; 1/160 of 4.54609 litres. Both are exact by definition.
    Fraction(295735295625, 10**10): ("us fl oz", "us fluid ounce", "us fluid ounces"),
    Fraction(284130625, 10**7): ("uk fl oz", "uk fluid ounce", "uk fluid ounces"),
}
_IN_KG = {name: factor for factor, names in _KG.items() for name in names}
_IN_ML = {name: factor for factor, names in _ML.items() for name in names}
UNITS = frozenset(_IN_KG) | frozenset(_IN_ML)
"""Every unit of a weight or a volume, in lower case."""

_TWO_FLUID_OUNCES = frozenset({"fl oz", "floz", "fluid ounce", "fluid ounces"})

_PACK = re.compile(r"(?:([0-9]{1,6})\s*[x×*]\s*)?([0-9.,][0-9.,'’\s]*)\s*([^0-9].*)?", re.DOTALL)

KG = "kg"
ML = "ml"

LIKE_A_PACK = "write it like 5 kg"
"""What a message says of a pack whose number is none."""


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack taken apart, the marks of its number not yet understood.

    Attributes:
        text: As the maker wrote it.
        count: How many there are of it: 2 in `2 x 500 g`.
        number: The size of each.
        unit: What the number is multiplied by to give `measure`.
        measure: `kg` or `ml`.
    """

    text: str
    count: int
    number: Written
    unit: Fraction
    measure: str

    def size(self, value: Decimal) -> Fraction:
        """The whole pack, in kg or ml as `measure` says, exactly.

        Args:
            value: What `number` is, once the decimal mark of its column is known.
        """
        return self.count * Fraction(value) * self.unit


def pack_taken_apart(text: str) -> Pack:
    """The count, number and unit of a pack.

    Raises:
        Problem: It is no weight or volume, a formula, or its unit means two things.
    """
    refuse_formula(text)
    found = _PACK.fullmatch(text.strip())
    if found is None:
        raise Problem(f"{quoted(text.strip())} is not a weight; write it like 5 kg or 2 x 500 g")
    count, number, unit = found.groups()
    if unit is None:
        if text.strip("0., "):
            bare = text.strip()
            raise Problem(f"{quoted(bare)} has no unit; write {bare} kg or {bare} g")
        unit = "g"
    if not unit[0].isalpha():
        # A spreadsheet makes a date of 5-1, and a time of 5:30.
        raise Problem(f"{quoted(text.strip())} is not a weight; write it like 5 kg or 2 x 500 g")
    factor, measure = _unit(unit)
    return Pack(text.strip(), int(count or 1), taken_apart(number, LIKE_A_PACK), factor, measure)


def _unit(text: str) -> tuple[Fraction, str]:
    """What a unit is in kg or ml, and in which of them.

    Raises:
        Problem: It is not known, or means two things.
    """
    unit = " ".join(text.casefold().replace(".", " ").split())
    if unit in _IN_KG:
        return _IN_KG[unit], KG
    if unit in _IN_ML:
        return _IN_ML[unit], ML
    if unit in _TWO_FLUID_OUNCES:
        raise Problem(
            "fl oz is 29.57 ml in the US and 28.41 ml in the UK; write US fl oz or UK fl oz"
        )
    raise Problem(f"no such unit: {quoted(text)}; write g, kg, oz, lb, ml or l")


def weight_in_kg(size: Fraction, measure: str, density: Decimal | None) -> Fraction:
    """The weight of a pack, exactly.

    Args:
        size: In kg or ml.
        measure: Which of them.
        density: Grams per ml, or None where it is not known.

    Raises:
        Problem: It is a volume, and the density is not known.
    """
    if measure == KG:
        return size
    if density is None:
        raise Problem(
            "a volume, and nobody gives this ingredient's density; write the weight, or give "
            "density (g/ml) in a sheet of your own"
        )
    return size * Fraction(density) / 1000
