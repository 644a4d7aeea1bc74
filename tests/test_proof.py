"""Exact proofs, against another solver, against fractions alone, and against sabotage."""

from __future__ import annotations

import random
from decimal import Decimal
from fractions import Fraction
from functools import reduce
from operator import add

import numpy as np
import pytest
from linear_models import (
    assert_proof_holds,
    bare,
    dot,
    keeps_to,
    model_of,
    plain_rows,
    random_model,
    weak_bound,
)
from scipy.optimize import linprog

from optimiser.exact.dictionary import Dictionary, Ending, UnsettledError
from optimiser.exact.integer_program import IntegerProgram
from optimiser.exact.proof import Basis, Rest, bound_from, meets, prove
from optimiser.linear_model import Coefficients, LinearModel
from optimiser.solve import Status, guessed_basis, settle, settle_in_turn

SCIPY = {0: Ending.OPTIMAL, 2: Ending.INFEASIBLE, 3: Ending.UNBOUNDED}


def by_scipy(model: LinearModel, method: str = "highs-ds") -> tuple[Ending, float | None]:
    """Ending and cost by `scipy.optimize.linprog`."""
    upper, equal = ([], []), ([], [])
    for numbers, sense, side in plain_rows(model):
        sign = -1.0 if sense == ">=" else 1.0
        rows, sides = equal if sense == "=" else upper
        rows.append([sign * float(number) for number in numbers])
        sides.append(sign * float(side))
    found = linprog(
        [float(cost) for cost in model.cost.numbers],
        A_ub=upper[0] or None,
        b_ub=upper[1] or None,
        A_eq=equal[0] or None,
        b_eq=equal[1] or None,
        bounds=[
            (float(low), None if high is None else float(high))
            for low, high in zip(model.lower, model.upper, strict=True)
        ],
        method=method,
    )
    return SCIPY[found.status], found.fun if found.status == 0 else None


def test_outcomes_agree_with_scipy() -> None:
    """Random models end as scipy.optimize.linprog says, at its cost, with a valid proof."""
    endings = set()
    for seed in range(250):
        model = random_model(random.Random(seed))
        certificate = prove(model, None)
        ending, cost = by_scipy(model)
        assert certificate.ending is ending, (seed, bare(model))
        endings.add(ending)
        if ending is not Ending.UNBOUNDED:
            assert_proof_holds(model, certificate)
        if cost is not None:
            assert float(certificate.cost) == pytest.approx(cost, rel=1e-7, abs=1e-7), seed
    assert endings == {Ending.OPTIMAL, Ending.INFEASIBLE, Ending.UNBOUNDED}


def test_settled_outcomes_agree_with_the_exact_method_alone() -> None:
    """PuLP and HiGHS followed by the proof end like the exact arithmetic started from nothing."""
    for seed in range(1000, 1060):
        model = random_model(random.Random(seed))
        alone = prove(model, None)
        certificate = settle(model)[1]
        assert certificate.ending is alone.ending, (seed, bare(model))
        assert certificate.proven == alone.proven
        assert certificate.cost == alone.cost
        if alone.proven:
            assert_proof_holds(model, certificate)


def random_basis(rng: random.Random, model: LinearModel) -> Basis:
    def rests(count: int) -> tuple[Rest, ...]:
        return tuple(rng.choice(list(Rest)) for _ in range(count))

    return Basis(rests(len(model.columns)), rests(len(model.rows)))


def test_any_starting_basis_ends_at_the_same_cost() -> None:
    """A start that is singular, incomplete, overfull or nonsense costs pivots, never the truth."""
    for seed in range(2000, 2120):
        rng = random.Random(seed)
        model = random_model(rng)
        alone = prove(model, None)
        for _ in range(3):
            certificate = prove(model, random_basis(rng, model), most_pivots=500)
            assert certificate.ending is alone.ending, (seed, bare(model))
            assert certificate.proven == alone.proven
            assert certificate.cost == alone.cost


def test_any_prices_give_a_lower_bound() -> None:
    """A bound from arbitrary prices is weak duality written out, and never above the cost."""
    bounds = 0
    for seed in range(3000, 3150):
        rng = random.Random(seed)
        model = random_model(rng)
        certificate = prove(model, None)
        if certificate.ending is not Ending.OPTIMAL:
            continue
        program = IntegerProgram.of(model)
        for spread in (0, 1, 10):
            prices = [
                price + Fraction(rng.randint(-spread, spread), 7) for price in certificate.prices
            ]
            bound = bound_from(program, prices)
            assert bound == weak_bound(model, prices), (seed, bare(model))
            if bound is not None:
                assert bound <= certificate.cost
                bounds += bound < certificate.cost
    assert bounds > 50


def test_a_point_is_admitted_only_within_every_limit() -> None:
    """A point moved anywhere is admitted exactly where fractions find it within all limits."""
    outside = inside = 0
    for seed in range(4000, 4150):
        rng = random.Random(seed)
        model = random_model(rng)
        certificate = prove(model, None)
        if certificate.ending is not Ending.OPTIMAL:
            continue
        program = IntegerProgram.of(model)
        assert meets(program, certificate.x)
        for step in (1, Fraction(1, 10**30)):
            moved = [share + step * rng.randint(-1, 1) for share in certificate.x]
            assert meets(program, moved) == keeps_to(model, moved), (seed, bare(model))
            inside += keeps_to(model, moved)
            outside += not keeps_to(model, moved)
    assert inside > 20
    assert outside > 100


FIVE = model_of(
    (9, 4, 7, 60, 30),
    [
        ((1,) * 5, "=", 100),
        ((0, 0, 1, 0, 0), "<=", 10),
        ((5, 0, 20, 40, 0), ">=", 450),
        ((0, 1, 0, 0, 1), ">=", 40),
    ],
    upper=(100,) * 5,
)


@pytest.mark.parametrize("step", [Fraction(1), Fraction(1, 10**12), Fraction(-1, 10**40)])
@pytest.mark.parametrize("place", range(5))
def test_a_wrong_point_is_not_proven(
    monkeypatch: pytest.MonkeyPatch, place: int, step: Fraction
) -> None:
    """A point off in one share by however little is refused."""
    honest = Dictionary.point

    def wrong(self: Dictionary) -> tuple[Fraction, ...]:
        x = list(honest(self))
        x[place] += step
        return tuple(x)

    assert prove(FIVE, None).proven
    monkeypatch.setattr(Dictionary, "point", wrong)
    assert not prove(FIVE, None).proven


def test_a_point_of_the_right_cost_that_breaks_a_limit_is_not_proven(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A point whose cost equals the lower bound is refused where it misses a limit by 1e-30."""
    honest = Dictionary.point

    def wrong(self: Dictionary) -> tuple[Fraction, ...]:
        x = list(honest(self))
        x[0], x[1] = x[0] + Fraction(4, 10**30), x[1] - Fraction(9, 10**30)
        return tuple(x)

    monkeypatch.setattr(Dictionary, "point", wrong)
    certificate = prove(FIVE, None)
    assert certificate.cost == certificate.lower_bound == 680
    assert not certificate.proven


def test_a_dearer_point_within_the_limits_is_not_proven(monkeypatch: pytest.MonkeyPatch) -> None:
    """A formula that meets every limit but costs more than another is refused."""
    dearer = (Fraction(48), Fraction(41), Fraction(10), Fraction(1), Fraction(0))
    assert keeps_to(FIVE, dearer)
    assert dot(FIVE.cost.numbers, dearer) > prove(FIVE, None).cost
    monkeypatch.setattr(Dictionary, "point", lambda self: dearer)
    certificate = prove(FIVE, None)
    assert not certificate.proven
    assert certificate.lower_bound < certificate.cost


@pytest.mark.parametrize("place", [0, 1, 2])
@pytest.mark.parametrize("step", [Fraction(1), Fraction(-1, 10**30)])
def test_wrong_prices_are_not_proven(
    monkeypatch: pytest.MonkeyPatch, place: int, step: Fraction
) -> None:
    """Prices outside the set of optimal prices by however little are refused."""
    honest = Dictionary.row_prices

    def wrong(self: Dictionary) -> tuple[Fraction, ...]:
        prices = list(honest(self))
        prices[place] += step
        return tuple(prices)

    monkeypatch.setattr(Dictionary, "row_prices", wrong)
    assert not prove(FIVE, None).proven


def test_wrong_multipliers_do_not_prove_a_model_impossible(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A combination of limits that shows nothing is refused."""
    model = FIVE.with_bound(2, 10**6)
    assert prove(model, None).proven
    monkeypatch.setattr("optimiser.exact.proof._farkas", lambda dictionary, row: (Fraction(1),) * 4)
    certificate = prove(model, None)
    assert certificate.ending is Ending.INFEASIBLE
    assert not certificate.proven


def test_a_wrong_solver_is_overruled(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever status and point a solver returns, the settled outcome is the exact one."""
    from optimiser import pulp_model

    basis = (["kLower"] * 5, ["kUpper"] * 4)
    for status in ("optimal", "infeasible", "unbounded", "stopped", "limit"):
        raw = pulp_model.RawSolution(status, np.full(5, 20.0), *basis, "liar")
        monkeypatch.setattr(pulp_model, "carry", lambda model, seconds, start, raw=raw: raw)
        certificate = settle(FIVE)[1]
        assert_proof_holds(FIVE, certificate)
        assert certificate.cost == 680


@pytest.mark.parametrize("step", [Fraction(1), Fraction(-1, 10**40)])
def test_what_is_not_proven_is_not_concluded(
    monkeypatch: pytest.MonkeyPatch, step: Fraction
) -> None:
    """A point whose check fails ends in an error, not in an answer; so does one in turn."""
    honest = Dictionary.point

    def wrong(self: Dictionary) -> tuple[Fraction, ...]:
        first, *rest = honest(self)
        return (first + step, *rest)

    monkeypatch.setattr(Dictionary, "point", wrong)
    with pytest.raises(UnsettledError, match="please report it"):
        settle(FIVE)
    with pytest.raises(UnsettledError, match="please report it"):
        settle_in_turn(FIVE, FIVE.cost)


def test_a_cost_without_end_is_concluded() -> None:
    """That nothing bounds the cost is an outcome, though no proof goes with it."""
    certificate = settle(model_of((-1,), [((1,), ">=", 1)]))[1]
    assert certificate.ending is Ending.UNBOUNDED
    assert not certificate.proven


@pytest.mark.parametrize("beyond", ["1e-8", "2e-8", "1e-7"])
def test_a_limit_just_out_of_reach_is_not_called_optimal(beyond: str) -> None:
    """HiGHS calls a limit 2e-8 out of reach optimal; exactly it is impossible."""
    model = model_of(
        (9, 4, 7),
        [((1, 1, 1), "=", 100), ((5, 0, 20), ">=", 2000 + Decimal(beyond))],
        upper=(100,) * 3,
    )
    solution, certificate = settle(model)
    assert solution.status is Status.OPTIMAL
    assert certificate.ending is Ending.INFEASIBLE
    assert certificate.cost is None
    assert_proof_holds(model, certificate)
    assert settle(model.with_bound(1, 2000))[1].cost == 700


@pytest.mark.parametrize("gain", ["1e-8", "1e-9", "1e-10"])
def test_a_formula_cheaper_by_less_than_the_solver_sees_is_found(gain: str) -> None:
    """Where HiGHS stops at a formula dearer by 1e-6 the exact arithmetic goes on."""
    model = model_of(
        (7 - Decimal(gain), 7, 9),
        [((1, 1, 1), "=", 100), ((1, 1, 0), ">=", 50), ((3, 3, 1), ">=", 210)],
        upper=(100,) * 3,
    )
    solution, certificate = settle(model)
    assert solution.x.tolist() == [0, 100, 0]
    assert certificate.x == (100, 0, 0)
    assert certificate.cost == 700 - 100 * Fraction(gain)
    assert_proof_holds(model, certificate)


def test_too_few_pivots_prove_nothing() -> None:
    """When the exact walk is cut short the outcome is unsettled and has no numbers."""
    certificate = prove(FIVE, None, most_pivots=1)
    assert certificate.ending is Ending.UNSETTLED
    assert not certificate.proven
    assert (certificate.x, certificate.prices, certificate.cost) == (None, None, None)


def test_typed_decimals_are_taken_as_written() -> None:
    """A tenth is a tenth: ten times 0.1 is exactly 1, which adding floats up misses."""
    model = model_of((1,) * 10, [((1,) * 10, "=", 1), ((1, *(0,) * 9), "<=", Decimal("0.1"))])
    tenth = Coefficients.typed([0.1] * 10)
    # From Python 3.12 on sum() itself makes up for what is lost.
    assert tenth.level((Fraction(1),) * 10) == 1 != reduce(add, [0.1] * 10)
    assert prove(model, None).cost == 1


def test_a_model_without_limits_rests_at_its_cheaper_bounds() -> None:
    """With no rows every column goes to the bound that is cheaper, or there is no end."""
    free = model_of((3, -2, 0), [], upper=(None, 8, None), lower=(1, 0, 2))
    certificate = settle(free)[1]
    assert certificate.x == (1, 8, 2)
    assert certificate.cost == 3 - 16
    assert_proof_holds(free, certificate)
    assert settle(model_of((-1,), []))[1].ending is Ending.UNBOUNDED


@pytest.mark.parametrize(
    ("side", "bound", "ending"),
    [
        (">=", 1, Ending.INFEASIBLE),
        ("<=", -1, Ending.INFEASIBLE),
        ("=", Fraction(1, 10**20), Ending.INFEASIBLE),
        (">=", 0, Ending.OPTIMAL),
        ("=", 0, Ending.OPTIMAL),
        ("<=", 1, Ending.OPTIMAL),
    ],
)
def test_a_row_of_zeros_is_kept_or_impossible(side: str, bound: Fraction, ending: Ending) -> None:
    """A limit on a figure that no ingredient has is either always kept or never."""
    model = model_of((1, 2), [((0, 0), side, bound), ((1, 1), "=", 5)])
    certificate = settle(model)[1]
    assert certificate.ending is ending
    assert_proof_holds(model, certificate)


def test_numbers_of_very_different_size_are_settled_exactly() -> None:
    """Coefficients from 1e-15 to 1e15 in one model leave no rounding behind."""
    small, large = Fraction(1, 10**15), 10**15
    model = model_of(
        (small, large, 1),
        [((large, small, 1), "=", large), ((0, 1, small), ">=", small), ((1, 1, 1), "<=", 2)],
    )
    certificate = prove(model, None)
    assert_proof_holds(model, certificate)
    for place, step in ((0, small**3), (1, small**3), (2, -(small**3))):
        moved = model.with_bound(place, model.bound[place] + step)
        assert_proof_holds(moved, prove(moved, None))


def test_the_classical_cycling_example_ends() -> None:
    """Beale's example, on which the textbook rule cycles, ends at -1/20 (Chvatal 1983, ch. 3)."""
    model = model_of(
        (Fraction(-3, 4), 150, Fraction(-1, 50), 6),
        [
            ((Fraction(1, 4), -60, Fraction(-1, 25), 9), "<=", 0),
            ((Fraction(1, 2), -90, Fraction(-1, 50), 3), "<=", 0),
            ((0, 0, 1, 0), "<=", 1),
        ],
    )
    for certificate in (prove(model, None), settle(model)[1]):
        assert_proof_holds(model, certificate)
        assert certificate.cost == Fraction(-1, 20)


def test_a_guessed_basis_leads_to_the_proof() -> None:
    """From nothing but a rounded point, as CBC gives it, the proof still succeeds."""
    proven = 0
    for seed in range(5000, 5080):
        model = random_model(random.Random(seed))
        certificate = prove(model, None)
        if certificate.ending is not Ending.OPTIMAL:
            continue
        point = np.array([float(f"{float(share):.8g}") for share in certificate.x])
        again = prove(model, guessed_basis(model, point))
        assert again.cost == certificate.cost, (seed, bare(model))
        assert_proof_holds(model, again)
        proven += 1
    assert proven > 40


def test_whole_numbers_are_refused_by_settle() -> None:
    """A model with whole numbers is not settled as if it were continuous."""
    with pytest.raises(ValueError, match="whole numbers"):
        settle(model_of((1,), [((1,), ">=", 1)], whole=(True,)))
