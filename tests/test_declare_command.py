"""The command `declare`: every form, briefs and recipes, and what is refused."""

from __future__ import annotations

import csv
import io
import json
from decimal import Decimal
from pathlib import Path

import pytest
from formulation_support import IMPOSSIBLE, ROOT, Command
from openpyxl import load_workbook

from optimiser.reading import read_request, with_uses
from optimiser.skin import Use

FOLDER = ROOT / "examples" / "quillfern"
EXAMPLE = FOLDER / "citrus_body_butter.toml"
BALM = FOLDER / "market_tin_balm.toml"
RECIPE = "ingredient,percent\nsunflower-oil,89.5\nbeeswax,10\nlavender-oil,0.5\n"
REGIONS = ("eu", "uk", "us")


@pytest.fixture
def recipe(tmp_path: Path) -> Path:
    path = tmp_path / "recipe.csv"
    path.write_text(RECIPE, encoding="utf-8")
    return path


@pytest.mark.parametrize("region", REGIONS)
def test_the_json_has_its_keys(optimiser: Command, region: str) -> None:
    """The keys that scripts rely on, and what adds up to each allergen."""
    found = optimiser.json("declare", EXAMPLE, "--region", region, "--net", "120 g")
    assert found["region"] == region
    assert found["draft"] is True
    assert found["ingredients"].startswith("Ingredients: ")
    assert found["net_weight"] == ("Net Wt 4.2 oz (120 g)" if region == "us" else "120 g")
    for key in ("cautions", "needs", "label_cautions", "notes", "origins", "lines"):
        assert isinstance(found[key], list), key
    assert found["cautions"][: len(found["label_cautions"])] == found["label_cautions"]
    own = [line for line in found["lines"] if line["place"] != "allergen of the scent"]
    assert sum(line["percent"] for line in own) == pytest.approx(100)
    listed = found["ingredients"].removeprefix("Ingredients: ").split(", ")
    assert listed == [line["name"] for line in found["lines"]]
    assert found["allergens"]
    for one in found["allergens"]:
        assert one["percent"] > one["threshold"]
        assert sum(part["percent"] for part in one["sources"]) == pytest.approx(one["percent"])
        assert (one["name"] in listed) == (region != "us")
    for one in found["allergens_below"]:
        assert one["percent"] <= one["threshold"]


def test_a_brief_is_declared_by_its_cheapest_formula(optimiser: Command) -> None:
    """The shares are those of formulate, with and without whole steps."""
    for brief in (EXAMPLE, BALM):
        formula = optimiser.json("formulate", brief)["formula"]
        lines = optimiser.json("declare", brief, "--region", "eu")["lines"]
        shares: dict[str, float] = {}
        for line in lines:
            if line["place"] != "allergen of the scent":
                for part in line["from"]:
                    shares[part["ingredient"]] = shares.get(part["ingredient"], 0) + part["percent"]
        expected = {one["ingredient"]: one["percent"] for one in formula}
        assert shares == pytest.approx(expected)


def test_certificates_and_use_of_a_brief_hold_for_a_recipe(
    optimiser: Command, tmp_path: Path
) -> None:
    """Lemongrass of 78 % citral by its certificate; without the brief the figures on file."""
    path = tmp_path / "recipe.csv"
    path.write_text("ingredient,percent\nsunflower-oil,99.9\nlemongrass-oil,0.1\n", "utf-8")

    def citral(*words: object) -> tuple[float, str]:
        found = optimiser.json("declare", path, "--region", "uk", *words)
        (one,) = (one for one in found["allergens"] if one["name"] == "Citral")
        return one["percent"], one["sources"][0]["status"]

    assert citral("--brief", EXAMPLE) == (pytest.approx(0.078), "own")
    alone, status = citral()
    assert alone > 0.078
    assert status != "own"


def test_the_use_that_is_typed_goes_before_the_briefs(optimiser: Command, tmp_path: Path) -> None:
    """The threshold follows it, and limits on skin that the formula is above are told."""
    path = tmp_path / "recipe.csv"
    path.write_text("ingredient,percent\nsunflower-oil,99\nlemongrass-oil,1\n", "utf-8")
    words = ("declare", path, "--region", "eu", "--brief", EXAMPLE)
    found = optimiser.json(*words, "--use", "body, rinse-off, leaves no film")
    assert {one["threshold"] for one in found["allergens"]} == {0.01}
    assert not any("citral from all sources" in text for text in found["cautions"])
    found = optimiser.json(*words, "--use", "body leave-on", "--use", "lips")
    assert {one["threshold"] for one in found["allergens"]} == {0.001}
    above = [text for text in found["cautions"] if text.startswith("citral from all sources")]
    assert above == ["citral from all sources: 0.78 % is above the 0.11 % of IFRA Standard 021, "
                     "Amendment 49."]  # fmt: skip
    alone = optimiser.json("declare", path, "--region", "eu", "--use", "body, leave-on")
    assert any("citral from all sources" in text for text in alone["cautions"])


def test_own_bounds_on_skin_stay_when_a_use_is_typed(tmp_path: Path) -> None:
    """A maker's own bound goes before the rule of any use; certificates are summed anew."""
    (tmp_path / "prices.csv").write_text("ingredient,pack,price\nsunflower-oil,1 kg,5\n", "utf-8")
    (tmp_path / "paper.csv").write_text(
        "ingredient,category,at_most\nlemongrass-oil,5A,0.2\nlemongrass-oil,1,0.1\n", "utf-8"
    )
    brief = tmp_path / "brief.toml"
    brief.write_text(
        'use = "body, leave-on"\n[costing]\nprices = "prices.csv"\n'
        '[shelf]\ncertificates = "paper.csv"\n[skin]\ncitral = { max = 0.05 }\n',
        "utf-8",
    )
    request = with_uses(read_request(brief, skin=True), (Use.LIPS,))
    bounds = {limit.of: limit.value for limit in request.brief.limits}
    assert bounds["citral"] == Decimal("0.05")
    assert "certificates_1" in bounds
    assert "certificates_5A" not in bounds
    assert bounds["eugenol"] == Decimal("0.45")
    assert request.brief.uses == (Use.LIPS,)


@pytest.mark.parametrize("region", REGIONS)
def test_nothing_is_cleared(optimiser: Command, recipe: Path, tmp_path: Path, region: str) -> None:
    """No form says that a product is safe, lawful or free of something; all of them defer."""
    paths = [tmp_path / f"a{ending}" for ending in (".json", ".md", ".csv", ".html")]
    outs = [word for path in paths for word in ("--out", path)]
    for source in (EXAMPLE, recipe):
        code, out, err = optimiser("declare", source, "--region", region, *outs)
        assert (code, err) == (0, "")
        for text in (out, *(path.read_text("utf-8") for path in paths[:3])):
            low = " ".join(text.casefold().split())
            assert "free" not in low
            assert "complian" not in low
            assert "is safe" not in low.replace("nothing here says that the product is safe", "")
        assert "qualified safety assessor decide" in " ".join(out.split())
        assert max(map(len, out.splitlines())) <= 80
        document = json.loads(paths[0].read_text("utf-8"))
        assert any("qualified safety assessor" in text for text in document["cautions"])


def test_the_csv_has_the_lines(optimiser: Command, recipe: Path, tmp_path: Path) -> None:
    """One name a row, in the order of the label."""
    path = tmp_path / "lines.csv"
    document = optimiser.json("declare", recipe, "--region", "eu", "--out", path)
    rows = list(csv.DictReader(io.StringIO(path.read_text("utf-8"))))
    assert [row["name"] for row in rows] == [line["name"] for line in document["lines"]]
    assert rows[0] == {
        "name": "Helianthus Annuus Seed Oil",
        "percent": "89.5",
        "place": "ordered by weight",
        "from": "sunflower-oil",
    }


def test_the_workbook_has_a_sheet_for_each_table(
    optimiser: Command, recipe: Path, tmp_path: Path
) -> None:
    """The list, the allergens and where they come from, as numbers."""
    path = tmp_path / "label.xlsx"
    document = optimiser.json("declare", recipe, "--region", "eu", "--out", path)
    book = load_workbook(path)
    assert book.sheetnames[:4] == [
        "Answer",
        "List of ingredients",
        "Scent allergens",
        "Where allergens come from",
    ]
    _, *rows = book["Scent allergens"].iter_rows(values_only=True)
    found = {row[0]: row[1] for row in rows if row[0]}
    for one in document["allergens"]:
        assert found[one["name"]] == pytest.approx(one["percent"])


def test_hostile_names_are_inert(optimiser: Command, tmp_path: Path) -> None:
    """Names of an own sheet are text in a page and a workbook, whatever they hold."""
    name = "<script>alert(1)</script>"
    (tmp_path / "prices.csv").write_text("ingredient,pack,price\nsunflower-oil,1 kg,5\n", "utf-8")
    (tmp_path / "own.csv").write_text(
        f'ingredient,inci_name,kind\n{name},"=1+1<b>Oil</b>",oil\n', "utf-8"
    )
    brief = tmp_path / "brief.toml"
    brief.write_text(
        'name = "<img src=x onerror=alert(2)>"\n[costing]\nprices = "prices.csv"\n'
        '[shelf]\nsheets = ["own.csv"]\n',
        "utf-8",
    )
    recipe = tmp_path / "recipe.csv"
    recipe.write_text(f"ingredient,percent\nsunflower-oil,60\n{name},40\n", "utf-8")
    page, book = tmp_path / "page.html", tmp_path / "book.xlsx"
    code, _, err = optimiser(
        "declare", recipe, "--region", "eu", "--brief", brief, "--out", page, "--out", book
    )
    assert (code, err) == (0, "")
    text = page.read_text("utf-8")
    assert "<script>alert" not in text
    assert "<img src=x" not in text
    assert "=1+1&lt;b&gt;Oil&lt;/b&gt;" in text
    cells = [cell for row in load_workbook(book)["List of ingredients"].rows for cell in row]
    assert all(cell.data_type != "f" for cell in cells)
    assert any(cell.value == "=1+1<b>Oil</b>" for cell in cells)


def test_what_cannot_be_met_has_no_label(optimiser: Command, tmp_path: Path) -> None:
    """The explanation of formulate, its exit status, and no file."""
    path = tmp_path / "label.md"
    code, out, err = optimiser("declare", IMPOSSIBLE[0], "--region", "eu", "--out", path)
    assert code == 1
    assert "No formula meets every limit" in out
    assert "there is no formula" in err
    assert not path.exists()
    found = optimiser.json("declare", IMPOSSIBLE[0], "--region", "eu", status=1)
    assert found["status"] == "infeasible"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--region", "fr"), "--region: no such region: fr; write eu, uk or us"),
        (
            ("--region", "eu", "--use", "hair"),
            '--use: no such use: hair; write "body, leave-on", "face, leave-on"',
        ),
        (("--region", "eu", "--net", "120 ml"), "is a volume; write a weight like 120 g"),
        (("--region", "eu", "--net", "much"), '--net: "much" is not a weight'),
        (("--region", "eu", "--net", "0 g"), "is not above 0; write it like 120 g"),
        (("--region", "eu", "--brief", "nowhere.toml"), "nowhere.toml: "),
        (("--region", "eu", "--out", "label.pdf"), "name a file that ends in .json, .csv, .md"),
    ],
)
def test_what_is_wrong_is_said(
    optimiser: Command, recipe: Path, words: tuple[str, ...], says: str
) -> None:
    """Exit status 2, with what to write instead."""
    code, out, err = optimiser("declare", recipe, *words)
    assert (code, out) == (2, "")
    assert says.replace('"', "") in err.replace('"', "")
    assert "Traceback" not in err


def test_several_mistakes_are_told_at_once(optimiser: Command) -> None:
    """Region, use, net weight and a brief beside a brief."""
    code, _, err = optimiser(
        "declare", EXAMPLE, "--region", "x", "--use", "y", "--net", "z", "--brief", BALM
    )
    assert code == 2
    assert len(err.splitlines()) == 4
    code, _, err = optimiser("declare", "nowhere.csv", "--region", "eu")
    assert code == 2
    assert "nowhere.csv" in err
    assert optimiser("declare", EXAMPLE)[0] == 2


def test_allergens_of_a_scent_that_nobody_describes_are_marked_in_the_list(
    tmp_path: Path, optimiser: Command
) -> None:
    """Who copies the label block sees that something is missing; a US list does not name them."""
    (tmp_path / "own.csv").write_text("ingredient,kind\nMeadow accord,fragrance\n")
    (tmp_path / "prices.csv").write_text("ingredient,pack,price\nbeeswax,1 kg,9\n")
    (tmp_path / "brief.toml").write_text(
        '[costing]\nprices = "prices.csv"\n[shelf]\nsheets = ["own.csv"]\n'
    )
    recipe = tmp_path / "recipe.csv"
    recipe.write_text("ingredient,percent\nbeeswax,99\nMeadow accord,1\n")
    words = ("declare", recipe, "--brief", tmp_path / "brief.toml", "--region")
    assert optimiser.json(*words, "eu")["ingredients"].endswith(", [allergens of Meadow accord]")
    assert "[allergens" not in optimiser.json(*words, "us")["ingredients"]


@pytest.mark.parametrize(
    ("inci_name", "is_missing"), [("Hydrated Silica [nano]", False), ("", True)]
)
def test_brackets_of_a_name_are_no_gap(
    optimiser: Command, tmp_path: Path, inci_name: str, is_missing: bool
) -> None:
    """Only what is missing is told as missing, whatever a name has in brackets."""
    (tmp_path / "prices.csv").write_text("ingredient,pack,price\nsunflower-oil,1 kg,5\n", "utf-8")
    (tmp_path / "own.csv").write_text(
        f"ingredient,inci_name,kind\nmy-powder,{inci_name},powder\n", "utf-8"
    )
    brief = tmp_path / "brief.toml"
    brief.write_text(
        'name = "b"\n[costing]\nprices = "prices.csv"\n[shelf]\nsheets = ["own.csv"]\n', "utf-8"
    )
    recipe = tmp_path / "recipe.csv"
    recipe.write_text("ingredient,percent\nsunflower-oil,60\nmy-powder,40\n", "utf-8")
    code, out, err = optimiser("declare", recipe, "--region", "eu", "--brief", brief)
    assert (code, err) == (0, "")
    assert (inci_name or "[INCI name of my-powder]") in out
    assert ("in [brackets] is missing" in out) == is_missing
