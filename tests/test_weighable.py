"""Weighable formulas against lists of all formulas, and the rules that make a brief fail."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from formulation_support import Command, ingredient, quantity, small_request
from hypothesis import event, given, settings
from hypothesis import strategies as st
from published import case, column, is_printed, model
from weighable_support import (
    cheapest_by_list,
    cheapest_by_subsets,
    every_formula,
    fewest_by_list,
    keeps,
    price,
    random_request,
    weighing,
    with_choices,
)

from optimiser.answers.weighed import Weighed, search, weighed
from optimiser.brief import Request
from optimiser.formulation import Formulation, formulated
from optimiser.ingredient import Kind
from optimiser.linear_model import Floats, LinearModel
from optimiser.provenance import InputError
from optimiser.solve import Solution, Status, solve
from optimiser.weighable_model import weighable

law = settings(deadline=None, max_examples=30, derandomize=True)
SEMICONTINUOUS = ("semicontinuous_a", "semicontinuous_b", "semicontinuous_c")


@st.composite
def requests(draw: st.DrawFn, in_steps: bool = True) -> Request:
    """Briefs with choices, each from the seed that hypothesis draws."""
    while True:
        request = random_request(random.Random(draw(st.integers(0, 10**9))), in_steps)
        if request.brief.has_choices and is_read(request):
            return request


def is_read(request: Request) -> bool:
    """Whether the brief can be stated at all: what it asks for is on the shelf."""
    try:
        formulated(request)
    except InputError:
        return False
    return True


def weighed_within(
    formulation: Formulation, seconds: float = 5, tell: Callable[[str], None] = lambda _: None
) -> Weighed:
    return weighed(formulation, seconds, tell)


def recipe(formulation: Formulation, answer: Weighed) -> dict[str, Fraction]:
    assert answer.x is not None
    names = (part.id for part in formulation.ingredients)
    return dict(zip(names, answer.x, strict=True))


@pytest.mark.parametrize("name", SEMICONTINUOUS)
def test_none_or_within_limits_has_the_printed_optimum(name: str) -> None:
    """A semi-continuous share of the lp_solve guide: printed optimum, printed quantities."""
    solution = solve(model(name))
    assert solution.status is Status.OPTIMAL
    assert solution.x is not None
    gain = -float(model(name).cost.floats @ solution.x)
    assert is_printed(Fraction(gain), case(name)["published"]["optimum"])
    for label, printed in case(name)["published"]["solution"].items():
        assert is_printed(Fraction(solution.x[column(name, label)]), printed, 1e-9), label
    low, high = (float(end) for end in case(name)["semicontinuous"]["x3"])
    share = solution.x[column(name, "x3")]
    assert share == pytest.approx(0, abs=1e-9) or low - 1e-9 <= share <= high + 1e-9


def test_food_manufacture_with_logic_has_the_printed_optimum() -> None:
    """Williams's Food Manufacture 2, at most three oils a month and at least 20 tons if used."""
    name = "food_manufacture_2"
    solution = solve(model(name), 60)
    assert solution.status is Status.OPTIMAL
    assert solution.x is not None
    profit = -float(model(name).cost.floats @ solution.x)
    assert is_printed(Fraction(profit), case(name)["published"]["optimum"])
    whole = np.array(model(name).is_integer)
    assert np.allclose(solution.x[whole], np.round(solution.x[whole]), atol=1e-6)


@law
@given(requests())
def test_the_cheapest_weighable_formula_is_that_of_the_list(request: Request) -> None:
    """Over every formula in whole steps none is cheaper, and no limit or rule is broken."""
    formulation = formulated(request)
    answer = weighed_within(formulation)
    least = cheapest_by_list(request)
    event("impossible" if least is None else "possible")
    assert answer.cost == least
    assert not answer.ran_out
    if least is None:
        assert answer.x is None
        return
    x = recipe(formulation, answer)
    assert keeps(request, x)
    assert price(request, x) == least
    assert answer.is_best
    assert answer.relaxed.lower_bound is not None
    assert answer.relaxed.lower_bound <= least
    assert answer.is_proven == (answer.relaxed.lower_bound == least)


@law
@given(requests(in_steps=False))
def test_without_steps_the_cheapest_is_that_of_the_best_choice(request: Request) -> None:
    """Doses, counts, either-or and or_none: as cheap as the best of all sets of ingredients."""
    formulation = formulated(request)
    answer = weighed_within(formulation)
    least = cheapest_by_subsets(request)
    event("impossible" if least is None else "possible")
    assert (answer.cost is None) == (least is None)
    if answer.cost is not None:
        assert float(answer.cost) == pytest.approx(least, rel=1e-9)
        x = recipe(formulation, answer)
        assert keeps(request, x)
        assert price(request, x) == answer.cost
        assert answer.is_best
        assert answer.relaxed.lower_bound is not None
        assert answer.relaxed.lower_bound <= answer.cost


FAILING = (15, 63, 257, 140, 182, 208, 185, 616, 286, 1020)
"""Seeds of briefs that only counts, steps, either-or or doses make impossible."""


def _keys(request: Request) -> list[str]:
    """The rules that the list of formulas can do without; it is in whole steps throughout."""
    brief = request.brief
    keys = [either.key for either in brief.either]
    keys += [f"amounts.{name}.or_none" for name in brief.or_none]
    if brief.weighing is not None:
        keys += ["weighing.smallest"] if brief.weighing.smallest is not None else []
        keys += ["weighing.max_ingredients"] if brief.weighing.max_ingredients is not None else []
    return keys


@pytest.mark.parametrize("seed", FAILING)
def test_the_rules_named_are_those_without_which_it_can_be_met(seed: int) -> None:
    """A rule is named exactly where some formula keeps everything else."""
    request = random_request(random.Random(seed))
    answer = weighed_within(formulated(request))
    assert answer.x is None
    assert answer.is_known
    assert not answer.ran_out
    assert all(len(rule.keys) == 1 for rule in answer.failing)
    named = {rule.keys[0]: rule.possible_from for rule in answer.failing}
    assert named
    for key in _keys(request):
        assert (key in named) == (cheapest_by_list(request, (key,)) is not None), key
    assert ("weighing.step" in named) == (cheapest_by_subsets(request) is not None)
    if "weighing.max_ingredients" in named:
        assert named["weighing.max_ingredients"] == fewest_by_list(request)
    finer = named.get("weighing.step")
    if finer is not None:
        assert request.brief.weighing is not None
        rules = replace(request.brief.weighing, step=Decimal(str(float(finer))))
        again = replace(request, brief=replace(request.brief, weighing=rules))
        assert cheapest_by_list(again) is not None


def test_every_rule_fails_some_brief() -> None:
    """The briefs of the test above fail for counts, steps, either-or and doses."""
    briefs = [random_request(random.Random(seed)) for seed in FAILING]
    failing = (rule for brief in briefs for rule in weighed_within(formulated(brief)).failing)
    named = {key for rule in failing for key in rule.keys}
    rules = {"weighing.max_ingredients", "weighing.step", "weighing.smallest", "either[0]"}
    assert rules <= named


OIL = ingredient("oil-a", Kind.OIL, {"grip": "20"})
DEAR = ingredient("oil-b", Kind.OIL, {"grip": "40"})
BARE = ingredient("oil-c", Kind.OIL, {})


def two_oils(*said: tuple[str, str], step: str = "10", rest: str = "9") -> Request:
    made = small_request(*said, ingredients=(OIL, DEAR), prices={"oil-a": "1", "oil-b": rest})
    return with_choices(made, weighing(step))


def test_the_fewest_ingredients_that_would_do_are_named() -> None:
    """Three parts of at most 40 % each need three ingredients, not two."""
    shelf = [ingredient(f"part-{k}", Kind.OIL) for k in range(4)]
    said = [(f"amounts.part-{k}.max", "40") for k in range(4)]
    made = small_request(*said, ingredients=tuple(shelf), prices={part.id: "2" for part in shelf})
    (rule,) = weighed_within(formulated(with_choices(made, weighing(most=2)))).failing
    assert (rule.keys, rule.possible_from) == (("weighing.max_ingredients",), 3)


def test_a_finer_step_that_would_do_is_named() -> None:
    """12.5 % needs steps of 2.5 %; of halves, fifths and tenths of 5 % the half is coarsest."""
    request = two_oils(("amounts.oil-a", "12.5"), step="5")
    (rule,) = weighed_within(formulated(request)).failing
    assert (rule.keys, rule.possible_from) == (("weighing.step",), Fraction(5, 2))


def test_two_rules_that_fail_together_are_named_together() -> None:
    """7 % is no whole step of 5 % and below the smallest dose, so neither alone will do."""
    request = two_oils(("amounts.oil-a", "7"))
    answer = weighed_within(formulated(with_choices(request, weighing("5", "30", 2))))
    assert [set(rule.keys) for rule in answer.failing] == [{"weighing.step", "weighing.smallest"}]


def test_a_step_of_its_own_lets_an_exact_amount_be_weighed() -> None:
    """A finer step of one ingredient and of the one that makes up the rest will do."""
    request = two_oils(("amounts.oil-a", "12.5"), step="5")
    rules = weighing("5", steps={"oil-a": "0.5", "oil-b": "0.5"})
    answer = weighed_within(formulated(with_choices(request, rules)))
    assert answer.x == (Fraction(25, 2), Fraction(175, 2))
    assert answer.is_proven


@pytest.mark.parametrize(
    ("said", "shares"),
    [
        ((("properties.grip.min", "26"),), (70, 30)),
        ((("properties.grip.min", "26"), ("properties.cost.max", "3.4")), (70, 30)),
        ((("amounts.oil-a", "70"), ("properties.grip", "26")), (70, 30)),
        ((("properties.grip.min", "26"), ("amounts.oil-b.max", "30")), (70, 30)),
    ],
)
def test_limits_met_with_equality_at_whole_steps(
    said: tuple[tuple[str, str], ...], shares: tuple[int, int]
) -> None:
    """A formula that only just meets its limits is neither missed nor passed over."""
    answer = weighed_within(formulated(two_oils(*said)))
    assert answer.x == shares
    assert answer.is_best


@pytest.mark.parametrize("beyond", ["20.00000001", "20.000000001"])
def test_a_limit_within_the_solver_tolerance_holds_exactly(beyond: str) -> None:
    """A limit that the cheap formula misses by less than the solver notices is not broken."""
    request = two_oils(("properties.grip.min", beyond))
    answer = weighed_within(formulated(request))
    assert answer.x == (90, 10)


@pytest.mark.parametrize("beyond", ["20.00000001", "20.000000001"])
def test_no_brief_is_impossible_for_the_solver_tolerance(beyond: str) -> None:
    """Two limits leave one formula, by less than the solver notices: it is found."""
    request = two_oils(("properties.grip.min", beyond), ("amounts.oil-a.min", "90"))
    answer = weighed_within(formulated(request))
    assert cheapest_by_list(request) == Fraction(18, 10)
    assert answer.x == (90, 10)


def test_none_at_all_or_at_least_its_minimum() -> None:
    """With or_none an ingredient below its minimum is left out, or taken at the minimum."""
    said = (("amounts.oil-b.min", "30"), ("properties.grip.min", "22"))
    dear = with_choices(two_oils(*said), weighing("10"), or_none=["oil-b"])
    assert weighed_within(formulated(dear)).x == (70, 30)
    cheap = with_choices(two_oils(said[0]), weighing("10"), or_none=["oil-b"])
    assert weighed_within(formulated(cheap)).x == (100, 0)


def test_none_at_all_where_it_cannot_be_used() -> None:
    """An or_none ingredient without a figure or a price is none at all, and no mistake."""
    said = (("amounts.oil-c.min", "10"), ("properties.grip.min", "22"))
    for prices in ({"oil-c": "1"}, {}):
        made = small_request(
            *said, ingredients=(OIL, DEAR, BARE), prices={"oil-a": "1", "oil-b": "9", **prices}
        )
        formulation = formulated(with_choices(made, weighing("10"), or_none=["oil-c"]))
        assert [part.id for part in formulation.ingredients] == ["oil-a", "oil-b"]
        assert weighed_within(formulation).x == (90, 10)


def test_exactly_one_has_to_be_in_the_jar() -> None:
    """Of two that exclude each other one is there, by at least a step."""
    made = small_request(
        ingredients=(OIL, DEAR, replace(BARE, id="oil-c")),
        prices={"oil-a": "1", "oil-b": "9", "oil-c": "5"},
    )
    answer = weighed_within(
        formulated(with_choices(made, weighing("10"), either=[(("oil-b", "oil-c"), True)]))
    )
    assert answer.x == (90, 0, 10)
    assert answer.is_best


def test_a_smallest_dose_does_not_hold_on_the_finer_scale() -> None:
    """What has a step of its own may be below the smallest dose of the others."""
    request = two_oils(("properties.grip.min", "20.1"))
    coarse = with_choices(request, weighing("1", "5"))
    assert weighed_within(formulated(coarse)).x == (95, 5)
    fine = with_choices(request, weighing("0.5", "5", steps={"oil-b": "0.5"}))
    assert weighed_within(formulated(fine)).x == (Fraction("99.5"), Fraction("0.5"))


def test_progress_is_told_only_where_there_is_a_search() -> None:
    """A line is told before the free search, and none where the bound is reached at once."""
    told: list[str] = []
    weighed_within(formulated(two_oils(("properties.grip.min", "26"))), 5, told.append)
    assert told == []
    weighed_within(formulated(two_oils(("properties.grip.min", "25"))), 5, told.append)
    assert len(told) == 1
    assert "5 s" in told[0]


def hard_request() -> Request:
    """Forty ingredients in fine steps under twenty limits, a long search for a solver."""
    rng = random.Random(5)
    table = [
        [round(rng.uniform(0, 100), 1) if rng.random() < 0.6 else 0.0 for _ in range(40)]
        for _ in range(20)
    ]
    point = rng.sample(range(40), 10)
    said = []
    for k, figures in enumerate(table):
        level, room = sum(figures[j] for j in point) / 10, rng.uniform(0.2, 2)
        at_least = rng.random() < 0.5
        bound = level - room if at_least else level + room
        said.append((f"properties.p{k}.{'min' if at_least else 'max'}", f"{bound:.2f}"))
    shelf = tuple(
        ingredient(f"part-{j:02}", Kind.OIL, {f"p{k}": f"{table[k][j]:.1f}" for k in range(20)})
        for j in range(40)
    )
    made = small_request(
        *said,
        ingredients=shelf,
        properties=tuple(quantity(f"p{k}") for k in range(20)),
        prices={part.id: f"{rng.uniform(3, 30):.2f}" for part in shelf},
    )
    return with_choices(made, weighing("0.1"))


def test_an_unfinished_search_says_so_and_breaks_nothing() -> None:
    """Out of time, the best formula found still keeps every limit, and is not called best."""
    request = hard_request()
    formulation = formulated(request)
    # Long enough for a first formula, however busy the machine, and too short for the last.
    answers = (weighed_within(formulation, 0.01 * 2**doubled) for doubled in range(10))
    answer = next(answer for answer in answers if answer.x is not None)
    assert answer.x is not None
    assert answer.cost is not None
    assert answer.relaxed.lower_bound is not None
    assert keeps(request, recipe(formulation, answer))
    assert answer.relaxed.lower_bound < answer.cost
    assert answer.ran_out
    assert not answer.is_best
    assert not answer.is_proven


def test_no_search_is_given_more_than_the_time_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    """All searches for a formula together get at most the seconds that were asked for."""
    given_seconds: list[float] = []

    def recording(model: LinearModel, seconds: float, start: Floats | None) -> Solution:
        given_seconds.append(seconds)
        return solve(model, seconds, start)

    monkeypatch.setattr("optimiser.answers.weighed.solve", recording)
    weighed_within(formulated(two_oils(("properties.grip.min", "25"))), 0.5)
    assert given_seconds
    assert max(given_seconds) <= 0.5


def test_a_search_stopped_before_anything_is_found_claims_nothing() -> None:
    """Without time there is no formula, and no word that there is none."""
    stated = weighable(formulated(hard_request()))
    found = search(stated.model, stated, 1e-6, None)
    assert found.values is None
    assert found.status not in (Status.OPTIMAL, Status.INFEASIBLE)


def test_the_list_of_formulas_is_complete() -> None:
    """In steps of 20 % three shares can be put together in 21 ways."""
    shelf = (OIL, DEAR, BARE)
    made = small_request(ingredients=shelf, prices={part.id: "1" for part in shelf})
    assert len(list(every_formula(with_choices(made, weighing("20"))))) == 21


FOUR = """ingredient,supplier,pack,price
shea-butter-refined,Any,1 kg,8
coconut-oil,Any,1 kg,6
sunflower-oil,Any,1 kg,5
beeswax,Any,1 kg,17
"""

HEAD = 'name = "Four"\n[costing]\nprices = "prices.csv"\ncurrency = "GBP"\n'


@pytest.fixture
def four(tmp_path: Path) -> Path:
    """A folder with a price list of four ingredients."""
    (tmp_path / "prices.csv").write_text(FOUR, encoding="utf-8")
    return tmp_path


def brief_in(folder: Path, text: str) -> Path:
    path = folder / "brief.toml"
    path.write_text(HEAD + text, encoding="utf-8")
    return path


def test_the_answer_says_what_whole_steps_cost(four: Path, optimiser: Command) -> None:
    """The JSON has the formula as weighed, the exact lower bound and the difference."""
    brief = brief_in(four, "[amounts]\nbeeswax = { min = 7 }\n[weighing]\nstep = 5\n")
    answer = optimiser.json("formulate", brief)
    assert answer["status"] == "optimal"
    assert {line["ingredient"]: line["percent"] for line in answer["formula"]} == {
        "sunflower-oil": 90,
        "beeswax": 10,
    }
    assert answer["cost_per_kg"] == 6.2
    weighed_part = answer["weighing"]
    assert weighed_part["continuous_cost_per_kg"] == 5.84
    assert weighed_part["costs_per_kg"] == pytest.approx(0.36, abs=1e-12)
    assert weighed_part["best_by_the_solver"] is True
    assert weighed_part["time_ran_out"] is False
    assert answer["proof"]["status"] == "not proven"
    assert Fraction(answer["proof"]["cost_exact"]) == Fraction(62, 10)
    assert Fraction(answer["proof"]["lower_bound_exact"]) == Fraction(584, 100)


def test_rules_that_fail_are_the_explanation(four: Path, optimiser: Command) -> None:
    """Where only a rule fails it is the conflict, with the mildest form that will do."""
    text = '[amounts]\n"sunflower-oil" = { max = 60 }\nbeeswax = { min = 10, max = 20 }\n'
    text += '"coconut-oil" = { max = 20 }\n"shea-butter-refined" = { max = 20 }\n'
    brief = brief_in(four, text + "[weighing]\nmax_ingredients = 2\n")
    answer = optimiser.json("formulate", brief, status=1)
    assert answer["status"] == "infeasible"
    assert "weighing.max_ingredients" in [part["limit"] for part in answer["conflict"]]
    (way,) = [w for w in answer["ways_out"] if w["limit"] == "weighing.max_ingredients"]
    assert way["reachable"] == 3


def test_rules_that_fail_by_the_solver_prove_nothing(four: Path, optimiser: Command) -> None:
    """A cheapest formula of the limits alone is no proof of what the rules allow."""
    brief = brief_in(four, "[totals]\noil = { min = 45, max = 55 }\n[weighing]\nstep = 20\n")
    answer = optimiser.json("formulate", brief, status=1)
    assert answer["status"] == "infeasible"
    assert answer["proof"] == {"status": "not proven", "arithmetic": "exact"}


@pytest.mark.parametrize("limit", ["0", "-1", "soon"])
def test_a_time_limit_that_is_none_is_refused(limit: str, four: Path, optimiser: Command) -> None:
    """A time limit below a tenth of a second, or no number, is wrong input."""
    status, out, err = optimiser("formulate", brief_in(four, ""), "--time-limit", limit)
    assert status == 2
    assert out == ""
    assert "time-limit" in err
