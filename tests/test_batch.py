"""The command `batch`: weigh sheet, jars, cost, in every form."""

from __future__ import annotations

import csv
import io
import json
import re
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from formulation_support import ROOT, Command
from report_support import check

EXAMPLE = ROOT / "examples/quillfern/whipped_hand_butter.toml"
BALM = ROOT / "examples/quillfern/gardeners_balm.toml"

PRICES = (
    "ingredient,pack,price,delivery,in_stock\n"
    "cocoa-butter,1 kg,18,2,\n"
    "sunflower-oil,1 kg,5,,200 g\n"
    "beeswax,500 g,8,,\n"
    "lavender-oil,50 ml,9,,\n"
)
BRIEF = """\
name = "Small balm"
style = "balm"
[costing]
prices = "prices.csv"
currency = "GBP"
[amounts]
beeswax = 12
"lavender-oil" = 0.5
"cocoa-butter" = 20
"""
MAKING = """\
[batch]
size = "1 kg"
scale = "0.1 g"
loss = 4
hours = 1.5
hourly_rate = 12.00
overhead = 2.50
[jar]
net = "60 g"
price = 6.00
margin = 50
"""


@pytest.fixture
def workshop(tmp_path: Path) -> Path:
    """A brief with and without tables of making, and a recipe."""
    for name, text in {
        "prices.csv": PRICES,
        "brief.toml": BRIEF,
        "made.toml": BRIEF + MAKING,
        "whipped.toml": BRIEF.replace('"balm"', '"whipped-butter"')
        .replace("[amounts]\nbeeswax = 12\n", "[amounts]\n")
        .replace('"cocoa-butter" = 20', '"cocoa-butter" = 45'),
        "never.toml": BRIEF + "[totals]\noil = { max = 1 }\n",
        "recipe.csv": "ingredient,percent\nbeeswax,15\nsunflower-oil,85\n",
    }.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def weighed(document: Any) -> dict[str, float]:
    return {line["ingredient"]: line["grams"] for line in document["lines"]}


class TestAnswer:
    def test_the_document(self, workshop: Path, optimiser: Command) -> None:
        """The names that scripts rely on; grams and percent add up, jars and cost by hand."""
        answer = optimiser.json("batch", workshop / "made.toml")
        assert answer["size_g"] == 1000
        assert set(answer) >= {"size_g", "lines", "jars", "cost", "cautions", "steps", "limits"}
        for line in answer["lines"]:
            assert set(line) >= {
                *("ingredient", "percent", "grams", "phase", "step", "scale_warning")
            }
        assert weighed(answer) == {
            "cocoa-butter": 200,
            "beeswax": 120,
            "sunflower-oil": 675,
            "lavender-oil": 5,
        }
        assert sum(Fraction(str(line["grams"])) for line in answer["lines"]) == 1000
        assert sum(line["percent"] for line in answer["lines"]) == pytest.approx(100)
        # 1000 g less 4 % fill 16 jars of 60 g exactly.
        assert answer["jars"]["count"] == 16
        assert (answer["jars"]["net_g"], answer["jars"]["left_g"]) == (60, 0)
        cost = answer["cost"]
        # Cocoa butter 20 a kg with delivery, beeswax 16, sunflower oil 5; lavender by density.
        lavender = 0.005 * 9 / (0.05 * 0.886)
        ingredients = 0.2 * 20 + 0.12 * 16 + 0.675 * 5 + lavender
        assert cost["ingredients"] == pytest.approx(ingredients, abs=0.01)
        assert (cost["labour"], cost["overhead"]) == (18, 2.5)
        assert cost["per_jar"] == pytest.approx(cost["total"] / 16)
        assert cost["per_kg"] == pytest.approx(cost["total"] / 0.96)
        assert cost["margin_percent"] == pytest.approx((6 - cost["per_jar"]) / 6 * 100)
        assert cost["price_at_margin"] == pytest.approx(2 * cost["per_jar"])
        assert cost["left_out"] == ["packaging"]

    def test_lines_stand_in_the_order_of_the_work(self, workshop: Path, optimiser: Command) -> None:
        """Melt, then oils, then what must stay cool; the heaviest of a step first."""
        answer = optimiser.json("batch", workshop / "made.toml")
        names = [line["ingredient"] for line in answer["lines"]]
        assert names == ["cocoa-butter", "beeswax", "sunflower-oil", "lavender-oil"]
        assert [line["phase"] for line in answer["lines"]] == [
            *("melt", "melt", "oils", "cool-down")
        ]
        steps = [line["step"] for line in answer["lines"]]
        assert steps == sorted(steps)

    def test_the_terminal_shows_cents_that_add_up(self, workshop: Path, optimiser: Command) -> None:
        """The parts as printed add up to the total as printed, of the batch and of a jar."""
        code, out, _ = optimiser("batch", workshop / "made.toml")
        assert code == 0
        rows = dict.fromkeys(("ingredients", "labour", "overhead", "together"))
        for name in rows:
            found = re.search(rf"^  {name} +([0-9.]+) +([0-9.]+)$", out, re.MULTILINE)
            assert found is not None, out
            rows[name] = tuple(map(Fraction, found.groups()))
        together = rows.pop("together")
        for column in (0, 1):
            assert sum(row[column] for row in rows.values()) == together[column]

    @pytest.mark.parametrize("path", [EXAMPLE, BALM], ids=lambda path: path.stem)
    def test_an_example_is_legible(self, path: Path, optimiser: Command) -> None:
        """At most 80 columns, no trailing blanks, no fractions."""
        code, out, err = optimiser("batch", path, "--scale", "0.1 g")
        assert (code, err) == (0, "")
        lines = out.split("\n")
        assert [line for line in lines if len(line) > 80 and str(path) not in line] == []
        assert [line for line in lines if line != line.rstrip()] == []
        assert "Fraction" not in out
        assert "None" not in out

    def test_cautions_and_deferral(self, workshop: Path, optimiser: Command) -> None:
        """The sheet never clears anything: it ends by deferring."""
        out = optimiser("batch", workshop / "made.toml")[1]
        assert "Hot fat burns" in out
        assert "A draft, not a clearance" in out


class TestOptions:
    def test_options_go_before_the_brief(self, workshop: Path, optimiser: Command) -> None:
        """Size, scale, loss, net weight, price and margin."""
        words = ("--size", "2 lb", "--scale", "0.01 g", "--loss", "10%", "--net", "30 g")
        with pytest.raises(AssertionError, match=r"write 907\.18 g or 907\.19 g"):
            optimiser.json("batch", workshop / "made.toml", *words)
        words = ("--size", "500 g", *words[2:], "--price", "4", "--margin", "25")
        answer = optimiser.json("batch", workshop / "made.toml", *words)
        assert (answer["size_g"], answer["scale_g"], answer["loss_percent"]) == (500, 0.01, 10)
        assert (answer["jars"]["count"], answer["cost"]["price"]) == (15, 4)
        assert answer["cost"]["price_at_margin"] == pytest.approx(answer["cost"]["per_jar"] / 0.75)

    def test_back_from_the_jars(self, workshop: Path, optimiser: Command) -> None:
        """By hand: 24 jars of 60 g over 0.96 are 1500 g."""
        answer = optimiser.json("batch", workshop / "made.toml", "--jars", "24")
        assert (answer["size_g"], answer["jars"]["count"]) == (1500, 24)

    def test_what_is_assumed_is_told(self, workshop: Path, optimiser: Command) -> None:
        """A scale that shows grams and 3 % lost, with how to state them."""
        code, out, _ = optimiser("batch", workshop / "brief.toml", "--size", "1 kg")
        assert code == 0
        said = " ".join(out.split())
        assert 'Assumed: a scale that shows whole grams. Write scale = "0.1 g"' in said
        assert "Assumed: 3 % of the batch is lost; 2 to 5 % is customary (common practice" in said
        answer = optimiser.json("batch", workshop / "brief.toml", "--size", "1 kg")
        assert answer["assumed"] == ["scale", "loss"]
        assert answer["jars"] is None
        assert answer["cost"]["per_jar"] is None

    def test_a_poured_jar_by_volume(self, workshop: Path, optimiser: Command) -> None:
        """A balm is not whipped, so the volume is enough; the filling is assumed and told."""
        answer = optimiser.json("batch", workshop / "made.toml", "--net", "60 ml")
        jars = answer["jars"]
        assert jars["overrun_percent"] == 0
        expected = 60 * 0.95 * jars["density"]
        assert jars["fill_g"] == pytest.approx(expected)
        assert jars["net_g"] <= expected
        assert answer["assumed"] == ["filled"]
        assert "no air, as it is poured" in " ".join(jars["sentences"])


class TestRecipe:
    def test_without_a_brief_there_are_no_prices(self, workshop: Path, optimiser: Command) -> None:
        """The weights and general steps; no cost."""
        answer = optimiser.json("batch", workshop / "recipe.csv", "--size", "200 g")
        assert weighed(answer) == {"beeswax": 30, "sunflower-oil": 170}
        assert answer["cost"] is None
        assert "Cost" not in optimiser("batch", workshop / "recipe.csv", "--size", "200 g")[1]

    def test_with_the_brief_of_a_product(self, workshop: Path, optimiser: Command) -> None:
        """Prices, limits, jar and loss of the brief; the limits that it misses are named."""
        words = ("batch", workshop / "recipe.csv", "--brief", workshop / "made.toml")
        answer = optimiser.json(*words)
        assert answer["cost"]["ingredients"] == pytest.approx(0.15 * 16 + 0.85 * 5)
        missed = {one["limit"]: one for one in answer["limits"]["missed"]}
        assert missed["amounts.beeswax"]["by"] == 3
        assert not missed["amounts.beeswax"]["met_by_the_formula"]

    def test_how_it_was_read_is_told(self, workshop: Path, optimiser: Command) -> None:
        """A recipe in weights becomes percent, and the answer says so."""
        lines = workshop / "lines.txt"
        lines.write_text("beeswax 12 g\nsunflower oil 68 g\n", encoding="utf-8")
        answer = optimiser.json("batch", lines, "--size", "200 g")
        assert weighed(answer) == {"beeswax": 30, "sunflower-oil": 170}
        assert answer["remarks"]
        assert answer["remarks"][0].split(": ")[1] in optimiser("batch", lines, "--size", "200 g")[
            1
        ].replace("\n    ", " ")


class TestSeveral:
    def test_two_batches(self, workshop: Path, optimiser: Command) -> None:
        """A sheet for each, in the order typed."""
        made = workshop / "made.toml"
        words = ("--batch", f"{made}=500 g", "--batch", f"{workshop / 'brief.toml'}=2 kg")
        answer = optimiser.json("batch", *words, "--scale", "0.1 g")
        assert [one["size_g"] for one in answer["batches"]] == [500, 2000]
        out = optimiser("batch", *words)[1]
        assert out.startswith("2 batches\n=========\n")
        assert "Small balm: a batch of 500 g" in out
        assert "Small balm: a batch of 2 kg" in out

    def test_a_size_may_stand_in_the_brief(self, workshop: Path, optimiser: Command) -> None:
        """Without a size behind the file the brief's is taken."""
        made = workshop / "made.toml"
        answer = optimiser.json("batch", "--batch", made, "--batch", f"{made}=500 g")
        assert [one["size_g"] for one in answer["batches"]] == [1000, 500]

    def test_currencies_must_agree(self, workshop: Path, optimiser: Command) -> None:
        """What is paid in two currencies has no one sum."""
        made = workshop / "made.toml"
        other = workshop / "euro.toml"
        other.write_text(made.read_text("utf-8").replace("GBP", "EUR"), encoding="utf-8")
        code, out, err = optimiser("batch", "--batch", made, "--batch", other)
        assert (code, out) == (2, "")
        assert err == (f"--batch: {other} costs in EUR and {made} in GBP; shop for them in turn\n")


WRONG = [
    ((), "batch: of what? Name a brief or a recipe, or several with --batch 'brief.toml=2 kg'"),
    (("brief.toml",), 'batch: how much? Write --size "2 kg", --jars 24, or size under [batch] in '
     "the brief"),
    (("brief.toml", "--jars", "4"),
     '--jars: jars of what weight? Add --net "120 g", or net under [jar] in the brief'),
    (("brief.toml", "--size", "2"), '--size: "2" has no unit; write 2 kg or 2 g'),
    (("brief.toml", "--size", "two kg"), '--size: "two kg" is not a weight; write it like 5 kg or '
     "2 x 500 g"),
    (("brief.toml", "--size", "1 kg", "--jars", "2"),
     "--jars: a size and a number of jars; give one, the other follows"),
    (("brief.toml", "--size", "1 kg", "--scale", "0"), '--scale: "0" is not above 0; write it like '
     "0.1 g"),
    (("brief.toml", "--size", "1 kg", "--loss", "100%"),
     "--loss: 100 is not from 0 to below 100 percent; write for instance 3"),
    (("brief.toml", "--size", "1 kg", "--loss", "0.03"),
     "--loss: 0.03 can be read in two ways; write 0.03% or 3.00%"),
    (("brief.toml", "--size", "1 kg", "--price", "0"),
     "--price: 0 is not above 0; write for instance 9.50"),
    (("brief.toml", "--size", "1 kg", "--margin", "100"),
     "--margin: 100 is not from 0 to below 100 percent; write for instance 60"),
    (("brief.toml", "--size", "1000.05 g", "--scale", "0.1 g"),
     "--size: 1000.05 g is no whole number of divisions of 0.1 g; write 1000 g or 1000.1 g"),
    (("brief.toml", "--batch", "brief.toml=1 kg"),
     "--batch: either brief.toml or --batch; with several batches write --batch for each"),
    (("--batch", "brief.toml=1 kg", "--size", "1 kg"),
     "--size: sizes stand behind each file, as in --batch 'brief.toml=2 kg'"),
    (("--batch", "brief.toml=1"), '--batch brief.toml=1: "1" has no unit; write 1 kg or 1 g'),
    (("--batch", "brief.toml 2 kg"),
     "--batch brief.toml 2 kg: no = between file and size; write --batch 'brief.toml=2 kg'"),
    (("--batch", "brief.toml: 500g"),
     "--batch brief.toml: 500g: no = between file and size; write --batch 'brief.toml=500g'"),
    (("brief.toml", "--size", "1 kg", "--price", "$9.50"),
     '--price: "$9.50" is in another currency than GBP; write for instance 12.50'),
    (("brief.toml", "--size", "1 kg", "--price", "9%"),
     '--price: "9%" is a percentage; write for instance 12.50'),
    (("brief.toml", "--size", "1 kg", "--brief", "brief.toml"),
     "--brief: brief.toml is a brief itself; --brief goes with a recipe"),
    (("whipped.toml", "--size", "1 kg", "--net", "120 ml"),
     "--net: a volume, and a whipped product's overrun is not stated; weigh one filled jar and "
     'write its contents in grams, as in net = "110 g", or write your measured overrun under '
     "[jar], as in overrun = 40"),
    (("none.toml", "--size", "1 kg"),
     'none.toml: there is no file "none.toml"; check its name and folder'),
]  # fmt: skip


@pytest.mark.parametrize(("words", "said"), WRONG, ids=lambda part: " ".join(part)[:40])
def test_wrong_input_says_what_to_write(
    words: tuple[str, ...],
    said: str,
    workshop: Path,
    optimiser: Command,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One message, exit status 2, nothing on standard output."""
    monkeypatch.chdir(workshop)
    code, out, err = optimiser("batch", *words)
    assert (code, out, err) == (2, "", f"{said}\n")


@pytest.mark.parametrize("price", ["£9.50", "9.50 GBP", "9,50", "GBP 9.50"])
def test_a_price_of_a_jar_may_have_its_currency(
    price: str, workshop: Path, optimiser: Command
) -> None:
    """It is read as `reprice` reads a price."""
    words = ("batch", workshop / "brief.toml", "--size", "2 kg", "--net", "100 g", "--price")
    assert optimiser.json(*words, price) == optimiser.json(*words, "9.50")


def test_a_brief_that_cannot_be_met(workshop: Path, optimiser: Command, tmp_path: Path) -> None:
    """There is no batch; the explanation is that of `formulate`, with its exit status."""
    never = workshop / "never.toml"
    page = tmp_path / "sheet.md"
    code, out, err = optimiser("batch", never, "--size", "1 kg", "--out", page)
    assert code == 1
    assert out == optimiser("formulate", never)[1]
    assert "there is no formula" in err
    assert not page.exists()


class TestForms:
    def test_every_form(self, workshop: Path, optimiser: Command) -> None:
        """The terminal's answer is the same, and each file says the same."""
        paths = {e: workshop / f"sheet{e}" for e in (".json", ".csv", ".md", ".html", ".xlsx")}
        words = [word for path in paths.values() for word in ("--out", path)]
        made = workshop / "made.toml"
        alone = optimiser("batch", made)
        assert optimiser("batch", made, *words) == alone
        document = json.loads(paths[".json"].read_text(encoding="utf-8"))
        assert document == optimiser.json("batch", made)
        rows = list(csv.DictReader(io.StringIO(paths[".csv"].read_text(encoding="utf-8"))))
        assert list(rows[0]) == ["ingredient", "percent", "grams", "phase", "step"]
        assert {row["ingredient"]: float(row["grams"]) for row in rows} == weighed(document)
        assert sum(Fraction(row["percent"]) for row in rows) == 100
        text = paths[".md"].read_text(encoding="utf-8")
        assert text.startswith("# Small balm: a batch of 1 kg\n")
        assert "| 2 melt | Cocoa butter | 20.00 | 200.0 |" in text

    def test_the_sheet_has_blanks_and_no_ticks(self, workshop: Path, optimiser: Command) -> None:
        """What people record is blank; what the tool knows is filled in."""
        path = workshop / "sheet.html"
        optimiser("batch", workshop / "made.toml", "--out", path)
        page = path.read_text(encoding="utf-8")
        check(page)
        for name in (
            *("Batch code", "Date", "Scale no.", "Check weight, g", "Look", "Smell", "Texture"),
            *("Jars filled", "Jars rejected", "Samples kept", "Waste, g"),
            *("Released by (signature)", "Lot of jar", "Lot of label"),
        ):
            assert f"<dt>{name}</dt><dd></dd>" in page, name
        for head in ("actual g", "deviation g", "supplier", "lot", "expiry", "weighed by"):
            assert f'<th scope="col">{head}</th>' in page
        assert page.count('<th scope="col">checked by</th>') == 1
        assert "Cera Alba" in page
        assert "<dt>Jars planned</dt><dd>16</dd>" in page
        assert not set("\u2713\u2714\u2611\u2612") & set(page)
        # The money stands behind the bench's sheet, in a section of its own.
        bench, _, office = page.partition("Jars and cost: Small balm")
        assert "GBP" not in bench
        assert "GBP" in office

    def test_the_workbook_is_one_to_weigh_from(self, workshop: Path, optimiser: Command) -> None:
        """Targets as numbers with their sum as a formula, blanks beside them."""
        openpyxl = pytest.importorskip("openpyxl")
        path = workshop / "sheet.xlsx"
        optimiser("batch", workshop / "made.toml", "--out", path)
        book = openpyxl.load_workbook(path)
        assert book.sheetnames == [
            "Answer",
            "Weigh sheet",
            "Steps",
            "Jars",
            "Cost",
            "Shopping",
            "Orders",
            "Other sizes",
        ]
        sheet = book["Weigh sheet"]
        heads = [cell.value for cell in sheet[1]]
        target = heads.index("target (g)")
        assert [sheet.cell(row, target + 1).value for row in range(2, 6)] == [200, 120, 675, 5]
        assert sheet.cell(6, target + 1).value == "=SUM(F2:F5)"
        assert sheet.cell(2, target + 1).number_format == "0"
        assert heads[target + 1 :] == [
            *("actual g", "deviation g", "supplier", "lot", "expiry", "weighed by", "checked by")
        ]
        assert sheet.cell(2, target + 2).value is None

    def test_an_output_is_never_what_was_read(self, workshop: Path, optimiser: Command) -> None:
        """The recipe, the brief and its prices stay as they are."""
        recipe = workshop / "recipe.csv"
        prices = workshop / "prices.csv"
        like_an_answer = prices.read_text("utf-8").replace("ingredient", '"ingredient"', 1)
        prices.write_text(like_an_answer, encoding="utf-8")
        for read in (recipe, prices):
            code, _, err = optimiser(
                *("batch", recipe, "--brief", workshop / "made.toml", "--out", read)
            )
            assert code == 2
            assert "this file was read for the answer" in err


def test_nothing_heavy_is_loaded_for_other_commands() -> None:
    """The parts of `batch` are imported when it runs."""
    import subprocess
    import sys

    code = (
        "import sys, optimiser.cli\n"
        "heavy = [name for name in sys.modules if name.startswith('optimiser.workshop')]\n"
        "sys.exit(len(heavy) + ('numpy' in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
