"""Two quantities against each other: a published case, and laws against fresh solves."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

import pytest
from linear_models import bare, dot, keeps_to, model_of, random_model
from published import case, model

from optimiser.linear_model import Coefficients, LinearModel, ModelRow, Sense
from optimiser.postoptimal.frontier import Edge, NoRangeError, corners, frontier
from optimiser.repair import extreme_level
from optimiser.solve import settle

Quantity = ModelRow


def quantity(top: list[int], bottom: list[int] | None = None, constant: int = 1) -> Quantity:
    """A sum, or a quotient of two."""
    row = ModelRow.helping("quantity", Sense.EQUAL, {}, 0, len(top))
    below = None if bottom is None else Coefficients(tuple(bottom))
    return replace(row, numerator=Coefficients(tuple(top)), denominator=below, constant=constant)


def level(of: Quantity, x: list[Fraction]) -> Fraction | None:
    weight = Fraction(of.constant)
    weight += dot(of.denominator.numbers, x) if of.denominator else 0
    return dot(of.numerator.numbers, x) / weight if weight else None


def mixed(edge: Edge, other: Quantity, at: Fraction) -> list[Fraction]:
    """The mixture of an edge's ends at a level of the other."""

    def over(x: tuple[Fraction, ...]) -> Fraction:
        weight = Fraction(other.constant)
        weight += dot(other.denominator.numbers, x) if other.denominator else 0
        return dot(other.numerator.numbers, x) - at * weight

    one, two = over(edge.x_at_start), over(edge.x_at_end)
    part = Fraction(0) if one == two else one / (one - two)
    pairs = zip(edge.x_at_start, edge.x_at_end, strict=True)
    return [a + part * (b - a) for a, b in pairs]


def test_published_two_objectives() -> None:
    """The three nondominated corners (0, 0), (3, -6), (12, -9).

    Ehrgott, Multicriteria Optimization (2005), example 6.3, from Steuer (1985); see the case.
    """
    given = case("biobjective_steuer")
    problem = model("biobjective_steuer")
    problem = replace(problem, upper=(1000, 3))
    one, other = (
        quantity([objective["coefficients"].get(label, 0) for label in problem.columns])
        for objective in given["objectives"]
    )
    found = corners(frontier(problem, one, other))
    expected = sorted((z["z2"], z["z1"]) for z in given["nondominated"])
    assert [(at, best) for at, best, _ in found] == expected
    points = {z["z2"]: z["x"] for z in given["nondominated"]}
    for at, _, x in found:
        assert list(x) == [points[at].get(label, 0) for label in problem.columns]


def best_at(problem: LinearModel, one: Quantity, other: Quantity, at: Fraction) -> Fraction | None:
    """The least of the one at a level of the other, by another method (Dinkelbach's)."""
    held = replace(other, row=replace(other.row, sense=Sense.EQUAL), bound=at)
    return extreme_level(problem.with_rows([held, one]), len(problem.rows) + 1, -1)


@pytest.mark.parametrize("seed", range(80))
def test_corners_lie_on_fresh_solves(seed: int) -> None:
    """Sums against sums, quotients against quotients: at, beside and between the corners."""
    rng = random.Random(seed)
    problem = random_model(rng)
    n = len(problem.columns)
    problem = replace(problem, upper=tuple(100 if u is None else u for u in problem.upper))

    def drawn() -> Quantity:
        top = [rng.randint(-3, 9) for _ in range(n)]
        if rng.random() < 0.5:
            return quantity(top)
        return quantity(top, [rng.randint(0, 3) for _ in range(n)], rng.choice([0, 1, 10]))

    one, other = drawn(), drawn()
    try:
        edges = frontier(problem, one, other)
    except NoRangeError:
        return
    for left, right in zip(edges, edges[1:], strict=False):
        assert left.end == right.start
    slopes = [edge.per_unit for edge in edges if edge.per_unit is not None]
    if one.denominator is None and other.denominator is None:
        assert slopes == sorted(slopes), bare(problem)  # convex
    places = {
        edge.start + (edge.end - edge.start) * part
        for edge in edges
        for part in (0, Fraction(1, 10**6), Fraction(1, 2), 1)
    }
    for at in places:
        points = [mixed(edge, other, at) for edge in edges if edge.start <= at <= edge.end]
        levels = [level(one, x) for x in points]
        best = best_at(problem, one, other, at)
        assert all(keeps_to(problem, x) for x in points)
        if best is not None and None not in levels:
            assert min(levels) == best, (at, bare(problem))


def test_a_grid_lies_on_a_frontier_of_means() -> None:
    """Mean hardness of the fat against the cost: 41 fresh solves are on the edges."""
    problem = model_of(
        cost=[0, 0, 0, 0],
        limits=[([1, 1, 1, 1], "=", 100), ([0, 0, 0, 1], ">=", 5)],
        upper=[60, 60, 60, 20],
    )
    cost = quantity([12, 8, 5, 3], None, 100)
    hard = quantity([80, 40, 0, 0], [1, 1, 1, 0], 0)
    edges = frontier(problem, cost, hard)
    low, high = edges[0].start, edges[-1].end
    for k in range(41):
        at = low + (high - low) * k / 40
        held = replace(hard, row=replace(hard.row, sense=Sense.EQUAL), bound=at)
        fresh = problem.costing(Coefficients((12, 8, 5, 3))).with_rows([held])
        inside = next(edge for edge in edges if edge.start <= at <= edge.end)
        assert settle(fresh)[1].cost == 100 * level(cost, mixed(inside, hard, at))


def test_nothing_to_average_over_is_refused() -> None:
    """A mean over what may be absent altogether has no least."""
    problem = model_of(cost=[0, 0], limits=[([1, 1], "=", 100)], upper=[100, 100])
    with pytest.raises(NoRangeError, match="nothing to average over"):
        frontier(problem, quantity([5, 0], [1, 0], 0), quantity([1, 0]))
    impossible = model_of(cost=[0], limits=[([1], "=", 100)], upper=[9])
    with pytest.raises(NoRangeError):
        frontier(impossible, quantity([1]), quantity([2]))


def test_a_quantity_that_cannot_move_has_one_level() -> None:
    """Where the other quantity is the same of every point, there is one best of the one."""
    problem = model_of((3, 1), [((1, 1), "=", 10), ((1, 0), ">=", 2)])
    found = frontier(problem, quantity([1, 0]), quantity([1, 1]))
    point = (Fraction(2), Fraction(8))
    assert [(e.start, e.end, e.one_at_start, e.one_at_end) for e in found] == [(10, 10, 2, 2)]
    assert found[0].x_at_start == found[0].x_at_end == point
