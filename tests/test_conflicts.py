"""Conflicts, nearest bounds and smallest compromises of impossible linear models."""

from __future__ import annotations

import itertools
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import assume, event, given, settings
from impossible_models import (
    FIRM,
    GIVEN,
    SAID,
    given_rows,
    impossible_models,
    is_possible,
    is_possible_for_scipy,
    large_impossible_model,
    least_movement,
    least_on_a_grid,
    marked,
    moved,
    only,
    sizes,
    total_movement,
)
from linear_models import bare, model_of
from published import case, model, names

from optimiser.conflicts import conflicts
from optimiser.linear_model import LinearModel, ModelRow, Sense
from optimiser.repair import nearest_bound, smallest_compromise

law = settings(deadline=None, max_examples=25, derandomize=True)
HAIR = Fraction(1, 10**9)
VERY_FAR = 10**6

INFEASIBLE = names(status="infeasible")


def test_there_are_published_impossible_models() -> None:
    """The SAS/OR and the lp_solve example are among the published cases."""
    assert set(INFEASIBLE) == {"infeasible_elastic", "infeasible_small_iis"}


@pytest.mark.parametrize("name", INFEASIBLE)
def test_the_conflict_is_the_published_one(name: str) -> None:
    """The one irreducible set is that of the SAS/OR guide, or of the lp_solve guide."""
    keys = [limit.statement.key for limit in model(name).rows]
    (found,) = conflicts(model(name))
    assert [keys[i] for i in found] == case(name)["iis"]["rows"]


@pytest.mark.parametrize("name", INFEASIBLE)
def test_nearest_bounds_are_the_published_ones(name: str) -> None:
    """Each limit alone goes exactly as far as the relaxations of the same sources."""
    known = case(name)["derived"]["single_row_relaxations"]
    for i, limit in enumerate(model(name).rows):
        eased = known.get(limit.statement.key)
        assert nearest_bound(model(name), i) == (None if eased is None else eased["new_rhs"])


def test_smallest_violation_is_that_of_the_elastic_programme() -> None:
    """One unit of violation is least, as the lp_solve guide's 1011 = 11 + 1000 * 1 says."""
    found = model("infeasible_elastic")
    moves = smallest_compromise(found, [Fraction(1)] * len(found.rows))
    assert moves is not None
    shift = sum(abs(level - found.bound[i]) for i, level in moves.items())
    assert shift == (case("infeasible_elastic")["elastic_optimum_penalty_1000"] - 11) / 1000
    assert is_possible(moved(found, moves))


@law
@given(impossible_models())
def test_a_conflict_is_impossible_and_irreducible(found: LinearModel) -> None:
    """With what is no statement a conflict cannot be met; without any one of it it can."""
    given_too = given_rows(found)
    for conflict in conflicts(found):
        assert conflict
        assert all(found.rows[i].is_said for i in conflict)
        assert not is_possible(only(found, [*given_too, *conflict])), bare(found)
        for i in conflict:
            rest = [k for k in conflict if k != i]
            assert is_possible(only(found, [*given_too, *rest])), bare(found)


@law
@given(impossible_models())
def test_beside_the_conflicts_nothing_clashes(found: LinearModel) -> None:
    """Some choice of one statement out of each conflict leaves a brief that can be met."""
    knots = conflicts(found)
    event(f"{len(knots)} conflicts")
    assert any(is_possible(found.without_rows(gone)) for gone in itertools.product(*knots))


@law
@given(impossible_models())
def test_the_rows_likely_to_be_eased_are_dropped_first(found: LinearModel) -> None:
    """Dropping the named row of each conflict, else any that may be eased, frees the model."""
    first = [i for i, limit in enumerate(found.rows) if limit.may_be_eased][::-1]
    knots = conflicts(found, first)
    dropped = []
    for knot in knots:
        # What a knot was found without is no part of it.
        assert not set(knot) & set(dropped)
        ranked = [*first, *knot]
        dropped.append(next(i for i in ranked if i in knot))
    assert is_possible(found.without_rows(dropped))


def test_independent_knots_are_all_found() -> None:
    """Three pairs that clash on their own give three conflicts of two."""
    limits = [((1, 1, 1, 1), "=", 100)]
    for j in range(3):
        one = tuple(int(k == j) for k in range(4))
        limits += [(one, ">=", 20 + j), (one, "<=", 10)]
    found = marked(model_of((1, 1, 1, 1), limits, upper=(100,) * 4), [GIVEN, *[SAID] * 6])
    assert sorted(conflicts(found)) == [(1, 2), (3, 4), (5, 6)]


def test_a_statement_said_twice_is_blamed_in_both_places() -> None:
    """Two equal limits against a third give two conflicts, as either alone is a knot."""
    limits = [((1, 0), ">=", 30), ((1, 0), ">=", 30), ((1, 0), "<=", 20)]
    found = model_of((1, 1), limits, upper=(100, 100))
    assert {frozenset(knot) for knot in conflicts(found, [0, 1])} == {
        frozenset({0, 2}),
        frozenset({1, 2}),
    }
    assert len(conflicts(found, [2])) == 1


def test_the_smaller_of_several_knots_is_shown_first() -> None:
    """A pair that clashes is shown before a set of three."""
    limits = [((1, 0), ">=", 60), ((0, 1), ">=", 60), ((1, 1), "<=", 100), ((0, 1), "<=", 50)]
    found = model_of((1, 1), limits, upper=(100, 100))
    assert conflicts(found)[0] == (1, 3)


def test_firm_statements_are_named_where_they_clash() -> None:
    """A firm statement is part of the conflict like any other."""
    limits = [((1, 0), ">=", 60), ((1, 0), "<=", 50)]
    found = marked(model_of((1, 1), limits, upper=(100, 100)), [FIRM, FIRM])
    assert conflicts(found) == [(0, 1)]


def test_where_nothing_that_was_said_is_to_blame_there_is_no_conflict() -> None:
    """What is no statement and clashes by itself is not put on any statement."""
    found = marked(model_of((1, 1), [((1, 1), "=", 100)], upper=(40, 40)), [GIVEN])
    assert conflicts(found) == []


@law
@given(impossible_models())
def test_a_nearest_bound_is_enough_and_a_hair_less_is_not(found: LinearModel) -> None:
    """At the bound that is named the model is possible, just short of it it is not."""
    for i, limit in enumerate(found.rows):
        if not limit.is_said:
            continue
        nearest, said = nearest_bound(found, i), Fraction(found.bound[i])
        event("reachable" if nearest is not None else "not reachable")
        if nearest is None:
            continue
        assert nearest < said if limit.sense is Sense.AT_LEAST else nearest != said
        assert nearest > said if limit.sense is Sense.AT_MOST else nearest != said
        assert is_possible(found.with_bound(i, nearest)), bare(found)
        back = HAIR if said > nearest else -HAIR
        assert not is_possible(found.with_bound(i, nearest + back)), bare(found)


@law
@given(impossible_models(sides=(">=", "<=")))
def test_where_no_bound_is_enough_none_is_however_far(found: LinearModel) -> None:
    """A one-sided bound said to be of no help does not help a million units away either."""
    for i, limit in enumerate(found.rows):
        if limit.is_said and nearest_bound(found, i) is None:
            way = -1 if limit.sense is Sense.AT_LEAST else 1
            far = Fraction(found.bound[i]) + way * VERY_FAR
            assert not is_possible(found.with_bound(i, far)), bare(found)


def test_a_ratio_is_eased_even_if_the_other_may_be_absent() -> None:
    """70 parts to at most 30 is 7/3 at best, although points with none of the other exist."""
    found = model_of(
        (1, 1, 1),
        [((1, 1, 1), "=", 100), ((1, 1, 0), "<=", Fraction(3, 10), (0, 0, 1), 0)],
        upper=(100, 100, 30),
    )
    found = marked(found, [GIVEN, SAID])
    assert nearest_bound(found, 1) == Fraction(7, 3)


def test_a_ratio_to_nothing_cannot_be_eased() -> None:
    """No bound on a ratio helps where there is nothing of the other."""
    found = model_of((1, 1), [((1, 1), "=", 100), ((1, 0), "<=", 3, (0, 0), 0), ((1, 0), ">=", 40)])
    assert nearest_bound(found, 1) is None
    assert nearest_bound(found, 2) == 0


def test_an_equality_goes_to_the_nearer_end() -> None:
    """An exact amount above or below what is possible moves to that end."""
    limits = [((1, 0), "=", 90), ((1, 0), "<=", 70), ((1, 0), ">=", 20), ((1, 1), "=", 100)]
    found = model_of((1, 1), limits, upper=(100, 100))
    assert nearest_bound(found, 0) == 70
    assert nearest_bound(found.with_bound(0, 5), 0) == 20


@law
@given(impossible_models())
def test_a_compromise_can_be_met_and_moves_nothing_firm(found: LinearModel) -> None:
    """With all its moves the model is possible; only what may be eased moves, the kind way."""
    moves = smallest_compromise(found, sizes(found))
    if moves is None:
        event("none")
        return
    assert moves
    assert all(found.rows[i].may_be_eased for i in moves)
    for i, level in moves.items():
        wrong = {Sense.AT_LEAST: level >= found.bound[i], Sense.AT_MOST: level <= found.bound[i]}
        assert not wrong.get(found.rows[i].sense, level == found.bound[i])
    assert is_possible(moved(found, moves)), bare(found)


@law
@given(impossible_models(ratios=False))
def test_there_is_no_compromise_only_where_firm_statements_clash(found: LinearModel) -> None:
    """For plain sums a compromise exists exactly where what may not be eased can be met."""
    eased = [i for i, limit in enumerate(found.rows) if limit.may_be_eased]
    exists = smallest_compromise(found, sizes(found)) is not None
    assert exists == is_possible(found.without_rows(eased))


@law
@given(impossible_models(ratios=False))
def test_for_sums_the_compromise_is_the_least(found: LinearModel) -> None:
    """The total relative movement equals the optimum of scipy's elastic programme."""
    moves = smallest_compromise(found, sizes(found))
    least = least_movement(found)
    assert (moves is None) == (least is None)
    if moves is not None:
        assert float(total_movement(found, moves)) == pytest.approx(least, rel=1e-7, abs=1e-9)


def test_a_bound_may_have_to_move_to_nothing() -> None:
    """A minimum of something that is not there moves to exactly 0."""
    limits = [((1, 1), "=", 100), ((0, 0), ">=", 10)]
    found = marked(model_of((1, 1), limits, upper=(100, 100)), [GIVEN, SAID])
    assert smallest_compromise(found, sizes(found)) == {1: 0}


def test_no_compromise_where_a_ratio_to_nothing_is_left() -> None:
    """A limit that no bound can mend is not passed over."""
    limits = [
        ((1, 1), "=", 100),
        ((1, 0), "<=", 3, (0, 0), 0),
        ((1, 0), ">=", 40),
        ((0, 1), "<=", 50),
    ]
    found = marked(model_of((1, 1), limits, upper=(100, 100)), [GIVEN, SAID, FIRM, SAID])
    moves = smallest_compromise(found, sizes(found))
    assert moves is None


@law
@given(impossible_models())
def test_one_limit_that_is_enough_alone_is_no_worse_than_the_compromise(
    found: LinearModel,
) -> None:
    """Where some limit eased alone is enough there is a compromise, and it moves no more."""
    ways = {
        i: nearest
        for i, limit in enumerate(found.rows)
        if limit.may_be_eased and (nearest := nearest_bound(found, i)) is not None
    }
    assume(ways)
    moves = smallest_compromise(found, sizes(found))
    assert moves is not None
    single = min(total_movement(found, {i: level}) for i, level in ways.items())
    assert total_movement(found, moves) <= single


def test_a_ratio_that_has_to_move_is_part_of_the_compromise() -> None:
    """A ratio whose other may be absent moves to what is possible where all else is firm."""
    limits = [
        ((1, 1, 1), "=", 100),
        ((1, 1, 0), "<=", Fraction(3, 10), (0, 0, 1), 0),
        ((0, 0, 1), "<=", 30),
    ]
    found = marked(model_of((1, 1, 1), limits, upper=(100,) * 3), [GIVEN, SAID, FIRM])
    assert smallest_compromise(found, sizes(found)) == {1: Fraction(7, 3)}


@law
@given(impossible_models(sides=(">=", "<="), columns=(3, 3), upper=(100,), marks=(SAID,)))
def test_with_ratios_the_compromise_is_near_the_least(found: LinearModel) -> None:
    """On three shares the movement is within four times the least on a grid of whole percents."""
    moves = smallest_compromise(found, sizes(found))
    if moves is not None:
        assert float(total_movement(found, moves)) <= 4 * least_on_a_grid(found) + 1e-9


@pytest.mark.parametrize(("n", "m"), [(20, 12), (40, 30), (60, 40)])
def test_a_large_brief_is_explained_too(n: int, m: int) -> None:
    """Forty ingredients and more: a conflict that scipy confirms, and scipy's least compromise."""
    found = large_impossible_model(n, m, 1)
    moves = smallest_compromise(found, sizes(found))
    assert moves is not None
    assert float(total_movement(found, moves)) == pytest.approx(least_movement(found), rel=1e-6)
    for knot in conflicts(found, list(moves)):
        assert not is_possible_for_scipy(only(found, [0, *knot]))
        for gone in knot:
            assert is_possible_for_scipy(only(found, [0, *(i for i in knot if i != gone)]))
    for i in moves:
        nearest = nearest_bound(found, i)
        if nearest is None:
            assert not is_possible_for_scipy(found.without_rows([i]))
        else:
            assert is_possible_for_scipy(found.with_bound(i, nearest))


def test_what_nobody_said_is_not_named() -> None:
    """A helping row that no point meets is no conflict of statements."""
    free = model_of((1, 1), [((1, 1), ">=", 1)], upper=(1, 1))
    helping = ModelRow.helping("beyond", Sense.AT_LEAST, {0: 1, 1: 1}, 3, 2)
    beyond = free.with_rows([helping])
    assert conflicts(beyond) == []
    assert smallest_compromise(beyond, [Fraction(1), Fraction(1)]) is None


def test_a_firm_row_between_others_is_blamed_as_itself() -> None:
    """Rows are told apart in whatever order they are tried: 0 and 3 clash, the others do not."""
    rows = [((1, 0), ">=", 6), ((0, 1), ">=", 1), ((0, 1), "<=", 9), ((1, 0), "<=", 5)]
    plain = model_of((1, 1), rows, upper=(10, 10))
    for firm in itertools.product((True, False), repeat=4):
        told = tuple(
            replace(row, may_be_eased=not is_firm)
            for row, is_firm in zip(plain.rows, firm, strict=True)
        )
        assert conflicts(replace(plain, rows=told)) == [(0, 3)]
