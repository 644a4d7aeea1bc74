"""Answers as workbooks: every number that the JSON has, as a number, and hostile text inert."""

from __future__ import annotations

import builtins
import io
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from earlier import EARLIER
from formulation_support import ANSWERED, ROOT, Command
from openpyxl import load_workbook
from workbook_support import TOGETHER, column, read, rows, words

from optimiser.present.page import Page, Paragraph, Section
from optimiser.present.sheet_cells import storable
from optimiser.present.workbook import workbook_bytes
from optimiser.reading import read_book
from optimiser.tables.frame import Column, Holds, table

FOLDER = ROOT / "examples" / "quillfern"
BRIEF = FOLDER / "whipped_hand_butter.toml"
WEIGHED = FOLDER / "market_tin_balm.toml"
IMPOSSIBLE = FOLDER / "summer_parcel_butter.toml"
RECIPE = FOLDER / "old_hand_butter.csv"
HARVESTS = FOLDER / "harvest_scenarios.csv"

MONEY = "GBP per kg"
NAMES = {name: one.common_name for name, one in read_book().ingredients.items()}


def shares(formula: list[dict[str, Any]]) -> dict[str, float]:
    return {NAMES[one["ingredient"]]: one["percent"] for one in formula}


def side(found: list[dict[str, Any]], heading: str) -> dict[str, float]:
    """One formula of a sheet of several, without what it has none of."""
    return {row["ingredient"]: row[heading] for row in found if row[heading]}


class Asked:
    """A command run with a workbook and JSON at once."""

    def __init__(self, command: Command, folder: Path, *asked: object) -> None:
        path = folder / "book.xlsx"
        self.json = command.json(*asked, "--out", path, status=None)
        self.book = read(path)

    def column(self, title: str, heading: str) -> list[Any]:
        return column(self.book, title, heading)

    def rows(self, title: str) -> list[dict[str, Any]]:
        return rows(self.book, title)


@pytest.mark.parametrize("brief", ANSWERED, ids=lambda path: path.stem)
def test_a_formula(brief: Path, optimiser: Command, tmp_path: Path) -> None:
    """Formula, totals, measures and limits are the numbers of the JSON, to the last digit."""
    asked = Asked(optimiser, tmp_path, "formulate", brief)
    formula = asked.json["formula"]
    found = asked.rows("Formula")
    for row, line in zip(found, formula, strict=True):
        assert row["ingredient"] == NAMES.get(line["ingredient"], row["ingredient"])
        assert row["percent"] == line["percent"]
        assert row[f"price ({MONEY})"] == line["price_per_kg"]
        assert row["part of the cost when answered"] == line["cost_share"]
    totals = {row["kinds, groups and ratios"]: row["amount"] for row in asked.rows("Totals")}
    assert totals == asked.json["totals"] | asked.json["ratios"]
    levels = list(asked.json["properties"].values())
    for heading in ("value", "low", "high", "unit"):
        cells = asked.column("What it measures", heading)
        assert cells == [None if level[heading] == "" else level[heading] for level in levels]
    limits = asked.json["active_limits"]
    for heading, key in (
        ("where the brief says it", "limit"),
        ("bound", "bound"),
        ("unit", "unit"),
        (f"each unit more costs ({MONEY})", "cost_per_unit"),
        (f"each unit less costs ({MONEY})", "cost_per_unit_down"),
        ("until", "holds_to"),
        ("down to", "holds_from"),
    ):
        cells = [cell or None for cell in asked.column("What holds it there", heading)]
        assert cells == [limit[key] or None for limit in limits]
    said = words(asked.book)
    assert said[0] == asked.json["brief"]
    assert any(f"{asked.json['cost_per_kg']:.2f} {MONEY}" in line for line in said)
    assert set(asked.json["cautions"]) <= set(said)
    assert set(asked.json["remarks"]) <= set(said)


def test_prices_that_keep_the_formula(optimiser: Command, tmp_path: Path) -> None:
    """Ranges of prices for what is used and what is not, and who was left out."""
    asked = Asked(optimiser, tmp_path, "formulate", BRIEF)
    for title, key, ends in (
        ("Prices, used", "used", {"stays_from": "the formula stays from", "stays_to": "the form"}),
        ("Prices, not used", "unused", {"enters_below": "it would come in below"}),
    ):
        found = asked.rows(title)
        for row, line in zip(found, asked.json[key], strict=True):
            assert row["ingredient"] == NAMES[line["ingredient"]]
            assert list(row.values())[1:] == [line["price_per_kg"], *(line[end] for end in ends)]
    assert asked.column("Left out", "ingredient") == [
        NAMES[line["ingredient"]] for line in asked.json["left_out"]
    ]


def test_sums_are_formulas(optimiser: Command, tmp_path: Path) -> None:
    """Sum and cost go on working when a share or a price is changed."""
    asked = Asked(optimiser, tmp_path, "formulate", BRIEF)
    sheet = asked.book["Formula"]
    last = sheet[sheet.max_row]
    n = sheet.max_row - 1
    assert last[0].value == TOGETHER
    assert last[2].value == f"=SUM(C2:C{n})"
    assert last[3].value == (
        f'=IF(OR(SUMPRODUCT((C2:C{n}>0)*(D2:D{n}=""))>0,SUM(C2:C{n})=0),"",'
        f"SUMPRODUCT(C2:C{n},D2:D{n})/SUM(C2:C{n}))"
    )
    assert last[2].number_format == sheet["C2"].number_format == "0.00"
    assert last[3].number_format == "0.00"


def test_its_formula_is_a_recipe(optimiser: Command, tmp_path: Path) -> None:
    """The workbook itself can be held against the brief again."""
    path = tmp_path / "book.xlsx"
    answer = optimiser.json("formulate", BRIEF, "--out", path)
    again = optimiser.json("assess", BRIEF, path)
    assert again["meets"]
    assert again["cost_per_kg"] == pytest.approx(answer["cost_per_kg"])


def test_steps_show_their_decimals(optimiser: Command, tmp_path: Path) -> None:
    """A weighable formula is shown in full, and its word on the proof is there."""
    asked = Asked(optimiser, tmp_path, "formulate", WEIGHED)
    assert asked.column("Formula", "percent") == [p["percent"] for p in asked.json["formula"]]
    assert any("as weighed" in line for line in words(asked.book))
    assert not {"Prices, used", "Prices, not used"} & set(asked.book.sheetnames)


def test_an_impossible_brief(optimiser: Command, tmp_path: Path) -> None:
    """Conflicts, ways out and the smallest compromise, each a sheet."""
    asked = Asked(optimiser, tmp_path, "formulate", IMPOSSIBLE)
    assert asked.json["status"] == "infeasible"
    assert "Formula" not in asked.book.sheetnames
    told = [
        (number, clash["limit"], clash["bound"], "yes" if clash["firm"] else "no")
        for number, conflict in enumerate(asked.json["conflicts"], start=1)
        for clash in conflict
    ]
    assert told == [
        (row["conflict"], row["where the brief says it"], row["bound"], row["firm"])
        for row in asked.rows("Conflicts")
    ]
    assert [tuple(row.values()) for row in asked.rows("Ways out")] == [
        (row["easing this alone"], w["limit"], w["bound"], w["reachable"], row["unit"],
         w["cost_per_kg"])
        for row, w in zip(asked.rows("Ways out"), asked.json["ways_out"], strict=True)
    ]  # fmt: skip
    moves = asked.json["smallest_compromise"]
    assert [(r["where the brief says it"], r["from"], r["to"]) for r in asked.rows(
        "Smallest compromise"
    )] == [(move["limit"], move["from"], move["to"]) for move in moves]  # fmt: skip
    costs = asked.column("Smallest compromise", f"all of it together costs ({MONEY})")
    assert set(costs) == {asked.json["compromise_cost_per_kg"]}
    assert sum(asked.column("Compromise formula", "percent")) == pytest.approx(100)
    said = words(asked.book)
    for conflict in asked.json["conflicts"]:
        for clash in conflict:
            assert any(line.startswith(clash["sentence"]) for line in said)


def test_rules_that_make_a_brief_impossible(optimiser: Command, tmp_path: Path) -> None:
    """Whole steps that cannot be met are a conflict with their way out."""
    text = WEIGHED.read_text("utf-8").replace("max_ingredients = 7", "max_ingredients = 2")
    assert "max_ingredients = 2" in text
    (tmp_path / "brief.toml").write_text(text, "utf-8")
    for path in FOLDER.glob("*.csv"):
        (tmp_path / path.name).write_bytes(path.read_bytes())
    asked = Asked(optimiser, tmp_path, "formulate", tmp_path / "brief.toml")
    assert asked.json["status"] == "infeasible"
    conflict = asked.column("Conflicts", "where the brief says it")
    assert conflict == [clash["limit"] for clash in asked.json["conflict"]]
    reachable = [row["possible from"] for row in asked.rows("Ways out")]
    assert reachable == [way["reachable"] for way in asked.json["ways_out"]]


def test_a_recipe_held_against_a_brief(optimiser: Command, tmp_path: Path) -> None:
    """The recipe, each limit, the least change and the formula to move to."""
    asked = Asked(optimiser, tmp_path, "assess", BRIEF, RECIPE)
    assert side(asked.rows("Recipe"), "percent") == shares(asked.json["formula"])
    for row, limit in zip(asked.rows("Limits"), asked.json["limits"], strict=True):
        assert row["where the brief says it"] == limit["limit"]
        assert row["met"] == {True: "yes", False: "no", None: "not known"}[limit["met"]]
        assert (row["bound"], row["the recipe has"]) == (limit["bound"], limit["value"])
    nearest = asked.json["nearest"]
    moves = {row["ingredient"]: row["change (points)"] for row in asked.rows("Least change")}
    assert moves == {NAMES[name]: points for name, points in nearest["changes"].items()}
    assert side(asked.rows("Formula to move to"), "percent") == shares(nearest["formula"])
    assert set(asked.json["cautions"]) <= set(words(asked.book))


def test_a_recipe_without_a_price(optimiser: Command, tmp_path: Path) -> None:
    """What has no price leaves its cell empty, and the recipe against no formula says why."""
    recipe = tmp_path / "recipe.csv"
    recipe.write_text("ingredient,percent\nargan-oil,50\ncocoa-butter,50\n", "utf-8")
    asked = Asked(optimiser, tmp_path, "assess", IMPOSSIBLE, recipe)
    prices = dict(zip(
        asked.column("Recipe", "ingredient"), asked.column("Recipe", f"price ({MONEY})"),
        strict=True,
    ))  # fmt: skip
    assert prices == {NAMES[o["ingredient"]]: o["price_per_kg"] for o in asked.json["formula"]}
    assert None in prices.values()
    assert {"Conflicts", "Ways out"} <= set(asked.book.sheetnames)
    assert "not known" in asked.column("Limits", "met")


def test_a_replacement(optimiser: Command, tmp_path: Path) -> None:
    """Formulas side by side, costs, changes, corners and candidates."""
    asked = Asked(optimiser, tmp_path, "substitute", BRIEF, "--gone", "shea-butter-refined")
    beside = asked.rows("Formulas side by side")
    assert side(beside, "in use (%)") == shares(asked.json["reference"]["formula"])
    parts = {
        "most like it": "closest",
        "most like it, the rest kept": "closest_rest_kept",
        "cheapest": "cheapest",
    }
    costs = {row["formula"]: row for row in asked.rows("Costs")}
    changes = asked.rows("What changes in the jar")
    for words_, key in parts.items():
        part = asked.json[key]
        assert side(beside, f"{words_} (%)") == shares(part["formula"])
        assert costs[words_][f"cost ({MONEY})"] == part["cost_per_kg"]
        assert costs[words_]["difference (changes just noticed)"] == part["difference"]
        assert [
            (row["before"], row["after"], row["just noticed from"])
            for row in changes
            if row["formula"] == words_
        ] == [(c["before"], c["after"], c["tolerance"]) for c in part["changes"]]
    corners = asked.rows("Between cheapest and like")
    for row, corner in zip(corners, asked.json["between"], strict=True):
        assert row[f"cost ({MONEY})"] == corner["cost_per_kg"]
        found = {name: share for name, share in row.items() if name.endswith(" (%)") and share}
        expected = shares(corner["formula"])
        assert found == {f"{name} (%)": share for name, share in expected.items()}
    for row, one in zip(
        asked.rows("One ingredient in its place"), asked.json["candidates"], strict=True
    ):
        assert row["ingredient"] == NAMES[one["ingredient"]]
        assert row["its share (%)"] == one["percent"]
        assert row["difference (changes just noticed)"] == one["difference"]
    last = asked.book["Formulas side by side"]
    assert last.cell(last.max_row, 1).value == f"cost ({MONEY})"
    assert last.cell(last.max_row, 2).data_type == "f"


def test_other_prices(optimiser: Command, tmp_path: Path) -> None:
    """Both formulas with their prices, and what staying costs and changing saves."""
    asked = Asked(optimiser, tmp_path, "reprice", BRIEF, "--price", "cocoa-butter=+25%")
    beside = asked.rows("Formula")
    assert side(beside, "today (%)") == shares(asked.json["today"]["formula"])
    assert side(beside, "at the other prices (%)") == shares(asked.json["changed"]["formula"])
    assert asked.column("Costs", f"cost ({MONEY})") == [
        asked.json["today"]["cost_per_kg"],
        asked.json["staying_cost_per_kg"],
        asked.json["changed"]["cost_per_kg"],
        asked.json["saving_per_kg"],
    ]
    taken = asked.column("Limits that change hands", "where the brief says it")
    assert taken == [*asked.json["limits_released"], *asked.json["limits_taken"]]


def test_a_swept_price(optimiser: Command, tmp_path: Path) -> None:
    """A row for each piece, with a column for each ingredient."""
    asked = Asked(optimiser, tmp_path, "reprice", BRIEF, "--sweep", "cocoa-butter")
    for row, piece in zip(
        asked.rows("Price sweep"), asked.json["sweep"]["pieces"], strict=True
    ):  # fmt: skip
        assert row[f"price from ({MONEY})"] == piece["from"]
        assert row[f"price to ({MONEY})"] == piece["to"]
        assert row["its share (%)"] == piece["percent"]
        assert row[f"cost at the lower price ({MONEY})"] == piece["cost_at_from"]
        assert row[f"cost at the higher price ({MONEY})"] == piece["cost_at_to"]
        assert row[f"staying, at the higher ({MONEY})"] == piece["staying_cost_at_to"]
        found = {name: row[f"{name} (%)"] for name in shares(piece["formula"])}
        assert found == shares(piece["formula"])
    assert not any(line.startswith("*") for line in words(asked.book))


def test_a_swept_limit(optimiser: Command, tmp_path: Path) -> None:
    """A row for each bound at which the formula turns, once."""
    key = "properties.vitamin_e.min"
    asked = Asked(optimiser, tmp_path, "reprice", BRIEF, "--sweep-limit", key)
    found = asked.rows("Limit sweep")
    by_bound = {row["bound (mg/100 g)"]: row for row in found}
    assert len(by_bound) == len(found)
    for piece in asked.json["sweep_limit"]["pieces"]:
        for end in ("from", "to"):
            row = by_bound[piece[end]]
            assert row[f"the formula costs ({MONEY})"] == piece[f"cost_at_{end}"]
            expected = shares(piece[f"formula_at_{end}"])
            assert {name: row[f"{name} (%)"] for name in expected} == expected
        row = by_bound[piece["from"]]
        assert row[f"each unit more costs, from here on ({MONEY})"] == piece["cost_per_unit"]


def test_scenarios_and_uncertain_prices(optimiser: Command, tmp_path: Path) -> None:
    """How costs are spread, who is used, which formulas to keep, and the cautious one."""
    asked = Asked(
        optimiser, tmp_path, "reprice", BRIEF, "--spread", "15%", "--draws", "500", "--at-most", "2"
    )
    found = asked.json["scenarios"]
    spread = {
        list(row.values())[0]: list(row.values())[1:] for row in asked.rows("Costs in scenarios")
    }
    keys = ("mean", "p05", "p50", "p95", "min", "max")
    for words_, key in (("cheapest", "cost_per_kg"), ("staying", "staying_cost_per_kg")):
        assert spread[words_] == [found[key][name] for name in keys]
    for row, one in zip(asked.rows("Ingredients in scenarios"), found["ingredients"], strict=True):
        assert list(row.values())[1:] == [one["used_in"], one["percent_low"], one["percent_high"]]
    kept = asked.rows("Formulas to keep")
    for number, one in enumerate(found["kept"], start=1):
        assert side(kept, f"formula {number} (%)") == shares(one["formula"])
        row = asked.rows("Formulas to keep, how often")[number - 1]
        assert (row["formula"], row["cheapest in"]) == (number, one["cheapest_in"])
    uncertain = asked.json["uncertain"]
    assert side(asked.rows("For uncertain prices"), "percent") == shares(uncertain["formula"])
    assert set(asked.column("For uncertain prices", "may rise by (%)")) == {15}
    costs = {row["what"]: row[f"cost ({MONEY})"] for row in asked.rows("Costs")}
    assert costs["for uncertain prices, at the worst"] == uncertain["worst_cost_per_kg"]


def test_scenarios_of_her_own(optimiser: Command, tmp_path: Path) -> None:
    """A short table is told row by row."""
    asked = Asked(optimiser, tmp_path, "reprice", BRIEF, "--scenarios", HARVESTS)
    for row, one in zip(asked.rows("Each scenario"), asked.json["scenarios"]["each"], strict=True):
        assert row["scenario"] == one["scenario"]
        assert row[f"the cheapest costs ({MONEY})"] == one["cost_per_kg"]
        expected = shares(one["formula"])
        assert {name: row[f"{name} (%)"] for name in expected} == expected


def test_other_prices_over_the_cost_limit(optimiser: Command, tmp_path: Path) -> None:
    """Where only the limit on the cost is in the way, the formula without it stands beside."""
    text = BRIEF.read_text("utf-8").replace("[properties]", "[properties]\ncost = { max = 14 }", 1)
    (tmp_path / "brief.toml").write_text(text, "utf-8")
    for path in FOLDER.glob("*.csv"):
        (tmp_path / path.name).write_bytes(path.read_bytes())
    dearer = "cocoa-butter=+100%"
    asked = Asked(optimiser, tmp_path, "reprice", tmp_path / "brief.toml", "--price", dearer)
    beyond = asked.json["changed"]["without_cost_limit"]
    beside = asked.rows("Formula")
    assert side(beside, "without the cost limit (%)") == shares(beyond["formula"])
    assert beyond["cost_per_kg"] in asked.column("Costs", f"cost ({MONEY})")
    assert "at the other prices (%)" not in beside[0]


def test_prices_of_an_impossible_brief(optimiser: Command, tmp_path: Path) -> None:
    """Where no formula exists the conflicts stand on sheets."""
    asked = Asked(optimiser, tmp_path, "reprice", IMPOSSIBLE, "--price", "cocoa-butter=+25%")
    assert {"Conflicts", "Ways out"} <= set(asked.book.sheetnames)


def test_all_ingredients(optimiser: Command, tmp_path: Path) -> None:
    """The list, every typical figure in one table with its unit above, and the properties."""
    asked = Asked(optimiser, tmp_path, "ingredients")
    listed = asked.json["ingredients"]
    assert asked.column("Ingredients", "id in a brief") == [one["ingredient"] for one in listed]
    known = asked.column("Ingredients", "figures known")
    assert known == [len(one["figures"]) for one in listed]
    book = read_book()
    figures = {row["ingredient"]: row for row in asked.rows("Typical figures")}
    for one in book.ingredients.values():
        given = one.figures.get("vitamin_e")
        cell = figures[one.common_name]["vitamin E (mg/100 g)"]
        assert cell == (None if given is None else float(given.typical))
    assert asked.column("Properties", "id in a brief") == list(book.properties)


def test_one_ingredient(optimiser: Command, tmp_path: Path) -> None:
    """Every figure with its range, status and source."""
    asked = Asked(optimiser, tmp_path, "ingredients", "cocoa-butter")
    for row, figure in zip(asked.rows("Figures"), asked.json["figures"], strict=True):
        for heading in ("low", "typical", "high", "unit", "status", "source"):
            assert row[heading] == figure[heading]
    sources = {row["source"]: row["citation and year"] for row in asked.rows("Sources")}
    assert sources == asked.json["sources"]


HOSTILE = (
    '=HYPERLINK("http://x")',
    "<b>x</b>",
    '"quoted"',
    "שמן זית",
    "\U0001f9f4 balm",
    "@SUM(1)",
    "+1+1",
    "-2+3",
    "#N/A",
)


def hostile_brief(folder: Path) -> Path:
    """A brief of ingredients from an own sheet whose names are meant to do harm."""
    quoted = [name.replace('"', '""') for name in HOSTILE]
    sheet = "".join(f'"{name}",oil\n' for name in quoted)
    (folder / "own.csv").write_text(f"ingredient,kind\n{sheet}", "utf-8")
    prices = "".join(f'"{name}",1 kg,{k}\n' for k, name in enumerate(quoted, start=1))
    (folder / "prices.csv").write_text(f"ingredient,pack,price\n{prices}", "utf-8")
    amounts = "\n".join(f"{json.dumps(n, ensure_ascii=False)} = {{ min = 5 }}" for n in HOSTILE)
    brief = folder / "brief.toml"
    brief.write_text(
        f'name = {json.dumps(HOSTILE[0])}\n[costing]\nprices = "prices.csv"\n'
        f'currency = "=1+1"\n[shelf]\nsheets = ["own.csv"]\n[amounts]\n{amounts}\n',
        "utf-8",
    )
    return brief


def test_hostile_names_are_inert_and_whole(optimiser: Command, tmp_path: Path) -> None:
    """Names that look like formulas, mark-up or errors are text, and come back as they were."""
    path = tmp_path / "book.xlsx"
    code, _, err = optimiser("formulate", hostile_brief(tmp_path), "--out", path)
    assert code == 0, err
    book = read(path)
    assert set(column(book, "Formula", "ingredient")) == set(HOSTILE)
    title = book["Answer"]["A1"]
    assert (title.value, title.data_type, title.quotePrefix) == (HOSTILE[0], "s", True)
    for cell in book["Formula"]["A"][1:]:
        assert cell.data_type == "s"
        assert cell.quotePrefix == cell.value.startswith(tuple("=+-@"))
    assert any("=1+1 per kg" in str(cell.value) for cell in book["Formula"][1])
    assert "http" not in "".join(str(link.target) for sheet in book for link in sheet._hyperlinks)


@pytest.mark.parametrize(
    ("text", "stored"),
    [
        ("\tx", "\tx"),
        ("=\n1", "=\n1"),
        ("a\r\nb\rc", "a\nb\nc"),
        ("bell\x07 and null\x00", "bell\ufffd and null\ufffd"),
        ("half \ud83e", "half \ufffd"),
        ("end \uffff", "end \ufffd"),
        ("_x0041_", "_x005F_x0041_"),
        ("\u202eright to left", "\u202eright to left"),
    ],
)
def test_what_the_format_cannot_hold_is_replaced(text: str, stored: str) -> None:
    """Control characters and halves of characters are replaced; the rest is kept."""
    assert storable(text) == stored
    data = workbook_bytes(Page(text, [Section("", [Paragraph(text)])]), [])
    cell = load_workbook(io.BytesIO(data))["Answer"]["A1"]
    assert (cell.value, cell.data_type) == (stored, "s")
    assert cell.quotePrefix == (text[0] in "=+-@\t\r")


def test_numbers_are_stored_with_every_digit(tmp_path: Path) -> None:
    """A float comes back as the same float; what is not known is an empty cell."""
    values = [1 / 3, 0.1 + 0.2, 1e-9, 123456789.123456789, -0.0, float("nan")]
    columns = [Column("figure", "figure", Holds.FIGURE, "g/ml")]
    found = table("Figures", columns, [(value,) for value in values])
    path = tmp_path / "a.xlsx"
    path.write_bytes(workbook_bytes(Page("x", []), [found]))
    sheet = read(path)["Figures"]
    assert [cell.value for cell in sheet["A"]] == ["figure (g/ml)", *values[:-1]]


class TestWithoutOpenpyxl:
    @pytest.fixture
    def without(self, monkeypatch: pytest.MonkeyPatch) -> None:
        original = builtins.__import__

        def refuse(name: str, *rest: Any, **named: Any) -> object:
            if name.partition(".")[0] == "openpyxl":
                raise ImportError(name)
            return original(name, *rest, **named)

        monkeypatch.setattr(builtins, "__import__", refuse)

    @pytest.mark.usefixtures("without")
    @pytest.mark.parametrize(
        "asked",
        [
            ("formulate", BRIEF),
            ("assess", BRIEF, RECIPE),
            ("substitute", BRIEF, "--gone", "shea-butter-refined"),
            ("reprice", BRIEF, "--sweep", "cocoa-butter"),
            ("ingredients",),
        ],
        ids=lambda asked: asked[0],
    )
    def test_one_message_and_nothing_written(
        self, asked: tuple[object, ...], optimiser: Command, tmp_path: Path
    ) -> None:
        """What to install is said once, before anything is computed or written."""
        names = ("a.xlsx", "b.xlsx", "c.json")
        outs = [word for name in names for word in ("--out", tmp_path / name)]
        code, out, err = optimiser(*asked, *outs)
        assert (code, out) == (2, "")
        assert err.count("\n") == 1
        assert "pip install openpyxl" in err
        assert list(tmp_path.iterdir()) == []

    @pytest.mark.usefixtures("without")
    def test_other_forms_need_nothing(self, optimiser: Command, tmp_path: Path) -> None:
        """A CSV is written all the same."""
        assert optimiser("formulate", BRIEF, "--out", tmp_path / "a.csv")[0] == 0


def test_start_writes_no_workbook(optimiser: Command, tmp_path: Path) -> None:
    """A folder to begin from is no table."""
    code, _, err = optimiser("start", tmp_path / "shop", "--out", tmp_path / "a.xlsx")
    assert code == 2
    assert "name a file that ends in .json, .md" in err
    assert not (tmp_path / "shop").exists()


def test_openpyxl_is_loaded_only_when_asked_for() -> None:
    """Who asks for no workbook does not wait for openpyxl or pandas."""
    code = (
        "import sys, optimiser.cli, optimiser.commands.formulate, optimiser.commands.assess;"
        "import optimiser.commands.substitute, optimiser.commands.reprice;"
        "import optimiser.commands.ingredients;"
        "sys.exit(bool({'openpyxl', 'pandas'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_a_failed_write_leaves_the_old_workbook(
    optimiser: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whole or not at all, as every other form."""
    path = tmp_path / "a.xlsx"
    path.write_bytes(EARLIER[".xlsx"])

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    code, _, err = optimiser("formulate", BRIEF, "--out", path)
    assert code == 2
    assert "not written: No space left on device" in err
    assert path.read_bytes() == EARLIER[".xlsx"]
    assert [one.name for one in tmp_path.iterdir()] == ["a.xlsx"]
