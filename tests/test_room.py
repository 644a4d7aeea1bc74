"""Room to move and staying near a recipe, against published ranges and direct solves."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from formulation_support import ROOT, Command, limit, small_request
from linear_models import bare, dot, keeps_to, random_model
from openpyxl import load_workbook
from published import case, is_figure, model, names
from scipy.optimize import linprog

from optimiser.answers.near_recipe import near_recipe
from optimiser.answers.room import room_to_move
from optimiser.formulation import formulated
from optimiser.linear_model import LinearModel, ModelRow, Sense
from optimiser.postoptimal.near_optimal import near_optimal
from optimiser.solve import settle

FOLDER = ROOT / "examples" / "quillfern"
EXAMPLE = FOLDER / "whipped_hand_butter.toml"
RECIPE = FOLDER / "old_hand_butter.csv"
SHELF = ("hard-butter", "soft-butter", "light-oil", "nut-oil", "starch")
LIMITS = (
    ("totals.powder.max", "4"),
    ("totals.butter.min", "40"),
    ("properties.solid_fat_20C.min", "30"),
    ("properties.vitamin_e.min", "12"),
    ("ratios.butter:oil.max", "3"),
)


@pytest.mark.parametrize("name", names("derived.near_optimal"))
def test_published_near_optimal_ranges(name: str) -> None:
    """The ranges at a small gap are those of another exact solver on the published data."""
    given = case(name)["derived"]["near_optimal"]
    problem = model(name)
    slack = Fraction(given["gap_percent"]) / 100
    found = near_optimal(problem, settle(problem)[1], slack)
    assert is_figure(abs(found.most), given["objective_limit"])
    for label, (low, high) in given["variable_ranges"].items():
        ends = found.ranges[problem.columns.index(label)]
        assert is_figure(ends[0], low), label
        assert is_figure(ends[1], high), label


@pytest.mark.parametrize("seed", range(30))
def test_ranges_are_those_of_direct_solves(seed: int) -> None:
    """Each end is the optimum of a model that has the cap as one more row; points are within."""
    rng = random.Random(seed)
    problem = random_model(rng)
    problem = replace(problem, upper=tuple(100 if u is None else u for u in problem.upper))
    least = settle(problem)[1]
    if least.x is None:
        return
    slack = Fraction(rng.randint(0, 30), 100)
    found = near_optimal(problem, least, slack)
    most = least.cost + slack * abs(least.cost)
    n = len(problem.columns)
    row = ModelRow.helping("cap", Sense.AT_MOST, {}, most, n)
    capped = problem.with_rows([replace(row, numerator=problem.cost)])
    for j, (low, high) in enumerate(found.ranges):
        for way, end in ((1, low), (-1, high)):
            direct = LinearModel.costing(capped, type(problem.cost).sparse({j: way}, n))
            assert settle(direct)[1].cost == way * end, bare(problem)
    for x in found.points:
        assert keeps_to(problem, x)
        assert dot(problem.cost.numbers, x) <= most


def test_less_than_the_least_is_impossible() -> None:
    """A cap of nine tenths of the optimum would have no point, so it is refused."""
    problem = model("catfood_full")
    least = settle(problem)[1]
    with pytest.raises(ValueError, match="nothing costs less"):
        near_optimal(problem, least, Fraction(-1, 10))
    row = ModelRow.helping(
        "cap", Sense.AT_MOST, {}, least.cost * Fraction(9, 10), len(problem.columns)
    )
    capped = problem.with_rows([replace(row, numerator=problem.cost)])
    assert settle(capped)[1].x is None


def test_no_slack_leaves_the_cheapest_formulas() -> None:
    """With nothing on top the ranges are those of equal cost."""
    room = room_to_move(small_request(*LIMITS, use=SHELF), Fraction(0))
    assert room.most_cost == room.least_cost
    assert all(span.low == span.now == span.high for span in room.ingredients)
    assert room.variants == ()


def test_properties_range_as_scipy_finds() -> None:
    """The ends of a property over the product agree with another solver."""
    request = small_request(*LIMITS, use=SHELF)
    room = room_to_move(request, Fraction(5, 100))
    built = formulated(request).model
    sign = np.array([-1.0 if row.sense is Sense.AT_LEAST else 1.0 for row in built.rows[1:]])
    upper = np.vstack([built.matrix[1:] * sign[:, None], built.cost.floats])
    right = np.append(built.rhs[1:] * sign, float(room.most_cost))
    figures = {"hard-butter": 2, "soft-butter": 5, "light-oil": 40, "nut-oil": 25, "starch": 0}
    level = np.array([figures[name] for name in built.columns]) / 100
    (span,) = [span for quantity, span in room.properties if quantity.id == "vitamin_e"]
    for way, end in ((1, span.low), (-1, span.high)):
        found = linprog(way * level, upper, right, built.matrix[:1], built.rhs[:1], bounds=(0, 100))
        assert way * found.fun == pytest.approx(float(end), rel=1e-9)


def test_formulas_are_truly_different() -> None:
    """Each lies within the room, and as far from those before it as it says."""
    request = small_request(*LIMITS, use=SHELF)
    room = room_to_move(request, Fraction(10, 100))
    assert room.variants
    before = [{s.ingredient: s.percent for s in room.cheapest.formula}]
    for variant in room.variants:
        shares = {s.ingredient: s.percent for s in variant.measures.formula}
        assert sum(shares.values()) == 100
        assert variant.measures.cost_per_kg <= room.most_cost
        gaps = [
            sum(abs(shares.get(i, 0) - other.get(i, 0)) for i in {*shares, *other})
            for other in before
        ]
        assert min(gaps) == variant.apart
        before.append(shares)


OLD = {"hard-butter": Fraction(30), "soft-butter": Fraction(20), "light-oil": Fraction(50)}


def test_near_a_recipe() -> None:
    """More points never cost more; the movement is as said; all of it is the cheapest."""
    request = small_request(*LIMITS, use=SHELF)
    costs = []
    for points in (0, 5, 10, 20, 60, 200):
        near = near_recipe(request, OLD, Fraction(points))
        if near.measures is None:
            assert near.least_moved > points
            continue
        after = {s.ingredient: s.percent for s in near.measures.formula}
        moved = sum(abs(after.get(i, 0) - OLD.get(i, 0)) for i in {*after, *OLD})
        assert moved == near.moved <= points
        costs.append(near.measures.cost_per_kg)
    assert costs == sorted(costs, reverse=True)
    assert len(costs) > 2
    assert costs[-1] == settle(formulated(request).model)[1].cost


def test_what_may_not_be_used_has_to_go() -> None:
    """A recipe's ingredient that is not on the shelf counts as movement."""
    request = small_request(*LIMITS, use=SHELF)
    recipe = {"firm-wax": Fraction(10), "hard-butter": Fraction(40), "light-oil": Fraction(50)}
    near = near_recipe(request, recipe, Fraction(200))
    assert near.least_moved >= 20  # 10 out, and 10 in elsewhere
    assert near.moved >= near.least_moved


def test_an_impossible_brief_has_no_room() -> None:
    """Nothing to move in where nothing meets the brief."""
    request = small_request(*LIMITS, limit("properties.vitamin_e.max", "3"), use=SHELF)
    assert room_to_move(request, Fraction(1, 50)) is None
    near = near_recipe(request, OLD, Fraction(50))
    assert (near.measures, near.least_moved) == (None, None)


def test_formulate_within_and_from(optimiser: Command, tmp_path: Path) -> None:
    """Both options in every form; the room's ends bracket the formula."""
    words = ("formulate", EXAMPLE, "--within", "2%", "--from", RECIPE, "--points", "120")
    found = optimiser.json(*words)
    assert found["room"]["most_cost_per_kg"] == pytest.approx(1.02 * found["cost_per_kg"])
    for span in found["room"]["ingredients"]:
        assert span["percent_low"] <= span["percent"] <= span["percent_high"]
    for span in found["room"]["properties"]:
        assert span["low"] <= span["value"] <= span["high"]
    assert found["near"]["moved_points"] <= 120
    assert found["near"]["cost_per_kg"] >= found["cost_per_kg"]
    plain = optimiser.json("formulate", EXAMPLE)
    assert {key: found[key] for key in plain} == plain
    code, out, err = optimiser(*words)
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 80
    assert "Room to move: at most 2 % dearer" in out
    note = tmp_path / "answer.md"
    assert optimiser(*words, "--out", note)[0] == 0
    assert "## Room to move" in note.read_text("utf-8")
    formula = tmp_path / "near.csv"
    assert optimiser(*words, "--out", formula)[0] == 0
    again = optimiser.json("assess", EXAMPLE, formula)
    assert again["meets"]
    assert again["cost_per_kg"] == pytest.approx(found["near"]["cost_per_kg"], abs=1e-4)


def test_whole_steps_and_impossible_briefs_are_said(optimiser: Command) -> None:
    """The room of a brief with whole steps is over shares of any size; an impossible has none."""
    out = optimiser("formulate", FOLDER / "market_tin_balm.toml", "--within", "1%")[1]
    assert "Shares of any size" in out.split("Room to move")[1]
    impossible = FOLDER / "summer_parcel_butter.toml"
    code, out, _ = optimiser("formulate", impossible, "--within", "1%")
    assert code == 1
    assert "No formula meets the brief, so there is none." in out
    found = optimiser.json("formulate", impossible, "--within", "1%", status=1)
    assert found["room"] == {"status": "infeasible"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--within", "0.02"), "write 0.02% or 2.00%"),
        (("--within", "-1%"), "nothing costs less than the cheapest"),
        (("--within", "a lot"), "is not a number"),
        (("--points", "5"), "from which recipe? Add --from FORMULA"),
        (("--from", str(RECIPE), "--points", "900"), "is not from 0 to 200"),
        (("--from", "nowhere.csv"), 'there is no file "nowhere.csv"'),
    ],
)
def test_mistakes_are_told(optimiser: Command, words: tuple[str, ...], said: str) -> None:
    """Status 2 and what to write instead."""
    code, out, err = optimiser("formulate", EXAMPLE, *words)
    assert (code, out) == (2, "")
    assert said in err


def test_the_workbook_holds_the_room(optimiser: Command, tmp_path: Path) -> None:
    """Ranges and formulas stand on sheets of their own, as numbers."""
    path = tmp_path / "room.xlsx"
    words = ("formulate", EXAMPLE, "--within", "2%", "--from", RECIPE, "--points", "120")
    assert optimiser(*words, "--out", path)[0] == 0
    found = optimiser.json(*words)["room"]
    book = load_workbook(path)
    rows = list(book["Room of ingredients"].iter_rows(min_row=2, values_only=True))
    assert [row[1:] for row in rows] == [
        (span["percent_low"], span["percent"], span["percent_high"])
        for span in found["ingredients"]
    ]
    assert "Near the recipe" in book.sheetnames
    assert "Formulas in the room" in book.sheetnames


def test_a_few_formulas_are_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four at most, though there are more as far apart."""
    request = small_request(*LIMITS[:1], use=SHELF)
    room = room_to_move(request, Fraction(1))
    assert room is not None
    assert len(room.variants) == 4
    monkeypatch.setattr("optimiser.answers.room.MOST_FORMULAS", 5)
    wider = room_to_move(request, Fraction(1))
    assert wider is not None
    assert len(wider.variants) == 5
    assert [v.apart for v in wider.variants[:4]] == [v.apart for v in room.variants]
    assert wider.variants[4].apart >= 4


def test_a_mean_over_what_is_not_there_has_no_room() -> None:
    """Where the cheapest formula has no fat there is no mean over its fat to tell."""
    request = small_request(("properties.solid_fat_20C.max", "80"), use=SHELF)
    room = room_to_move(request, Fraction(1, 10))
    assert room is not None
    assert [share.ingredient for share in room.cheapest.formula] == ["starch"]
    assert all(span.now is not None for _, span in room.properties)
    assert "solid_fat_20C" not in [quantity.id for quantity, _ in room.properties]
