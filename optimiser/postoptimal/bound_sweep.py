"""The optimum as one bound moves: exact pieces from corner to corner.

While a limit does not bind, the optimum stays. From where it begins to bind, the optimum runs
along an edge until the active limits change: there is the next corner, found by parametric
steps (`exact.sensitivity`). For a sum or a mean over a fixed whole the cost is straight and
convex in the bound. For a ratio the points still run along a straight line, so the piece is
exact as well, but the cost in between is a quotient of linear functions of the bound.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from optimiser.exact.dictionary import Ending, UnsettledError
from optimiser.exact.integer_program import IntegerProgram
from optimiser.exact.kernel import Basis
from optimiser.exact.proof import Certificate, meets, prove
from optimiser.exact.sensitivity import bound_edge
from optimiser.linear_model import LinearModel, Sense
from optimiser.repair import extreme_level
from optimiser.solve import capped_at, concluded, settle

MOST_PIECES = 1000

GIVEN_UP = "the sweep of a limit came to no end; please report it"

Point = tuple[Fraction, ...]


@dataclass(frozen=True, eq=False)
class BoundPiece:
    """Between two bounds the cheapest points run along one straight line.

    Where the cost jumps, as where nothing is left of what a ratio concerns, two pieces name
    the same bound and the cheaper one holds there.

    Attributes:
        start: Where it begins.
        end: Where it ends, above the start; equal where only one bound is possible.
        x_at_start: A cheapest point at the start, exactly.
        x_at_end: A cheapest point at the end.
        cost_at_start: The least cost at the start.
        cost_at_end: The least cost at the end.
        is_straight: Whether the cost is straight in the bound in between.
        binds: False where the limit asks for nothing that is not so anyway.
    """

    start: Fraction
    end: Fraction
    x_at_start: Point
    x_at_end: Point
    cost_at_start: Fraction
    cost_at_end: Fraction
    is_straight: bool
    binds: bool

    @property
    def per_unit(self) -> Fraction | None:
        """Cost per unit of the bound; None where it is not the same all along."""
        if not self.is_straight or self.start == self.end:
            return None
        return (self.cost_at_end - self.cost_at_start) / (self.end - self.start)


@dataclass(frozen=True, eq=False)
class BoundSweep:
    """The least cost as a function of a bound.

    Attributes:
        pieces: In rising order of the bound; empty where no bound of the range is possible.
        possible_to: Where a limit of one side becomes impossible as it is tightened, None
            where it does not within the range; where no bound of the range is possible, the
            one nearest to it that is, None where none is.
        possible_from: For a limit of both sides the other end, likewise.
    """

    pieces: tuple[BoundPiece, ...]
    possible_from: Fraction | None
    possible_to: Fraction | None


def bound_pieces(model: LinearModel, i: int, start: Fraction, end: Fraction) -> BoundSweep:
    """Every piece of the least cost for the bound of row i between two values.

    Args:
        model: A continuous model; its own bound of row i does not matter.
        i: The row.
        start: The lowest bound.
        end: The highest bound, above the lowest.

    Raises:
        ValueError: The ends are not in order, or the cost has no end.
        UnsettledError: The exact arithmetic came to no end.
    """
    if start >= end:
        raise ValueError("a sweep ends above where it starts")
    if model.rows[i].sense is Sense.EQUAL:
        return _both_sides(model, i, start, end)
    tightens = 1 if model.rows[i].sense is Sense.AT_LEAST else -1
    loose, tight = (start, end) if tightens > 0 else (end, start)
    here = _at(model, i, loose)
    if here.x is None:
        reach = extreme_level(model, i, tightens)
        return BoundSweep((), None, reach)
    assert here.cost is not None
    capped = capped_at(model.with_bound(i, tight), here.cost, model.cost)
    _, idle = settle(capped)
    if idle.x is not None:
        return BoundSweep((_rest(model, i, loose, tight, idle.x, here.cost),), None, None)
    corner = extreme_level(capped, i, tightens)
    if corner is None:
        raise UnsettledError(GIVEN_UP)
    pieces = []
    if corner != loose:
        here = _at(model, i, corner, here)
        assert here.x is not None
        assert here.cost is not None
        pieces.append(_rest(model, i, loose, corner, here.x, here.cost))
    found, reach = _walk(model, i, here, corner, tight, tightens)
    pieces += found or ([] if pieces else [_only(corner, here)])
    return BoundSweep(tuple(sorted(pieces, key=lambda p: p.start)), None, reach)


def _only(bound: Fraction, here: Certificate) -> BoundPiece:
    """The one bound of a range that is possible."""
    if here.x is None or here.cost is None:
        raise UnsettledError(GIVEN_UP)
    return BoundPiece(bound, bound, here.x, here.x, here.cost, here.cost, False, True)


def _both_sides(model: LinearModel, i: int, start: Fraction, end: Fraction) -> BoundSweep:
    """A limit that holds its level exactly: whichever of its two sides costs more.

    The dual of the limit has one sign, so that the other side could go without loss. Where
    both sides cost the same, cheapest points of either side are mixed to the level.
    """
    below, above = (
        bound_pieces(_one_sided(model, i, sense), i, start, end)
        for sense in (Sense.AT_MOST, Sense.AT_LEAST)
    )
    if not below.pieces or not above.pieces:
        return BoundSweep((), below.possible_to, above.possible_to)
    free = settle(model.without_rows([i]))[1].cost
    left = [p for p in below.pieces if not p.cost_at_start == p.cost_at_end == free]
    right = [p for p in above.pieces if not p.cost_at_start == p.cost_at_end == free]
    least = start if below.possible_to is None else below.possible_to
    most = end if above.possible_to is None else above.possible_to
    low = left[-1].end if left else least
    high = right[0].start if right else most
    middle = []
    if low < high:
        one, other = (
            next(p.x_at_start for p in sweep.pieces if p.cost_at_start == p.cost_at_end == free)
            for sweep in (below, above)
        )
        ends = [_meeting(model, i, bound, one, other) for bound in (low, high)]
        if ends[0] is None or ends[1] is None or free is None:
            raise UnsettledError(GIVEN_UP)
        middle = [BoundPiece(low, high, ends[0], ends[1], free, free, True, True)]
    pieces = [piece for piece in (*left, *middle, *right) if piece.start < piece.end]
    if not pieces:
        pieces = [_only(least, _at(model, i, least))]
    return BoundSweep(tuple(pieces), below.possible_to, above.possible_to)


def _one_sided(model: LinearModel, i: int, sense: Sense) -> LinearModel:
    row = replace(model.rows[i], sense=sense)
    return replace(model, rows=(*model.rows[:i], row, *model.rows[i + 1 :]))


def _at(
    model: LinearModel, i: int, bound: Fraction, near: Certificate | None = None
) -> Certificate:
    """The model settled with the bound of row i moved."""
    moved = model.with_bound(i, bound)
    basis = _basis(near)
    found = settle(moved)[1] if basis is None else concluded(prove(moved, basis))
    if found.ending is Ending.UNBOUNDED:
        raise ValueError("a sweep needs an end to the cost at every bound")
    return found


def _basis(near: Certificate | None) -> Basis | None:
    return None if near is None or near.dictionary is None else near.dictionary.basis()


def _rest(
    model: LinearModel, i: int, one: Fraction, other: Fraction, x: Point, cost: Fraction
) -> BoundPiece:
    """A piece on which one point stays the cheapest."""
    binds = model.level(i, x) is None
    return BoundPiece(min(one, other), max(one, other), x, x, cost, cost, True, binds)


def _walk(
    model: LinearModel, i: int, here: Certificate, bound: Fraction, last: Fraction, way: int
) -> tuple[list[BoundPiece], Fraction | None]:
    """Follow a binding limit from corner to corner.

    Returns:
        The pieces, and where the model becomes impossible, None where it does not.
    """
    is_sum = model.denominator[i] is None
    pieces: list[BoundPiece] = []
    while len(pieces) < MOST_PIECES:
        if here.x is None or here.dictionary is None or here.cost is None:
            raise UnsettledError(GIVEN_UP)
        if bound == last:
            return _joined(pieces), None
        if not model.weight(i, here.x):  # nothing of what it concerns: every bound is met
            pieces.append(_rest(model, i, bound, last, here.x, here.cost))
            return _joined(pieces), None
        moved = model.with_bound(i, bound)
        rate, edge = bound_edge(moved, here.dictionary, i, way)
        if rate.per_unit is None:
            return _beyond(model, i, bound, last, pieces)
        until = last if rate.until is None else way * min(way * rate.until, way * last)
        x, basis = (here.x, here.dictionary.basis()) if is_sum else (edge.point(), edge.basis())
        there = concluded(prove(model.with_bound(i, until), basis))
        if there.x is None or there.cost is None or until == bound:
            raise UnsettledError(GIVEN_UP)
        if model.cost_of(x) != here.cost or not meets(IntegerProgram.of(moved), x):
            raise UnsettledError(GIVEN_UP)
        ends = ((bound, x, here.cost), (until, there.x, there.cost))
        (low, x_low, cost_low), (high, x_high, cost_high) = ends[::way]
        straight = is_sum or cost_low == cost_high
        pieces.append(BoundPiece(low, high, x_low, x_high, cost_low, cost_high, straight, True))
        here, bound = there, until
    raise UnsettledError(GIVEN_UP)


def _beyond(
    model: LinearModel, i: int, bound: Fraction, last: Fraction, pieces: list[BoundPiece]
) -> tuple[list[BoundPiece], Fraction | None]:
    """The end of a walk: impossible from here on, or only without what the limit concerns."""
    far = _at(model, i, last)
    if far.x is None or far.cost is None:
        return _joined(pieces), bound
    if model.weight(i, far.x):
        raise UnsettledError(GIVEN_UP)
    return [*_joined(pieces), _rest(model, i, bound, last, far.x, far.cost)], None


def _meeting(
    model: LinearModel, i: int, bound: Fraction, one: Sequence[Fraction], other: Sequence[Fraction]
) -> Point | None:
    """The point on the line through two others at which row i has a level; None if there is none.

    numerator - bound * weight is linear along the line and 0 at the point looked for.
    """

    def over(x: Sequence[Fraction]) -> Fraction:
        return model.numerator[i].level(x) - bound * model.weight(i, x)

    at_one, at_other = over(one), over(other)
    if at_one == at_other:
        return tuple(one) if not at_one else None
    part = at_one / (at_one - at_other)
    return tuple(a + part * (b - a) for a, b in zip(one, other, strict=True))


def _joined(pieces: Sequence[BoundPiece]) -> list[BoundPiece]:
    """Pieces in rising order, neighbours on one straight line of the cost as one."""
    joined: list[BoundPiece] = []
    for piece in sorted(pieces, key=lambda p: p.start):
        last = joined[-1] if joined else None
        if last is not None and last.binds == piece.binds and _is_one_line(last, piece):
            joined[-1] = BoundPiece(
                last.start,
                piece.end,
                last.x_at_start,
                piece.x_at_end,
                last.cost_at_start,
                piece.cost_at_end,
                last.is_straight,
                last.binds,
            )
        else:
            joined.append(piece)
    return joined


def _is_one_line(one: BoundPiece, other: BoundPiece) -> bool:
    """Whether two neighbours are one: the same price a unit, or for ratios the same line."""
    if one.is_straight and other.is_straight:
        return one.per_unit == other.per_unit
    if one.is_straight or other.is_straight or one.x_at_end != other.x_at_start:
        return False
    steps = [
        (b - a, c - b) for a, b, c in zip(one.x_at_start, one.x_at_end, other.x_at_end, strict=True)
    ]
    lead = next(((p, q) for p, q in steps if p or q), None)
    return lead is not None and all(p * lead[1] == q * lead[0] for p, q in steps)
