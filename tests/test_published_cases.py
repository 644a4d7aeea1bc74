"""Published linear programmes: textbooks, manuals and solver guides, cited in `cases/`.

`published` figures are as printed. `figures` are of an independent rational LP solver that
reproduced every printed one, given as floats.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from linear_models import assert_proof_holds, model_of
from published import (
    FAR,
    case,
    column,
    is_continuous,
    is_figure,
    is_printed,
    model,
    names,
    row,
    sign,
    without,
)

from optimiser.exact.dictionary import Ending
from optimiser.exact.proof import Certificate, prove
from optimiser.exact.sensitivity import bound_rate, cost_range, equal_ranges
from optimiser.linear_model import LinearModel, Sense
from optimiser.solve import Status, settle, solve

OPTIMAL = [name for name in names(status="optimal") if is_continuous(name)]
SETTLED: dict[str, Certificate] = {}


def settled(name: str) -> Certificate:
    if name not in SETTLED:
        SETTLED[name] = settle(model(name))[1]
    return SETTLED[name]


def optimum(problem: LinearModel) -> Fraction:
    """The exact optimum, its proof checked."""
    certificate = settle(problem)[1]
    assert certificate.ending is Ending.OPTIMAL
    assert_proof_holds(problem, certificate)
    assert certificate.cost is not None
    return certificate.cost


def chosen(part: str) -> list[str]:
    return [name for name in names(part) if name in OPTIMAL]


@pytest.mark.parametrize("name", OPTIMAL)
def test_optimum_is_exactly_the_known_fraction(name: str) -> None:
    """The optimum equals the exact fraction found by another rational solver."""
    certificate = settled(name)
    assert_proof_holds(model(name), certificate)
    assert certificate.cost == sign(name) * Fraction(case(name)["optimum_exact"])


@pytest.mark.parametrize("name", chosen("published.optimum"))
def test_optimum_is_the_printed_one(name: str) -> None:
    """The optimum rounds to the digits that the source prints."""
    printed = case(name)["published"]
    cost = sign(name) * settled(name).cost
    assert is_printed(cost, printed["optimum"], printed.get("optimum_tol"))


@pytest.mark.parametrize("name", [name for name in names() if not is_continuous(name)])
def test_optimum_with_whole_numbers_is_the_printed_one(name: str) -> None:
    """A published model with whole numbers reaches the printed optimum through PuLP."""
    solution = solve(model(name))
    assert solution.status is Status.OPTIMAL
    cost = sign(name) * float(model(name).cost.floats @ solution.x)
    assert is_printed(Fraction(cost), case(name)["published"]["optimum"])
    assert cost == pytest.approx(float(Fraction(case(name)["optimum_exact"])), rel=1e-9)


@pytest.mark.parametrize("name", OPTIMAL)
def test_proof_needs_no_solver(name: str) -> None:
    """The exact arithmetic alone, started from nothing, ends at the same optimum."""
    alone = prove(model(name), None, most_pivots=5000)
    assert_proof_holds(model(name), alone)
    assert alone.cost == settled(name).cost


@pytest.mark.parametrize("name", chosen("published.solution"))
def test_solution_is_the_printed_one(name: str) -> None:
    """Every printed quantity is the optimal one, and what is not printed is not used."""
    x = settled(name).x
    for label, printed in case(name)["published"]["solution"].items():
        assert is_printed(x[column(name, label)], printed), label


@pytest.mark.parametrize("name", chosen("figures.solution"))
def test_solution_is_that_of_another_solver(name: str) -> None:
    """Where the optimum is unique the whole point agrees, and it is said to be unique."""
    figures = case(name)["figures"]["solution"]
    certificate = settled(name)
    for label, share in zip(model(name).columns, certificate.x, strict=True):
        assert is_figure(share, figures.get(label, 0)), label
        assert abs(share) < FAR or label not in ("a", "b")
    assert equal_ranges(certificate.dictionary, range(len(certificate.x))) is None


def test_alternative_optima_are_found() -> None:
    """Food Manufacture 1 has several cheapest plans, as its source notes."""
    certificate = settled("food_manufacture_1")
    ranges = equal_ranges(certificate.dictionary, range(len(certificate.x)))
    assert ranges is not None
    assert all(low <= certificate.x[j] <= high for j, (low, high) in ranges.items())


@pytest.mark.parametrize("name", chosen("published.duals"))
def test_prices_are_the_printed_ones(name: str) -> None:
    """The price of each limit rounds to the printed dual value."""
    for key, printed in case(name)["published"]["duals"].items():
        assert is_printed(sign(name) * settled(name).prices[row(name, key)], printed), key


@pytest.mark.parametrize("name", chosen("figures.duals"))
def test_prices_are_the_same_on_both_sides_where_they_are_unique(name: str) -> None:
    """At an optimum that is not degenerate both one-sided prices are the dual value."""
    certificate = settled(name)
    problem = model(name)
    for key, dual in case(name)["figures"]["duals"].items():
        i = row(name, key)
        assert is_figure(sign(name) * certificate.prices[i], dual), key
        if problem.level(i, certificate.x) != problem.bound[i]:
            assert dual == 0
            continue
        for way in (1, -1):
            rate = bound_rate(problem, certificate.dictionary, i, way)
            assert rate.per_unit == way * certificate.prices[i], (key, way)


@pytest.mark.parametrize("name", chosen("figures.one_sided_duals"))
def test_one_sided_prices_are_those_of_another_solver(name: str) -> None:
    """At a degenerate optimum each side of each limit has its own price."""
    certificate = settled(name)
    problem = model(name)
    sides = case(name)["figures"]["one_sided_duals"]
    assert any(side["left"] != side["right"] for side in sides.values())
    for key, side in sides.items():
        i = row(name, key)
        if problem.level(i, certificate.x) != problem.bound[i]:
            assert side == {"left": 0, "right": 0}
            continue
        down = bound_rate(problem, certificate.dictionary, i, -1)
        up = bound_rate(problem, certificate.dictionary, i, 1)
        assert is_figure(-down.per_unit, side["left"]), key
        assert is_figure(up.per_unit, side["right"]), key


@pytest.mark.parametrize("name", chosen("figures.reduced_costs"))
def test_reduced_costs_are_those_of_another_solver(name: str) -> None:
    """Each column's cost less what it brings at the prices is the reduced cost."""
    certificate = settled(name)
    for label, reduced in case(name)["figures"]["reduced_costs"].items():
        j = column(name, label)
        worth = sum(
            price * Fraction(coefficients.numbers[j])
            for price, coefficients in zip(certificate.prices, model(name).numerator, strict=True)
        )
        found = Fraction(model(name).cost.numbers[j]) - worth
        assert is_figure(sign(name) * found, reduced), label


def own_costs(name: str, label: str) -> tuple[Fraction | None, Fraction | None]:
    """A column's cost range in the published sense."""
    low, high = cost_range(settled(name).dictionary, column(name, label))
    if sign(name) == 1:
        return low, high
    return (None if high is None else -high, None if low is None else -low)


@pytest.mark.parametrize("name", chosen("figures.cost_ranges"))
def test_cost_ranges_are_those_of_another_solver(name: str) -> None:
    """The costs at which the optimal point stays one agree, also at degenerate optima."""
    for label, (low, high) in case(name)["figures"]["cost_ranges"].items():
        found = own_costs(name, label)
        assert is_figure(found[0], low), label
        assert is_figure(found[1], high), label


@pytest.mark.parametrize("name", chosen("published.cost_ranges"))
def test_cost_ranges_are_the_printed_ones(name: str) -> None:
    """The ends of the cost ranges round to the printed ones; none where none is printed."""
    for label, ends in case(name)["published"]["cost_ranges"].items():
        for value, printed in zip(own_costs(name, label), ends, strict=True):
            assert (value is None) if printed is None else is_printed(value, printed), label


def reaches(name: str, i: int) -> tuple[Fraction | None, Fraction | None]:
    """The bounds between which an active limit's price holds."""
    down, up = (bound_rate(model(name), settled(name).dictionary, i, way) for way in (-1, 1))
    return down.until, up.until


@pytest.mark.parametrize("name", chosen("figures.rhs_ranges"))
def test_prices_hold_as_far_as_another_solver_says(name: str) -> None:
    """A price holds between the ends of the right-hand-side range; a slack limit until met."""
    certificate = settled(name)
    for key, (low, high) in case(name)["figures"]["rhs_ranges"].items():
        i = row(name, key)
        problem, level = model(name), model(name).level(i, certificate.x)
        if level == problem.bound[i]:
            found = reaches(name, i)
        elif problem.rows[i].sense is Sense.AT_MOST:
            found = (level, None)
        else:
            found = (None, level)
        assert is_figure(found[0], low), key
        assert is_figure(found[1], high), key


@pytest.mark.parametrize("name", chosen("published.rhs_ranges"))
def test_prices_hold_as_far_as_printed(name: str) -> None:
    """The reach of the price of an active limit rounds to the printed one."""
    certificate = settled(name)
    checked = 0
    for key, ends in case(name)["published"]["rhs_ranges"].items():
        i = row(name, key)
        if model(name).level(i, certificate.x) != model(name).bound[i]:
            continue
        checked += 1
        for value, printed in zip(reaches(name, i), ends, strict=True):
            assert (value is None) if printed is None else is_printed(value, printed), key
    assert checked


def test_levels_are_the_printed_ones() -> None:
    """The left sides at the optimum are those of the lp_solve guide's sensitivity section."""
    x = settled("lpsolve_sensitivity").x
    for key, printed in case("lpsolve_sensitivity")["published"]["activity"].items():
        level = model("lpsolve_sensitivity").level(row("lpsolve_sensitivity", key), x)
        assert is_printed(level, printed), key


def test_least_cost_of_subsistence_is_the_printed_one() -> None:
    """Stigler's diet costs 39.66 dollars of 1939 a year (Garille and Gass 2001)."""
    printed = case("stigler_1939")["published"]["annual_365"]
    assert float(365 * settled("stigler_1939").cost) == pytest.approx(float(printed), abs=1e-12)


SUBSTITUTIONS = [
    pytest.param(name, found, id=f"{name}-{'-'.join(found['removed'])}")
    for name in chosen("derived.substitution")
    for found in case(name)["derived"]["substitution"]
]


@pytest.mark.parametrize(("name", "found"), SUBSTITUTIONS)
def test_optimum_without_a_column(name: str, found: dict) -> None:
    """With columns left out the answer is that of an independent rational solver."""
    problem = without(name, found["removed"])
    if found["status"] == "infeasible":
        certificate = settle(problem)[1]
        assert certificate.ending is Ending.INFEASIBLE
        assert_proof_holds(problem, certificate)
        return
    assert is_figure(sign(name) * optimum(problem), found["optimum"])


@pytest.mark.parametrize("name", chosen("derived.price_what_if"))
def test_optimum_at_other_costs(name: str) -> None:
    """With changed costs optimum and point are those of an independent rational solver."""
    for found in case(name)["derived"]["price_what_if"]:
        problem = model(name)
        for label, cost in found["new_costs"].items():
            # The blend of Williams has its costs as 150 - price.
            problem = problem.with_cost(column(name, label), sign(name) * cost)
        certificate = settle(problem)[1]
        assert is_figure(sign(name) * certificate.cost, found["optimum"])
        for label, share in zip(problem.columns, certificate.x, strict=True):
            assert is_figure(share, found["solution"].get(label, 0)), label


PARAMETRIC = [
    pytest.param(name, found, id=f"{name}-{found['parameter'].split()[-1]}")
    for name in chosen("derived")
    for key, found in case(name)["derived"].items()
    if key.startswith("parametric_")
]


@pytest.mark.parametrize(("name", "found"), PARAMETRIC)
def test_cost_of_a_moving_bound_has_the_known_pieces(name: str, found: dict) -> None:
    """Along a bound the optimal cost has the known corners and slopes."""
    i = row(name, found["parameter"].split()[-1])
    pieces = found["segments"]
    corners = [Fraction(piece["to"]) for piece in pieces[:-1]]
    for piece in pieces:
        low, high = Fraction(piece["from"]), Fraction(piece["to"])
        for at, value in ((low, piece["value_from"]), (high, piece["value_to"])):
            assert is_figure(sign(name) * optimum(model(name).with_bound(i, at)), value)
        middle = model(name).with_bound(i, (low + high) / 2)
        certificate = settle(middle)[1]
        if middle.level(i, certificate.x) != middle.bound[i]:
            assert piece["slope"] == 0
            continue
        for way, end in ((-1, low), (1, high)):
            rate = bound_rate(middle, certificate.dictionary, i, way)
            assert is_figure(sign(name) * way * rate.per_unit, piece["slope"])
            if any(abs(end - corner) < 1e-9 for corner in corners):
                assert rate.until == pytest.approx(end, abs=1e-12)


def test_cost_of_moving_costs_has_the_known_pieces() -> None:
    """Wyndor's costs 3 + 2t and 5 - t: 36 - 2t, 27 + 5t, 12 + 8t (Hillier and Lieberman)."""
    problem = model("parametric_costs_wyndor")
    for start, slope, low, high in (
        (36, -2, Fraction(0), Fraction(9, 7)),
        (27, 5, Fraction(9, 7), Fraction(5)),
        (12, 8, Fraction(5), Fraction(9)),
    ):
        for t in (low, (low + high) / 2, high):
            moved = problem.with_cost(0, -(3 + 2 * t)).with_cost(1, -(5 - t))
            assert -optimum(moved) == start + slope * t


@pytest.mark.parametrize("name", names(status="infeasible"))
def test_impossible_problem_is_proven_impossible(name: str) -> None:
    """A published problem without a solution ends with a checked Farkas combination."""
    solution, certificate = settle(model(name))
    assert solution.status is Status.INFEASIBLE
    assert solution.x is None
    assert certificate.ending is Ending.INFEASIBLE
    assert certificate.cost is None
    assert_proof_holds(model(name), certificate)


@pytest.mark.parametrize("name", names(status="infeasible"))
def test_smallest_eased_bound_makes_it_possible(name: str) -> None:
    """Each limit of the conflict, eased by exactly the known amount and no less, suffices."""
    for key, eased in case(name)["derived"]["single_row_relaxations"].items():
        i = row(name, key)
        moved = model(name).with_bound(i, eased["new_rhs"])
        assert prove(moved, None).ending is Ending.OPTIMAL
        back = 1 if moved.rows[i].sense is Sense.AT_LEAST else -1
        short = moved.with_bound(i, eased["new_rhs"] + back * Fraction(1, 10**9))
        certificate = prove(short, None)
        assert certificate.ending is Ending.INFEASIBLE
        assert_proof_holds(short, certificate)


def test_dropping_a_limit_of_the_conflict_gives_the_printed_optimum() -> None:
    """Without the upper side of con3 the SAS/OR example is possible, with optimum 10."""
    name = "infeasible_small_iis"
    printed = case(name)["after_relaxing"]
    kept = model(name).without_rows([row(name, key) for key in printed["dropped"]])
    assert optimum(kept) == printed["optimum"]


def test_elastic_problem_has_the_printed_optimum() -> None:
    """With a penalty of 1000 a unit the lp_solve guide's impossible model costs 1011."""
    found = model("infeasible_elastic")
    elastic = model_of(
        cost=[*found.cost.numbers, 1000, 1000, 1000],
        limits=[
            (
                (*numbers.numbers, *(way * (k == i) for k in range(3))),
                str(limit.sense),
                bound,
            )
            for i, (limit, numbers, bound) in enumerate(
                zip(found.rows, found.numerator, found.bound, strict=True)
            )
            for way in ((-1,) if limit.sense is Sense.AT_MOST else (1,))
        ],
    )
    assert optimum(elastic) == case("infeasible_elastic")["elastic_optimum_penalty_1000"]


def test_trade_off_has_the_known_corners() -> None:
    """Steuer's two objectives have exactly the known supported corners (Ehrgott 2005)."""
    found = case("biobjective_steuer")
    problem = model("biobjective_steuer")
    first, second = (objective["coefficients"] for objective in found["objectives"])
    corners = [(point["z1"], point["z2"]) for point in found["nondominated"]]
    assert len(corners) == 3
    for weight in (Fraction(1, 100), Fraction(1, 2), Fraction(45, 100), Fraction(9, 10)):
        mixed = problem
        for label in ("x1", "x2"):
            cost = (1 - weight) * Fraction(first[label]) + weight * Fraction(second[label])
            mixed = mixed.with_cost(column("biobjective_steuer", label), cost)
        assert optimum(mixed) == min((1 - weight) * a + weight * b for a, b in corners)


def test_solver_and_proof_agree_to_the_solver_accuracy() -> None:
    """The floating point lies at the exact optimum within 1e-7 of the numbers' size."""
    for name in OPTIMAL:
        solution, certificate = settle(model(name))
        floating = float(model(name).cost.floats @ solution.x)
        assert floating == pytest.approx(float(certificate.cost), rel=1e-7, abs=1e-9), name
        assert np.all(np.isfinite(solution.x))
