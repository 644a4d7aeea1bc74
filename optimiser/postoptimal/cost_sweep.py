"""The optimum as the costs move along a line: exact pieces, each with its one point.

For costs c + t d the least cost is concave and piecewise linear in t, as the least of one
straight line a point. Between two settled positions the lines of their points either are
the same, or cross; the optimum at the crossing is either theirs, which makes it a corner, or
that of a new point, and both halves are looked at (Eisner and Severance 1976, "Mathematical
techniques for efficient record segmentation in large shared databases", J. ACM 23; cited from
memory). Every position is settled in exact arithmetic.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from optimiser.exact.dictionary import Dictionary, UnsettledError
from optimiser.exact.proof import certified
from optimiser.exact.recosting import recosted
from optimiser.linear_model import Coefficients, LinearModel
from optimiser.solve import concluded, settle

MOST_SOLVES = 5000
"""Positions settled before a sweep is given up; two a piece are usual."""


@dataclass(frozen=True, eq=False)
class CostPiece:
    """Between two positions one point is a cheapest one.

    Attributes:
        start: Where it begins.
        end: Where it ends.
        x: The point, exactly.
        cost_at_start: The least cost at the start.
        cost_at_end: The least cost at the end; straight in between.
    """

    start: Fraction
    end: Fraction
    x: tuple[Fraction, ...]
    cost_at_start: Fraction
    cost_at_end: Fraction


@dataclass(frozen=True, eq=False)
class _Settled:
    """A position, a cheapest point there, and its cost as the line level + t * slope."""

    at: Fraction
    x: tuple[Fraction, ...]
    level: Fraction
    slope: Fraction
    dictionary: Dictionary

    def cost(self, at: Fraction) -> Fraction:
        return self.level + at * self.slope


def cost_pieces(
    model: LinearModel, direction: Coefficients, start: Fraction, end: Fraction
) -> tuple[CostPiece, ...]:
    """Every piece of the least cost for costs `model.cost + t * direction`.

    Args:
        model: A continuous model with an optimum at both ends.
        direction: How the costs move, (n,).
        start: The first t.
        end: The last t, above the first.

    Raises:
        ValueError: There is no optimum at an end, or the ends are not in order.
        UnsettledError: The exact arithmetic came to no end.
    """
    if start >= end:
        raise ValueError("a sweep ends above where it starts")
    _, first = settle(model.costing(_moved(model, direction, start)))
    if first.x is None or first.dictionary is None:
        raise ValueError("a sweep needs an optimum at both ends")

    def at(t: Fraction, near: Dictionary) -> _Settled:
        cost = _moved(model, direction, t)
        found = concluded(certified(model.costing(cost), recosted(near, cost)))
        if found.x is None or found.dictionary is None:
            raise ValueError("a sweep needs an optimum at both ends")
        level, slope = model.cost.level(found.x), direction.level(found.x)
        return _Settled(t, found.x, level, slope, found.dictionary)

    left = at(start, first.dictionary)
    waiting = [(left, at(end, left.dictionary))]
    pieces: list[CostPiece] = []
    for _ in range(MOST_SOLVES):
        if not waiting:
            return _joined(pieces)
        left, right = waiting.pop()
        if left.cost(right.at) == right.cost(right.at):
            pieces.append(_piece(left, left.at, right.at))
        elif right.cost(left.at) == left.cost(left.at):
            pieces.append(_piece(right, left.at, right.at))
        else:
            crossing = (right.level - left.level) / (left.slope - right.slope)
            middle = at(crossing, left.dictionary)
            if middle.cost(crossing) == left.cost(crossing):
                pieces.append(_piece(left, left.at, crossing))
                pieces.append(_piece(right, crossing, right.at))
            else:
                # The left half last, so that pieces come in order.
                waiting += [(middle, right), (left, middle)]
    raise UnsettledError("the sweep of a price came to no end; please report it")


def _moved(model: LinearModel, direction: Coefficients, t: Fraction) -> Coefficients:
    return Coefficients(
        tuple(
            Fraction(cost) + t * Fraction(pull) if pull else cost
            for cost, pull in zip(model.cost.numbers, direction.numbers, strict=True)
        )
    )


def _piece(settled: _Settled, start: Fraction, end: Fraction) -> CostPiece:
    return CostPiece(start, end, settled.x, settled.cost(start), settled.cost(end))


def _joined(pieces: Sequence[CostPiece]) -> tuple[CostPiece, ...]:
    """Neighbours on one straight line as one piece, with the point of the first."""
    joined: list[CostPiece] = []
    for piece in pieces:
        if joined and _slope(joined[-1]) == _slope(piece):
            last = joined.pop()
            piece = CostPiece(last.start, piece.end, last.x, last.cost_at_start, piece.cost_at_end)
        joined.append(piece)
    return tuple(joined)


def _slope(piece: CostPiece) -> Fraction:
    return (piece.cost_at_end - piece.cost_at_start) / (piece.end - piece.start)
