"""Many cost vectors at once, each held against a fresh solve by another programme."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

import highspy
import numpy as np
import pytest
from linear_models import bare, keeps_to, model_of, random_model

from optimiser.linear_model import Coefficients, LinearModel, Sense
from optimiser.postoptimal.corners import Corners
from optimiser.solve import settle

RELATIVE = 1e-9


def percent_model(seed: int, n: int = 40, m: int = 20) -> LinearModel:
    """A percentage formula of random figures with narrow windows, possible by construction."""
    rng = random.Random(seed)
    shares = [rng.choice([0, 0, 0, rng.randint(1, 40)]) for _ in range(n - 1)]
    point = [*shares, 3]
    whole = sum(point)
    point = [Fraction(100 * share, whole) for share in point]
    limits = [([1] * n, "=", 100)]
    for _ in range(m - 1):
        figures = [rng.choice([0, rng.randint(0, 1000)]) for _ in range(n)]
        level = sum(f * x for f, x in zip(figures, point, strict=True)) / 100
        side = rng.choice([">=", "<="])
        slack = Fraction(rng.randint(2, 40), 10) * (-1 if side == ">=" else 1)
        limits.append((figures, side, Fraction(round(level + slack)), None, 100))
    return model_of(
        cost=[Fraction(rng.randint(200, 4000), 100) for _ in range(n)],
        limits=limits,
        upper=[100] * n,
    )


def highs(model: LinearModel) -> highspy.Highs:
    """HiGHS with tight tolerances on the model's arrays."""
    solver = highspy._Highs()  # Highs() of some versions prints a banner
    for option, value in (
        ("output_flag", False),
        ("threads", 1),
        ("dual_feasibility_tolerance", 1e-10),
        ("primal_feasibility_tolerance", 1e-10),
    ):
        solver.setOptionValue(option, value)
    lp = highspy.HighsLp()
    m, n = model.matrix.shape
    lp.num_col_, lp.num_row_ = n, m
    lp.col_cost_ = model.cost.floats
    lp.col_lower_ = np.array([float(low) for low in model.lower])
    lp.col_upper_ = np.array([float(high) for high in model.upper])
    senses = [row.sense for row in model.rows]
    infinity = highspy.kHighsInf
    lp.row_lower_ = np.array(
        [-infinity if s is Sense.AT_MOST else b for s, b in zip(senses, model.rhs, strict=True)]
    )
    lp.row_upper_ = np.array(
        [infinity if s is Sense.AT_LEAST else b for s, b in zip(senses, model.rhs, strict=True)]
    )
    row, column = np.nonzero(model.matrix)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.searchsorted(row, np.arange(m + 1)).astype(np.int32)
    lp.a_matrix_.index_ = column.astype(np.int32)
    lp.a_matrix_.value_ = model.matrix[row, column]
    solver.passModel(lp)
    return solver


def solved_fresh(model: LinearModel, costs: np.ndarray) -> np.ndarray:
    """The optimum of each cost vector, every solve from nothing."""
    solver = highs(model)
    places = np.arange(len(model.columns), dtype=np.int32)
    found = []
    for cost in costs:
        solver.clearSolver()
        solver.changeColsCost(len(cost), places, cost)
        solver.run()
        assert solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
        found.append(solver.getInfo().objective_function_value)
    return np.array(found)


def degenerate(model: LinearModel) -> LinearModel:
    """The model with every limit drawn to the optimum, and half of them said twice."""
    x = settle(model)[1].x
    for i, row in enumerate(model.rows):
        if row.sense is not Sense.EQUAL and i % 2:
            model = model.with_bound(i, model.level(i, x))
    twice = model.without_rows(range(0, len(model.rows), 2))
    return replace(
        model,
        rows=(*model.rows, *twice.rows),
        numerator=(*model.numerator, *twice.numerator),
        denominator=(*model.denominator, *twice.denominator),
        constant=(*model.constant, *twice.constant),
        bound=(*model.bound, *twice.bound),
    )


@pytest.mark.parametrize("kind", ["plain", "degenerate", "tied"])
@pytest.mark.parametrize("spread", [0.05, 0.3])
def test_two_thousand_scenarios_one_by_one(kind: str, spread: float) -> None:
    """Every cost is that of a fresh solve; also where many bases share a point, and with ties."""
    model = percent_model(3)
    if kind == "degenerate":
        model = degenerate(model)
    rng = np.random.default_rng(7)
    today = model.cost.floats
    if kind == "tied":
        today = np.round(today / 8) * 8
    costs = np.exp(rng.standard_normal((2000, len(today))) * spread) * today
    if kind == "tied":
        costs = np.round(costs)
    corners = Corners(model, settle(model)[1].dictionary.basis())
    ended = corners.cheapest(costs)
    fresh = solved_fresh(model, costs)
    assert np.max(np.abs(ended.cost - fresh) / np.abs(fresh)) < RELATIVE
    assert sum(corners.counts) == 2000
    points = np.array(corners.points)[ended.place]
    assert np.allclose((costs * points).sum(axis=1), ended.cost, rtol=1e-12)


@pytest.mark.parametrize("seed", range(40))
def test_random_models_one_by_one(seed: int) -> None:
    """Degenerate, tied and ratio models, costs of either sign, held against exact solves."""
    rng = random.Random(seed)
    model = random_model(rng)
    model = replace(model, upper=tuple(100 if u is None else u for u in model.upper))
    certificate = settle(model)[1]
    if certificate.x is None:
        return
    generator = np.random.default_rng(seed)
    costs = np.round(generator.uniform(-3, 9, (25, len(model.columns))), rng.choice([0, 1, 6]))
    corners = Corners(model, certificate.dictionary.basis())
    ended = corners.cheapest(costs)
    for cost, found in zip(costs, ended.cost, strict=True):
        exact = settle(model.costing(Coefficients.typed(cost)))[1].cost
        assert float(exact) == pytest.approx(found, rel=RELATIVE, abs=1e-9), bare(model)
    for place, count in enumerate(corners.counts):
        if count:
            assert keeps_to(model, corners.exact_point(place))


def test_one_cost_far_off_does_not_blur_the_others() -> None:
    """A price of thousands of millions, as for what cannot be had, leaves the rest exact."""
    model = percent_model(5)
    rng = np.random.default_rng(2)
    costs = rng.uniform(2, 40, (200, len(model.columns)))
    away = rng.integers(0, len(model.columns), 200)
    x = settle(model)[1].x
    away[away == int(np.argmax([float(share) for share in x]))] = 0
    costs[np.arange(200), away] = 1e9
    ended = Corners(model, settle(model)[1].dictionary.basis()).cheapest(costs)
    exact = [settle(model.costing(Coefficients.typed(cost)))[1].cost for cost in costs[:40]]
    assert np.allclose(ended.cost[:40], [float(cost) for cost in exact], rtol=RELATIVE)


def test_blocks_do_not_matter() -> None:
    """The same costs in one block, in several, and in another order end the same."""
    model = percent_model(5)
    basis = settle(model)[1].dictionary.basis()
    costs = np.random.default_rng(1).uniform(2, 40, (300, len(model.columns)))
    whole = Corners(model, basis).cheapest(costs)
    parts = Corners(model, basis)
    pieces = np.concatenate([parts.cheapest(block).cost for block in np.split(costs, 5)])
    backwards = Corners(model, basis).cheapest(costs[::-1])
    assert np.allclose(whole.cost, pieces, rtol=1e-12)
    assert np.allclose(whole.cost, backwards.cost[::-1], rtol=1e-12)


def test_wandering_vectors_are_settled_exactly(monkeypatch: pytest.MonkeyPatch) -> None:
    """With no steps allowed every vector away from the start goes to the exact arithmetic."""
    model = percent_model(5)
    basis = settle(model)[1].dictionary.basis()
    costs = np.random.default_rng(1).uniform(2, 40, (30, len(model.columns)))
    expected = Corners(model, basis).cheapest(costs)
    monkeypatch.setattr("optimiser.postoptimal.corners.MOST_STEPS", 1)
    ended = Corners(model, basis).cheapest(costs)
    assert ended.exactly > 20
    assert np.allclose(ended.cost, expected.cost, rtol=RELATIVE)


def test_memory_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond so many corners the rarest are forgotten, and the answers stay the same."""
    model = percent_model(5)
    basis = settle(model)[1].dictionary.basis()
    costs = np.random.default_rng(1).uniform(2, 40, (300, len(model.columns)))
    expected = Corners(model, basis).cheapest(costs)
    monkeypatch.setattr("optimiser.postoptimal.corners.MOST_CORNERS", 20)
    corners = Corners(model, basis)
    costs_found = np.concatenate([corners.cheapest(block).cost for block in np.split(costs, 5)])
    assert np.allclose(costs_found, expected.cost, rtol=1e-12)
    assert len(corners._known) <= 20


def test_a_column_without_an_end_is_refused() -> None:
    """Corners need a bound above every column."""
    model = model_of(cost=[1], limits=[([1], ">=", 1)])
    with pytest.raises(ValueError, match="upper bound"):
        Corners(model, settle(model)[1].dictionary.basis())
