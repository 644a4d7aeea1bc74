"""How much goes into a jar, so that the label's weight is kept on average.

Average quantity (Directive 76/211/EEC): the mean of a batch is not below the label, few jars
are short by more than the tolerable negative error, none by twice that. The target that a
packer sets for that is recalled from a packers' code of practice:

    target = max(Q, Q - T + 2 s, Q - 2 T + 3.72 s)

with the label's weight Q, the tolerable error T and the spread s of the fills.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from optimiser.production import FillTolerance

AVERAGE_QUANTITY = "eu-uk"
"""The scheme whose tolerable error the target fill follows."""

TWO_SPREADS = Fraction(2)
FEWER_SPREADS = Fraction("3.72")
"""About 1 in 40 and 1 in 10,000 of normally spread fills lie so many spreads below the mean."""

TENTH = Fraction(1, 10)


@dataclass(frozen=True, slots=True)
class Shortfall:
    """How far short one jar may fall under one scheme.

    Attributes:
        row: The row of the table.
        grams: How far, in grams.
    """

    row: FillTolerance
    grams: Fraction


@dataclass(frozen=True, slots=True)
class Fill:
    """What goes into a jar.

    Attributes:
        label_g: What the label says, in grams.
        target_g: What is filled in, on average.
        spread_g: The spread of the fills, where the maker gives it.
        shortfalls: How far short one jar may fall, under each scheme whose table has the label's
            weight.
        outside: Titles of the schemes whose table ends before or begins after it.
    """

    label_g: Fraction
    target_g: Fraction
    spread_g: Fraction | None
    shortfalls: tuple[Shortfall, ...]
    outside: tuple[str, ...]

    @property
    def given_away_g(self) -> Fraction:
        """What each jar holds beyond its label."""
        return self.target_g - self.label_g


def shortfall(label_g: Fraction, scheme: str, table: Sequence[FillTolerance]) -> Shortfall | None:
    """How far short one jar may fall; None outside the table.

    A percentage is rounded up to a tenth of a gram, as the directive has it (recalled).
    """
    rows = [row for row in table if row.scheme == scheme]
    if not rows or label_g < Fraction(rows[0].from_g):
        return None
    row = next((row for row in rows if label_g <= Fraction(row.to_g)), None)
    if row is None:
        return None
    if not row.is_percent:
        return Shortfall(row, Fraction(row.value))
    exact = label_g * Fraction(row.value) / 100
    return Shortfall(row, math.ceil(exact / TENTH) * TENTH)


def fill_for(label_g: Fraction, spread_g: Fraction | None, table: Sequence[FillTolerance]) -> Fill:
    """What to fill for a label's weight.

    Without the maker's spread, or outside the table, the target is the label's weight.
    """
    found, outside = [], []
    for row in {row.scheme: row for row in table}.values():
        one = shortfall(label_g, row.scheme, table)
        if one is None:
            outside.append(row.title)
        else:
            found.append(one)
    return Fill(
        label_g=label_g,
        target_g=_target(label_g, spread_g, table),
        spread_g=spread_g,
        shortfalls=tuple(found),
        outside=tuple(outside),
    )


def _target(
    label_g: Fraction, spread_g: Fraction | None, table: Sequence[FillTolerance]
) -> Fraction:
    short = shortfall(label_g, AVERAGE_QUANTITY, table)
    if spread_g is None or short is None:
        return label_g
    return max(
        label_g,
        label_g - short.grams + TWO_SPREADS * spread_g,
        label_g - 2 * short.grams + FEWER_SPREADS * spread_g,
    )


def most_on_label(
    filled_g: Fraction, spread_g: Fraction | None, table: Sequence[FillTolerance]
) -> int:
    """The most whole grams that a label may promise of jars filled with so much; 0 for none."""
    label = math.floor(filled_g)
    while label > 0 and _target(Fraction(label), spread_g, table) > filled_g:
        label -= 1
    return label
