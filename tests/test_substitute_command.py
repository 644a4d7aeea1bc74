"""The command `substitute`: options, files, mistakes, and what is printed."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from formulation_support import ROOT, Command

FOLDER = ROOT / "examples" / "quillfern"
EXAMPLE = FOLDER / "whipped_hand_butter.toml"
GONE = ("--gone", "shea-butter-refined")
SHELF = """\
use = [
    "cocoa-butter", "shea-butter-refined", "mango-butter", "sunflower-oil", "avocado-oil",
    "sunflower-oil-high-oleic", "squalane", "rice-starch", "silica-spherical", "lavender-oil",
    "d-alpha-tocopherol",
]"""
PART = {"formula", "cost_per_kg", "difference", "changes", "not_judged"}
USED = (
    "cocoa-butter, d-alpha-tocopherol, lavender-oil, rice-starch, shea-butter-refined, "
    "silica-spherical, sunflower-oil"
)
PASTED = """\
300 g Shea butter, refined
390 g Cocoa butter
256 g Sunflower oil
48 g Rice starch
6 g Lavender oil
"""


@pytest.fixture(scope="module")
def brief(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example brief over a short shelf."""
    path = tmp_path_factory.mktemp("brief") / "brief.toml"
    text, count = re.subn("(?m)^leave_out = .*$", SHELF, EXAMPLE.read_text("utf-8"))
    assert count == 1
    path.write_text(text, encoding="utf-8")
    (path.parent / "prices.csv").write_bytes((FOLDER / "prices.csv").read_bytes())
    return path


def percents(found: dict) -> dict[str, float]:
    return {one["ingredient"]: one["percent"] for one in found["formula"]}


def test_json_has_the_promised_keys_and_sums(optimiser: Command, brief: Path) -> None:
    """The keys are those of the documented answer, and every difference is its changes' sum."""
    found = optimiser.json("substitute", brief, *GONE)
    promised = {"gone", "reference", "closest", "closest_rest_kept", "cheapest", "between"}
    assert set(found) == promised | {"candidates", "currency", "not_compared", "left_out"}
    assert found["gone"] == "shea-butter-refined"
    assert set(found["reference"]) == {"formula", "cost_per_kg"}
    parts = [found[name] for name in ("closest", "closest_rest_kept", "cheapest")]
    assert len(found["between"]) > 1
    assert len(found["candidates"]) > 1
    for part in (*parts, *found["between"], *found["candidates"]):
        assert set(part) - {"ingredient", "percent"} == PART
        total = 0.0
        for change in part["changes"]:
            assert set(change) == {"property", "before", "after", "tolerance"}
            total += abs(change["after"] - change["before"]) / change["tolerance"]
        assert part["difference"] == pytest.approx(total, abs=1e-9)
        assert sum(percents(part).values()) == pytest.approx(100)
        assert "shea-butter-refined" not in percents(part)
    assert found["between"][-1] == found["closest"]
    assert found["between"][0]["cost_per_kg"] == found["cheapest"]["cost_per_kg"]
    for candidate in found["candidates"]:
        assert candidate["percent"] == percents(candidate)[candidate["ingredient"]]


def test_several_are_gone(optimiser: Command, brief: Path) -> None:
    """All that is gone is out, in use or not, and the JSON lists it."""
    found = optimiser.json(
        "substitute", brief, *GONE, "--gone", "Rice starch", "--also-gone", "mango-butter"
    )
    assert found["gone"] == ["shea-butter-refined", "rice-starch", "mango-butter"]
    for part in (found["closest"], found["cheapest"], *found["between"], *found["candidates"]):
        assert not set(found["gone"]) & set(percents(part))
    assert "mango-butter" not in {candidate["ingredient"] for candidate in found["candidates"]}


def test_only_takes_names_with_commas(optimiser: Command, brief: Path) -> None:
    """Newcomers can be named as printed, also where a name holds a comma."""
    only = "Mango butter, Sunflower oil, high oleic, squalane"
    found = optimiser.json("substitute", brief, *GONE, "--only", only)
    new = {"mango-butter", "sunflower-oil-high-oleic", "squalane"}
    rest = set(percents(found["reference"]))
    for part in (found["closest"], found["cheapest"], *found["between"]):
        assert set(percents(part)) <= rest | new
    assert {candidate["ingredient"] for candidate in found["candidates"]} <= new


@pytest.mark.parametrize("points", ["0", "3", "20"])
def test_rest_is_kept_within_the_points(optimiser: Command, brief: Path, points: str) -> None:
    """Every other share of the formula in use moves by no more than was said, or there is none."""
    found = optimiser.json("substitute", brief, *GONE, "--keep-within", points)
    kept, before = found["closest_rest_kept"], percents(found["reference"])
    if points == "0":
        assert kept is None
        return
    after = percents(kept)
    for name, share in before.items():
        if name != "shea-butter-refined":
            assert abs(after.get(name, 0) - share) <= float(points) + 1e-9
    assert kept["difference"] >= found["closest"]["difference"] - 1e-9


def test_few_shares_move(optimiser: Command, brief: Path) -> None:
    """With two changes the new formula has two shares that are not those in use."""
    found = optimiser.json("substitute", brief, *GONE, "--max-changes", "2")
    before, after = percents(found["reference"]), percents(found["closest"])
    moved = {
        name
        for name in {*before, *after} - {"shea-butter-refined"}
        if abs(before.get(name, 0) - after.get(name, 0)) > 1e-9
    }
    assert moved == {"mango-butter", "cocoa-butter"}


def test_too_few_changes_are_told_and_the_rest_stands(optimiser: Command, brief: Path) -> None:
    """Where so few changes are not enough that part is impossible; the cheapest still stands."""
    found = optimiser.json("substitute", brief, *GONE, "--max-changes", "0")
    assert found["closest"]["status"] == "infeasible"
    assert found["closest_rest_kept"] is None
    assert found["between"] == []
    assert set(found["cheapest"]) == PART


def test_cost_cap_holds(optimiser: Command, brief: Path) -> None:
    """No formula told costs more than the cap."""
    found = optimiser.json("substitute", brief, *GONE, "--cost-cap", "15.5")
    for part in (found["closest"], found["cheapest"], *found["between"], *found["candidates"]):
        assert part["cost_per_kg"] <= 15.5
    assert found["closest"]["cost_per_kg"] == pytest.approx(15.5)


def test_impossible_brief_is_explained(optimiser: Command, brief: Path) -> None:
    """Status 1; conflict and ways out stand in the place of each formula."""
    found = optimiser.json("substitute", brief, *GONE, "--cost-cap", "14", status=1)
    for name in ("closest", "cheapest"):
        part = found[name]
        assert part["status"] == "infeasible"
        limits = {one["limit"] for one in part["conflict"]}
        assert "--cost-cap" in limits
        (way,) = (one for one in part["ways_out"] if one["limit"] == "--cost-cap")
        # The cheapest formula without shea butter costs 14.90: that cap is the way out.
        assert way["reachable"] == pytest.approx(14.90, abs=0.005)
    assert (found["closest_rest_kept"], found["between"], found["candidates"]) == (None, [], [])
    status, text, _ = optimiser("substitute", brief, *GONE, "--cost-cap", "14")
    assert status == 1
    assert "cost at most 14 GBP per kg [--cost-cap]" in text


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (
            ("--gone", "beeswax"),
            f"--gone beeswax: the formula in use has none of it; it has {USED}",
        ),
        (
            ("--gone", "unobtainium"),
            '--gone "unobtainium": no such ingredient; add it in a sheet of your own '
            "([shelf] sheets)",
        ),
        (
            ("--gone", "shea-butter-refined", "--only", "mango-butter,nope"),
            '--only "nope": no such ingredient; add it in a sheet of your own ([shelf] sheets)',
        ),
        (
            ("--gone", "shea-butter-refined", "--only", "argan-oil"),
            "--only argan-oil: it has no price or is not on the shelf of the brief",
        ),
        (
            ("--gone", "shea-butter-refined", "--only", "castor-oil"),
            "--only castor-oil: it has no price or is not on the shelf of the brief",
        ),
        (
            ("--gone", "shea-butter-refined", "--keep-within", "2,5"),
            "--keep-within: '2,5' is not a number from 0 up; write for instance 2.5",
        ),
        (
            ("--gone", "shea-butter-refined", "--keep-within", "-1"),
            "--keep-within: '-1' is not a number from 0 up; write for instance 2.5",
        ),
        (
            ("--gone", "shea-butter-refined", "--cost-cap", "nan"),
            "--cost-cap: 'nan' is not a number from 0 up; write for instance 2.5",
        ),
    ],
)
def test_mistake_is_told(
    optimiser: Command, brief: Path, words: tuple[str, ...], message: str
) -> None:
    """A wrong option is told in one line, with status 2 and nothing on standard output."""
    assert optimiser("substitute", brief, *words) == (2, "", message + "\n")


@pytest.mark.parametrize(
    ("words", "part"),
    [((), "Missing option '--gone'"), ((*GONE, "--max-changes", "-1"), "--max-changes")],
)
def test_option_is_wanted(
    optimiser: Command, brief: Path, words: tuple[str, ...], part: str
) -> None:
    """A missing or impossible option is told by name, with status 2."""
    status, out, err = optimiser("substitute", brief, *words)
    assert (status, out) == (2, "")
    assert part in err


def test_recipe_by_weight_and_as_pasted(optimiser: Command, brief: Path, tmp_path: Path) -> None:
    """A recipe in grams, as a table or as pasted lines, is the formula in use in percent."""
    pasted, weighed = tmp_path / "pasted.txt", tmp_path / "weighed.csv"
    pasted.write_text(PASTED, encoding="utf-8")
    rows = [line.split(" g ") for line in PASTED.splitlines()]
    table = "".join(f'"{name}",{grams}\n' for grams, name in rows)
    weighed.write_text("ingredient,grams\n" + table, encoding="utf-8")
    one, other = (
        optimiser.json("substitute", brief, *GONE, "--from", path) for path in (pasted, weighed)
    )
    assert one == other
    assert percents(one["reference"]) == pytest.approx(
        {
            "shea-butter-refined": 30,
            "cocoa-butter": 39,
            "sunflower-oil": 25.6,
            "rice-starch": 4.8,
            "lavender-oil": 0.6,
        }
    )


def test_recipe_with_an_unpriced_ingredient(
    optimiser: Command, brief: Path, tmp_path: Path
) -> None:
    """Its cost is not known, and the unpriced ingredient does not come back."""
    recipe = tmp_path / "recipe.csv"
    recipe.write_text(
        "ingredient,percent\nshea-butter-refined,30\nargan-oil,10\ncocoa-butter,39\n"
        "sunflower-oil,16\nrice-starch,4.4\nlavender-oil,0.6\n",
        encoding="utf-8",
    )
    found = optimiser.json("substitute", brief, *GONE, "--from", recipe)
    assert found["reference"]["cost_per_kg"] is None
    assert percents(found["reference"])["argan-oil"] == 10
    assert "argan-oil" not in percents(found["closest"])
    text = optimiser("substitute", brief, *GONE, "--from", recipe)[1]
    assert "not known GBP" not in text
    assert "not known" in text


def test_recipe_that_breaks_the_brief_is_said_to(optimiser: Command, brief: Path) -> None:
    """The old recipe has 6 % of powder where the brief allows 5: this stands in the opening."""
    text = optimiser("substitute", brief, *GONE, "--from", FOLDER / "old_hand_butter.csv")[1]
    opening = text.split("Most like it")[0]
    assert "powders together at most 5 %" in " ".join(opening.split())


def test_recipe_without_what_is_gone_is_refused(
    optimiser: Command, brief: Path, tmp_path: Path
) -> None:
    """A recipe that has none of what is gone is told by what it has."""
    recipe = tmp_path / "recipe.csv"
    recipe.write_text("ingredient,percent\ncocoa-butter,60\nsunflower-oil,40\n", encoding="utf-8")
    status, out, err = optimiser("substitute", brief, *GONE, "--from", recipe)
    assert (status, out) == (2, "")
    assert err == (
        "--gone shea-butter-refined: the formula in use has none of it; "
        "it has cocoa-butter, sunflower-oil\n"
    )


def test_files_are_written(optimiser: Command, brief: Path, tmp_path: Path) -> None:
    """The formula as CSV, the answer as JSON and Markdown."""
    paths = [tmp_path / f"answer.{ending}" for ending in ("csv", "json", "md")]
    words = [word for path in paths for word in ("--out", path)]
    found = optimiser.json("substitute", brief, *GONE, *words)
    assert json.loads(paths[1].read_text("utf-8")) == found
    head, *rows = paths[0].read_text("utf-8").splitlines()
    assert head == '"ingredient",percent'
    written = {name: float(share) for name, share in (row.split(",") for row in rows)}
    assert written == pytest.approx(percents(found["closest"]), abs=1e-6)
    text = paths[2].read_text("utf-8")
    for part in ("## Most like it\n", "## Between", "## One ingredient", "judged without what"):
        assert part in text


def test_files_of_an_impossible_brief(optimiser: Command, brief: Path, tmp_path: Path) -> None:
    """No formula is written, and the Markdown tells the conflict."""
    formula, told = tmp_path / "answer.csv", tmp_path / "answer.md"
    words = (
        "substitute",
        brief,
        *GONE,
        "--also-gone",
        "cocoa-butter",
        "--out",
        formula,
        "--out",
        told,
    )
    status, _, err = optimiser(*words)
    assert status == 1
    assert not formula.exists()
    assert "answer.csv is not written" in err
    assert "powders together at most 5 %" in told.read_text("utf-8")


@pytest.mark.parametrize(
    ("example", "gone"),
    [
        ("market_tin_balm", "coconut-oil"),
        ("winter_set_butter", "shea-butter-refined"),
        ("gardeners_balm", "beeswax"),
    ],
)
def test_printed_lines_fit_and_are_few(optimiser: Command, example: str, gone: str) -> None:
    """No line is wider than 80 columns, no two rows of a table are the same, no list is long."""
    _, text, err = optimiser("substitute", FOLDER / f"{example}.toml", "--gone", gone)
    assert err == ""
    lines = text.splitlines()
    assert [line for line in lines if len(line) > 80] == []
    for wrong in ("None", "nan", "Fraction", "a little keeps"):
        assert re.search(rf"\b{wrong}\b(?! of)", text) is None
    heads = [k for k, line in enumerate(lines) if "between cheapest and most" in line]
    for head in heads:
        rows = lines[head + 1 : lines.index("", head)]
        assert len(rows) == len(set(rows)) <= 9


def test_character_of_the_makers_own(optimiser: Command, brief: Path, tmp_path: Path) -> None:
    """With traits of her own only these are compared, a group of hers among them."""
    own = tmp_path / "own.toml"
    character = "\n[character]\nsolid_fat_20C = 3\nbutter = 2\nlauric_fats = 1\n"
    own.write_text(brief.read_text("utf-8") + character, encoding="utf-8")
    (tmp_path / "prices.csv").write_bytes((FOLDER / "prices.csv").read_bytes())
    found = optimiser.json("substitute", own, *GONE)
    changes = found["closest"]["changes"]
    assert [(c["property"], c["tolerance"]) for c in changes] == [
        ("solid_fat_20C", 3.0),
        ("butter", 2.0),
        ("lauric_fats", 1.0),
    ]
    assert found["closest"]["difference"] <= 1e-9


def test_a_demanded_ingredient_without_a_figure_stays(optimiser: Command, brief: Path) -> None:
    """A formula must have it, so its missing traits are not compared and are told."""
    folder = brief.parent
    columns = "ingredient,kind,solid_fat_20C,solid_fat_32C,free_oil_32C,vitamin_e,linoleic"
    (folder / "own.csv").write_text(f"{columns}\nMeadow oil,oil,0,0,95,20,10\n", "utf-8")
    prices = "ingredient,supplier,pack,price,currency\nMeadow oil,made here,1 kg,9,GBP\n"
    (folder / "more.csv").write_text(prices, "utf-8")
    text = brief.read_text("utf-8")
    for old, new in (
        ('"prices.csv"', '["prices.csv", "more.csv"]'),
        ("[shelf]", '[shelf]\nsheets = ["own.csv"]'),
        ("use = [", 'use = [\n    "Meadow oil",'),
        ("[amounts]", '[amounts]\n"Meadow oil" = { min = 5 }'),
    ):
        assert old in text
        text = text.replace(old, new, 1)
    demanding = folder / "demanding.toml"
    demanding.write_text(text, "utf-8")
    recipe = folder / "recipe.txt"
    recipe.write_text(PASTED, "utf-8")
    found = optimiser.json("substitute", demanding, *GONE, "--from", recipe)
    assert percents(found["closest"])["meadow-oil"] >= 5 - 1e-9
    assert "lauric" in found["not_compared"]
    assert "meadow-oil" not in {left["ingredient"] for left in found["left_out"]}
    printed = optimiser("substitute", demanding, *GONE, "--from", recipe)[1]
    assert "for want of figures of an ingredient that the brief demands" in " ".join(
        printed.split()
    )
