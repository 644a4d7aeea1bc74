"""Impossible briefs: the causes, the conflicts, the ways out, and how they are told."""

from __future__ import annotations

import random
import re
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from formulation_support import (
    IMPOSSIBLE,
    INGREDIENTS,
    Command,
    figure,
    limit,
    quantity,
    small_request,
)
from impossible_models import is_possible
from linear_models import assert_proof_holds, weak_bound
from weighable_support import is_possible_by_scipy, random_request, weighing, with_choices

from optimiser.answers.causes import ReachCause, SumCause, quick_causes
from optimiser.answers.cheapest import cheapest
from optimiser.answers.impossible import Explanation, explained
from optimiser.brief import End, Limit, Request
from optimiser.formulation import formulated
from optimiser.ingredient import Kind
from optimiser.linear_model import LinearModel
from optimiser.present.answer_json import impossible_document
from optimiser.present.console import WIDTH, cheapest_text
from optimiser.present.impossible_words import MORE_CONFLICTS, easier
from optimiser.present.markdown import impossible_said
from optimiser.reading import read_request

NUMBER = re.compile(r"\d+(?:\.\d+)?")


def explanation(request: Request) -> Explanation:
    found = cheapest(request).explanation
    assert found is not None
    return found


def keys(limits: Iterable[object]) -> list[str]:
    return [part.row.statement.key for part in limits]  # type: ignore[attr-defined]


def with_limits(request: Request, limits: Iterable[Limit]) -> Request:
    return replace(request, brief=replace(request.brief, limits=tuple(limits)))


SEEDS = (
    *(3, 5, 7, 12, 16, 25, 35, 40, 43, 60, 66, 67, 71, 81, 124, 127, 141, 243, 277, 464),
    *(963, 1302, 1576, 1893, 2383, 3831, 4618, 5074),
)
"""Of impossible briefs: one knot to seven, of one to five limits, with firm ones and ratios."""


@cache
def impossible(seed: int) -> Request:
    """A brief without choices that scipy finds impossible; a few of its limits are firm."""
    rng = random.Random(seed)
    request = with_choices(random_request(rng))
    limits = [replace(said, firm=rng.random() < 0.2) for said in request.brief.limits]
    request = with_limits(request, limits)
    assert not is_possible_by_scipy(request)
    return request


@cache
def told(seed: int) -> Explanation:
    return explained(formulated(impossible(seed)))


every_brief = pytest.mark.parametrize("seed", SEEDS)


def test_the_briefs_differ() -> None:
    """Among the briefs are single and several knots, firm ones, and some without a way out."""
    sizes = [sorted(len(conflict) for conflict in told(seed).conflicts) for seed in SEEDS]
    assert {1, 2, 3, 4, 5} <= {size for found in sizes for size in found}
    assert max(map(len, sizes)) >= 6
    assert any(not told(seed).compromise for seed in SEEDS)
    clashes = [clash for seed in SEEDS for knot in told(seed).conflicts for clash in knot]
    assert any(not clash.row.may_be_eased for clash in clashes)


@every_brief
def test_the_conflicts_are_knots_of_the_brief(seed: int) -> None:
    """By scipy each conflict clashes, and without any one of its limits it does not."""
    request = impossible(seed)
    limits = {said.key: said for said in request.brief.limits}
    found = told(seed)
    assert found.conflicts
    for conflict in found.conflicts:
        knot = [limits[key] for key in keys(conflict)]
        assert not is_possible_by_scipy(with_limits(request, knot))
        for gone in knot:
            rest = [said for said in knot if said is not gone]
            assert is_possible_by_scipy(with_limits(request, rest))


@every_brief
def test_a_way_out_leads_out(seed: int) -> None:
    """With the one limit at its reachable bound the cheapest formula costs what is said."""
    request = impossible(seed)
    limits = {said.key: said for said in request.brief.limits}
    for way in told(seed).ways_out:
        key = way.row.statement.key
        assert not limits[key].firm
        if way.reachable is None:
            assert way.cost_per_kg is None
            continue
        eased = [
            replace(said, value=way.reachable) if said.key == key else said
            for said in request.brief.limits
        ]
        answer = cheapest(with_limits(request, eased))
        assert answer.measures is not None
        assert answer.measures.cost_per_kg == way.cost_per_kg


@every_brief
def test_the_compromise_leads_out(seed: int) -> None:
    """With all its moves the cheapest formula costs what is said, and nothing firm moves."""
    request = impossible(seed)
    limits = {said.key: said for said in request.brief.limits}
    found = told(seed)
    to = {move.row.statement.key: move.to for move in found.compromise}
    assert not any(limits[key].firm for key in to)
    if not to:
        firm = [said for said in request.brief.limits if said.firm]
        assert found.compromise_cost_per_kg is None
        if not any(said.family == "ratios" for said in request.brief.limits):
            assert not is_possible_by_scipy(with_limits(request, firm))
        return
    eased = [replace(said, value=to.get(said.key, said.value)) for said in request.brief.limits]
    answer = cheapest(with_limits(request, eased))
    assert answer.measures is not None
    assert answer.measures.cost_per_kg == found.compromise_cost_per_kg


@every_brief
def test_the_bounds_in_print_are_possible_too(seed: int) -> None:
    """A bound cut to a few digits for print is still enough, alone and in the compromise."""
    request = impossible(seed)
    formulation = formulated(request)
    model = formulation.model
    found = told(seed)

    def printed(part: LinearModel, move: tuple[str, Fraction, Fraction]) -> LinearModel:
        key, bound, to = move
        i = [row.statement.key for row in model.rows].index(key)
        return part.with_bound(i, easier(model.rows[i], bound, to))

    for way in found.ways_out:
        if way.reachable is not None:
            move = (way.row.statement.key, way.bound, way.reachable)
            assert is_possible(printed(model, move)), move
    eased = model
    for each in found.compromise:
        eased = printed(eased, (each.row.statement.key, each.bound, each.to))
    assert not found.compromise or is_possible(eased)


@every_brief
def test_the_proof_holds(seed: int) -> None:
    """The exact combination of the limits is checked with fractions, and no solver is asked."""
    request = impossible(seed)
    answer = cheapest(request)
    assert answer.status == "infeasible"
    assert answer.measures is None
    assert_proof_holds(answer.formulation.model, answer.certificate)


@every_brief
def test_neither_the_total_nor_what_is_no_statement_is_named(seed: int) -> None:
    """Only keys of the brief are named, in the conflicts, the ways out and the compromise."""
    request = impossible(seed)
    said = {part.key for part in request.brief.limits}
    found = told(seed)
    assert {key for conflict in found.conflicts for key in keys(conflict)} <= said
    assert set(keys(found.ways_out)) <= said
    assert set(keys(found.compromise)) <= said
    assert "add up" not in cheapest_text(cheapest(request))


@every_brief
def test_a_cause_is_a_cause(seed: int) -> None:
    """The limits that a cause names cannot be met, whatever else the brief says, by scipy."""
    request = impossible(seed)
    for cause in quick_causes(formulated(request)):
        named = cause.limits if isinstance(cause, SumCause) else (cause.limit,)
        assert not is_possible_by_scipy(with_limits(request, named)), cause


class TestCauses:
    def test_least_amounts_above_the_whole(self) -> None:
        """Minimums and exact amounts are added up where they pass 100 %."""
        request = small_request(
            ("amounts.starch.min", "60"),
            ("amounts.light-oil", "30"),
            ("amounts.firm-wax.min", "15"),
        )
        (cause,) = quick_causes(formulated(request))
        assert isinstance(cause, SumCause)
        assert (cause.end, cause.total, len(cause.limits)) == (End.MIN, 105, 3)
        text = " ".join(cheapest_text(cheapest(request)).split())
        assert "The least amounts come to 105 % together: amounts.starch.min" in text

    def test_most_amounts_below_the_whole(self) -> None:
        """Maximums of everything on the shelf are added up where they stay below 100 %."""
        request = small_request(
            ("amounts.starch.max", "60"), ("amounts.light-oil", "30"), use=("starch", "light-oil")
        )
        (cause,) = quick_causes(formulated(request))
        assert isinstance(cause, SumCause)
        assert (cause.end, cause.total) == (End.MAX, 90)
        assert "allow only 90 % together" in " ".join(cheapest_text(cheapest(request)).split())

    def test_not_where_something_has_no_maximum(self) -> None:
        """One ingredient without a maximum can make up the rest."""
        request = small_request(
            ("amounts.starch.max", "20"), ("amounts.light-oil.max", "30"), ("totals.wax.min", "60")
        )
        assert quick_causes(formulated(request)) == ()

    def test_what_may_be_absent_is_not_added_up(self) -> None:
        """A minimum with or_none is no minimum of the whole."""
        request = with_choices(
            small_request(("amounts.starch.min", "60"), ("amounts.light-oil.min", "50")),
            or_none=("starch",),
        )
        assert quick_causes(formulated(request)) == ()
        assert cheapest(request).status == "optimal"

    @pytest.mark.parametrize(
        ("said", "bound", "closest", "reached"),
        [
            ("properties.vitamin_e.min", "41", "light-oil", "40"),
            ("properties.cost.max", "2.50", "starch", "3"),
            ("properties.cost.min", "16", "firm-wax", "15"),
            ("properties.vitamin_e.max", "-1", "firm-wax", "0"),
        ],
    )
    def test_a_target_beyond_every_ingredient(
        self, said: str, bound: str, closest: str, reached: str
    ) -> None:
        """The ingredient that comes closest is named with what it measures."""
        (cause,) = quick_causes(formulated(small_request((said, bound))))
        assert isinstance(cause, ReachCause)
        assert (cause.closest, cause.reached) == (closest, Fraction(reached))

    def test_a_target_that_is_just_reached_is_no_cause(self) -> None:
        """What one ingredient measures by itself can be asked for."""
        assert quick_causes(formulated(small_request(("properties.vitamin_e.min", "40")))) == ()

    def test_the_cautious_figure_counts(self) -> None:
        """Held at the low figures, the richest oil reaches 30 and not 40."""
        request = small_request(("properties.vitamin_e.min", "31"), cautious=("vitamin_e",))
        (cause,) = quick_causes(formulated(request))
        assert isinstance(cause, ReachCause)
        assert (cause.closest, cause.reached) == ("light-oil", 30)

    def test_a_formula_without_fat_has_no_mean_over_the_fat(self) -> None:
        """A mean over the fat that nothing reaches is no cause where a powder can be all."""
        alone = small_request(("properties.solid_fat_20C.min", "101"))
        assert cheapest(alone).status == "optimal"
        request = small_request(
            ("properties.solid_fat_20C.min", "101"),
            ("totals.oil.min", "60"),
            ("totals.oil.max", "9"),
        )
        assert quick_causes(formulated(request)) == ()


class TestFirm:
    CLASH = (
        limit("totals.wax.min", "60", firm=True),
        limit("totals.oil.min", "55"),
    )

    def test_a_firm_statement_is_named_and_not_offered(self) -> None:
        """The clash names it as firm; only the other is eased."""
        request = small_request(*self.CLASH)
        found = explanation(request)
        assert keys(found.conflicts[0]) == ["totals.wax.min", "totals.oil.min"]
        assert [(way.row.statement.key, way.reachable) for way in found.ways_out] == [
            ("totals.oil.min", 40)
        ]
        assert [(move.row.statement.key, move.to) for move in found.compromise] == [
            ("totals.oil.min", 40)
        ]
        text = cheapest_text(cheapest(request))
        assert "waxes together at least 60 % (firm)" in text
        assert "waxes together at least 60 %:" not in text

    def test_where_all_is_firm_there_is_no_way_out(self) -> None:
        """No bound is offered, and the answer says why."""
        request = small_request(*(replace(said, firm=True) for said in self.CLASH))
        found = explanation(request)
        assert found.ways_out == ()
        assert found.compromise == ()
        assert found.compromise_cost_per_kg is None
        assert "Every statement of the conflict is firm." in cheapest_text(cheapest(request))


class TestWaysOut:
    def test_each_alone_with_its_cost(self) -> None:
        """Worked by hand: 60 % wax and 55 % oil; wax costs 15, the cheaper oil 5."""
        found = explanation(
            small_request(
                ("totals.wax.min", "60"), ("totals.oil.min", "55"), leave_out=("nut-oil",)
            )
        )
        assert [(way.reachable, way.cost_per_kg) for way in found.ways_out] == [
            (45, Fraction(45 * 15 + 55 * 5, 100)),
            (40, Fraction(60 * 15 + 40 * 5, 100)),
        ]
        # 15/60 is less than 15/55.
        assert [(move.bound, move.to) for move in found.compromise] == [(60, 45)]

    def test_two_knots_leave_no_single_way_out(self) -> None:
        """Of two independent knots neither is undone by easing the other."""
        request = small_request(
            ("amounts.starch.min", "20"),
            ("amounts.starch.max", "10"),
            ("amounts.firm-wax.min", "30"),
            ("amounts.firm-wax.max", "15"),
        )
        found = explanation(request)
        assert [set(keys(conflict)) for conflict in found.conflicts] == [
            {"amounts.starch.min", "amounts.starch.max"},
            {"amounts.firm-wax.min", "amounts.firm-wax.max"},
        ]
        assert all(way.reachable is None for way in found.ways_out)
        assert len(found.compromise) == 2
        text = " ".join(cheapest_text(cheapest(request)).split())
        assert "Conflict 1 of 2" in text
        assert "None of these is enough by itself, however far it is eased." in text

    def test_a_bound_can_go_to_nothing(self) -> None:
        """Wax is asked for and none is on the shelf: only none at all is possible."""
        found = explanation(small_request(("totals.wax.min", "10"), leave_out=("firm-wax",)))
        assert [(way.reachable, way.cost_per_kg) for way in found.ways_out] == [(0, 3)]
        assert [(move.to, move.bound) for move in found.compromise] == [(0, 10)]

    def test_a_ratio_goes_as_far_as_it_has_to(self) -> None:
        """40 % oil to at most 5 % wax is 8 times at best."""
        found = explanation(
            small_request(
                ("amounts.firm-wax.max", "5"),
                ("totals.oil.min", "40"),
                ("ratios.oil:wax.max", "4.5"),
            )
        )
        reachable = {way.row.statement.key: way.reachable for way in found.ways_out}
        assert reachable == {
            "amounts.firm-wax.max": Fraction(80, 9),
            "totals.oil.min": Fraction(45, 2),
            "ratios.oil:wax.max": 8,
        }

    def test_an_exact_amount_that_no_short_number_meets(self) -> None:
        """Where only 33.333... % is possible, what is printed is not passed off as enough."""
        request = small_request(
            ("totals.oil", "30"),
            ("ratios.butter:oil", "2"),
            ("totals.wax.max", "0"),
            ("totals.powder.max", "0"),
        )
        found = explanation(request)
        reachable = {way.row.statement.key: way.reachable for way in found.ways_out}
        assert reachable["totals.oil"] == Fraction(100, 3)
        assert reachable["ratios.butter:oil"] == Fraction(7, 3)
        text = " ".join(cheapest_text(cheapest(request)).split())
        assert "exactly 30 %: 33.34 instead of 30" not in text
        assert "2.334 instead of 2" not in text


class TestWeighable:
    def test_the_limits_and_not_the_rules_are_blamed_where_they_clash(self) -> None:
        """With steps, counts and either-or the limits alone are explained."""
        clash = (("totals.wax.min", "60"), ("totals.oil.min", "55"))
        plain = explanation(small_request(*clash))
        request = with_choices(
            small_request(*clash), weighing("5", "10", 3), either=[(("starch", "firm-wax"), False)]
        )
        answer = cheapest(request)
        assert answer.status == "infeasible"
        assert answer.explanation is not None
        assert answer.certificate.proven
        found = [keys(conflict) for conflict in answer.explanation.conflicts]
        assert found == [keys(conflict) for conflict in plain.conflicts]
        assert "weighing" not in cheapest_text(answer)

    def test_maximums_below_the_whole_are_named(self) -> None:
        """Rules that count ingredients do not hide the amounts that clash."""
        request = with_choices(
            small_request(
                *((f"amounts.{name}.max", "30") for name in ("starch", "light-oil", "firm-wax")),
                use=("starch", "light-oil", "firm-wax"),
            ),
            weighing(smallest="1"),
        )
        (conflict,) = explanation(request).conflicts
        assert sorted(keys(conflict)) == [
            "amounts.firm-wax.max",
            "amounts.light-oil.max",
            "amounts.starch.max",
        ]

    def test_a_count_is_whole(self) -> None:
        """Two ingredients of at most 60 % are needed, not one and two thirds."""
        request = with_choices(
            small_request(
                *((f"amounts.{name}.max", "60") for name in ("starch", "light-oil", "firm-wax")),
                use=("starch", "light-oil", "firm-wax"),
            ),
            weighing(most=1),
        )
        answer = cheapest(request)
        assert answer.status == "infeasible"
        text = cheapest_text(answer)
        assert "2 would do" in text
        assert "1.667" not in text
        assert "1 ingredients" not in text


@pytest.fixture
def clash(tmp_path: Path) -> Path:
    """A brief that cannot be met, with its price list."""
    (tmp_path / "prices.csv").write_text(
        "ingredient,supplier,pack,price\nbeeswax,Any,1 kg,17\nsunflower-oil,Any,1 kg,5\n"
        "shea-butter-refined,Any,1 kg,8\n",
        encoding="utf-8",
    )
    path = tmp_path / "clash.toml"
    path.write_text(
        'name = "Clash"\n[costing]\nprices = "prices.csv"\ncurrency = "GBP"\n'
        "[totals]\nwax = { min = 60, firm = true }\noil = { min = 55 }\n",
        encoding="utf-8",
    )
    return path


def test_an_impossible_brief_leaves_with_1_and_its_explanation(
    clash: Path, optimiser: Command
) -> None:
    """The explanation is the output; nothing goes to standard error."""
    status, out, err = optimiser("formulate", clash)
    assert status == 1
    assert err == ""
    assert "No formula meets every limit" in out
    assert "clash.toml:6" in out


def test_the_json_of_an_impossible_brief(clash: Path, optimiser: Command) -> None:
    """Names as documented: conflict, ways_out, smallest_compromise and proof."""
    answer = optimiser.json("formulate", clash, status=1)
    assert answer["status"] == "infeasible"
    assert [part["limit"] for part in answer["conflict"]] == ["totals.wax.min", "totals.oil.min"]
    assert [part["firm"] for part in answer["conflict"]] == [True, False]
    (way,) = answer["ways_out"]
    assert (way["limit"], way["bound"], way["reachable"]) == ("totals.oil.min", 55, 40)
    assert way["cost_per_kg"] == 12.2
    (move,) = answer["smallest_compromise"]
    assert (move["limit"], move["from"], move["to"]) == ("totals.oil.min", 55, 40)
    assert answer["compromise_cost_per_kg"] == 12.2
    assert not {"formula", "cost_per_kg", "active_limits", "used", "unused"} & set(answer)


def test_the_proof_in_the_json_can_be_checked(clash: Path, optimiser: Command) -> None:
    """The multipliers, put on the rows of the brief, show the contradiction."""
    answer = optimiser.json("formulate", clash, status=1)
    assert answer["proof"]["status"] == "proven"
    model = formulated(read_request(clash)).model
    known = [row.statement.key for row in model.rows]
    prices = [Fraction(0)] * len(known)
    for part in answer["proof"]["multipliers"]:
        prices[known.index(part["limit"])] = Fraction(part["multiplier"])
    gap = weak_bound(model, prices, with_cost=False)
    assert gap is not None
    assert gap > 0


def test_files_of_an_impossible_brief(clash: Path, optimiser: Command) -> None:
    """Explanation and model are written; a formula file is not, and that is said."""
    forms = ("json", "md", "lp", "mps", "csv")
    words = [word for form in forms for word in ("--out", clash.with_suffix(f".{form}"))]
    status, _, err = optimiser("formulate", clash, *words)
    assert status == 1
    assert [form for form in forms if clash.with_suffix(f".{form}").exists()] == list(forms[:-1])
    assert "clash.csv is not written" in err
    assert "oils together at least 55 %" in clash.with_suffix(".md").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", IMPOSSIBLE, ids=lambda path: path.stem)
def test_the_example_is_told_in_plain_words(path: Path, optimiser: Command) -> None:
    """No line is longer than 80 columns, no number has more than four digits of a bound."""
    _, out, _ = optimiser("formulate", path)
    body = [line for line in out.splitlines() if str(path) not in line]
    assert max(map(len, body)) <= WIDTH
    assert "Traceback" not in out
    for number in NUMBER.findall(re.sub(r"\[.*?\]", "", out, flags=re.DOTALL)):
        assert len(number.replace(".", "").strip("0")) <= 4, number


@pytest.mark.parametrize("path", IMPOSSIBLE, ids=lambda path: path.stem)
def test_the_compromise_of_the_example_is_one(path: Path) -> None:
    """The brief with the bounds that are printed has a formula, at no more than is printed."""
    request = read_request(path)
    found = explanation(request)
    to = {
        move.row.statement.key: easier(move.row, move.bound, move.to) for move in found.compromise
    }
    assert to
    eased = [
        replace(said, value=Decimal(float(to[said.key])) if said.key in to else said.value)
        for said in request.brief.limits
    ]
    answer = cheapest(with_limits(request, eased))
    assert answer.measures is not None
    assert answer.measures.cost_per_kg is not None
    assert found.compromise_cost_per_kg is not None
    assert answer.measures.cost_per_kg <= found.compromise_cost_per_kg


def test_a_brief_that_can_be_met_is_not_explained() -> None:
    """There is an explanation exactly where there is no formula."""
    assert cheapest(small_request(("totals.wax.min", "10"))).explanation is None
    assert explained(formulated(small_request(("totals.oil.min", "101")))).conflicts


def test_kinds_are_named_in_the_plural() -> None:
    """The conflict says waxes and oils, as the maker would."""
    request = small_request((f"totals.{Kind.WAX}.min", "60"), (f"totals.{Kind.OIL}.min", "55"))
    text = cheapest_text(cheapest(request))
    assert "waxes together at least 60 %" in text
    assert "oils together at least 55 %" in text


def test_a_ratio_to_nothing_is_eased_where_there_can_be_something() -> None:
    """Nut oil is a must and twice forbidden: its ratio to butter gives way, as butter may be used.

    A point without any butter shows no level of that ratio, which is no reason to give up.
    """
    said = (
        limit("totals.nut-oil.min", "1", firm=True),
        limit("totals.nut-oil.max", "0"),
        limit("ratios.nut-oil:butter.max", "0"),
    )
    told = cheapest(small_request(*said)).explanation
    assert told is not None
    to = {move.row.statement.key: move.to for move in told.compromise}
    assert to.keys() == {"totals.nut-oil.max", "ratios.nut-oil:butter.max"}
    eased = [replace(one, value=to.get(one.key, Fraction(one.value))) for one in said]
    assert cheapest(small_request(*eased)).certificate.cost == told.compromise_cost_per_kg


def with_wrong_levels(count: int) -> Request:
    """So many limits that nothing on the shelf can meet, each by itself."""
    names = [f"level_{place}" for place in range(count)]
    shelf = tuple(
        replace(one, figures={name: figure("50") for name in names}) for one in INGREDIENTS
    )
    said = [(f"properties.{name}.min", "60") for name in names]
    return small_request(*said, ingredients=shelf, properties=tuple(map(quantity, names)))


@pytest.mark.parametrize(("count", "is_all"), [(8, True), (9, False), (45, False)])
def test_of_many_conflicts_the_first_are_told(count: int, is_all: bool) -> None:
    """Eight conflicts are told, and that there are more; the compromise eases them all."""
    answer = cheapest(with_wrong_levels(count))
    found = answer.explanation
    assert found is not None
    assert [len(conflict) for conflict in found.conflicts] == [1] * 8
    assert found.is_all == is_all
    assert len(found.compromise) == count
    written = [text for _, texts in impossible_said(found, "GBP") for text in texts]
    assert (MORE_CONFLICTS in written) == (not is_all)
    assert (MORE_CONFLICTS in " ".join(cheapest_text(answer).split())) == (not is_all)
    assert impossible_document(found, "GBP")["conflicts_are_all"] == is_all


def test_another_model_has_no_formula_of_the_brief() -> None:
    """Where further statements make it impossible the compromise has moves, but no formula."""
    clash = formulated(small_request(*TestFirm.CLASH))
    found = explained(formulated(small_request(("totals.wax.max", "10"))), clash.model)
    assert found.compromise
    assert found.compromise_formula == {}
    own = explained(clash)
    assert own.compromise == found.compromise
    assert sum(own.compromise_formula.values()) == 100


def test_a_least_amount_of_nothing_takes_no_room() -> None:
    """Of amounts that come to more than the whole only those of something are named."""
    request = small_request(
        ("amounts.hard-butter.min", "60"),
        ("amounts.light-oil.min", "50"),
        ("amounts.starch.min", "0"),
    )
    (cause,) = quick_causes(formulated(request))
    assert isinstance(cause, SumCause)
    assert cause.total == 110
    assert [said.key for said in cause.limits] == [
        "amounts.hard-butter.min",
        "amounts.light-oil.min",
    ]
    just = (("amounts.hard-butter.min", "60"), ("amounts.light-oil.min", "40"))
    assert quick_causes(formulated(small_request(*just, ("totals.wax.min", "1")))) == ()
