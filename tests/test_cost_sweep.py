"""Costs that move along a line: published parametric programmes, and laws."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

import pytest
from linear_models import assert_proof_holds, bare, model_of, random_model
from published import case, is_figure, model, names, sign

from optimiser.linear_model import Coefficients, LinearModel
from optimiser.postoptimal.cost_sweep import CostPiece, cost_pieces
from optimiser.solve import settle

STEPS = (Fraction(0), Fraction(1, 1000), Fraction(1, 2), Fraction(999, 1000), Fraction(1))


def at(problem: LinearModel, direction: Coefficients, t: Fraction) -> LinearModel:
    """The model with its costs moved to a position, worked out again."""
    pairs = zip(problem.cost.numbers, direction.numbers, strict=True)
    return problem.costing(Coefficients(tuple(Fraction(c) + t * Fraction(d) for c, d in pairs)))


def line(piece: CostPiece, t: Fraction) -> Fraction:
    rise = (piece.cost_at_end - piece.cost_at_start) / (piece.end - piece.start)
    return piece.cost_at_start + rise * (t - piece.start)


def assert_pieces_hold(
    problem: LinearModel, direction: Coefficients, pieces: tuple[CostPiece, ...]
) -> None:
    """Pieces meet, are concave, and at places within each lie on fresh solves."""
    slopes = [(p.cost_at_end - p.cost_at_start) / (p.end - p.start) for p in pieces]
    assert slopes == sorted(slopes, reverse=True)
    assert len(set(slopes)) == len(slopes)
    for left, right in zip(pieces, pieces[1:], strict=False):
        assert (left.end, left.cost_at_end) == (right.start, right.cost_at_start)
    for piece in pieces:
        for step in STEPS:
            t = piece.start + (piece.end - piece.start) * step
            moved = at(problem, direction, t)
            fresh = settle(moved)[1]
            assert fresh.cost == line(piece, t) == moved.cost_of(piece.x), bare(problem)


def test_published_parametric_costs() -> None:
    """Wyndor Glass with costs (3 + 2t, 5 - t): 36 - 2t, 27 + 5t, 12 + 8t.

    Hillier and Lieberman, Introduction to Operations Research (see the case; the parametric
    table is from memory and was worked out again by an exact solver).
    """
    name = "parametric_costs_wyndor"
    given = case(name)["parametric"]
    moves = [sign(name) * given["direction"][label] for label in model(name).columns]
    direction = Coefficients(tuple(moves))
    pieces = cost_pieces(model(name), direction, Fraction(0), Fraction(10))
    assert len(pieces) == len(given["segments"])
    for piece, printed in zip(pieces, given["segments"], strict=True):
        assert is_figure(piece.start, printed["from"])
        assert is_figure(piece.end, printed["to"])
        assert is_figure(sign(name) * piece.cost_at_start, printed["value_from"])
        assert is_figure(sign(name) * piece.cost_at_end, printed["value_to"])
    assert [piece.end for piece in pieces[:2]] == [Fraction(9, 7), 5]
    assert_pieces_hold(model(name), direction, pieces)


@pytest.mark.parametrize("name", names("derived.price_what_if"))
def test_one_price_swept_passes_through_the_published_what_ifs(name: str) -> None:
    """A sweep of one cost has the optimum of each what-if that changes it alone."""
    problem = model(name)
    found = case(name)["derived"]["price_what_if"]
    for change in [one for one in found if len(one["new_costs"]) == 1]:
        (label, cost), *_ = change["new_costs"].items()
        j = problem.columns.index(label)
        direction = Coefficients.sparse({j: sign(name)}, len(problem.columns))
        end = 3 * max(abs(Fraction(problem.cost.numbers[j])), Fraction(cost))
        pieces = cost_pieces(problem.with_cost(j, 0), direction, Fraction(0), end)
        t = Fraction(cost)
        piece = next(p for p in pieces if p.start <= t <= p.end)
        assert is_figure(sign(name) * line(piece, t), change["optimum"])


@pytest.mark.parametrize("seed", range(40))
def test_pieces_lie_on_fresh_solves(seed: int) -> None:
    """On degenerate, tied and ratio models every piece is the optimum all along."""
    rng = random.Random(seed)
    problem = random_model(rng)
    problem = replace(problem, upper=tuple(100 if u is None else u for u in problem.upper))
    if settle(problem)[1].x is None:
        with pytest.raises(ValueError, match="optimum"):
            cost_pieces(
                problem, Coefficients((1,) * len(problem.columns)), Fraction(0), Fraction(1)
            )
        return
    direction = Coefficients(tuple(rng.choice([0, 1, rng.randint(-3, 3)]) for _ in problem.columns))
    pieces = cost_pieces(problem, direction, Fraction(0), Fraction(5))
    assert (pieces[0].start, pieces[-1].end) == (0, 5)
    assert_pieces_hold(problem, direction, pieces)


def test_ends_have_to_be_in_order() -> None:
    """A sweep to where it starts is refused."""
    problem = model_of(cost=[1], limits=[([1], ">=", 1)])
    with pytest.raises(ValueError, match="above"):
        cost_pieces(problem, Coefficients((1,)), Fraction(2), Fraction(2))


def test_every_corner_is_proven() -> None:
    """The point of a piece is a proven optimum at both its ends."""
    name = "catfood_full"
    problem = model(name)
    j = problem.columns.index("BEEF")
    direction = Coefficients.sparse({j: 1}, len(problem.columns))
    for piece in cost_pieces(problem.with_cost(j, 0), direction, Fraction(0), Fraction(1, 10)):
        for t in (piece.start, piece.end):
            fresh = settle(at(problem.with_cost(j, 0), direction, t))[1]
            assert_proof_holds(at(problem.with_cost(j, 0), direction, t), fresh)
            assert fresh.cost == line(piece, t)
