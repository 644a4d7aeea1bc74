"""Files written with `--out`: each form, whole or not at all, never over what was read."""

from __future__ import annotations

import csv
import json
import os
import stat
import subprocess
import sys
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from earlier import EARLIER
from formulation_support import ANSWERED, ROOT, Command
from hypothesis import given
from hypothesis import strategies as st

from optimiser.present.numbers import shares_adding_up
from optimiser.reading import read_book, read_formula

PRICES = "ingredient,pack,price\ncocoa-butter,1 kg,18\nsunflower-oil,1 kg,5\nbeeswax,1 kg,17\n"
LIKE_AN_ANSWER = PRICES.replace("ingredient", '"ingredient"')
"""Written as the program writes its tables."""

BRIEF = """\
name = "Small"
[costing]
prices = "prices.csv"
currency = "GBP"
[ratios]
"oil:wax" = { max = 3 }
[totals]
butter = { min = 20 }
"""

ENDINGS = (".json", ".csv", ".md", ".html", ".lp", ".mps")


@pytest.fixture
def brief(tmp_path: Path) -> Path:
    (tmp_path / "prices.csv").write_text(PRICES, encoding="utf-8")
    (tmp_path / "brief.toml").write_text(BRIEF, encoding="utf-8")
    return tmp_path / "brief.toml"


def asked_for(folder: Path) -> tuple[dict[str, Path], list[object]]:
    """A file of every form, and the words that ask for them."""
    paths = {ending: folder / f"answer{ending}" for ending in ENDINGS}
    return paths, [word for path in paths.values() for word in ("--out", path)]


def left_behind(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir() if path.name.startswith("."))


class TestForms:
    def test_all_at_once(self, brief: Path, tmp_path: Path, optimiser: Command) -> None:
        """Every form is written, and the terminal answer is the same as without."""
        paths, words = asked_for(tmp_path)
        alone = optimiser("formulate", brief)
        assert optimiser("formulate", brief, *words) == alone
        assert all(path.stat().st_size for path in paths.values())
        assert left_behind(tmp_path) == []

    def test_json_is_what_is_printed(
        self,
        brief: Path,
        tmp_path: Path,
        optimiser: Command,
    ) -> None:
        """The JSON file and the JSON output are one text."""
        path = tmp_path / "a.json"
        _, out, _ = optimiser("formulate", brief, "--json", "--out", path)
        assert path.read_bytes().decode("utf-8") == out

    def test_the_formula_is_read_back(
        self,
        brief: Path,
        tmp_path: Path,
        optimiser: Command,
    ) -> None:
        """The CSV adds up to exactly 100 and is a formula to every command."""
        path = tmp_path / "a.csv"
        answer = optimiser.json("formulate", brief, "--out", path)
        formula = read_formula(path, read_book())
        assert sum(formula.shares.values()) == 100
        assert formula.remarks == ()
        assert {name: float(share) for name, share in formula.shares.items()} == pytest.approx(
            {line["ingredient"]: line["percent"] for line in answer["formula"]}, abs=1e-6
        )

    def test_markdown_has_the_cost_and_the_formula(
        self,
        brief: Path,
        tmp_path: Path,
        optimiser: Command,
    ) -> None:
        """A heading, the cost and a row for each ingredient."""
        path = tmp_path / "a.md"
        answer = optimiser.json("formulate", brief, "--out", path)
        text = path.read_text(encoding="utf-8")
        assert text.startswith("# Small\n")
        assert f"{answer['cost_per_kg']:.2f} GBP per kg" in text
        for line in answer["formula"]:
            assert f"| {line['percent']:.2f} |" in text

    def test_a_model_file_has_a_legend_and_every_row(
        self,
        brief: Path,
        tmp_path: Path,
        optimiser: Command,
    ) -> None:
        """Generated names are explained in the maker's words."""
        paths, words = asked_for(tmp_path)
        optimiser("formulate", brief, *words)
        for ending, comment in ((".lp", "\\"), (".mps", "*")):
            lines = paths[ending].read_text(encoding="utf-8").splitlines()
            assert f"{comment} c0000 = beeswax" in lines
            assert (
                f'{comment} r0001 = ratios."oil:wax".max: oils at most 3 times waxes by weight'
                in lines
            )

    @pytest.mark.parametrize("form", [".lp", ".mps"])
    def test_an_independent_reader_finds_the_same_cost(
        self,
        form: str,
        brief: Path,
        tmp_path: Path,
        optimiser: Command,
    ) -> None:
        """HiGHS reads the file by itself and comes to the same cost."""
        import highspy

        path = tmp_path / f"a{form}"
        answer = optimiser.json("formulate", brief, "--out", path)
        highs = highspy._Highs()  # Highs() prints a banner
        highs.setOptionValue("output_flag", False)
        assert highs.readModel(str(path)) == highspy.HighsStatus.kOk
        highs.run()
        assert highs.getInfo().objective_function_value == pytest.approx(
            answer["cost_per_kg"], rel=1e-9
        )

    def test_endings_in_capitals(self, brief: Path, tmp_path: Path, optimiser: Command) -> None:
        """`.CSV` is `.csv`."""
        assert optimiser("formulate", brief, "--out", tmp_path / "A.CSV")[0] == 0
        text = (tmp_path / "A.CSV").read_text(encoding="utf-8")
        assert text.startswith('"ingredient",percent\n')

    @pytest.mark.parametrize("example", ANSWERED, ids=lambda path: path.stem)
    def test_formulas_of_the_examples_are_read_back(
        self,
        example: Path,
        tmp_path: Path,
        optimiser: Command,
    ) -> None:
        """Every example's formula adds up to exactly 100 in its file."""
        path = tmp_path / "a.csv"
        assert optimiser("formulate", example, "--out", path)[0] == 0
        with path.open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        assert sum(Decimal(row["percent"]) for row in rows) == 100


class TestRefusals:
    def refused(self, brief: Path, optimiser: Command, out: Path) -> str:
        """The message; nothing is printed and nothing is left in the folder."""
        before = sorted(brief.parent.iterdir())
        code, printed, err = optimiser("formulate", brief, "--out", out)
        assert (code, printed) == (2, "")
        assert sorted(brief.parent.iterdir()) == before
        return err

    @pytest.mark.parametrize("name", ["answer.txt", "answer", "answer.", ".csv", "answer.csv.gz"])
    def test_an_ending_without_a_form(self, name: str, brief: Path, optimiser: Command) -> None:
        """The endings that can be written are named."""
        err = self.refused(brief, optimiser, brief.parent / name)
        assert f"--out {brief.parent / name}: " in err
        for ending in ENDINGS:
            assert ending in err

    def test_a_missing_folder(self, brief: Path, optimiser: Command) -> None:
        """No folder is made by the way."""
        assert "no such folder" in self.refused(brief, optimiser, brief.parent / "none" / "a.csv")

    def test_a_folder(self, brief: Path, optimiser: Command) -> None:
        """A folder that is called like a file is no file."""
        (brief.parent / "a.csv").mkdir()
        assert "this is a folder" in self.refused(brief, optimiser, brief.parent / "a.csv")

    def test_the_price_list_that_was_read(self, brief: Path, optimiser: Command) -> None:
        """No answer is written over the maker's prices, even where they look like an answer."""
        for text, why in ((PRICES, "is no answer"), (LIKE_AN_ANSWER, "this file was read")):
            (brief.parent / "prices.csv").write_text(text, encoding="utf-8")
            assert why in self.refused(brief, optimiser, brief.parent / "prices.csv")
            assert (brief.parent / "prices.csv").read_text(encoding="utf-8") == text

    def test_the_price_list_by_another_path(self, brief: Path, optimiser: Command) -> None:
        """A way round and a link lead to the same file."""
        (brief.parent / "prices.csv").write_text(LIKE_AN_ANSWER, encoding="utf-8")
        around = brief.parent / "sub" / ".." / "prices.csv"
        (brief.parent / "sub").mkdir()
        assert "was read" in self.refused(brief, optimiser, around)
        link = brief.parent / "link.csv"
        link.symlink_to(brief.parent / "prices.csv")
        assert "was read" in self.refused(brief, optimiser, link)

    def test_an_own_sheet_that_was_read(self, brief: Path, optimiser: Command) -> None:
        """A sheet is as safe as the price list."""
        sheet = brief.parent / "own.csv"
        sheet.write_text('"ingredient",grip\nbeeswax,3\n', encoding="utf-8")
        text = brief.read_text(encoding="utf-8") + '[shelf]\nsheets = ["own.csv"]\n'
        brief.write_text(text, encoding="utf-8")
        assert "was read" in self.refused(brief, optimiser, sheet)

    def test_every_wrong_output_is_told(self, brief: Path, optimiser: Command) -> None:
        """All mistakes at once, and the right one beside them is not written either."""
        folder = brief.parent
        outs = [folder / "a.txt", folder / "none" / "b.csv", folder / "c.csv"]
        words = [word for out in outs for word in ("--out", out)]
        code, _, err = optimiser("formulate", brief, *words)
        assert code == 2
        assert err.count("\n") == 2
        assert not (folder / "c.csv").exists()

    def test_outputs_are_checked_before_the_brief_is_read(
        self,
        tmp_path: Path,
        optimiser: Command,
    ) -> None:
        """A wrong ending is told at once."""
        _, _, err = optimiser("formulate", tmp_path / "none.toml", "--out", tmp_path / "a.txt")
        assert "a.txt" in err


class TestWhole:
    def test_an_existing_file_is_replaced(
        self,
        brief: Path,
        tmp_path: Path,
        optimiser: Command,
    ) -> None:
        """Nothing of a longer old file remains, and its permissions stay."""
        path = tmp_path / "a.json"
        path.write_bytes(EARLIER[".json"] + b"old " * 100_000)
        path.chmod(0o640)
        assert optimiser("formulate", brief, "--out", path)[0] == 0
        assert json.loads(path.read_text(encoding="utf-8"))["brief"] == "Small"
        if os.name != "nt":
            assert stat.S_IMODE(path.stat().st_mode) == 0o640
        assert left_behind(tmp_path) == []

    def test_a_full_disk_leaves_the_old_file(
        self,
        brief: Path,
        tmp_path: Path,
        optimiser: Command,
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        """Where writing fails half way, the old file is whole and no part is left."""
        path = tmp_path / "a.json"
        path.write_bytes(EARLIER[".json"])

        def full(_: int) -> None:
            raise OSError(28, "No space left on device")

        monkeypatch.setattr("os.fsync", full)
        code, _, err = optimiser("formulate", brief, "--out", path)
        assert code == 2
        assert "not written: No space left on device" in err
        assert path.read_bytes() == EARLIER[".json"]
        assert left_behind(tmp_path) == []

    def test_a_folder_that_may_not_be_written(
        self,
        brief: Path,
        tmp_path: Path,
        optimiser: Command,
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        """The message says so; no traceback."""

        def denied(*_: object, **__: object) -> None:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr("tempfile.NamedTemporaryFile", denied)
        code, out, err = optimiser("formulate", brief, "--out", tmp_path / "a.md")
        assert (code, out) == (2, "")
        assert f"--out {tmp_path / 'a.md'}: not written: Permission denied" in err

    def test_the_usual_permissions(self, brief: Path, tmp_path: Path, optimiser: Command) -> None:
        """A new file may be read by whoever may read new files here."""
        plain = tmp_path / "plain"
        plain.touch()
        assert optimiser("formulate", brief, "--out", tmp_path / "a.md")[0] == 0
        assert (tmp_path / "a.md").stat().st_mode == plain.stat().st_mode

    @pytest.mark.skipif(sys.platform != "linux", reason="other systems refuse such names")
    def test_a_brief_with_a_name_that_is_no_text(self, brief: Path, tmp_path: Path) -> None:
        """A file name from an old disk is no fault of the tool, and leaves nothing behind."""
        odd = os.fsencode(tmp_path) + b"/b\xff.toml"
        os.link(brief, odd)
        out = tmp_path / "a.md"
        words = [sys.executable, "-m", "optimiser", "formulate", odd, "--out", str(out)]
        done = subprocess.run(words, capture_output=True, check=False)
        assert done.returncode in (0, 2), done.stderr
        assert out.exists() == (done.returncode == 0)
        assert left_behind(tmp_path) == []


class TestImpossible:
    @pytest.fixture
    def impossible(self, brief: Path) -> Path:
        text = BRIEF.replace("butter = { min = 20 }", "butter = { min = 60 }\nwax = { min = 60 }")
        brief.write_text(text, encoding="utf-8")
        return brief

    def test_the_explanation_is_written(
        self,
        impossible: Path,
        tmp_path: Path,
        optimiser: Command,
    ) -> None:
        """JSON, Markdown and the model come even where there is no formula."""
        paths, words = asked_for(tmp_path)
        code, out, err = optimiser("formulate", impossible, *words)
        assert code == 1
        assert out.startswith("Small\n")
        assert json.loads(paths[".json"].read_text(encoding="utf-8"))["status"] == "infeasible"
        assert "waxes together at least 60 %" in paths[".md"].read_text(encoding="utf-8")
        assert paths[".lp"].exists()
        assert paths[".mps"].exists()
        assert "answer.csv is not written: there is no formula" in err

    def test_an_old_formula_stays(
        self,
        impossible: Path,
        tmp_path: Path,
        optimiser: Command,
    ) -> None:
        """No formula is no reason to touch the one that is there."""
        path = tmp_path / "a.csv"
        path.write_bytes(EARLIER[".csv"])
        optimiser("formulate", impossible, "--out", path)
        assert path.read_bytes() == EARLIER[".csv"]


@given(st.lists(st.integers(0, 10**9), min_size=1, max_size=20).filter(any), st.integers(0, 6))
def test_printed_shares_add_up_and_are_near(parts: list[int], decimals: int) -> None:
    """Shares in print sum to exactly 100, each less than one last digit from the exact one."""
    exact = [Fraction(100 * part, sum(parts)) for part in parts]
    printed = [Fraction(text) for text in shares_adding_up(exact, decimals)]
    assert sum(printed) == 100
    for share, text in zip(exact, printed, strict=True):
        assert abs(share - text) < Fraction(1, 10**decimals)
        assert text >= 0


def test_no_output_was_written_beside_the_examples() -> None:
    """The examples hold what their makers wrote; answers of ours stand in their own folder."""
    files = [path for path in (ROOT / "examples").rglob("*") if path.is_file()]
    endings = {path.suffix for path in files if path.parent.name != "reports"}
    assert endings <= {".toml", ".csv", ".md"}
