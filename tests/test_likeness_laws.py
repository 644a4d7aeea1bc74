"""Laws of likeness: what must hold between the answers to two related questions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import combinations
from random import Random

import pytest
from formulation_support import limit
from hypothesis import given, settings
from hypothesis import strategies as st
from substitute_support import Case, cost, prices, random_case, shares, shelf_of

from optimiser.answers.closeness import changes, difference
from optimiser.answers.substitute import Options, substituted
from optimiser.ingredient import Figure, Ingredient, Trait

laws = settings(max_examples=20, deadline=None)
draws = st.randoms(use_true_random=False)


def least(case: Case, names: list[str] | None = None) -> Fraction | None:
    """The difference of the closest formula, None where there is none."""
    found = shelf_of(case, names).closest()
    return None if found is None else found.difference


def not_more(one: Fraction | None, other: Fraction | None) -> bool:
    """Whether a difference is not above another; no formula counts as the most."""
    return other is None or (one is not None and one <= other)


def with_figures(case: Case, change: Callable[[Decimal], Decimal], tolerance: int = 1) -> Case:
    """The case with every figure of every property changed, and the tolerances of these."""

    def figure(found: Figure) -> Figure:
        ends = sorted((change(found.low), change(found.high)))
        return replace(found, low=ends[0], typical=change(found.typical), high=ends[1])

    def ingredient(found: Ingredient) -> Ingredient:
        return replace(found, figures={of: figure(f) for of, f in found.figures.items()})

    def trait(found: Trait) -> Trait:
        scale = tolerance if found.of in case.request.book.properties else 1
        return replace(found, tolerance=found.tolerance * scale)

    book = case.request.book
    book = replace(book, ingredients={i: ingredient(f) for i, f in book.ingredients.items()})
    brief = replace(case.request.brief, character=tuple(map(trait, case.traits)))
    return replace(case, request=replace(case.request, book=book, brief=brief))


@laws
@given(draws)
def test_formula_in_use_is_like_itself(rng: Random) -> None:
    """It differs by nothing from itself, and with nothing gone nothing is closer."""
    case = random_case(rng, fat=rng.random() < 0.5, limits=False)
    shelf = shelf_of(case, sorted(prices(case.request)))
    assert difference(changes(shelf.aims, shelf.reference)) == 0
    assert least(case, sorted(prices(case.request))) == 0


@settings(max_examples=10, deadline=None)
@given(draws)
def test_twin_takes_the_place_unnoticed(rng: Random) -> None:
    """An ingredient with the same figures and kind leaves no difference, and ranks first."""
    case = random_case(rng, fat=rng.random() < 0.5, limits=False, count=5)
    book = case.request.book
    twin = replace(book.ingredients[case.gone], id="twin")
    book = replace(book, ingredients={**book.ingredients, "twin": twin})
    offers = (*case.request.offers, replace(case.request.offers[0], ingredient="twin"))
    request = replace(case.request, book=book, offers=offers)
    answer = substituted(request, Options((case.gone,)), case.recipe)
    assert answer.closest is not None
    assert answer.closest.difference == 0
    assert {c.ingredient: c.substitute.difference for c in answer.candidates}["twin"] == 0
    assert answer.candidates[0].substitute.difference == 0


@laws
@given(draws)
def test_larger_shelf_is_never_less_like(rng: Random) -> None:
    """One more ingredient to choose from never raises the difference."""
    case = random_case(rng)
    fewer = sorted(rng.sample(case.shelf, len(case.shelf) - 1))
    assert not_more(least(case), least(case, fewer))


@laws
@given(draws)
def test_keeping_less_of_the_rest_is_never_less_like(rng: Random) -> None:
    """More points to move by never raise the difference, and all of them are no hold."""
    shelf = shelf_of(random_case(rng))
    found = [shelf.kept_within(Fraction(points)).closest() for points in (0, 1, 4, 100)]
    values = [None if one is None else one.difference for one in found]
    assert all(not_more(b, a) for a, b in zip(values, values[1:], strict=False))
    free = shelf.closest()
    assert values[-1] == (None if free is None else free.difference)


@laws
@given(draws)
def test_higher_cost_cap_is_never_less_like(rng: Random) -> None:
    """A kg that may cost more never raises the difference, nor costs more than allowed."""
    case = random_case(rng)
    values = []
    for most in ("3", "6", "12"):
        cap = limit("properties.cost.max", most)
        brief = replace(case.request.brief, limits=(*case.request.brief.limits, cap))
        found = shelf_of(replace(case, request=replace(case.request, brief=brief))).closest()
        assert found is None or cost(found) <= float(most)
        values.append(None if found is None else found.difference)
    assert not_more(values[1], values[0])
    assert not_more(values[2], values[1])
    assert values[2] == least(case)


@laws
@given(draws)
def test_sign_of_a_property_does_not_matter(rng: Random) -> None:
    """With every figure negated a formula is as like as before."""
    case = random_case(rng, fat=rng.random() < 0.5, limits=False)
    assert least(with_figures(case, lambda number: -number)) == least(case)


@laws
@given(draws)
def test_unit_of_a_property_does_not_matter(rng: Random) -> None:
    """Figures and tolerances in a unit a thousand times smaller change nothing."""
    case = random_case(rng, fat=rng.random() < 0.5, limits=False)
    assert least(with_figures(case, lambda number: number * 1000, 1000)) == least(case)


@laws
@given(draws)
def test_tolerance_scales_the_difference(rng: Random) -> None:
    """With all tolerances doubled the least difference is half."""
    case = random_case(rng)
    wider = tuple(replace(one, tolerance=one.tolerance * 2) for one in case.traits)
    brief = replace(case.request.brief, character=wider)
    doubled = least(replace(case, request=replace(case.request, brief=brief)))
    found = least(case)
    assert doubled == (None if found is None else found / 2)


@laws
@given(draws)
def test_order_of_the_price_list_does_not_matter(rng: Random) -> None:
    """The same offers in another order give the same difference at the same cost."""
    case = random_case(rng, fat=rng.random() < 0.5)
    offers = list(case.request.offers)
    rng.shuffle(offers)
    other = replace(case, request=replace(case.request, offers=tuple(offers)))
    one, two = shelf_of(case).closest(), shelf_of(other).closest()
    assert (one is None) == (two is None)
    if one is not None and two is not None:
        assert one.difference == two.difference
        assert cost(one) == cost(two)


@pytest.mark.parametrize("seed", range(10))
def test_few_shares_move_and_those_that_help_most(seed: int) -> None:
    """At most so many shares move, and no other choice of them is more like the one in use."""
    case = random_case(Random(seed), count=6)
    values = []
    for count in range(1, 4):
        answer = case.answer(max_changes=count)
        assert answer is not None
        tried = []
        for moved in combinations(case.shelf, count):
            still = {i: case.recipe.get(i, 0) for i in case.shelf if i not in moved}
            found = case.least(low=still, high=still)
            if found is not None:
                tried.append(found.value)
        if answer.closest is None:
            assert not tried
            values.append(None)
            continue
        now = shares(answer.closest)
        assert sum(now.get(i, 0) != case.recipe.get(i, 0) for i in case.shelf) <= count
        assert float(answer.closest.difference) == pytest.approx(min(tried), abs=1e-7)
        values.append(answer.closest.difference)
    assert not_more(values[1], values[0])
    assert not_more(values[2], values[1])
