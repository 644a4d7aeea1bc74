"""Neighbouring stretches of a sweep, the very short ones told together."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Protocol, TypeVar

from optimiser.linear_model import Row
from optimiser.present.numbers import money
from optimiser.present.sentences import bound_text

SHORT = Fraction(1, 20)
"""Neighbouring stretches shorter than this part of a natural step are told together."""


class HasEnds(Protocol):
    """Anything between two levels."""

    @property
    def start(self) -> Fraction:
        """The lower level."""

    @property
    def end(self) -> Fraction:
        """The higher level."""


Stretch = TypeVar("Stretch", bound=HasEnds)


def runs(stretches: Iterable[Stretch], step: Fraction) -> list[list[Stretch]]:
    """The stretches in order, neighbours that are short against a natural step together."""
    found: list[list[Stretch]] = []
    for one in stretches:
        if found and is_short(one.start, one.end, step):
            last = found[-1][-1]
            if is_short(last.start, last.end, step):
                found[-1].append(one)
                continue
        found.append([one])
    return found


def is_short(start: Fraction, end: Fraction, step: Fraction) -> bool:
    """Whether a stretch is too short to speak of what a step costs in it."""
    return end - start < SHORT * step


def span_said(row: Row, start: Fraction, end: Fraction) -> str:
    """Two levels with as many digits as tell them apart; money with cents."""
    if row.is_money:
        return f"{money(start)} to {money(end)}"
    return f"{bound_text(start, end)} to {bound_text(end, start)}"
