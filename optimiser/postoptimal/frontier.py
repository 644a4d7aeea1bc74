"""Two quantities against each other: all corners of what is best in one at each level of the other.

With the other held at a level the least of the one is a linear programme in whose bound the
level stands; sweeping that bound from end to end (`bound_sweep`) gives every corner, and between
two corners the points run along a straight line. A quotient as the one is made linear by scaling
all points to a denominator of 1 (Charnes and Cooper 1962, "Programming with linear fractional
functionals", Nav. Res. Logist. Q. 9).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from optimiser.exact.dictionary import Ending
from optimiser.linear_model import Coefficients, LinearModel, ModelRow, Row, Sense
from optimiser.postoptimal.bound_sweep import BoundPiece, bound_pieces
from optimiser.provenance import Exact
from optimiser.repair import extreme_level
from optimiser.solve import settle

Point = tuple[Fraction, ...]


class NoRangeError(ValueError):
    """A quantity has no range: no point, no end, or nothing to average over.

    Attributes:
        is_other: Whether it is the other one.
    """

    def __init__(self, problem: str, is_other: bool) -> None:
        super().__init__(problem)
        self.is_other = is_other


@dataclass(frozen=True, eq=False)
class Edge:
    """Between two levels of the other the best points run along one straight line.

    Attributes:
        start: The lower level of the other.
        end: The higher level.
        one_at_start: The least of the one at the lower level.
        one_at_end: The least at the higher level.
        x_at_start: A point of the lower level that has it.
        x_at_end: A point of the higher level that has it.
        is_straight: Whether the one is straight in the other in between.
    """

    start: Fraction
    end: Fraction
    one_at_start: Fraction
    one_at_end: Fraction
    x_at_start: Point
    x_at_end: Point
    is_straight: bool

    @property
    def per_unit(self) -> Fraction | None:
        """The one per unit of the other; None where it is not the same all along."""
        if not self.is_straight or self.start == self.end:
            return None
        return (self.one_at_end - self.one_at_start) / (self.end - self.start)


def frontier(model: LinearModel, one: ModelRow, other: ModelRow) -> tuple[Edge, ...]:
    """The least of one quantity at every level of another, in rising order of the other.

    Args:
        model: A continuous model; its costs do not matter.
        one: A row whose level is the one; its side and bound do not matter.
        other: A row whose level is the other; its side and bound do not matter.

    Raises:
        NoRangeError: No point meets the model, or one of the two is nowhere a number.
        UnsettledError: The exact arithmetic came to no end.
    """
    if other.denominator is not None:
        _smallest_weight(model, other, is_other=True)
    held = _equal(other)
    i = len(model.rows)
    whole = model.with_rows([held])
    least, most = (extreme_level(whole, i, way) for way in (-1, 1))
    if least is None or most is None:
        raise NoRangeError("no formula has a level of it", is_other=True)
    if one.denominator is None:
        scale = Fraction(one.constant)
        wide = whole.costing(
            Coefficients(tuple(Fraction(a) / scale for a in one.numerator.numbers))
        )
        return _edges(wide, i, least, most, is_scaled=False)
    # The other's row must not stand in the way of the smallest denominator.
    smallest = _smallest_weight(model, one, is_other=False)
    return _edges(_scaled(whole, one, smallest), i, least, most, is_scaled=True)


def _equal(row: ModelRow) -> ModelRow:
    return replace(row, row=replace(row.row, sense=Sense.EQUAL))


def _edges(
    model: LinearModel, i: int, least: Fraction, most: Fraction, is_scaled: bool
) -> tuple[Edge, ...]:
    """Every edge of a model's cost over the bound of row i."""

    def place(x: Point) -> Point:
        return tuple(share / x[-1] for share in x[:-1]) if is_scaled else x

    if least == most:
        found = settle(model.with_bound(i, least))[1]
        if found.x is None or found.cost is None:
            raise NoRangeError("no formula has a level of it", is_other=True)
        x, cost = place(found.x), found.cost
        return (Edge(least, least, cost, cost, x, x, False),)
    return tuple(
        _edge(piece, place(piece.x_at_start), place(piece.x_at_end))
        for piece in bound_pieces(model, i, least, most).pieces
    )


def _edge(piece: BoundPiece, start: Point, end: Point) -> Edge:
    ends = (piece.start, piece.end, piece.cost_at_start, piece.cost_at_end)
    return Edge(*ends, start, end, piece.is_straight)


def _smallest_weight(model: LinearModel, one: ModelRow, is_other: bool) -> Fraction:
    """The least that a quotient is taken over.

    Raises:
        NoRangeError: That may be 0, or there is no point.
    """
    assert one.denominator is not None
    found = settle(model.costing(one.denominator))[1]
    if found.ending is not Ending.OPTIMAL or found.cost is None:
        raise NoRangeError("no formula has a level of it", is_other)
    if found.cost + Fraction(one.constant) <= 0:
        raise NoRangeError("there may be nothing to average over", is_other)
    return found.cost + Fraction(one.constant)


def _scaled(model: LinearModel, one: ModelRow, smallest: Fraction) -> LinearModel:
    """The model over y = t x with the one's denominator at 1, its numerator as the cost.

    The last column is t. A level of a row is the same quotient of y and t as it is of x and 1.
    """
    assert one.denominator is not None
    weight, constant = one.denominator, Fraction(one.constant)
    n = len(model.columns)

    def quotient(
        row: Row, top: Coefficients, bottom: Coefficients | None, plain: Exact, bound: Exact
    ) -> ModelRow:
        below = (0,) * n if bottom is None else bottom.numbers
        return ModelRow(
            row, Coefficients((*top.numbers, 0)), Coefficients((*below, plain)), 0, bound
        )

    rows = [
        quotient(*parts)
        for parts in zip(
            model.rows, model.numerator, model.denominator, model.constant, model.bound, strict=True
        )
    ]
    for j, (low, high) in enumerate(zip(model.lower, model.upper, strict=True)):
        for bound, sense in ((low, Sense.AT_LEAST), (high, Sense.AT_MOST)):
            if bound is not None and (bound or sense is Sense.AT_MOST):
                rows.append(_bound_row(j, n, sense, bound))
    norm = ModelRow.helping("one", Sense.EQUAL, {}, 1, n + 1)
    norm = replace(norm, numerator=Coefficients((*weight.numbers, constant)))
    empty = replace(
        model,
        columns=(*model.columns, "scale"),
        rows=(),
        numerator=(),
        denominator=(),
        constant=(),
        bound=(),
        cost=Coefficients((*one.numerator.numbers, 0)),
        lower=(0,) * (n + 1),
        upper=(*(None,) * n, 1 / smallest),
        is_integer=(False,) * (n + 1),
    )
    return empty.with_rows([*rows, norm])


def _bound_row(j: int, n: int, sense: Sense, bound: Exact) -> ModelRow:
    """A bound of column j as a row over the scaled columns."""
    plain = ModelRow.helping("bound", sense, {j: 1}, bound, n + 1)
    scale = Coefficients.sparse({n: 1}, n + 1)
    return replace(plain, denominator=scale, constant=0)


def corners(edges: Sequence[Edge]) -> list[tuple[Fraction, Fraction, Point]]:
    """The corners of edges in order: level of the other, least of the one, point."""
    found: list[tuple[Fraction, Fraction, Point]] = []
    for edge in edges:
        for corner in (
            (edge.start, edge.one_at_start, edge.x_at_start),
            (edge.end, edge.one_at_end, edge.x_at_end),
        ):
            if not found or found[-1][:2] != corner[:2]:
                found.append(corner)
    return found
