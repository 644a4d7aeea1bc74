"""One bound swept: published parametric right sides, and laws for sums and ratios."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest
from linear_models import bare, dot, keeps_to, model_of, random_model
from published import case, is_figure, model, names, row, sign

from optimiser.linear_model import LinearModel, Sense
from optimiser.postoptimal.bound_sweep import BoundPiece, BoundSweep, bound_pieces
from optimiser.solve import settle

SWEPT = [
    (name, key)
    for name in names("derived")
    for key in case(name)["derived"]
    if key.startswith("parametric_")
]


@pytest.mark.parametrize(("name", "key"), SWEPT)
def test_published_sweeps_of_a_bound(name: str, key: str) -> None:
    """Corners, values and slopes are those of another exact solver."""
    segments = case(name)["derived"][key]["segments"]
    i = row(name, key.removeprefix("parametric_"))
    start, end = Fraction(segments[0]["from"]), Fraction(segments[-1]["to"])
    pieces = bound_pieces(model(name), i, start, end).pieces
    assert len(pieces) == len(segments)
    for piece, printed in zip(pieces, segments, strict=True):
        assert is_figure(piece.start, printed["from"])
        assert is_figure(piece.end, printed["to"])
        assert is_figure(sign(name) * piece.cost_at_start, printed["value_from"])
        assert is_figure(sign(name) * piece.per_unit, printed["slope"])


def test_there_are_published_sweeps() -> None:
    """The cases above are not an empty list."""
    assert len(SWEPT) >= 6


def between(problem: LinearModel, i: int, piece: BoundPiece, bound: Fraction) -> list[Fraction]:
    """The mixture of a piece's two ends whose level is the bound."""

    def over(x: tuple[Fraction, ...]) -> Fraction:
        bottom = problem.denominator[i]
        weight = Fraction(problem.constant[i]) + (dot(bottom.numbers, x) if bottom else 0)
        return dot(problem.numerator[i].numbers, x) - bound * weight

    one, other = over(piece.x_at_start), over(piece.x_at_end)
    part = Fraction(0) if one == other else one / (one - other)
    pairs = zip(piece.x_at_start, piece.x_at_end, strict=True)
    return [a + part * (b - a) for a, b in pairs]


def cost_in(problem: LinearModel, i: int, piece: BoundPiece, bound: Fraction) -> Fraction:
    """What a piece says of a bound within it."""
    if piece.start == piece.end or piece.per_unit == 0:
        return piece.cost_at_start
    if piece.per_unit is not None:
        return piece.cost_at_start + (bound - piece.start) * piece.per_unit
    x = between(problem, i, piece, bound)
    assert keeps_to(problem.with_bound(i, bound), x)
    return dot(problem.cost.numbers, x)


def assert_sweep_holds(
    problem: LinearModel, i: int, found: BoundSweep, grid: set[Fraction]
) -> None:
    """At every place of a grid the pieces and a fresh solve say the same."""
    for bound in sorted(grid):
        fresh = settle(problem.with_bound(i, bound))[1]
        inside = [piece for piece in found.pieces if piece.start <= bound <= piece.end]
        said = [cost_in(problem, i, piece, bound) for piece in inside]
        # A ratio may jump where nothing of what it concerns is left; the better end counts.
        assert min(said, default=None) == fresh.cost, (i, bound, bare(problem))


def just_beside(found: BoundSweep, low: Fraction, high: Fraction) -> set[Fraction]:
    """Places at and just beside every corner."""
    hair = Fraction(1, 10**7)
    ends = {end for piece in found.pieces for end in (piece.start, piece.end)}
    places = {end + way * hair for end in ends for way in (-1, 0, 1)}
    return {place for place in places if low <= place <= high}


@pytest.mark.parametrize("seed", range(60))
def test_sweeps_of_random_models_lie_on_fresh_solves(seed: int) -> None:
    """Sums, means and ratios, equations too, degenerate and impossible: at and beside corners."""
    rng = random.Random(seed)
    problem = random_model(rng)
    problem = replace(problem, upper=tuple(100 if u is None else u for u in problem.upper))
    for i, bound in enumerate(problem.bound):
        low = Fraction(bound) - rng.choice([1, Fraction(1, 3), 20])
        high = Fraction(bound) + rng.choice([1, Fraction(1, 3), 20])
        found = bound_pieces(problem, i, low, high)
        grid = {low + (high - low) * k / 6 for k in range(7)} | just_beside(found, low, high)
        assert_sweep_holds(problem, i, found, grid)


@pytest.mark.parametrize("seed", range(30))
def test_cost_is_convex_in_the_bound_of_a_sum(seed: int) -> None:
    """For rows with a constant weight the slopes rise, and the pieces meet."""
    rng = random.Random(1000 + seed)
    problem = random_model(rng, ratios=False)
    problem = replace(problem, upper=tuple(100 if u is None else u for u in problem.upper))
    for i, bound in enumerate(problem.bound):
        pieces = bound_pieces(problem, i, Fraction(bound) - 9, Fraction(bound) + 9).pieces
        slopes = [piece.per_unit for piece in pieces if piece.per_unit is not None]
        assert slopes == sorted(slopes)
        for left, right in zip(pieces, pieces[1:], strict=False):
            assert (left.end, left.cost_at_end) == (right.start, right.cost_at_start)


def test_a_ratio_runs_along_an_edge() -> None:
    """Butter to oil at least b, butter 9 and oil 5: cost (9b + 5) / (1 + b), and half way too."""
    problem = model_of(
        cost=[Fraction(9, 100), Fraction(5, 100)],
        limits=[([1, 1], "=", 100), ([1, 0], ">=", 2, [0, 1], 0)],
        upper=[100, 100],
    )
    found = bound_pieces(problem, 1, Fraction(1), Fraction(4))
    (piece,) = found.pieces
    assert (piece.cost_at_start, piece.cost_at_end) == (7, Fraction(41, 5))
    assert piece.per_unit is None
    assert cost_in(problem, 1, piece, Fraction(2)) == Fraction(23, 3)


def test_where_it_becomes_impossible() -> None:
    """A floor is followed to the highest that can be met, and a range beyond has no piece."""
    problem = model_of(
        cost=[3, 1], limits=[([1, 1], "=", 100), ([8, 2], ">=", 300)], upper=[60, 100]
    )
    found = bound_pieces(problem, 1, Fraction(100), Fraction(900))
    assert [(p.start, p.end) for p in found.pieces] == [(100, 200), (200, 560)]
    assert not found.pieces[0].binds
    assert found.possible_to == 560
    beyond = bound_pieces(problem, 1, Fraction(600), Fraction(900))
    assert (beyond.pieces, beyond.possible_to) == ((), 560)


def test_an_equation_costs_what_its_dearer_side_costs() -> None:
    """Held exactly, a level costs more on both sides of where it would be by itself."""
    problem = model_of(
        cost=[4, 1, 9],
        limits=[([1, 1, 1], "=", 10), ([1, 0, 0], ">=", 2), ([5, 0, 9], "=", 30)],
        upper=[10, 10, 10],
    )
    assert problem.rows[2].sense is Sense.EQUAL
    found = bound_pieces(problem, 2, Fraction(0), Fraction(60))
    assert found.possible_from == 10
    sides = Counter(piece.per_unit > 0 for piece in found.pieces if piece.per_unit)
    assert sides[True]
    assert_sweep_holds(problem, 2, found, {Fraction(k) for k in range(61)})


def test_ends_of_a_bound_have_to_be_in_order() -> None:
    """A sweep to below where it starts is refused."""
    problem = model_of(cost=[1], limits=[([1], ">=", 1)], upper=[9])
    with pytest.raises(ValueError, match="above"):
        bound_pieces(problem, 0, Fraction(3), Fraction(2))
