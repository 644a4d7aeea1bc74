"""Formulas for uncertain prices: published robust cases, and enumerated worst cases."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest
from linear_models import bare, dot, model_of, random_model
from published import case, column, is_printed, model, row

from optimiser.linear_model import Coefficients, LinearModel, ModelRow, Sense
from optimiser.postoptimal.protection import protected, worst_rise
from optimiser.provenance import Exact
from optimiser.solve import settle

NOMINAL, INTERVAL = "robust_drug_nominal", "robust_drug_interval"


def drug_rises() -> list[Fraction]:
    """How much less active agent than the nominal figure each raw material may have."""
    rises = [Fraction(0)] * len(model(NOMINAL).columns)
    for label, (low, high) in case(INTERVAL)["uncertainty"]["balance"].items():
        rises[column(NOMINAL, label)] = (Fraction(high) - Fraction(low)) / 2
    return rises


@pytest.mark.parametrize(("most", "name"), [(0, NOMINAL), (2, INTERVAL)])
def test_published_drug_production(most: int, name: str) -> None:
    """Nominal 8819.658 with nothing uncertain, robust 8294.567 with both contents at worst.

    Ben-Tal, El Ghaoui and Nemirovski, Robust Optimization (2009), section 1.1.
    """
    guarded = protected(model(NOMINAL), drug_rises(), most, row(NOMINAL, "balance"))
    found = settle(guarded)[1]
    printed = case(name)["published"]
    assert is_printed(-found.cost, printed["optimum"], printed.get("optimum_tol"))
    for label, figure in printed["solution"].items():
        assert is_printed(found.x[column(NOMINAL, label)], figure), label


def test_published_loss_of_the_nominal_plan() -> None:
    """The nominal plan earns 22 percent less at the worst content (same source).

    The source prints 6891.36, from drug amounts rounded to three decimals; exactly it is 6889.
    """
    x = settle(model(NOMINAL))[1].x
    j = column(NOMINAL, "RawII")
    low, high = map(Fraction, case(INTERVAL)["uncertainty"]["balance"]["RawII"])
    part = low / ((low + high) / 2)
    drugs = {"DrugI", "DrugII"}
    earned = sum(
        -Fraction(cost) * share * (part if label in drugs else 1)
        for label, cost, share in zip(
            model(NOMINAL).columns, model(NOMINAL).cost.numbers, x, strict=True
        )
    )
    nominal = -settle(model(NOMINAL))[1].cost
    assert is_printed(100 * (1 - earned / nominal), "22")
    assert is_printed(earned, "6891.36", 3)
    assert x[j] > 0


def enumerated(problem: LinearModel, rises: list[Exact], most: int) -> LinearModel:
    """Minimise the dearest of all ways in which at most so many costs rise, one row each."""
    n = len(problem.columns)
    wide = problem.with_columns(["dearest"], [1], upper=10**9)
    wide = replace(wide, lower=(*wide.lower[:-1], -(10**9)), cost=Coefficients((*[0] * n, 1)))
    rows = []
    for rising in combinations(range(n), min(most, n)):
        costs = {
            j: -(Fraction(problem.cost.numbers[j]) + (rises[j] if j in rising else 0))
            for j in range(n)
        }
        rows.append(ModelRow.helping("case", Sense.AT_LEAST, {n: 1, **costs}, 0, n + 1))
    return wide.with_rows(rows)


@pytest.mark.parametrize("seed", range(40))
def test_every_worst_case_enumerated(seed: int) -> None:
    """The optimum is the least dearest cost; none rising is the nominal, all the interval's."""
    rng = random.Random(seed)
    problem = random_model(rng)
    problem = replace(problem, upper=tuple(100 if u is None else u for u in problem.upper))
    if settle(problem)[1].x is None:
        assert settle(protected(problem, [1] * len(problem.columns), 1))[1].x is None
        return
    rises = [rng.choice([0, 1, 2, Fraction(1, 3)]) for _ in problem.columns]
    costs = []
    for most in range(len(rises) + 1):
        found = settle(protected(problem, rises, most))[1]
        x = found.x[: len(rises)]
        assert found.cost == dot(problem.cost.numbers, x) + worst_rise(x, rises, most)
        assert found.cost == settle(enumerated(problem, rises, most))[1].cost, bare(problem)
        costs.append(found.cost)
    dearest = [Fraction(c) + r for c, r in zip(problem.cost.numbers, rises, strict=True)]
    assert costs == sorted(costs)
    assert costs[0] == settle(problem)[1].cost
    assert costs[-1] == settle(problem.costing(Coefficients(tuple(dearest))))[1].cost


def test_a_part_of_a_rise_counts_in_part() -> None:
    """With one and a half rises the largest counts whole and the next by half."""
    x = (Fraction(10), Fraction(20), Fraction(30))
    assert worst_rise(x, [3, 2, 1], Fraction(3, 2)) == 40 + 15
    assert worst_rise(x, [3, 2, 1], 0) == 0
    assert worst_rise(x, [3, 2, 1], 9) == 100


def test_what_cannot_be_protected_is_refused() -> None:
    """Columns below 0 and equations are beyond the formula."""
    problem = model_of(cost=[1], limits=[([1], "=", 1)], lower=[-1], upper=[3])
    with pytest.raises(ValueError, match="from 0 up"):
        protected(problem, [1], 1)
    with pytest.raises(ValueError, match="equation"):
        protected(replace(problem, lower=(0,)), [1], 1, row=0)


def test_both_sides_of_a_limit_by_hand() -> None:
    """Of what takes 1, at worst 2, of at most 10, five are safe; of what may give half, twenty."""
    at_most = model_of((-1,), [((1,), "<=", 10)])
    assert settle(protected(at_most, [1], 1, 0))[1].x[0] == 5
    at_least = model_of((1,), [((1,), ">=", 10)])
    assert settle(protected(at_least, [Fraction(1, 2)], 1, 0))[1].x[0] == 20
