"""One limit swept: what the formula costs, and how it changes, as the bound moves."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from optimiser.answers.measures import Blend, Measures, measured
from optimiser.formulation import WHOLE, Formulation
from optimiser.linear_model import Row
from optimiser.postoptimal.bound_sweep import bound_pieces

TIMES_TODAY = 3
"""A sweep goes to so many times today's price or bound unless it is said otherwise."""

STEPS_FROM_NOTHING = 10
"""A bound of 0 is swept over so many natural steps."""


@dataclass(frozen=True, eq=False)
class LimitPiece:
    """Between two bounds the formula moves in a straight line from one to another.

    Attributes:
        start: The lower bound.
        end: The higher bound.
        cost_at_start: Money per kg at the lower bound.
        cost_at_end: Money per kg at the higher bound.
        per_unit: Money per kg for each unit of the bound; None where it is not the same all
            along, as for ratios and means over the fat.
        binds: False where the limit asks for nothing that is not so anyway.
        at_start: The formula at the lower bound.
        at_end: The formula at the higher bound; in between it is a mixture of both.
    """

    start: Fraction
    end: Fraction
    cost_at_start: Fraction
    cost_at_end: Fraction
    per_unit: Fraction | None
    binds: bool
    at_start: Measures
    at_end: Measures


@dataclass(frozen=True, eq=False)
class LimitSweep:
    """The cheapest formula as a function of one bound, the other limits unchanged.

    Attributes:
        row: The limit.
        today: Its bound in the brief.
        start: The lowest bound of the sweep.
        end: The highest bound of the sweep.
        pieces: In rising order of the bound.
        possible_from: The lowest bound that can be met, where the sweep reaches below it.
        possible_to: The highest (for an upper limit the lowest) bound that can be met, where
            the sweep reaches beyond it.
    """

    row: Row
    today: Fraction
    start: Fraction
    end: Fraction
    pieces: tuple[LimitPiece, ...]
    possible_from: Fraction | None
    possible_to: Fraction | None


def usual_range(formulation: Formulation, i: int) -> tuple[Fraction, Fraction]:
    """From 0 to three times a bound; for a percentage to 100 at most."""
    row, bound = formulation.model.rows[i], Fraction(formulation.model.bound[i])
    ends = sorted((Fraction(0), TIMES_TODAY * bound or STEPS_FROM_NOTHING * row.step))
    if row.unit.startswith("%"):
        ends[1] = min(ends[1], Fraction(WHOLE))
    return ends[0], ends[1]


def limit_sweep(formulation: Formulation, i: int, start: Fraction, end: Fraction) -> LimitSweep:
    """Sweep the bound of one limit.

    Args:
        formulation: The request as a model.
        i: The row of the limit.
        start: The lowest bound, in the limit's unit.
        end: The highest bound, above the lowest.

    Raises:
        UnsettledError: The exact arithmetic came to no end.
    """
    model = formulation.model
    swept = bound_pieces(model, i, start, end)

    def formula(x: tuple[Fraction, ...]) -> Measures:
        return measured(Blend.of(formulation, x))

    return LimitSweep(
        row=model.rows[i],
        today=Fraction(model.bound[i]),
        start=start,
        end=end,
        pieces=tuple(
            LimitPiece(
                start=piece.start,
                end=piece.end,
                cost_at_start=piece.cost_at_start,
                cost_at_end=piece.cost_at_end,
                per_unit=piece.per_unit,
                binds=piece.binds,
                at_start=formula(piece.x_at_start),
                at_end=formula(piece.x_at_end),
            )
            for piece in swept.pieces
        ),
        possible_from=swept.possible_from,
        possible_to=swept.possible_to,
    )
