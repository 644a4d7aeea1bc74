"""A recipe held against a brief: each limit, each rule, and the nearest formula that meets it."""

from __future__ import annotations

import csv
import json
import random
import re
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from formulation_support import EXAMPLES, INGREDIENTS, PRICES, ROOT, Command, small_request
from scipy.optimize import linprog
from weighable_support import (
    every_formula,
    is_possible_by_scipy,
    keeps,
    price,
    random_request,
    rows_of,
    weighing,
    with_choices,
)

from optimiser.answers.checked import held
from optimiser.answers.measures import Blend
from optimiser.answers.recipe import Assessment, assessed
from optimiser.brief import End, Request
from optimiser.formulation import formulated
from optimiser.ingredient import Kind
from optimiser.present.console import WIDTH
from optimiser.present.recipe_words import assessment_document, assessment_text
from optimiser.provenance import InputError

RECIPE = {"hard-butter": Fraction(40), "light-oil": Fraction(40), "starch": Fraction(20)}
SECOND = 1e-7


def verdicts(answer: Assessment) -> dict[str, bool | None]:
    return {check.row.statement.key: check.is_met for check in answer.checked}


def levels(answer: Assessment) -> dict[str, Fraction | None]:
    return {check.row.statement.key: check.value for check in answer.checked}


class TestLimits:
    """The recipe is 40 % hard butter, 40 % light oil and 20 % starch, worked out by hand."""

    @pytest.mark.parametrize(
        ("said", "level", "just_met", "missed"),
        [
            ("amounts.hard-butter.min", 40, "40", "40.0001"),
            ("amounts.hard-butter.max", 40, "40", "39.9999"),
            ("amounts.hard-butter", 40, "40", "40.5"),
            ("amounts.firm-wax.max", 0, "0", None),
            ("amounts.firm-wax.min", 0, "0", "0.1"),
            ("totals.oil.min", 40, "40", "41"),
            ("totals.powder.max", 20, "20", "19"),
            ("totals.wax.min", 0, "0", "1"),
            ("ratios.butter:oil.min", 1, "1", "1.001"),
            ("ratios.butter:powder.max", 2, "2", "1.9"),
            ("properties.vitamin_e.min", Fraction("16.8"), "16.8", "16.8001"),
            ("properties.vitamin_e.max", Fraction("16.8"), "16.8", "16.7999"),
            ("properties.solid_fat_20C.max", 40, "40", "39"),
            ("properties.cost.max", Fraction("7.4"), "7.4", "7.39"),
            ("properties.cost", Fraction("7.4"), "7.4", "7"),
        ],
    )
    def test_a_level_is_exact_and_a_limit_may_just_be_met(
        self, said: str, level: Fraction, just_met: str, missed: str | None
    ) -> None:
        """The level is that worked out by hand; met to the last digit, missed by a hair."""
        answer = assessed(small_request((said, just_met)), "old.csv", RECIPE)
        assert levels(answer) == {said: level}
        assert verdicts(answer) == {said: True}
        assert answer.meets
        if missed is not None:
            answer = assessed(small_request((said, missed)), "old.csv", RECIPE)
            assert levels(answer) == {said: level}
            assert verdicts(answer) == {said: False}
            assert not answer.meets

    def test_density_goes_by_volume(self) -> None:
        """100 g take 40/0.95 + 40/0.9 + 20/1.5 ml."""
        request = small_request(
            ("properties.density.min", "1"), use=("hard-butter", "light-oil", "starch")
        )
        volume = Fraction(40) / Fraction("0.95") + Fraction(40) / Fraction("0.9")
        volume += Fraction(20) / Fraction("1.5")
        answer = assessed(request, "old.csv", RECIPE)
        assert levels(answer)["properties.density.min"] == 100 / volume

    def test_a_cautious_limit_counts_the_bad_end(self) -> None:
        """At the low figures the recipe has 0.4 * 1 + 0.4 * 30 mg."""
        request = small_request(("properties.vitamin_e.min", "13"), cautious=("vitamin_e",))
        answer = assessed(request, "old.csv", RECIPE)
        assert levels(answer)["properties.vitamin_e.min"] == Fraction("12.4")
        assert verdicts(answer)["properties.vitamin_e.min"] is False

    @pytest.mark.parametrize(("end", "is_met"), [("max", False), ("min", True)])
    def test_a_ratio_to_nothing(self, end: str, is_met: bool) -> None:
        """40 % oil to no wax is more than any number of times, and the level has no number."""
        said = f"ratios.oil:wax.{end}"
        answer = assessed(small_request((said, "3")), "old.csv", RECIPE)
        assert verdicts(answer) == {said: is_met}
        assert levels(answer) == {said: None}

    def test_nothing_to_nothing_is_met(self) -> None:
        """A ratio of which neither side is there asks for nothing."""
        request = small_request(("ratios.wax:wax.max", "3"), ("ratios.wax:wax.min", "3"))
        assert all(verdicts(assessed(request, "old.csv", RECIPE)).values())

    def test_a_missing_figure_is_not_known(self) -> None:
        """Without a figure of something used the limit is neither met nor missed."""
        request = small_request(("properties.grip.max", "3"), ("totals.oil.min", "50"))
        answer = assessed(request, "old.csv", RECIPE)
        by_key = {check.row.statement.key: check for check in answer.checked}
        assert by_key["properties.grip.max"].is_met is None
        assert by_key["properties.grip.max"].value is None
        assert by_key["properties.grip.max"].lacking == ("hard-butter", "starch")
        assert not answer.meets
        # What is missed comes first, then what is not known.
        assert [check.is_met for check in answer.checked] == [False, None]
        assert "not known, for want of a figure" in " ".join(assessment_text(answer).split())

    def test_what_the_fat_does_not_count_needs_no_figure(self) -> None:
        """A powder has no solid fat, and none is asked of it."""
        request = small_request(("properties.solid_fat_20C.min", "30"))
        assert verdicts(assessed(request, "old.csv", RECIPE)) == {
            "properties.solid_fat_20C.min": True
        }

    def test_a_missing_price_leaves_the_cost_unknown(self) -> None:
        """Something unpriced and off the shelf: its cost is not known, its limits are."""
        prices = {name: text for name, text in PRICES.items() if name != "light-oil"}
        request = small_request(
            ("properties.cost.max", "9"), ("totals.oil.max", "40"), prices=prices
        )
        answer = assessed(request, "old.csv", RECIPE)
        assert verdicts(answer) == {"properties.cost.max": None, "totals.oil.max": True}
        assert answer.measures.cost_per_kg is None
        assert any("light-oil has no price" in remark for remark in answer.remarks)
        assert "Its cost is not known." in " ".join(assessment_text(answer).split())

    def test_a_trace_of_nothing_asks_for_no_figure(self) -> None:
        """What is listed with 0 % counts as not there."""
        request = small_request(("properties.grip.max", "3"))
        answer = assessed(request, "old.csv", {"light-oil": Fraction(100), "starch": Fraction(0)})
        assert levels(answer) == {"properties.grip.max": Fraction("2.5")}
        assert answer.meets


class TestRules:
    @pytest.mark.parametrize(
        ("rules", "is_met", "offending"),
        [
            (weighing("20"), True, ()),
            (weighing("15"), False, ("hard-butter", "light-oil", "starch")),
            (weighing("40"), False, ("starch",)),
            (weighing("40", steps={"starch": "5"}), True, ()),
            (weighing(smallest="20"), True, ()),
            (weighing(smallest="21"), False, ("starch",)),
            (weighing(smallest="21", steps={"starch": "5"}), True, ()),
            (weighing(most=3), True, ()),
            (weighing(most=2), False, ()),
        ],
    )
    def test_rules_of_weighing_are_held(
        self, rules: object, is_met: bool, offending: tuple[str, ...]
    ) -> None:
        """Steps, doses and counts are met or not, and it is said by what."""
        answer = assessed(with_choices(small_request(), rules), "old.csv", RECIPE)  # type: ignore[arg-type]
        assert answer.meets is is_met
        assert {name for check in answer.checked for name in check.offending} == set(offending)
        assert ("It meets every limit." in assessment_text(answer)) is is_met

    @pytest.mark.parametrize(
        ("of", "needed", "is_met"),
        [
            (("hard-butter", "light-oil"), False, False),
            (("hard-butter", "firm-wax"), False, True),
            (("hard-butter", "firm-wax"), True, True),
            (("soft-butter", "firm-wax"), False, True),
            (("soft-butter", "firm-wax"), True, False),
        ],
    )
    def test_either_or_is_held(self, of: tuple[str, ...], needed: bool, is_met: bool) -> None:
        """At most one of a list, or exactly one, is in the recipe or not."""
        request = with_choices(small_request(), either=[(of, needed)])
        assert verdicts(assessed(request, "old.csv", RECIPE)) == {"either[0]": is_met}

    def test_none_at_all_is_met_where_it_is_allowed(self) -> None:
        """With or_none a minimum holds only for what is there."""
        said = (("amounts.firm-wax.min", "8"), ("amounts.starch.min", "25"))
        request = with_choices(small_request(*said), or_none=("firm-wax", "starch"))
        assert verdicts(assessed(request, "old.csv", RECIPE)) == {
            "amounts.firm-wax.min": True,
            "amounts.starch.min": False,
        }


def random_brief(seed: int, choices: bool) -> tuple[Request, dict[str, Fraction]] | None:
    """A brief that can be met, and a recipe of its shelf; None where the brief cannot."""
    rng = random.Random(seed)
    request = random_request(rng)
    if not choices:
        request = with_choices(request)
    try:
        formulated(request)
    except InputError:
        return None
    parts = [rng.choice([0, 1, 2, 3, 5, 8]) for _ in request.book.ingredients]
    if not sum(parts) or (not choices and not is_possible_by_scipy(request)):
        return None
    shares = (Fraction(100 * part, sum(parts)) for part in parts)
    return request, dict(zip(sorted(request.book.ingredients), shares, strict=True))


def least_movement(request: Request, target: Mapping[str, Fraction]) -> tuple[float, float]:
    """The least total movement and then the least cost, by two programmes of HiGHS in scipy."""
    names = sorted(request.book.ingredients)
    n = len(names)
    within, right, equal, level = [], [], [[1.0] * n + [0.0] * 2 * n], [100.0]
    for end, line in rows_of(request, names):
        wide = [*line, *[0.0] * 2 * n]
        if end is End.EXACTLY:
            equal.append(wide)
            level.append(0.0)
        else:
            within.append([number if end is End.MAX else -number for number in wide])
            right.append(0.0)
    for j, name in enumerate(names):
        unit = np.eye(n)[j]
        equal.append([*unit, *-unit, *unit])
        level.append(float(target[name]))
    moving = np.array([0.0] * n + [1.0] * 2 * n)
    parts = {"A_eq": equal, "b_eq": level, "bounds": [(0, 100)] * (3 * n)}
    first = linprog(moving, A_ub=within or None, b_ub=right or None, **parts)
    assert first.status == 0
    per_kg = {offer.ingredient: float(offer.price_per_kg) for offer in request.offers}
    cost = [per_kg[name] / 100 for name in names] + [0.0] * 2 * n
    capped = [*within, [*moving]]
    second = linprog(cost, A_ub=capped, b_ub=[*right, first.fun + SECOND], **parts)
    assert second.status == 0
    return float(first.fun), float(second.fun)


POSSIBLE = [seed for seed in range(80) if random_brief(seed, choices=False) is not None]
STATED = [seed for seed in range(100, 140) if random_brief(seed, choices=True) is not None]


def test_there_are_enough_random_briefs() -> None:
    """The two laws below are tried on many briefs."""
    assert len(POSSIBLE) >= 30
    assert len(STATED) >= 30


class TestNearest:
    @pytest.mark.parametrize("seed", POSSIBLE)
    def test_least_movement_and_of_those_the_cheapest(self, seed: int) -> None:
        """On random briefs: scipy's least absolute movement, its cheapest, and no limit broken."""
        made = random_brief(seed, choices=False)
        assert made is not None
        request, target = made
        answer = assessed(request, "old.csv", target)
        nearest = answer.nearest
        assert nearest is not None
        moved, cost = least_movement(request, target)
        assert float(nearest.moved) == pytest.approx(moved, abs=1e-6)
        assert nearest.measures.cost_per_kg is not None
        assert float(nearest.measures.cost_per_kg) == pytest.approx(cost, abs=1e-5)
        self.adds_up(answer, target)
        x = dict.fromkeys(request.book.ingredients, Fraction(0))
        x |= {share.ingredient: share.percent for share in nearest.measures.formula}
        assert keeps(request, x)
        assert nearest.is_exact
        assert (nearest.moved == 0) == answer.meets == keeps(request, dict(target))

    @pytest.mark.parametrize("seed", STATED)
    def test_least_movement_to_a_weighable_formula(self, seed: int) -> None:
        """On random briefs with choices: the least movement over every formula in whole steps."""
        made = random_brief(seed, choices=True)
        assert made is not None
        request, target = made
        listed = [x for x in every_formula(request) if keeps(request, x)]
        answer = assessed(request, "old.csv", target)
        if not listed:
            assert answer.nearest is None
            return
        nearest = answer.nearest
        assert nearest is not None
        least = min(distance(x, target) for x in listed)
        assert nearest.moved == least
        self.adds_up(answer, target)
        x = dict.fromkeys(request.book.ingredients, Fraction(0))
        x |= {share.ingredient: share.percent for share in nearest.measures.formula}
        assert keeps(request, x)
        cheapest = min(price(request, x) for x in listed if distance(x, target) == least)
        assert nearest.measures.cost_per_kg == cheapest
        assert (nearest.moved == 0) == answer.meets

    def adds_up(self, answer: Assessment, target: Mapping[str, Fraction]) -> None:
        """The changes lead from the recipe to the formula, and add up to nothing."""
        assert answer.nearest is not None
        changes = answer.nearest.changes
        assert sum(changes.values()) == 0
        assert sum(map(abs, changes.values())) == answer.nearest.moved
        assert all(changes.values())
        after = {share.ingredient: share.percent for share in answer.nearest.measures.formula}
        for name in {*target, *after}:
            moved = target.get(name, Fraction(0)) + changes.get(name, Fraction(0))
            assert moved == after.get(name, 0)

    def test_a_recipe_that_meets_the_brief_stays(self) -> None:
        """Nothing moves where nothing has to, though another formula is cheaper."""
        answer = assessed(small_request(("totals.oil.min", "30")), "old.csv", RECIPE)
        assert answer.meets
        assert answer.nearest is not None
        assert (answer.nearest.moved, dict(answer.nearest.changes)) == (0, {})
        assert answer.cheapest.measures is not None
        assert answer.cheapest.measures.cost_per_kg == Fraction("3.6")
        assert "Nothing has to change." in assessment_text(answer)

    def test_the_cheapest_of_equally_near_ones(self) -> None:
        """10 points of butter go; of all that could come instead starch is cheapest."""
        answer = assessed(small_request(("totals.butter.max", "30")), "old.csv", RECIPE)
        assert answer.nearest is not None
        assert answer.nearest.moved == 20
        assert dict(answer.nearest.changes) == {"hard-butter": -10, "starch": 10}

    def test_the_cheapest_of_equally_near_weighable_ones(self) -> None:
        """In whole steps too, of all that could come instead starch is cheapest."""
        request = small_request(("totals.butter.max", "30"))
        answer = assessed(with_choices(request, weighing("10")), "old.csv", RECIPE)
        assert answer.nearest is not None
        assert dict(answer.nearest.changes) == {"hard-butter": -10, "starch": 10}

    def test_what_is_off_the_shelf_goes(self) -> None:
        """An ingredient that may not be used leaves, every point of it counted."""
        request = small_request(leave_out=("light-oil",))
        answer = assessed(request, "old.csv", RECIPE)
        assert answer.nearest is not None
        assert answer.nearest.moved == 80
        assert dict(answer.nearest.changes) == {"light-oil": -40, "starch": 40}

    def test_what_lacks_a_figure_goes(self) -> None:
        """What a limit cannot be judged with is no part of the nearest formula."""
        answer = assessed(small_request(("properties.grip.max", "3")), "old.csv", RECIPE)
        assert answer.nearest is not None
        assert dict(answer.nearest.changes) == {
            "hard-butter": -40,
            "starch": -20,
            "light-oil": 60,
        }

    @pytest.mark.parametrize("rules", [None, weighing("5")])
    def test_an_impossible_brief_has_no_nearest_formula(self, rules: object) -> None:
        """There is nothing to move to; the limits are judged all the same."""
        request = small_request(("totals.wax.min", "60"), ("totals.oil.min", "55"))
        answer = assessed(with_choices(request, rules), "old.csv", RECIPE)  # type: ignore[arg-type]
        assert answer.nearest is None
        assert set(verdicts(answer).values()) >= {False}
        document = assessment_document(answer)
        assert document["nearest"]["status"] == "infeasible"
        assert [part["limit"] for part in document["nearest"]["conflict"]] == [
            "totals.wax.min",
            "totals.oil.min",
        ]
        assert document["cheapest_cost_per_kg"] is None

    def test_which_rule_leaves_no_formula_is_said(self) -> None:
        """Where only a rule fails, the answer names it."""
        request = small_request(("amounts.starch", "12.5"), use=("starch", "light-oil"))
        answer = assessed(with_choices(request, weighing("10")), "old.csv", RECIPE)
        assert answer.nearest is None
        assert "weighing.step" in json.dumps(assessment_document(answer)["nearest"])
        after = assessment_text(answer).partition("There is no formula to move to.")[2]
        assert "weighing.step" in after

    def test_out_of_time_is_not_impossible(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """Where the search ended without a word, no one says that there is no formula."""
        request = with_choices(small_request(("totals.oil.min", "33")), weighing("10"))
        known = assessed(request, "old.csv", RECIPE)
        assert known.cheapest.weighed is not None
        unknown = replace(known.cheapest.weighed, x=None, cost=None, is_known=False, ran_out=True)
        best = replace(known.cheapest, measures=None, weighed=unknown)
        monkeypatch.setattr("optimiser.answers.recipe.cheapest", lambda *_: best)
        answer = assessed(request, "old.csv", RECIPE)
        text = " ".join(assessment_text(answer).split())
        assert "No formula meets the brief" not in text
        assert assessment_document(answer)["nearest"].get("status") != "infeasible"


def distance(x: Mapping[str, Fraction], target: Mapping[str, Fraction]) -> Fraction:
    return sum((abs(share - target[name]) for name, share in x.items()), Fraction(0))


class TestWords:
    def test_one_point_and_more(self) -> None:
        """One point is a point."""
        request = small_request(("totals.powder.max", "19"), ("totals.oil.min", "42"))
        text = " ".join(assessment_text(assessed(request, "old.csv", RECIPE)).split())
        assert "it has 20: 1 point too much" in text
        assert "it has 40: 2 points too little" in text

    def test_a_property_is_missed_in_its_unit(self) -> None:
        """A miss is told in the unit of the property, and of a ratio without one."""
        request = small_request(("properties.vitamin_e.min", "20"), ("ratios.butter:oil.min", "3"))
        text = " ".join(assessment_text(assessed(request, "old.csv", RECIPE)).split())
        assert "it has 16.8: 3.2 mg/100 g too little" in text
        assert "it has 1: 2 too little" in text

    def test_one_limit_and_more(self) -> None:
        """The verdict counts in the singular too."""
        one = small_request(("totals.powder.max", "19"))
        assert "It misses 1 limit of 1." in assessment_text(assessed(one, "old.csv", RECIPE))

    def test_every_kind_is_known(self) -> None:
        """The shelf of these tests has every kind that the recipe is judged by."""
        kinds = {part.kind for part in INGREDIENTS}
        assert kinds == {Kind.BUTTER, Kind.OIL, Kind.WAX, Kind.POWDER}


KEYS = {"brief", "recipe", "currency", "meets", "limits", "cost_per_kg", "formula", "totals"}
KEYS |= {"ratios", "properties", "cheapest_cost_per_kg", "nearest", "cautions", "remarks"}


@pytest.fixture
def kitchen(tmp_path: Path) -> Path:
    """A folder with a price list, a brief and two recipes."""
    (tmp_path / "prices.csv").write_text(
        "ingredient,supplier,pack,price\nbeeswax,Any,1 kg,17\nsunflower-oil,Any,1 kg,5\n"
        "shea-butter-refined,Any,1 kg,8\n",
        encoding="utf-8",
    )
    (tmp_path / "brief.toml").write_text(
        'name = "Plain balm"\n[costing]\nprices = "prices.csv"\ncurrency = "GBP"\n'
        "[totals]\nwax = { min = 20 }\noil = { min = 40, max = 70 }\n",
        encoding="utf-8",
    )
    (tmp_path / "old.csv").write_text(
        "ingredient,percent\nbeeswax,15\nsunflower-oil,50\nshea-butter-refined,35\n",
        encoding="utf-8",
    )
    (tmp_path / "good.csv").write_text(
        "ingredient,percent\nbeeswax,20\nsunflower-oil,50\nshea-butter-refined,30\n",
        encoding="utf-8",
    )
    return tmp_path


class TestCommand:
    def test_the_json_has_the_documented_keys(self, kitchen: Path, optimiser: Command) -> None:
        """Names and values as documented, worked out by hand."""
        answer = optimiser.json("assess", kitchen / "brief.toml", kitchen / "old.csv")
        assert set(answer) >= KEYS
        assert answer["meets"] is False
        assert answer["cost_per_kg"] == 7.85
        assert answer["cheapest_cost_per_kg"] == 7.7
        first = answer["limits"][0]
        assert (first["limit"], first["bound"], first["value"]) == ("totals.wax.min", 20, 15)
        assert first["met"] is False
        assert [part["met"] for part in answer["limits"]] == [False, True, True]
        nearest = answer["nearest"]
        assert nearest["moved_points"] == 10
        assert nearest["changes"] == {"beeswax": 5, "shea-butter-refined": -5}
        assert {part["ingredient"]: part["percent"] for part in nearest["formula"]} == {
            "beeswax": 20,
            "sunflower-oil": 50,
            "shea-butter-refined": 30,
        }

    @pytest.mark.parametrize(("recipe", "meets"), [("old.csv", False), ("good.csv", True)])
    def test_an_assessment_is_an_answer(
        self, recipe: str, meets: bool, kitchen: Path, optimiser: Command
    ) -> None:
        """Met or missed, the exit status is 0 and the words are on standard output."""
        status, out, err = optimiser("assess", kitchen / "brief.toml", kitchen / recipe)
        assert (status, err) == (0, "")
        assert ("It meets every limit." in out) is meets

    def test_files_of_every_form(self, kitchen: Path, optimiser: Command) -> None:
        """The CSV is the formula to move to, and can be assessed: nothing has to change."""
        outs = [kitchen / f"new.{form}" for form in ("json", "md", "csv")]
        words = [word for out in outs for word in ("--out", out)]
        status, _, _ = optimiser("assess", kitchen / "brief.toml", kitchen / "old.csv", *words)
        assert status == 0
        assert json.loads(outs[0].read_text(encoding="utf-8"))["meets"] is False
        assert "# old.csv held against Plain balm" in outs[1].read_text(encoding="utf-8")
        with outs[2].open(encoding="utf-8", newline="") as file:
            assert sum(float(row["percent"]) for row in csv.DictReader(file)) == 100
        again = optimiser.json("assess", kitchen / "brief.toml", outs[2])
        assert again["meets"] is True
        assert again["nearest"]["moved_points"] == 0

    def test_an_impossible_brief_is_an_answer_too(self, kitchen: Path, optimiser: Command) -> None:
        """The recipe is judged; a formula to move to is not written, and that is said."""
        brief = kitchen / "brief.toml"
        text = brief.read_text(encoding="utf-8").replace("min = 20", "min = 70")
        brief.write_text(text, encoding="utf-8")
        out = kitchen / "new.csv"
        status, _, err = optimiser("assess", brief, kitchen / "old.csv", "--out", out)
        assert status == 0
        assert not out.exists()
        assert "new.csv is not written" in err
        answer = optimiser.json("assess", brief, kitchen / "old.csv")
        assert answer["nearest"]["status"] == "infeasible"
        assert {part["limit"] for part in answer["nearest"]["conflict"]} == {
            "totals.wax.min",
            "totals.oil.min",
        }

    @pytest.mark.parametrize("form", ["lp", "mps", "pdf"])
    def test_a_form_that_makes_no_sense_is_refused(
        self, form: str, kitchen: Path, optimiser: Command
    ) -> None:
        """Only JSON, CSV and Markdown are written; anything else is wrong input."""
        out = kitchen / f"new.{form}"
        status, told, err = optimiser(
            "assess", kitchen / "brief.toml", kitchen / "old.csv", "--out", out
        )
        assert status == 2
        assert told == ""
        assert f".{form}" in err
        assert not out.exists()

    @pytest.mark.parametrize("gone", ["brief.toml", "old.csv"])
    def test_a_missing_file_is_wrong_input(
        self, gone: str, kitchen: Path, optimiser: Command
    ) -> None:
        """The file that is not there is named."""
        (kitchen / gone).unlink()
        status, out, err = optimiser("assess", kitchen / "brief.toml", kitchen / "old.csv")
        assert (status, out) == (2, "")
        assert gone in err

    @pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
    def test_the_old_recipe_against_every_example(self, path: Path, optimiser: Command) -> None:
        """Every line fits the terminal, and nothing is said of a fault."""
        recipe = ROOT / "examples" / "quillfern" / "old_hand_butter.csv"
        status, out, err = optimiser("assess", path, recipe)
        assert (status, err) == (0, "")
        assert max(map(len, out.splitlines())) <= WIDTH
        assert not re.search(r"(?<![\d.])1 points", out)
        assert "None" not in out.replace("None of", "").replace("None:", "")


@pytest.mark.parametrize(("short", "is_met"), [("0.0000005", True), ("0.0000006", False)])
def test_half_of_the_last_written_decimal_may_be_missing(short: str, is_met: bool) -> None:
    """A recipe is written with six decimals, and misses nothing by their rounding alone."""
    request = small_request(("totals.powder.min", "20"))
    shares = {"starch": 20 - Fraction(short), "light-oil": 80 + Fraction(short)}
    (limit,) = request.brief.limits
    assert held(Blend.at(request, shares), limit).is_met == is_met
