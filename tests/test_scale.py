"""Random briefs of every family, held exactly against a model of them that shares no code.

`tests/scale/run.py` does the same with thousands. Every programme is settled by the tableau in
`tests/scale/outside.py`; where `esolver` is installed it settles some of them beside it.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction

import pytest
from formulation_support import small_request
from scale.briefs import FAMILIES, drawn
from scale.findings import Findings
from scale.held import compare, held
from scale.outside import Both, Esolver, Line, Programme, Tableau
from scale.stated import Stated

from optimiser.answers.cheapest import Cheapest, cheapest
from optimiser.answers.impossible import Clash, Explanation
from optimiser.answers.price_ranges import PriceRange
from optimiser.provenance import Origin, Statement

SEED = 2
BRIEFS = 10
"""So many of each family."""

SHARE = 0.02
"""The part of all programmes that `esolver` settles as well; the first of a brief always."""


@pytest.fixture(scope="module")
def solver() -> Iterator[Both]:
    """The tableau, and `esolver` beside it where it is installed."""
    if not Esolver.is_installed():
        yield Both(None, 0, random.Random(SEED))
        return
    with Esolver() as esolver:
        yield Both(esolver, SHARE, random.Random(SEED))


@pytest.mark.parametrize("family", FAMILIES)
def test_everything_told_agrees_with_a_model_built_anew(family: str, solver: Both) -> None:
    """Cost, proof, prices, reaches, ranges, ties, conflicts and ways out are exactly right."""
    found = Findings()
    first = list(FAMILIES).index(family)
    for place in range(first, first + BRIEFS * len(FAMILIES), len(FAMILIES)):
        _, request = drawn(SEED, place)
        one = held(request, solver)
        assert not one.disagreements, f"seed {SEED} place {place}: {one.disagreements}"
        found.take(one)
    assert not found.unproven
    assert found.outcomes["optimal"] + found.outcomes["infeasible"] > BRIEFS / 2, found.outcomes


def test_two_exact_solvers_agree() -> None:
    """The tableau of the tests and `esolver` find the same status and cost, as rationals."""
    if not Esolver.is_installed():
        pytest.skip("esolver is not installed (Debian: apt-get install qsopt-ex)")
    seen = set()
    with Esolver() as esolver:
        for place in range(4 * len(FAMILIES)):
            stated = Stated(drawn(SEED, place)[1])
            if stated.refusals():
                continue
            programme = stated.programme()
            one, other = Tableau().least(programme), esolver.least(programme)
            assert (one.status, one.value) == (other.status, other.value), place
            seen.add(one.status)
    assert seen == {"optimal", "infeasible"}


def test_the_tableau_by_hand() -> None:
    """Least 2 x + 3 y, x + y >= 4, x <= 3, 3 x - y = 1 is at 5/4, 11/4; the rest has no answer."""
    two, three = Fraction(2), Fraction(3)
    lines = (
        Line("a", (Fraction(1), Fraction(1)), ">=", Fraction(4)),
        Line("b", (Fraction(1), Fraction(0)), "<=", three),
        Line("c", (three, Fraction(-1)), "=", Fraction(1)),
    )
    found = Tableau().least(Programme((two, three), lines))
    assert (found.status, found.value) == ("optimal", Fraction(43, 4))
    assert found.x == (Fraction(5, 4), Fraction(11, 4))
    none = Programme((two, three), (*lines, Line("d", (Fraction(1), Fraction(1)), "<=", three)))
    assert Tableau().least(none).status == "infeasible"
    assert Tableau().least(Programme((-two, three), lines[:1])).status == "unbounded"


WITH_A_RATE = 14
"""The place of a brief whose first active limit is a sum with a rate that ends."""

A_HAIR = Fraction(1, 10**9)


def dearer(answer: Cheapest) -> Cheapest:
    cost = answer.certificate.cost
    assert cost is not None
    return replace(answer, certificate=replace(answer.certificate, cost=cost + A_HAIR))


def without_a_limit(answer: Cheapest) -> Cheapest:
    return replace(answer, active_limits=answer.active_limits[1:])


def other_rate(answer: Cheapest) -> Cheapest:
    first = answer.active_limits[0]
    assert first.up.per_unit is not None
    up = replace(first.up, per_unit=first.up.per_unit + A_HAIR)
    return replace(answer, active_limits=(replace(first, up=up), *answer.active_limits[1:]))


def reach_moved(answer: Cheapest, by: Fraction) -> Cheapest:
    first = answer.active_limits[0]
    assert first.up.until is not None
    up = replace(first.up, until=first.up.until + by)
    return replace(answer, active_limits=(replace(first, up=up), *answer.active_limits[1:]))


def range_moved(answer: Cheapest, by: Fraction) -> Cheapest:
    def moved(found: PriceRange) -> PriceRange:
        end = found.stays_from
        return found if end is None else replace(found, stays_from=end + by)

    return replace(answer, unused=tuple(moved(found) for found in answer.unused))


def tied(answer: Cheapest) -> Cheapest:
    name = answer.formulation.model.columns[0]
    return replace(answer, equal_cost={name: (Fraction(0), Fraction(100))})


SPOILT: dict[str, tuple[Callable[[Cheapest], Cheapest], str]] = {
    "cost": (dearer, "least cost"),
    "limit left out": (without_a_limit, "active limits"),
    "rate": (other_rate, "price of a limit"),
    "reach too long": (lambda answer: reach_moved(answer, A_HAIR), "price of a limit"),
    "reach too short": (lambda answer: reach_moved(answer, -A_HAIR), "end of a price"),
    "range too long": (lambda answer: range_moved(answer, -A_HAIR), "price range"),
    "range too short": (lambda answer: range_moved(answer, A_HAIR), "end of a price range"),
    "tie": (tied, "share at the same cost"),
}


@pytest.mark.parametrize("what", SPOILT)
def test_a_hair_of_difference_is_seen(what: str) -> None:
    """An answer that is spoilt by a billionth does not pass, so that none passes by chance."""
    spoil, kind = SPOILT[what]
    request = drawn(SEED, WITH_A_RATE)[1]
    answer, solver = cheapest(request), Both(None, 0, random.Random(SEED))
    fine, spoilt = Findings(), Findings()
    compare(Stated(request), answer, solver, fine)
    assert not fine.disagreements
    compare(Stated(request), spoil(answer), solver, spoilt)
    assert kind in {words.partition(":")[0] for words in spoilt.disagreements}


def without_a_clash(told: Explanation) -> Explanation:
    return replace(told, conflicts=(told.conflicts[0][1:],))


def with_another_clash(told: Explanation) -> Explanation:
    beside = replace(told.conflicts[0][0].row, statement=HARMLESS)
    return replace(told, conflicts=((*told.conflicts[0], Clash(beside, Fraction(90))),))


def way_out_moved(told: Explanation, by: Fraction) -> Explanation:
    first, *others = told.ways_out
    assert first.reachable is not None
    moved = replace(first, reachable=first.reachable + by)
    return replace(told, ways_out=(moved, *others))


HARMLESS = Statement("totals.wax.max", "", Origin("brief.toml", 9))
MISTOLD: dict[str, Callable[[Explanation], Explanation]] = {
    "conflict is impossible": without_a_clash,
    "conflict is irreducible": with_another_clash,
    "way out lets a formula in": lambda told: way_out_moved(told, A_HAIR),
    "nothing nearer does": lambda told: way_out_moved(told, -A_HAIR),
}


@pytest.mark.parametrize("kind", MISTOLD)
def test_a_wrong_explanation_is_seen(kind: str) -> None:
    """A clash too few or too many, or a way out a billionth off, does not pass."""
    request = small_request(
        ("amounts.light-oil.min", "60"), ("totals.butter.min", "50"), ("totals.wax.max", "90")
    )
    answer, solver = cheapest(request), Both(None, 0, random.Random(SEED))
    assert answer.explanation is not None
    fine, spoilt = Findings(), Findings()
    compare(Stated(request), answer, solver, fine)
    assert not fine.disagreements
    wrong = replace(answer, explanation=MISTOLD[kind](answer.explanation))
    compare(Stated(request), wrong, solver, spoilt)
    assert kind in {words.partition(":")[0] for words in spoilt.disagreements}
