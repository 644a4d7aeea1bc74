"""Single weights and volumes as people write them: `2 kg`, `120 g`, `4 oz`, `120 ml`."""

from __future__ import annotations

from fractions import Fraction

from optimiser.reading.findings import Problem
from optimiser.reading.weights import KG, pack_taken_apart
from optimiser.reading.wording import quoted
from optimiser.reading.written_numbers import read_number, spelling

GRAMS = 1000
"""Grams in a kg."""

MOST_GRAMS = Fraction(10**6)
"""A tonne: no batch of this trade is larger."""


def read_grams(text: str, example: str) -> Fraction:
    """A weight above 0, in grams.

    Args:
        text: What was written.
        example: What to write instead.

    Raises:
        Problem: It is no weight, or not above 0.
    """
    size, is_weight = read_size(text, example)
    if not is_weight:
        raise Problem(f"{quoted(text.strip())} is a volume; write a weight like {example}")
    return size


def read_size(text: str, example: str) -> tuple[Fraction, bool]:
    """A weight in grams or a volume in ml, and whether it is a weight.

    Args:
        text: What was written.
        example: What to write instead.

    Raises:
        Problem: It is neither, or not above 0.
    """
    pack = pack_taken_apart(text)
    size = pack.size(read_number(pack.number, spelling([(1, pack.number)]).mark)[0])
    if pack.measure == KG:
        size *= GRAMS
    if size <= 0:
        raise Problem(f"{quoted(text.strip())} is not above 0; write it like {example}")
    if size > MOST_GRAMS:
        raise Problem(f"{quoted(text.strip())} is more than a tonne; check the unit")
    return size, pack.measure == KG
