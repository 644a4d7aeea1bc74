"""Laws that every linear model obeys, on models that hypothesis makes up."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import assume, event, given, settings
from hypothesis import strategies as st
from linear_models import (
    active_rows,
    assert_proof_holds,
    dot,
    keeps_to,
    model_of,
    plain_rows,
    weak_bound,
)

from optimiser.exact.dictionary import Ending
from optimiser.exact.proof import Certificate, prove
from optimiser.exact.sensitivity import bound_rate, cost_range, equal_ranges
from optimiser.linear_model import Coefficients, LinearModel, Sense
from optimiser.provenance import Exact

law = settings(deadline=None, max_examples=60, derandomize=True)

LEVEL = st.integers(0, 20)
NUMBER = st.one_of(
    st.integers(-3, 6), st.fractions(-2, 9, max_denominator=10), st.decimals(0, 9, places=2)
)
AMOUNT = st.one_of(st.just(0), LEVEL, st.fractions(0, 40, max_denominator=4))


@st.composite
def models(draw: st.DrawFn, ratios: bool = True) -> LinearModel:
    """A model with a known admissible point, so that only its cost may have no end."""
    n = draw(st.integers(1, 5))
    point = draw(st.lists(AMOUNT, min_size=n, max_size=n))
    numbers = st.lists(NUMBER, min_size=n, max_size=n)
    limits = []
    for _ in range(draw(st.integers(0, 5))):
        numerator, below, constant = draw(numbers), None, draw(st.sampled_from([1, 100]))
        if ratios and draw(st.booleans()):
            below = draw(st.lists(st.integers(0, 3), min_size=n, max_size=n))
            constant = draw(st.sampled_from([0, 1, 50]))
        weight = constant + (dot(below, point) if below else 0)
        assume(weight)
        side = draw(st.sampled_from([">=", "<=", "="]))
        slack = Fraction(draw(AMOUNT)) if side != "=" else Fraction(0)
        bound = dot(numerator, point) / weight + (slack if side == "<=" else -slack)
        limits.append((numerator, side, bound, below, constant))
    upper = [
        draw(st.sampled_from([None, x, x + 3, max(Fraction(x), Fraction(100))])) for x in point
    ]
    model = model_of(draw(numbers), limits, upper=upper)
    assert keeps_to(model, [Fraction(x) for x in point])
    return model


@st.composite
def settled_models(draw: st.DrawFn, ratios: bool = True) -> tuple[LinearModel, Certificate]:
    """A model with a proven optimum."""
    model = draw(models(ratios))
    certificate = prove(model, None)
    event(certificate.ending)
    assert certificate.ending is not Ending.INFEASIBLE
    assume(certificate.ending is Ending.OPTIMAL)
    assert_proof_holds(model, certificate)
    return model, certificate


def optimum(model: LinearModel) -> Fraction | None:
    """The proven optimal cost; None where there is none."""
    certificate = prove(model, None)
    if certificate.ending is not Ending.UNBOUNDED:
        assert_proof_holds(model, certificate)
    return certificate.cost


def looser(model: LinearModel, i: int, by: Exact) -> LinearModel:
    """Row i's bound moved away by a positive amount."""
    sense = model.rows[i].sense
    way = 1 if sense is Sense.AT_MOST else -1
    return model.with_bound(i, Fraction(model.bound[i]) + way * Fraction(by))


POSITIVE = st.one_of(st.integers(1, 30), st.fractions(Fraction(1, 1000), 3))


@law
@given(settled_models(), st.data())
def test_loosening_a_limit_never_raises_the_cost(
    made: tuple[LinearModel, Certificate], data: st.DataObject
) -> None:
    """A bound moved the kind way keeps every admissible point, ratios included."""
    model, certificate = made
    sided = [i for i, row in enumerate(model.rows) if row.sense is not Sense.EQUAL]
    assume(sided)
    moved = looser(model, data.draw(st.sampled_from(sided)), data.draw(POSITIVE))
    assert keeps_to(moved, certificate.x)
    cost = optimum(moved)
    assert cost is None or cost <= certificate.cost


@law
@given(settled_models(), st.data())
def test_dropping_a_limit_never_raises_the_cost(
    made: tuple[LinearModel, Certificate], data: st.DataObject
) -> None:
    """Fewer limits are never dearer."""
    model, certificate = made
    assume(model.rows)
    gone = data.draw(st.sets(st.sampled_from(range(len(model.rows)))))
    cost = optimum(model.without_rows(gone))
    assert cost is None or cost <= certificate.cost


@law
@given(settled_models(), POSITIVE)
def test_prices_times_k_give_cost_times_k(made: tuple[LinearModel, Certificate], k: Exact) -> None:
    """In another currency the same formula is cheapest, at the converted cost."""
    model, certificate = made
    factor = Fraction(k)
    priced = Coefficients(tuple(factor * Fraction(cost) for cost in model.cost.numbers))
    converted = replace(model, cost=priced)
    assert optimum(converted) == factor * certificate.cost
    again = prove(converted, None)
    assert again.x == certificate.x
    assert again.prices == tuple(factor * price for price in certificate.prices)


@law
@given(settled_models(), st.data())
def test_an_extra_ingredient_never_raises_the_cost(
    made: tuple[LinearModel, Certificate], data: st.DataObject
) -> None:
    """One more column can be left at 0."""
    model, certificate = made

    def wider(part: Coefficients, number: Exact) -> Coefficients:
        return Coefficients((*part.numbers, number))

    extended = replace(
        model,
        columns=(*model.columns, "new"),
        numerator=tuple(wider(part, data.draw(NUMBER)) for part in model.numerator),
        denominator=tuple(
            None if part is None else wider(part, data.draw(st.integers(0, 3)))
            for part in model.denominator
        ),
        cost=wider(model.cost, data.draw(NUMBER)),
        lower=(*model.lower, 0),
        upper=(*model.upper, data.draw(st.sampled_from([None, 0, 5, 100]))),
        is_integer=(*model.is_integer, False),
    )
    cost = optimum(extended)
    assert cost is None or cost <= certificate.cost


@law
@given(settled_models(), st.randoms(use_true_random=False))
def test_order_does_not_matter(made: tuple[LinearModel, Certificate], rng: object) -> None:
    """Permuted rows and columns leave the cost, and where it is unique the point, as it was."""
    model, certificate = made
    rows = rng.sample(range(len(model.rows)), len(model.rows))
    columns = rng.sample(range(len(model.columns)), len(model.columns))

    def shuffled(part: Coefficients | None) -> Coefficients | None:
        return None if part is None else Coefficients(tuple(part.numbers[j] for j in columns))

    mixed = replace(
        model,
        columns=tuple(model.columns[j] for j in columns),
        rows=tuple(model.rows[i] for i in rows),
        numerator=tuple(shuffled(model.numerator[i]) for i in rows),
        denominator=tuple(shuffled(model.denominator[i]) for i in rows),
        constant=tuple(model.constant[i] for i in rows),
        bound=tuple(model.bound[i] for i in rows),
        cost=shuffled(model.cost),
        lower=tuple(model.lower[j] for j in columns),
        upper=tuple(model.upper[j] for j in columns),
        is_integer=tuple(model.is_integer[j] for j in columns),
    )
    again = prove(mixed, None)
    assert_proof_holds(mixed, again)
    assert again.cost == certificate.cost
    every = range(len(columns))
    if all(high is not None for high in model.upper) and (
        equal_ranges(certificate.dictionary, every) is None
    ):
        assert [again.x[columns.index(j)] for j in every] == list(certificate.x)


@law
@given(settled_models())
def test_duality_and_complementary_slackness(made: tuple[LinearModel, Certificate]) -> None:
    """The prices bound the cost from below at exactly the cost; a slack limit has price 0."""
    model, certificate = made
    assert weak_bound(model, certificate.prices) == certificate.cost
    for price, (numbers, _, side) in zip(certificate.prices, plain_rows(model), strict=True):
        assert price == 0 or dot(numbers, certificate.x) == side


@law
@given(settled_models(ratios=False), st.data())
def test_within_its_reach_a_bound_costs_rate_times_move(
    made: tuple[LinearModel, Certificate], data: st.DataObject
) -> None:
    """Up to where a rate holds the cost changes by exactly the rate times the move."""
    model, certificate = made
    active = active_rows(model, certificate.x)
    assume(active)
    i, way = data.draw(st.sampled_from(active)), data.draw(st.sampled_from([1, -1]))
    rate = bound_rate(model, certificate.dictionary, i, way)
    assume(rate.per_unit is not None)
    whole = 100 if rate.until is None else abs(rate.until - Fraction(model.bound[i]))
    move = whole * Fraction(data.draw(st.integers(1, 16)), 16)
    moved = model.with_bound(i, Fraction(model.bound[i]) + way * move)
    assert optimum(moved) == certificate.cost + rate.per_unit * move


@law
@given(settled_models(), st.data())
def test_a_rate_never_promises_what_convexity_forbids(
    made: tuple[LinearModel, Certificate], data: st.DataObject
) -> None:
    """The optimal cost is convex in the bound of a sum: it falls no faster than it rises."""
    model, certificate = made
    sums = [i for i in active_rows(model, certificate.x) if model.denominator[i] is None]
    assume(sums)
    i = data.draw(st.sampled_from(sums))
    down, up = (bound_rate(model, certificate.dictionary, i, way).per_unit for way in (-1, 1))
    assert down is None or up is None or -down <= up
    if model.rows[i].sense is Sense.AT_LEAST:
        assert down <= 0
        assert up is None or up >= 0
    if model.rows[i].sense is Sense.AT_MOST:
        assert up <= 0
        assert down is None or down >= 0


@law
@given(settled_models(), st.data())
def test_within_its_range_a_cost_changes_only_the_total(
    made: tuple[LinearModel, Certificate], data: st.DataObject
) -> None:
    """Between the ends of a price range the formula stays, and costs share times change."""
    model, certificate = made
    j = data.draw(st.integers(0, len(model.columns) - 1))
    low, high = cost_range(certificate.dictionary, j)
    today = Fraction(model.cost.numbers[j])
    low, high = (today - 50 if low is None else low), (today + 50 if high is None else high)
    assert low <= today <= high
    new = low + (high - low) * Fraction(data.draw(st.integers(0, 16)), 16)
    changed = optimum(model.with_cost(j, new))
    assert changed == certificate.cost + (new - today) * certificate.x[j]


@law
@given(models(), st.data())
def test_an_impossible_model_becomes_possible_when_its_tightest_limit_goes(
    model: LinearModel, data: st.DataObject
) -> None:
    """A limit beyond the best reachable level is impossible, proven, and alone to blame."""
    n = len(model.columns)
    capped = replace(model, upper=tuple(100 if high is None else high for high in model.upper))
    numbers = data.draw(st.lists(NUMBER, min_size=n, max_size=n))
    highest = optimum(replace(capped, cost=Coefficients(tuple(-number for number in numbers))))
    assume(highest is not None)
    beyond = -highest + Fraction(data.draw(POSITIVE)) / 10**12
    limits = [
        (top.numbers, str(row.sense), bound, None if below is None else below.numbers, constant)
        for row, top, below, constant, bound in zip(
            capped.rows,
            capped.numerator,
            capped.denominator,
            capped.constant,
            capped.bound,
            strict=True,
        )
    ]
    wanting = model_of(capped.cost.numbers, [*limits, (numbers, ">=", beyond)], upper=capped.upper)
    certificate = prove(wanting, None)
    assert certificate.ending is Ending.INFEASIBLE
    assert_proof_holds(wanting, certificate)
    assert certificate.prices[-1] > 0
    assert optimum(wanting.with_bound(len(limits), -highest)) is not None
    assert optimum(wanting.without_rows([len(limits)])) == optimum(capped)
