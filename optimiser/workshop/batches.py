"""Several batches, and what has to be bought for all of them together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from optimiser.workshop.batch import Batch


@dataclass(frozen=True, eq=False)
class Batches:
    """The answer of `batch`.

    Attributes:
        batches: At least one.
    """

    batches: tuple[Batch, ...]


def needs_kg(batches: Sequence[Batch]) -> dict[str, Fraction]:
    """What all batches take of each ingredient, in kg."""
    needs: dict[str, Fraction] = {}
    for batch in batches:
        for name, weight in batch.needs_kg.items():
            needs[name] = needs.get(name, Fraction(0)) + weight
    return needs


def pieces(batches: Sequence[Batch]) -> dict[str, int]:
    """How many pieces of packaging all batches take, by item."""
    wanted: dict[str, int] = {}
    for batch in batches:
        count = 0 if batch.jars is None else batch.jars.count
        for item, each in batch.asked.jar.packaging.items():
            wanted[item] = wanted.get(item, 0) + each * count
    return wanted
