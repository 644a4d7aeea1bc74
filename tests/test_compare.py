"""The command `compare`: formulas side by side."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from formulation_support import ROOT, Command
from openpyxl import load_workbook

FOLDER = ROOT / "examples" / "quillfern"
EXAMPLE = FOLDER / "whipped_hand_butter.toml"
OLD = FOLDER / "old_hand_butter.csv"


@pytest.fixture
def new(optimiser: Command, tmp_path: Path) -> Path:
    """The example's cheapest formula as a file."""
    path = tmp_path / "new.csv"
    assert optimiser("formulate", EXAMPLE, "--out", path)[0] == 0
    return path


def test_each_measures_what_assess_says(optimiser: Command, new: Path) -> None:
    """Cost, properties and missed limits of each are those of assess."""
    found = optimiser.json("compare", OLD, new, "--brief", EXAMPLE)
    for path, formula in zip((OLD, new), found["formulas"], strict=True):
        alone = optimiser.json("assess", EXAMPLE, path)
        assert formula["cost_per_kg"] == alone["cost_per_kg"]
        assert formula["properties"] == alone["properties"]
        missed = [one["limit"] for one in alone["limits"] if one["met"] is False]
        assert sorted(formula["misses"]) == sorted(missed)
    (against,) = found["against_the_first"]
    total = 0.0
    for change in against["changes"]:
        total += abs(change["after"] - change["before"]) / change["tolerance"]
    assert against["difference"] == pytest.approx(total)


def test_the_same_formula_twice_differs_in_nothing(optimiser: Command) -> None:
    """Nothing would be noticed of a formula beside itself."""
    found = optimiser.json("compare", OLD, OLD)
    assert found["against_the_first"][0]["difference"] == 0
    assert "Nothing that would be noticed." in optimiser("compare", OLD, OLD)[1]


def test_without_a_brief_there_are_no_prices(optimiser: Command, new: Path) -> None:
    """Shares and measures stand without a brief; cost and limits do not."""
    code, out, err = optimiser("compare", OLD, new)
    assert (code, err) == (0, "")
    assert "costs" not in out
    assert "cost," not in out
    assert "misses" not in out
    assert max(map(len, out.splitlines())) <= 80
    with_brief = optimiser("compare", OLD, new, "--brief", EXAMPLE)[1]
    assert "11.09" in with_brief
    assert "misses Shea butter, refined at most 30 %" in " ".join(with_brief.split())


def test_the_csv_has_a_column_a_formula(optimiser: Command, new: Path, tmp_path: Path) -> None:
    """Percent of each ingredient, 0 where there is none."""
    path = tmp_path / "both.csv"
    assert optimiser("compare", OLD, new, "--out", path)[0] == 0
    rows = list(csv.DictReader(io.StringIO(path.read_text("utf-8"))))
    for name in (OLD.name, new.name):
        assert sum(float(row[name]) for row in rows) == pytest.approx(100)


def test_rules_unknown_limits_and_what_is_not_allowed(optimiser: Command, tmp_path: Path) -> None:
    """Whole steps count, what cannot be judged is told, and what the brief leaves out."""
    odd = tmp_path / "odd.csv"
    odd.write_text("ingredient,percent\nmango-butter,54.75\ncastor-oil,45.25\n", "utf-8")
    out = " ".join(optimiser("compare", odd, OLD, "--brief", EXAMPLE)[1].split())
    assert "uses what the brief does not allow: Castor oil" in out
    assert "cannot be judged, for want of a figure, on vitamin E" in out
    tin = FOLDER / "market_tin_balm.toml"
    out = " ".join(optimiser("compare", odd, OLD, "--brief", tin)[1].split())
    assert "whole steps" in out


def test_files_of_one_name_are_told_apart(optimiser: Command, new: Path, tmp_path: Path) -> None:
    """Where two files have the same name their folders are told too; five fit the width."""
    other = tmp_path / "march" / "new.csv"
    other.parent.mkdir()
    other.write_bytes(OLD.read_bytes())
    found = optimiser.json("compare", new, other)
    assert [one["name"] for one in found["formulas"]] == [str(new), str(other)]
    out = optimiser("compare", OLD, OLD, OLD, OLD, OLD, "--brief", EXAMPLE)[1]
    assert max(map(len, out.splitlines())) <= 80


def test_mistakes_are_told(optimiser: Command) -> None:
    """One formula is too few, and every file that cannot be read is told."""
    code, _, err = optimiser("compare", OLD)
    assert code == 2
    assert "1 formula; name 2 to 5" in err
    code, _, err = optimiser("compare", "nowhere.csv", OLD, "elsewhere.csv")
    assert code == 2
    assert "nowhere.csv" in err
    assert "elsewhere.csv" in err


def test_the_workbook_has_the_formulas_side_by_side(
    optimiser: Command, new: Path, tmp_path: Path
) -> None:
    """A column a formula, as numbers that add up."""
    path = tmp_path / "both.xlsx"
    assert optimiser("compare", OLD, new, "--brief", EXAMPLE, "--out", path)[0] == 0
    sheet = load_workbook(path)["Formulas"]
    head, *rows = sheet.iter_rows(values_only=True)
    assert head[:3] == ("ingredient", "old_hand_butter.csv (%)", "new.csv (%)")
    for column in (1, 2):
        numbers = [row[column] for row in rows if isinstance(row[column], float)]
        assert sum(numbers) == pytest.approx(100)
