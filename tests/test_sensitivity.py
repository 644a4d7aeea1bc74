"""Prices of limits, price ranges and ties: against solving again, exactly.

Every claim about a moved bound or cost is checked by a new exact optimum, whose proof is
checked with fractions alone. A step may be as small as one likes: nothing is rounded.
"""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest
from linear_models import (
    active_rows,
    assert_proof_holds,
    bare,
    model_of,
    random_model,
)

from optimiser.exact.dictionary import Ending
from optimiser.exact.proof import Certificate, prove
from optimiser.exact.sensitivity import Rate, bound_rate, cost_range, equal_ranges
from optimiser.linear_model import Coefficients, LinearModel
from optimiser.provenance import Exact
from optimiser.solve import settle

TINY = Fraction(1, 10**12)


def settled(model: LinearModel) -> Certificate:
    """The exact outcome, its proof checked; without a proof only where there is no end."""
    certificate = prove(model, None, most_pivots=2000)
    if certificate.ending is not Ending.UNBOUNDED:
        assert_proof_holds(model, certificate)
    return certificate


def cost_at(model: LinearModel, i: int, bound: Exact) -> Fraction | None:
    """The optimal cost with row i's bound moved; None where there is no optimum."""
    return settled(model.with_bound(i, bound)).cost


def optimal_models(first: int, count: int, ratios: bool) -> list[tuple[LinearModel, Certificate]]:
    """Random models that have an optimum."""
    found = []
    for seed in range(first, first + count):
        model = random_model(random.Random(seed), ratios)
        certificate = settled(model)
        if certificate.ending is Ending.OPTIMAL:
            found.append((model, certificate))
    return found


# The degenerate example: five ingredients, of which two are dear and unused.
# Expected figures: HiGHS dual faces and re-solving with moved limits, in floats.

PRICES = (9, 4, 7, 60, 30)
LIMITS = [
    ((1, 1, 1, 1, 1), "=", 100),
    ((0, 0, 1, 0, 0), "<=", 10),
    ((5, 0, 20, 40, 0), ">=", 450),
    ((0, 1, 0, 0, 1), ">=", 40),
]
FIVE = model_of(PRICES, LIMITS, keys=["total", "wax", "firmness", "oil"])
FIVE_OF_100 = model_of(PRICES, LIMITS, keys=["total", "wax", "firmness", "oil"], upper=(100,) * 5)


@pytest.mark.parametrize("model", [FIVE, FIVE_OF_100], ids=["no upper bounds", "0 to 100"])
@pytest.mark.parametrize(
    ("i", "down", "down_to", "up", "up_to"),
    [
        (1, 23.857, 0, -17.0, 22.5),
        (2, -1.0, 200, 1.457, 2200),
        (3, 0.0, None, 2.286, 83.75),
    ],
    ids=["wax", "firmness", "oil"],
)
def test_one_sided_prices_of_the_degenerate_example(
    model: LinearModel, i: int, down: float, down_to: float, up: float, up_to: float
) -> None:
    """Each side of each limit has the price and the reach that solving again shows."""
    dictionary = settle(model)[1].dictionary
    falling, rising = (bound_rate(model, dictionary, i, way) for way in (-1, 1))
    assert float(falling.per_unit) == pytest.approx(down, abs=5e-4)
    assert falling.until == down_to
    assert float(rising.per_unit) == pytest.approx(up, abs=5e-4)
    assert rising.until == up_to


@pytest.mark.parametrize(("model", "up_to"), [(FIVE, None), (FIVE_OF_100, 160)])
def test_prices_of_the_total_of_the_degenerate_example(model: LinearModel, up_to: int) -> None:
    """A larger total costs the oil's 4 until oil is 100 %, for ever where nothing caps it."""
    dictionary = settle(model)[1].dictionary
    assert bound_rate(model, dictionary, 0, -1) == Rate(-Fraction(12, 7), Fraction(225, 4))
    assert bound_rate(model, dictionary, 0, 1) == Rate(Fraction(4), up_to)
    costs = [cost_at(model, 0, total) for total in (159, 160, 161)]
    assert costs == [916, 920, 924 if up_to is None else 929]


@pytest.mark.parametrize("model", [FIVE, FIVE_OF_100], ids=["no upper bounds", "0 to 100"])
def test_price_ranges_of_the_degenerate_example(model: LinearModel) -> None:
    """The formula stays cheapest over wider prices than one basis of it would show."""
    certificate = settle(model)[1]
    assert certificate.x == (50, 40, 10, 0, 0)
    ranges = [cost_range(certificate.dictionary, j) for j in range(5)]
    assert ranges[0] == (-Fraction(131, 4), 11)
    assert ranges[1] == (Fraction(12, 7), 30)
    assert ranges[2] == (None, Fraction(216, 7))
    assert float(ranges[1][0]) == pytest.approx(1.714, abs=5e-4)
    assert float(ranges[2][1]) == pytest.approx(30.857, abs=5e-4)
    assert [high for _, high in ranges[3:]] == [None, None]


def test_one_of_two_equal_limits_is_worth_nothing_loosened() -> None:
    """Said twice, a limit costs 17 tightened, and loosening one of the two alone gains 0."""
    model = model_of(PRICES, [*LIMITS[:2], LIMITS[1], LIMITS[2]])
    dictionary = settle(model)[1].dictionary
    for i in (1, 2):
        assert bound_rate(model, dictionary, i, 1) == Rate(Fraction(0), None)
        assert bound_rate(model, dictionary, i, -1).per_unit == 17


def test_a_limit_that_cannot_be_tightened_has_no_price() -> None:
    """Where nothing can give way the rate is none, and it holds nowhere."""
    model = model_of((1, 2), [((1, 1), "=", 10), ((1, 0), ">=", 10), ((0, 1), ">=", 0)])
    dictionary = settle(model)[1].dictionary
    assert bound_rate(model, dictionary, 1, 1) == Rate(None, Fraction(10))
    assert bound_rate(model, dictionary, 1, -1).per_unit == 0
    assert cost_at(model, 1, 10 + TINY) is None


def check_sum_rate(model: LinearModel, certificate: Certificate, i: int, way: int) -> str:
    """Solve again near, at and beyond the end of a rate; returns what was checked."""
    rate = bound_rate(model, certificate.dictionary, i, way)
    bound, said = Fraction(model.bound[i]), f"row {i} {way:+d} {rate} {bare(model)}"
    if rate.per_unit is None:
        assert rate.until == bound, said
        assert cost_at(model, i, bound + way * TINY) is None, said
        return "impossible"

    def line(at: Fraction) -> Fraction:
        return certificate.cost + rate.per_unit * (at - bound) * way

    if rate.until is None:
        for far in (TINY, 10, 10**6):
            assert cost_at(model, i, bound + way * far) == line(bound + way * far), said
        return "for ever"
    reach = rate.until - bound
    assert reach * way > 0, said
    for part in (TINY, Fraction(1, 3), 1 - TINY, 1):
        assert cost_at(model, i, bound + part * reach) == line(bound + part * reach), said
    beyond = rate.until + way * TINY
    assert cost_at(model, i, beyond) != line(beyond), said
    return "ends"


def test_rates_of_sums_are_exact_and_end_where_they_say() -> None:
    """For sums and averages the slope is exact up to its end, and not beyond it."""
    seen: Counter[str] = Counter()
    for model, certificate in optimal_models(10_000, 110, ratios=False):
        for i in active_rows(model, certificate.x):
            for way in (1, -1):
                seen[check_sum_rate(model, certificate, i, way)] += 1
    assert min(seen["impossible"], seen["for ever"], seen["ends"]) > 25, seen


def check_ratio_rate(model: LinearModel, certificate: Certificate, i: int, way: int) -> str:
    """Solve again near, within and beyond the end of a ratio's rate.

    While the same limits stay active the cost of bound b + way d is, with rate r and some
    curvature g, cost + r d / (1 - g d): two solves fix it and every other one tests it.
    """
    rate = bound_rate(model, certificate.dictionary, i, way)
    bound, said = Fraction(model.bound[i]), f"row {i} {way:+d} {rate} {bare(model)}"
    if rate.per_unit is None:
        moved = model.with_bound(i, bound + way * TINY)
        again = settled(moved)
        # Either impossible, or only without anything of what the ratio is taken over.
        assert again.x is None or moved.weight(i, again.x) == 0, said
        return "impossible"
    if rate.until == bound:
        return "at a corner"
    reach = Fraction(way) if rate.until is None else rate.until - bound
    assert reach * way > 0, said
    step = reach / 10**12
    slope = (cost_at(model, i, bound + step) - certificate.cost) / abs(step)
    assert float(slope) == pytest.approx(float(rate.per_unit), rel=1e-6, abs=1e-9), said
    moves = [Fraction(1, 3), 1 - TINY] if rate.until is not None else [3, 10**6]
    first = reach / 2 * way
    rise = cost_at(model, i, bound + way * first) - certificate.cost
    if rate.per_unit == 0:
        assert rise == 0, said
    bend = (1 - rate.per_unit * first / rise) / first if rise else Fraction(0)

    def law(at: Fraction) -> Fraction | None:
        far = (at - bound) * way
        return (
            certificate.cost + rate.per_unit * far / (1 - bend * far) if bend * far != 1 else None
        )

    for part in moves:
        at = bound + part * reach
        assert cost_at(model, i, at) == law(at), said
    if rate.until is None:
        return "for ever"
    beyond = model.with_bound(i, rate.until + way * TINY)
    again = settled(beyond)
    if again.cost is not None and again.cost == law(beyond.bound[i]):
        assert rate.per_unit != 0, f"{said} costs nothing further on as well"
        # The cost may go on by chance; then other limits are active, or there are too many.
        within = model.with_bound(i, bound + (1 - TINY) * reach)
        before = settled(within)
        several = equal_ranges(before.dictionary, range(len(model.columns))) is not None
        assert (
            active_set(within, before) != active_set(beyond, again)
            or len(active_set(model, certificate)) > len(model.columns)
            or several
        ), said
        return "goes on"
    return "ends"


def active_set(model: LinearModel, certificate: Certificate) -> set[tuple[str, int]]:
    """The limits and column bounds that hold with equality."""
    bounds = enumerate(zip(model.lower, certificate.x, model.upper, strict=True))
    ends = {
        (side, j)
        for j, (low, x, high) in bounds
        for side, at in (("l", low), ("u", high))
        if x == at
    }
    return ends | {("row", i) for i in active_rows(model, certificate.x)}


def test_rates_of_ratios_are_right_and_end_where_they_say() -> None:
    """For ratios the slope at the bound and the curve up to its end agree with solving again."""
    seen: Counter[str] = Counter()
    for model, certificate in optimal_models(20_000, 170, ratios=True):
        for i in active_rows(model, certificate.x):
            if model.denominator[i] is not None:
                for way in (1, -1):
                    seen[check_ratio_rate(model, certificate, i, way)] += 1
    assert min(seen["impossible"], seen["for ever"], seen["ends"]) > 15, seen
    assert seen["at a corner"] + seen["goes on"] < 10, seen


def test_price_of_a_ratio_is_in_the_makers_unit() -> None:
    """Beeswax a quarter of the fats at least: one point of that bound is worth what it costs.

    Fats f and wax w with f + w = 80 of 100, w / (f + w) >= b: w = 80 b, cost 80 b (20 - 5),
    so the rate is 1200 a unit of b, whatever the cleared row's own scale is.
    """
    model = model_of(
        (5, 20, 1),
        [
            ((1, 1, 1), "=", 100),
            ((1, 1, 0), "=", 80),
            ((0, 1, 0), ">=", Fraction(1, 4), (1, 1, 0), 0),
        ],
        upper=(100,) * 3,
    )
    certificate = settle(model)[1]
    for way in (1, -1):
        rate = bound_rate(model, certificate.dictionary, 2, way)
        assert rate.per_unit == way * 1200
        assert rate.until == (1 if way == 1 else 0)


def test_price_of_a_density_is_in_the_makers_unit() -> None:
    """Mass over volume: the rate per g/ml agrees with the curve worked out by hand.

    Clay (2 g/ml) and oil (0.8 g/ml), volume x/2 + y/0.8 of 100 g, density at least d:
    100 / (125 - 0.75 x) = d gives x = (125 - 100/d) / 0.75; at d = 1 the slope is
    100 / 0.75 points of clay a g/ml, each 3 - 1 dearer.
    """
    model = model_of(
        (3, 1),
        [
            ((1, 1), "=", 100),
            ((1, 1), ">=", 1, (Fraction(1, 2), Fraction(5, 4)), 0),
        ],
        upper=(100, 100),
    )
    certificate = settle(model)[1]
    assert certificate.x[0] == Fraction(100, 3)
    up, down = (bound_rate(model, certificate.dictionary, 1, way) for way in (1, -1))
    assert up == Rate(Fraction(800, 3), Fraction(2))
    assert down == Rate(-Fraction(800, 3), Fraction(4, 5))


def check_costs(model: LinearModel, certificate: Certificate) -> Counter[str]:
    """Solve again at, and just outside, each end of every column's cost range."""
    seen: Counter[str] = Counter()
    for j, today in enumerate(model.cost.numbers):
        ends = cost_range(certificate.dictionary, j)
        for end, way in zip(ends, (-1, 1), strict=True):
            said = f"column {j} {ends} {bare(model)}"
            inside = [Fraction(today) + way * far for far in (1, 10**6)] if end is None else [end]
            for cost in inside:
                moved = model.with_cost(j, cost)
                assert settled(moved).cost == moved.cost_of(certificate.x), said
            if end is None:
                seen["no end"] += 1
                continue
            assert (end - today) * way >= 0, said
            moved = model.with_cost(j, end + way * TINY)
            again = settled(moved)
            assert again.cost is None or again.cost < moved.cost_of(certificate.x), said
            seen["at today's cost" if end == today else "ends"] += 1
    return seen


def test_the_point_stays_cheapest_exactly_within_its_cost_ranges() -> None:
    """At each end of a cost range the point is still a cheapest one; outside it is not."""
    seen: Counter[str] = Counter()
    for model, certificate in optimal_models(30_000, 130, ratios=True):
        seen += check_costs(model, certificate)
    assert min(seen["no end"], seen["ends"], seen["at today's cost"]) > 25, seen


def on_the_face(model: LinearModel, certificate: Certificate, j: int, way: int) -> Fraction | None:
    """The least (way 1) or greatest (-1) value of column j at the optimal cost."""
    face = replace(
        model,
        rows=(*model.rows, replace(FIVE.rows[0])),
        numerator=(*model.numerator, model.cost),
        denominator=(*model.denominator, None),
        constant=(*model.constant, 1),
        bound=(*model.bound, certificate.cost),
        cost=Coefficients(tuple(way * (k == j) for k in range(len(model.columns)))),
    )
    cost = settled(face).cost
    return None if cost is None else way * cost


def test_ties_range_over_the_whole_optimal_face() -> None:
    """How far each column can move at equal cost agrees with two optima over that face."""
    unique = several = endless = 0
    for model, certificate in optimal_models(40_000, 260, ratios=True):
        columns = range(len(model.columns))
        truth = {
            j: tuple(on_the_face(model, certificate, j, way) for way in (1, -1)) for j in columns
        }
        found = equal_ranges(certificate.dictionary, columns)
        if all(low is not None and low == high for low, high in truth.values()):
            assert found is None, bare(model)
            unique += 1
        else:
            assert found == truth, bare(model)
            several += 1
            endless += any(high is None for _, high in truth.values())
    assert unique > 60
    assert several > 25
    assert endless > 3


def blend(rng: random.Random, n: int, m: int) -> LinearModel:
    """A percentage formula with decimals: a total, sums, averages and ratios near a mixture."""
    point = [
        Fraction(rng.randint(0, 200), 10) if rng.random() < 0.5 else Fraction(0) for _ in range(n)
    ]
    point[0] += 100 - sum(point) if sum(point) < 100 else 0
    limits = [((1,) * n, "=", sum(point))]
    for _ in range(m):
        numbers = tuple(Fraction(rng.randint(0, 999), 100) for _ in range(n))
        below, constant = None, 100
        if rng.random() < 0.4:
            below, constant = tuple(rng.choice([0, 1]) for _ in range(n)), 0
        top = sum(a * b for a, b in zip(numbers, point, strict=True))
        weight = constant + sum(a * b for a, b in zip(below or (0,) * n, point, strict=True))
        bound = top / weight if weight else Fraction(1)
        side = rng.choice(["<=", ">="])
        if rng.random() < 0.5:
            bound += (1 if side == "<=" else -1) * Fraction(rng.randint(0, 30), 100)
        limits.append((numbers, side, bound, below, constant))
    return model_of(
        [Fraction(rng.randint(50, 4000), 100) for _ in range(n)],
        limits,
        upper=[max(Fraction(100), x) for x in point],
    )


def test_formulas_of_customary_size_are_priced_exactly() -> None:
    """On percentage formulas of 12 to 16 ingredients all rates and ranges hold as said."""
    seen: Counter[str] = Counter()
    for seed in range(3):
        rng = random.Random(seed)
        model = blend(rng, rng.randint(12, 16), rng.randint(6, 9))
        certificate = settle(model)[1]
        assert_proof_holds(model, certificate)
        for i in active_rows(model, certificate.x):
            for way in (1, -1):
                check = check_sum_rate if model.denominator[i] is None else check_ratio_rate
                seen[check(model, certificate, i, way)] += 1
        seen += check_costs(model, certificate)
    assert seen["ends"] > 60, seen


def test_a_ratio_with_nothing_in_it_costs_nothing_however_tight() -> None:
    """All wax: oil at most half the butter holds at every bound, and wider ones pay from 6.5 on.

    Butter 55, oil 10, wax 16: a kg of butter with b kg of oil beats wax once
    55 + 10 b < 16 (1 + b), so from b = 6.5.
    """
    model = model_of(
        (55, 10, 16),
        [((1, 1, 1), "=", 100), ((0, 1, 0), "<=", Fraction(1, 2), (1, 0, 0), 0)],
        upper=(100,) * 3,
    )
    dictionary = settle(model)[1].dictionary
    assert bound_rate(model, dictionary, 1, -1) == Rate(Fraction(0), None)
    assert bound_rate(model, dictionary, 1, 1) == Rate(Fraction(0), Fraction(13, 2))
