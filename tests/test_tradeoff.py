"""The command `tradeoff`: corners against fresh briefs, options, mistakes and print."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from formulation_support import ROOT, Command
from openpyxl import load_workbook

FOLDER = ROOT / "examples" / "quillfern"
EXAMPLE = FOLDER / "whipped_hand_butter.toml"


def brief_with(tmp_path: Path, old: str, new: str) -> Path:
    """The example brief with one line changed."""
    text = EXAMPLE.read_text("utf-8")
    assert old in text
    path = tmp_path / "brief.toml"
    path.write_text(text.replace(old, new), "utf-8")
    (tmp_path / "prices.csv").write_bytes((FOLDER / "prices.csv").read_bytes())
    return path


def test_json_has_the_promised_keys(optimiser: Command) -> None:
    """Corners in rising order, slopes in between, shares that add up."""
    found = optimiser.json("tradeoff", EXAMPLE, "cost", "free_oil_32C")
    assert (found["one"], found["other"]) == ("cost", "free_oil_32C")
    others = [corner["other"] for corner in found["corners"]]
    assert others == sorted(others)
    assert all({"one", "other", "formula"} < set(corner) for corner in found["corners"])
    assert all(set(slope) == {"from", "to", "per_unit"} for slope in found["slopes"])
    for corner in found["corners"]:
        assert sum(share["percent"] for share in corner["formula"]) == pytest.approx(100)
    for slope, left, right in zip(
        found["slopes"], found["corners"], found["corners"][1:], strict=False
    ):
        rise = (right["one"] - left["one"]) / (right["other"] - left["other"])
        assert slope["per_unit"] == pytest.approx(rise, rel=1e-6)
    assert found["limits_aside"] == ["properties.free_oil_32C.max"]


def test_the_brief_itself_lies_on_the_line(optimiser: Command, tmp_path: Path) -> None:
    """With the limit at a level between two corners formulate finds just that cost."""
    found = optimiser.json("tradeoff", EXAMPLE, "cost", "free_oil_32C")
    left, right = found["corners"][2:4]
    middle = round((left["other"] + right["other"]) / 2, 3)
    line = "free_oil_32C  = { max = 80 }"
    moved = brief_with(tmp_path, line, f"free_oil_32C = {{ max = {middle} }}")
    fresh = optimiser.json("formulate", moved)["cost_per_kg"]
    part = (middle - left["other"]) / (right["other"] - left["other"])
    assert fresh == pytest.approx(left["one"] + part * (right["one"] - left["one"]), rel=1e-9)
    stands = found["stands_at"]
    today = optimiser.json("formulate", EXAMPLE)
    assert stands["one"] == pytest.approx(today["cost_per_kg"])
    assert stands["other"] == pytest.approx(today["properties"]["free_oil_32C"]["value"])


def test_means_over_the_fat_against_each_other(optimiser: Command) -> None:
    """Two quotients: every corner measures what it says."""
    found = optimiser.json("tradeoff", EXAMPLE, "solid_fat_32C", "solid_fat_20C")
    assert found["best"] == "least"
    assert len(found["corners"]) > 2
    least = min(corner["one"] for corner in found["corners"])
    assert least < found["stands_at"]["one"]


def test_the_most_of_what_is_wanted(optimiser: Command) -> None:
    """For each cost the most vitamin E; never falling with the cost up to the most of all."""
    found = optimiser.json("tradeoff", EXAMPLE, "vitamin_e", "cost", "--most")
    assert found["best"] == "most"
    values = [corner["one"] for corner in found["corners"]]
    top = values.index(max(values))
    assert values[: top + 1] == sorted(values[: top + 1])


@pytest.mark.parametrize(
    ("one", "other", "said"),
    [
        ("vitamin_e", "cost", "is the most or the least of it best?"),
        ("cost", "cost", "the same quantity twice"),
        ("cost", "vitamin", "nearest: vitamin_e"),
        ("cost", "butter:oil:wax", "a ratio has two sides"),
        ("cost", "butter:nothing", "no such kind, group or ingredient"),
        ("zzz", "cost", "no such property, kind, group or ingredient"),
    ],
)
def test_mistakes_are_told(optimiser: Command, one: str, other: str, said: str) -> None:
    """Status 2 and one line that says what to write instead."""
    code, out, err = optimiser("tradeoff", EXAMPLE, one, other)
    assert (code, out) == (2, "")
    assert said in err


def test_an_impossible_brief_says_why(optimiser: Command) -> None:
    """Where the other limits cannot be met the answer names them, with status 1."""
    words = ("tradeoff", FOLDER / "summer_parcel_butter.toml", "cost", "free_oil_32C")
    code, out, err = optimiser(*words)
    assert (code, err) == (1, "")
    assert "cannot be met together" in out
    found = optimiser.json(*words, status=1)
    assert found["status"] == "infeasible"
    keys = {one["limit"] for one in found["conflict"]}
    assert keys
    assert not keys & {"properties.cost.max", "properties.free_oil_32C.max"}


def test_an_impossible_brief_tells_how_it_was_read(optimiser: Command, tmp_path: Path) -> None:
    """A likely fraction is told where it leaves no formula, in words and as JSON."""
    brief = tmp_path / "brief.toml"
    brief.write_text(BARE + "[totals]\nbutter = 0.6\noil = { max = 10 }\nwax = 5\npowder = 5\n")
    (tmp_path / "prices.csv").write_bytes((FOLDER / "prices.csv").read_bytes())
    told = "brief.toml:7: butter 0.6 is 0.6 %; write 60 if 60 % is meant"
    code, out, _ = optimiser("tradeoff", brief, "cost", "free_oil_32C")
    assert code == 1
    assert told in " ".join(out.split())
    document = optimiser.json("tradeoff", brief, "cost", "free_oil_32C", status=1)
    assert told in document["remarks"]


def test_what_may_not_be_used_is_told(optimiser: Command) -> None:
    """The share of an ingredient that the brief leaves out cannot be traded."""
    code, _, err = optimiser("tradeoff", EXAMPLE, "cost", "castor-oil")
    assert code == 2
    assert "there is none of it in this brief: it stands under shelf.leave_out" in err


BARE = """\
[costing]
prices = "prices.csv"

[shelf]
use = ["shea-butter-refined", "cocoa-butter", "sunflower-oil", "beeswax", "corn-starch"]
"""


@pytest.mark.parametrize("pair", [("cost", "butter:oil"), ("cost", "solid_fat_20C")])
def test_what_may_have_nothing_below_is_refused(
    optimiser: Command, tmp_path: Path, pair: tuple[str, str]
) -> None:
    """A ratio to oils that may all be absent has no end, and a mean over no fat no level."""
    brief = tmp_path / "brief.toml"
    brief.write_text(BARE, "utf-8")
    (tmp_path / "prices.csv").write_bytes((FOLDER / "prices.csv").read_bytes())
    code, out, err = optimiser("tradeoff", brief, *pair)
    assert (code, out) == (2, "")
    assert err.startswith(f'"{pair[1]}": there is no trade-off over all formulas')
    assert optimiser("tradeoff", brief, "cost", "vitamin_e")[0] == 0


def test_a_reversed_ratio_is_the_same_quantity(optimiser: Command) -> None:
    """A limit on butter to oil is left aside where oil to butter is asked for."""
    found = optimiser.json("tradeoff", EXAMPLE, "cost", "oil:butter")
    assert sorted(found["limits_aside"]) == ['ratios."butter:oil".max', 'ratios."butter:oil".min']


def test_between_printed_formulas_lies_their_mixture(optimiser: Command, tmp_path: Path) -> None:
    """Where a level has two best formulas both are printed, in text as in JSON."""
    words = ("tradeoff", FOLDER / "winter_set_butter.toml", "wax", "solid_fat_20C", "--most")
    found = optimiser.json(*words)
    levels = [corner["other"] for corner in found["corners"]]
    assert len(set(levels)) < len(levels)


def test_print_and_files(optimiser: Command, tmp_path: Path) -> None:
    """At most 80 columns; the CSV has a row a corner; whole steps are said not to count."""
    code, out, err = optimiser("tradeoff", EXAMPLE, "cost", "butter:oil")
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 80
    assert "left aside" in " ".join(out.split())
    path = tmp_path / "corners.csv"
    assert optimiser("tradeoff", EXAMPLE, "cost", "vitamin_e", "--out", path)[0] == 0
    rows = list(csv.DictReader(io.StringIO(path.read_text("utf-8"))))
    assert list(rows[0])[:2] == ["vitamin_e", "cost"]
    for row in rows:
        shares = [float(v) for name, v in row.items() if name not in ("cost", "vitamin_e")]
        assert sum(shares) == pytest.approx(100)
    weighed = optimiser("tradeoff", FOLDER / "market_tin_balm.toml", "cost", "vitamin_e")[1]
    assert "in shares of any size" in " ".join(weighed.split())


def test_the_workbook_gives_the_numbers_back(optimiser: Command, tmp_path: Path) -> None:
    """Levels, costs and shares of every corner as numbers."""
    path = tmp_path / "corners.xlsx"
    assert optimiser("tradeoff", EXAMPLE, "cost", "free_oil_32C", "--out", path)[0] == 0
    found = optimiser.json("tradeoff", EXAMPLE, "cost", "free_oil_32C")
    sheet = load_workbook(path)["Corners"]
    rows = list(sheet.iter_rows(values_only=True))
    assert rows[0][:2] == ("free oil at 32 C (%)", "cost (GBP per kg)")
    assert [row[:2] for row in rows[1:]] == [
        (corner["other"], corner["one"]) for corner in found["corners"]
    ]
    for row in rows[1:]:
        assert sum(row[2:]) == pytest.approx(100)
