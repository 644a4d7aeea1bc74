"""The command `reprice`: options, files, mistakes, and what is printed."""

from __future__ import annotations

import csv
import io
import json
from decimal import Decimal
from pathlib import Path

import pytest
from formulation_support import ROOT, Command

FOLDER = ROOT / "examples" / "quillfern"
EXAMPLE = FOLDER / "whipped_hand_butter.toml"
WEIGHED = FOLDER / "market_tin_balm.toml"
IMPOSSIBLE = FOLDER / "summer_parcel_butter.toml"
RECIPE = FOLDER / "old_hand_butter.csv"
HARVESTS = FOLDER / "harvest_scenarios.csv"


def percents(part: dict) -> dict[str, float]:
    return {one["ingredient"]: one["percent"] for one in part["formula"]}


def test_json_of_changed_prices(optimiser: Command, tmp_path: Path) -> None:
    """The documented keys, and the same formula as formulate finds with that price list."""
    found = optimiser.json("reprice", EXAMPLE, "--price", "cocoa-butter=+50%")
    assert {"today", "changed", "staying_cost_per_kg", "saving_per_kg"} < set(found)
    assert not {"sweep", "scenarios", "uncertain"} & set(found)
    lines = (FOLDER / "prices.csv").read_text("utf-8").splitlines()
    rows = [line.split(",") for line in lines]
    for cells in rows:
        if cells[0] == "cocoa-butter":
            cells[3] = str(Decimal(cells[3]) * Decimal("1.5"))
            cells[5] = str(Decimal(cells[5]) * Decimal("1.5"))
    dearer = tmp_path / "prices.csv"
    dearer.write_text("\n".join(",".join(cells) for cells in rows), "utf-8")
    brief = tmp_path / "brief.toml"
    brief.write_bytes(EXAMPLE.read_bytes())
    fresh = optimiser.json("formulate", brief)
    assert percents(found["changed"]) == percents(fresh)
    assert found["changed"]["cost_per_kg"] == fresh["cost_per_kg"]
    again = optimiser.json("reprice", EXAMPLE, "--prices", dearer)
    assert again["changed"] == found["changed"]
    assert again["staying_cost_per_kg"] == found["staying_cost_per_kg"]
    saved = found["staying_cost_per_kg"] - found["changed"]["cost_per_kg"]
    assert found["saving_per_kg"] == pytest.approx(saved)


def test_json_of_a_sweep(optimiser: Command) -> None:
    """Pieces with the documented keys; today's price lies in the piece of today's formula."""
    found = optimiser.json("reprice", EXAMPLE, "--sweep", "Cocoa butter")
    pieces = found["sweep"]["pieces"]
    keys = {"from", "to", "percent", "cost_at_from", "cost_at_to", "formula"}
    assert all(keys < set(piece) for piece in pieces)
    today = found["sweep"]["price_today"]
    (here,) = [piece for piece in pieces if piece["from"] <= today <= piece["to"]]
    assert percents(here) == percents(found["today"])
    assert (pieces[0]["from"], pieces[-1]["to"]) == (0, pytest.approx(3 * today))
    narrow = optimiser.json("reprice", EXAMPLE, "--sweep", "cocoa-butter", "--from", 12, "--to", 20)
    assert len(narrow["sweep"]["pieces"]) == 1


def test_json_of_scenarios_and_uncertain_prices(optimiser: Command) -> None:
    """The documented keys; the same seed says the same, another something else."""
    words = ("reprice", EXAMPLE, "--spread", "15%", "--draws", 3000, "--at-most", 2)
    found = optimiser.json(*words)
    scenarios = found["scenarios"]
    assert scenarios["count"] == 3000
    assert {"mean", "p05", "p50", "p95"} < set(scenarios["cost_per_kg"])
    assert {"mean", "p95", "max"} < set(scenarios["regret_per_kg"])
    keys = {"ingredient", "used_in", "percent_low", "percent_high"}
    assert all(set(one) == keys for one in scenarios["ingredients"])
    assert {"formula", "worst_cost_per_kg", "price_of_caution_per_kg"} < set(found["uncertain"])
    assert optimiser.json(*words) == found
    assert optimiser.json(*words, "--seed", 9)["scenarios"] != scenarios


def test_the_brief_says_how_far_prices_move(optimiser: Command, tmp_path: Path) -> None:
    """`[price_spread]`: an ingredient before its group before its kind, --spread for the rest."""
    brief = tmp_path / "brief.toml"
    brief.write_text(
        EXAMPLE.read_text("utf-8")
        + '\n[price_spread]\nbutter = 10\n"cocoa-butter" = 40\nlauric_fats = 5\n',
        "utf-8",
    )
    (tmp_path / "prices.csv").write_bytes((FOLDER / "prices.csv").read_bytes())
    found = optimiser.json("reprice", brief, "--draws", 10, "--spread", "20%")
    spreads = found["scenarios"]["spread_percent"]
    assert spreads["cocoa-butter"] == 40
    assert spreads["mango-butter"] == 10
    assert spreads["coconut-oil"] == 5  # a group of the brief; the kind is butter
    assert spreads["beeswax"] == 20
    alone = optimiser.json("reprice", brief, "--draws", 10)["scenarios"]["spread_percent"]
    assert alone["beeswax"] == 0


def test_the_cost_limit_alone_is_passed(optimiser: Command, tmp_path: Path) -> None:
    """Where only the limit on the cost cannot be kept, the formula without it is shown."""
    brief = tmp_path / "brief.toml"
    text = EXAMPLE.read_text("utf-8").replace("[properties]", "[properties]\ncost = { max = 14 }")
    brief.write_text(text, "utf-8")
    (tmp_path / "prices.csv").write_bytes((FOLDER / "prices.csv").read_bytes())
    words = ("reprice", brief, "--price", "cocoa-butter=+25%")
    found = optimiser.json(*words, status=1)["changed"]
    assert found["status"] == "infeasible"
    free = optimiser.json("reprice", EXAMPLE, "--price", "cocoa-butter=+25%")["changed"]
    assert percents(found["without_cost_limit"]) == percents(free)
    code, out, _ = optimiser(*words)
    assert code == 1
    assert "no formula keeps to the limit of 14.00 GBP per kg" in out
    assert "14.94" in out


def test_what_changes_in_vain_is_said(optimiser: Command) -> None:
    """A price of what may not be used changes nothing, and why is told."""
    for name, why in (("kokum-butter", "nobody gives its vitamin_e"), ("castor-oil", "leave_out")):
        code, out, _ = optimiser("reprice", EXAMPLE, "--price", f"{name}=2")
        assert code == 0
        assert why in out


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 0, 1), (1, 2, 0)])
def test_an_ingredients_own_change_settles_its_groups(
    optimiser: Command, tmp_path: Path, order: tuple[int, ...]
) -> None:
    """Two groups may disagree about an ingredient that has a change of its own, in any order."""
    brief = tmp_path / "brief.toml"
    groups = '[groups]\nsoft = ["coconut-oil", "sunflower-oil"]\n'
    brief.write_text(EXAMPLE.read_text("utf-8").replace("[groups]\n", groups), "utf-8")
    (tmp_path / "prices.csv").write_bytes((FOLDER / "prices.csv").read_bytes())
    said = ("lauric_fats=+10%", "soft=+20%", "coconut-oil=+5%")
    words = [word for k in order for word in ("--price", said[k])]
    assert optimiser("reprice", brief, *words)[0] == 0
    assert optimiser("reprice", brief, "--price", said[0], "--price", said[1])[0] == 2


def test_allergens_newly_in_are_told(optimiser: Command) -> None:
    """A new ingredient with an allergen note is watched, as after a substitution."""
    out = optimiser("reprice", EXAMPLE, "--price", "mango-butter=8")[1]
    assert "newly in, Mango butter" in out
    assert "no longer in, Shea butter" in out


def test_short_tables_are_told_row_by_row(optimiser: Command) -> None:
    """Every scenario of a short table by its own name, as a fresh brief would cost it."""
    words = ("reprice", EXAMPLE, "--scenarios", HARVESTS)
    rows = optimiser.json(*words)["scenarios"]["each"]
    assert [row["scenario"] for row in rows][:2] == ["as it is", "dry year in the west"]
    again = optimiser.json(
        "reprice", EXAMPLE, "--price", "cocoa-butter=24", "--price", "shea-butter-refined=10.4",
        "--price", "mango-butter=16.9", "--price", "coconut-oil=6.46",
        "--price", "sunflower-oil=4.94",
    )  # fmt: skip
    assert rows[1]["cost_per_kg"] == pytest.approx(again["changed"]["cost_per_kg"], rel=1e-9)
    assert rows[1]["staying_cost_per_kg"] == pytest.approx(again["staying_cost_per_kg"], rel=1e-9)
    assert "dry year in the west" in optimiser(*words)[1]


def test_a_recipe_that_misses_the_brief_is_no_rival(optimiser: Command) -> None:
    """Its cost is told, but it is neither called the cheapest nor worth having at hand."""
    words = ("reprice", EXAMPLE, "--in-use", RECIPE, "--spread", "10%", "--draws", 500)
    found = optimiser.json(*words)
    assert len(found["today"]["misses"]) > 3
    assert found["scenarios"]["regret_per_kg"] is None
    assert found["scenarios"]["stays_cheapest_in"] is None
    assert not any(kept["is_today"] for kept in found["scenarios"]["kept"])
    out = optimiser(*words)[1]
    assert "does not compare like with like" in " ".join(out.split())
    assert "is the cheapest in" not in out


def test_a_recipe_in_use_is_compared(optimiser: Command) -> None:
    """Staying is then with the recipe, not with the cheapest formula."""
    found = optimiser.json("reprice", EXAMPLE, "--price", "cocoa-butter=30", "--in-use", RECIPE)
    assert found["today"]["is_recipe"]
    assert "sweet-almond-oil" in percents(found["today"])
    assert found["staying_cost_per_kg"] > found["today"]["cost_per_kg"]


def test_weighed_formulas_at_changed_prices(optimiser: Command) -> None:
    """Changed prices are weighed anew; what is not, is said."""
    code, out, _ = optimiser(
        "reprice", WEIGHED, "--price", "coconut-oil=+20%", "--sweep", "coconut-oil"
    )
    assert code == 0
    assert "Shares of any size" in out
    found = optimiser.json("reprice", WEIGHED, "--price", "coconut-oil=+20%")
    for name, percent in percents(found["changed"]).items():
        steps = percent / (0.1 if name in ("lavender-oil", "mixed-tocopherols-70") else 0.5)
        assert steps == pytest.approx(round(steps)), name
    assert found["remarks"] == []


def test_an_impossible_brief_has_status_1(optimiser: Command) -> None:
    """Nothing that was asked has a formula; the answer names the conflict."""
    code, out, _ = optimiser("reprice", IMPOSSIBLE, "--price", "cocoa-butter=+5%")
    assert code == 1
    assert "no formula meets every limit" in out
    found = optimiser.json("reprice", IMPOSSIBLE, "--price", "cocoa-butter=+5%", status=1)
    assert found["changed"]["status"] == "infeasible"
    assert found["changed"]["conflict"]


def test_files_in_every_form(optimiser: Command, tmp_path: Path) -> None:
    """One answer as JSON, Markdown and CSV; the CSV of a change is a formula to read again."""
    out = [tmp_path / f"answer.{ending}" for ending in ("json", "md", "csv")]
    words = [word for path in out for word in ("--out", path)]
    assert optimiser("reprice", EXAMPLE, "--price", "cocoa-butter=30", *words)[0] == 0
    document = json.loads(out[0].read_text("utf-8"))
    assert out[1].read_text("utf-8").startswith("# Quillfern whipped hand butter")
    rows = list(csv.DictReader(io.StringIO(out[2].read_text("utf-8"))))
    assert {row["ingredient"] for row in rows} == set(percents(document["changed"]))
    assert sum(float(row["percent"]) for row in rows) == pytest.approx(100)
    sweep = tmp_path / "sweep.csv"
    assert optimiser("reprice", EXAMPLE, "--sweep", "cocoa-butter", "--out", sweep)[0] == 0
    for row in csv.DictReader(io.StringIO(sweep.read_text("utf-8"))):
        shares = [float(value) for name, value in row.items() if "-" in name]
        assert sum(shares) == pytest.approx(100)


def test_several_tables_do_not_fit_one_csv(optimiser: Command, tmp_path: Path) -> None:
    """Where several parts were asked for a CSV is refused and nothing is written."""
    path = tmp_path / "answer.csv"
    words = ("--price", "cocoa-butter=30", "--sweep", "cocoa-butter", "--out", path)
    code, _, err = optimiser("reprice", EXAMPLE, *words)
    assert code == 2
    assert "a .csv holds one table" in err
    assert not path.exists()


PRICE = "write NAME=12.40 for a price per kg, or NAME=+10% for a change"

MISTAKES = {
    "nothing": ((), "reprice: say what is to change"),
    "price-no-value": (("--price", "cocoa-butter"), f"not a change of a price; {PRICE}"),
    "price-no-sign": (("--price", "cocoa-butter=10%"), "write +10% or -10%"),
    "price-two-signs": (("--price", "beeswax=+-5%"), "has two signs"),
    "price-no-percent": (("--price", "cocoa-butter=+5"), "lacks its percent sign"),
    "price-unknown": (("--price", "coco=3"), "no such kind, group or ingredient"),
    "price-of-a-kind": (("--price", "butter=12"), "one price for many ingredients"),
    "price-twice": (
        ("--price", "beeswax=1", "--price", "Beeswax=2"),
        "beeswax is changed twice; keep one",
    ),
    "price-negative": (("--price", "beeswax=-3"), "lacks its percent sign"),
    "price-too-far": (("--price", "beeswax=-101%"), "a change beyond -100% or +1000%"),
    "price-two-ways": (("--price", "beeswax=1,234"), "can be read in two ways"),
    "price-in-a-currency": (("--price", "beeswax=$3"), "is in another currency than the brief"),
    "no-price-today": (("--price", "laurel-oil=+3%"), "laurel-oil"),
    "two-sweeps": (("--sweep", "beeswax", "--sweep-limit", "x"), "one sweep at a time"),
    "from-alone": (("--from", "3", "--spread", "5"), "--from: it belongs to a sweep"),
    "ends-swapped": (
        ("--sweep", "cocoa-butter", "--from", "9", "--to", "3"),
        "from 9 to 3 is nowhere to go; write the lower one first",
    ),
    "sweep-twice": (("--sweep", "beeswax", "--sweep", "cocoa-butter"), "one at a time"),
    "sweep-a-kind": (("--sweep", "oil"), "a kind or a group; sweep the price of one"),
    "spread-two-ways": (("--spread", "0.15"), "write 0.15% or 15.00%"),
    "sweep-unknown": (("--sweep", "beeswx"), "no such ingredient; nearest: beeswax"),
    "sweep-not-on-shelf": (
        ("--sweep", "castor-oil"),
        "nothing: it stands under shelf.leave_out",
    ),
    "sweep-without-price": (
        ("--sweep", "tucuma-butter"),
        "nothing: it has no price",
    ),
    "limit-unknown": (("--sweep-limit", "totals.powdr.max"), "there is totals.powder.max"),
    "limit-two-sides": (("--sweep-limit", "totals.powder"), "it has several sides"),
    "spread-nothing": (("--spread", "0"), "0 is not above 0 and up to 300%"),
    "spread-no-number": (("--spread", "much"), "is not a number"),
    "spread-odd": (("--spread", "1_5"), "is not a number"),
    "sweep-from-nothing": (
        ("--price", "beeswax=0", "--sweep", "beeswax"),
        "its price is 0 today, so say how far the sweep goes",
    ),
    "out-twice": (("--spread", "5", "--out", "a.md", "--out", "./a.md"), "named twice"),
    "draws-without": (("--draws", "5"), "how far may prices move?"),
    "draws-too-many": (("--spread", "5", "--draws", "99999999"), "is not from 1 to 10,000,000"),
    "seed-alone": (("--sweep", "beeswax", "--seed", "3"), "--seed: it belongs to --spread"),
    "together-too-much": (("--spread", "5", "--together", "2"), "2 is not from 0"),
    "at-most-without": (("--at-most", "2"), "how far may prices move?"),
    "two-sources": (
        ("--spread", "5", "--scenarios", str(HARVESTS)),
        "--spread: --scenarios brings its own prices",
    ),
    "no-file": (("--scenarios", "nowhere.csv"), 'there is no file "nowhere.csv"'),
    "no-list": (("--prices", "nowhere.csv"), 'there is no file "nowhere.csv"'),
    "over-the-scenarios": (
        ("--scenarios", str(HARVESTS), "--out", str(HARVESTS)),
        "this file was read for the answer",
    ),
}


@pytest.mark.parametrize("name", MISTAKES)
def test_mistakes_are_told(optimiser: Command, name: str) -> None:
    """Status 2, nothing on standard output, one line that says what to write instead."""
    words, said = MISTAKES[name]
    code, out, err = optimiser("reprice", EXAMPLE, *words)
    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err


TABLES = {
    "semicolons": (
        "scenario;Cocoa butter;beeswax\na;12,50;9\nb;£ 20,00;8\n",
        {"cocoa-butter": [12.5, 20.0], "beeswax": [9.0, 8.0]},
    ),
    "blank-rows": ("cocoa-butter,beeswax\n1,2\n,\n3,4\n", {"beeswax": [2.0, 4.0]}),
    "blank-cell": (
        "cocoa-butter,beeswax\n1,\n",
        "no price in this scenario",
    ),
    "negative": ("cocoa-butter\n-1\n", "less than 0; write 0 or more"),
    "twice": (
        "cocoa-butter,Cocoa mass butter,Theobroma Cacao Seed Butter\n1,2,3\n",
        "the same ingredient as",
    ),
    "unknown": ("cocoa-buter\n1\n", "no such ingredient; nearest: cocoa-butter; a column of names"),
    "no-rows": ("cocoa-butter\n", "no rows below the headings"),
    "totals": ("scenario,beeswax\na,1\nTotal,1\n", '"Total" sums up the others'),
    "sum-in-german": ("scenario,beeswax\na,1\nSumme,1\n", '"Summe" sums up the others'),
    "grand-total": ("scenario,beeswax\na,1\nGrand total:,1\n", "sums up the others"),
    "no-prices": ("scenario\na\n", "no column is headed by an ingredient"),
    "dollars": ("cocoa-butter\n$20\n", "$ where the brief costs in GBP"),
    "empty": ("", "nothing stands in it; the first row must name the columns"),
    "words": ("cocoa-butter\nmuch\n", '"much" is not a number'),
}


@pytest.mark.parametrize("name", TABLES)
def test_tables_of_scenarios(optimiser: Command, tmp_path: Path, name: str) -> None:
    """Spreadsheet habits are read as meant; what is wrong is told with its place."""
    text, expected = TABLES[name]
    path = tmp_path / "table.csv"
    path.write_text(text, "utf-8")
    if isinstance(expected, str):
        code, out, err = optimiser("reprice", EXAMPLE, "--scenarios", path)
        assert (code, out) == (2, "")
        assert expected in err
        assert err.startswith("table.csv")
        return
    from optimiser.reading import read_book, read_scenarios

    found = read_scenarios(path, read_book()).prices
    for ingredient, prices in expected.items():
        assert [float(price) for price in found[ingredient]] == prices
    assert optimiser.json("reprice", EXAMPLE, "--scenarios", path)["scenarios"]["count"] == 2


SPREADS = {
    "unknown": ("coco = 3", "no such kind, group or ingredient"),
    "too-wide": ("butter = 301", "301 is not from 0 to 300 percent"),
    "text": ('butter = "30%"', "price_spread.butter"),
    "negative": ("butter = -3", "-3 is not from 0 to 300 percent"),
    "twice": ('beeswax = 3\n"Beeswax" = 4', "beeswax stands here already"),
    "two-groups": ("nut_oils = 3\nalmonds = 4", "sweet-almond-oil is in nut_oils too"),
}


@pytest.mark.parametrize("name", SPREADS)
def test_mistakes_in_spreads(optimiser: Command, tmp_path: Path, name: str) -> None:
    """The table `price_spread` is checked like any other."""
    text, said = SPREADS[name]
    brief = tmp_path / "brief.toml"
    groups = '[groups]\nalmonds = ["sweet-almond-oil"]\n'
    whole = EXAMPLE.read_text("utf-8").replace("[groups]\n", groups)
    brief.write_text(f"{whole}\n[price_spread]\n{text}\n", "utf-8")
    (tmp_path / "prices.csv").write_bytes((FOLDER / "prices.csv").read_bytes())
    code, out, err = optimiser("formulate", brief)
    assert (code, out) == (2, "")
    assert said in err


def test_lines_fit_the_terminal(optimiser: Command) -> None:
    """No line is longer than 80 columns, and nothing is left that only a programme reads."""
    for words in (
        ("--price", "cocoa-butter=+30%", "--price", "oil=-5%"),
        ("--sweep", "cocoa-butter"),
        ("--sweep-limit", "properties.solid_fat_32C.max"),
        ("--spread", "20%", "--draws", 2000, "--at-most", 2),
        ("--scenarios", HARVESTS),
    ):
        code, out, err = optimiser("reprice", EXAMPLE, *words)
        assert (code, err) == (0, "")
        assert max(map(len, out.splitlines())) <= 80, words
        assert "Fraction" not in out
        assert "nan" not in out.split()
