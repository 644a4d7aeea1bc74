"""The command line: words in, words out, and the exit status."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from formulation_support import ANSWERED, Command

import optimiser as package

PRICES = "ingredient,pack,price\ncocoa-butter,1 kg,18\nsunflower-oil,1 kg,5\nbeeswax,1 kg,17\n"
BRIEF = 'name = "Small"\n[costing]\nprices = "prices.csv"\ncurrency = "GBP"\n'
BALM = BRIEF + "[totals]\nwax = { min = 20 }\noil = { max = 70 }\n"
IMPOSSIBLE = BRIEF + "[totals]\nwax = { min = 60 }\noil = { min = 60 }\n"


@pytest.fixture
def workshop(tmp_path: Path) -> Path:
    """A folder with a price list and three briefs."""
    for name, text in {
        "prices.csv": PRICES,
        "balm.toml": BALM,
        "impossible.toml": IMPOSSIBLE,
        "wrong.toml": BRIEF + "[totals]\nwaxy = { min = 60 }\n",
    }.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def in_a_process(*words: object, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """The command in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "optimiser", *map(str, words)],
        capture_output=True,
        check=False,
        env={**os.environ, **environment},
    )


class TestStatus:
    def test_0_for_an_answer(self, workshop: Path, optimiser: Command) -> None:
        """An answer is on standard output, nothing on standard error."""
        code, out, err = optimiser("formulate", workshop / "balm.toml")
        assert (code, err) == (0, "")
        assert out.startswith("Small\n=====\n")

    def test_1_for_a_brief_that_cannot_be_met(
        self,
        workshop: Path,
        optimiser: Command,
    ) -> None:
        """The explanation is the output, on standard output."""
        code, out, err = optimiser("formulate", workshop / "impossible.toml")
        assert (code, err) == (1, "")
        assert "waxes together at least 60 %" in out
        assert "oils together at least 60 %" in out

    def test_2_for_wrong_input(self, workshop: Path, optimiser: Command) -> None:
        """Each mistake is one line on standard error, with file, line and key."""
        code, out, err = optimiser("formulate", workshop / "wrong.toml")
        assert (code, out) == (2, "")
        assert err.startswith("wrong.toml:6 totals.waxy: ")
        assert err.count("\n") == 1

    @pytest.mark.parametrize(
        "words",
        [
            ["formulate"],
            ["formulate", "b.toml", "--wrong"],
            ["formulate", "b.toml", "--out"],
            ["formulate", "b.toml", "c.toml"],
            ["no-such-command"],
        ],
    )
    def test_2_for_a_wrong_command(self, words: list[str], optimiser: Command) -> None:
        """What the command line cannot take is told on standard error."""
        code, out, err = optimiser(*words)
        assert (code, out) == (2, "")
        assert err

    def test_2_for_a_missing_brief(self, tmp_path: Path, optimiser: Command) -> None:
        """A brief that is not there is one message without a traceback."""
        code, out, err = optimiser("formulate", tmp_path / "none.toml")
        assert (code, out) == (2, "")
        assert "none.toml" in err
        assert err.count("\n") == 1

    def test_3_for_a_fault_of_the_tool(
        self,
        workshop: Path,
        optimiser: Command,
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        """A fault says that it is ours, where, and that nothing is wrong with the files."""

        def broken(*_: object) -> None:
            raise ZeroDivisionError("by hand")

        monkeypatch.setattr("optimiser.commands.formulate.cheapest", broken)
        code, out, err = optimiser("formulate", workshop / "balm.toml")
        assert (code, out) == (3, "")
        assert "A fault of the tool, not of your files: ZeroDivisionError: by hand" in err
        assert "Traceback" not in err

    def test_3_for_a_brief_that_is_not_settled(
        self,
        workshop: Path,
        optimiser: Command,
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        """Where the exact arithmetic comes to no end, no formula is claimed."""
        from optimiser.exact.dictionary import Ending
        from optimiser.exact.proof import Certificate

        def unsettled(model: object, basis: object) -> Certificate:
            return Certificate(Ending.UNSETTLED, proven=False)

        monkeypatch.setattr("optimiser.solve.prove", unsettled)
        code, out, err = optimiser("formulate", workshop / "balm.toml")
        assert (code, out) == (3, "")
        assert "came to no end" in err

    def test_130_when_stopped(
        self,
        workshop: Path,
        optimiser: Command,
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        """Stopping it by hand is no answer and no fault."""

        def stopped(*_: object) -> None:
            raise KeyboardInterrupt

        monkeypatch.setattr("optimiser.commands.formulate.cheapest", stopped)
        assert optimiser("formulate", workshop / "balm.toml")[0] == 130


class TestJson:
    def test_nothing_else_is_printed(self, workshop: Path) -> None:
        """The whole of standard output is one JSON document, also from the solver's side."""
        done = in_a_process("formulate", workshop / "balm.toml", "--json")
        assert done.returncode == 0
        assert done.stderr == b""
        assert json.loads(done.stdout)["status"] == "optimal"

    def test_an_impossible_brief_is_json_too(self, workshop: Path, optimiser: Command) -> None:
        """Status 1 does not change what stands on standard output."""
        answer = optimiser.json("formulate", workshop / "impossible.toml", status=1)
        assert answer["status"] == "infeasible"
        assert {entry["limit"] for entry in answer["conflict"]} == {
            "totals.wax.min",
            "totals.oil.min",
        }
        assert answer["proof"]["status"] == "proven"

    def test_the_ways_out_of_an_impossible_brief(self, workshop: Path, optimiser: Command) -> None:
        """Each limit's nearest bound that can be met, and the smallest change over all."""
        answer = optimiser.json("formulate", workshop / "impossible.toml", status=1)
        ways = {way["limit"]: (way["bound"], way["reachable"]) for way in answer["ways_out"]}
        assert ways == {"totals.wax.min": (60, 40), "totals.oil.min": (60, 40)}
        moved = answer["smallest_compromise"]
        assert sum(step["from"] - step["to"] for step in moved) == pytest.approx(20)
        for line in (*answer["conflict"], *answer["ways_out"]):
            assert line["sentence"]

    def test_dropping_any_limit_of_the_conflict_makes_the_brief_possible(
        self,
        workshop: Path,
        optimiser: Command,
    ) -> None:
        """A conflict has nothing in it that could stay."""
        for dropped in ("wax = { min = 60 }\n", "oil = { min = 60 }\n"):
            (workshop / "less.toml").write_text(IMPOSSIBLE.replace(dropped, ""), encoding="utf-8")
            assert optimiser("formulate", workshop / "less.toml")[0] == 0

    def test_signs_of_other_languages_stay(self, workshop: Path, optimiser: Command) -> None:
        """Names are not turned into escapes."""
        text = BALM.replace("Small", "Beurre d'été №5")
        (workshop / "balm.toml").write_text(text, encoding="utf-8")
        assert optimiser.json("formulate", workshop / "balm.toml")["brief"] == "Beurre d'été №5"
        assert "été №5" in optimiser("formulate", workshop / "balm.toml", "--json")[1]


NUMBER = (int, float)
TEXT = (str,)
MAYBE = (int, float, type(None))

SHAPE: Mapping[str, tuple[type, ...] | dict[str, Any]] = {
    "brief": TEXT,
    "status": TEXT,
    "currency": TEXT,
    "cost_per_kg": NUMBER,
    "formula": {
        "ingredient": TEXT,
        "percent": NUMBER,
        "price_per_kg": NUMBER,
        "cost_share": MAYBE,
    },
    "active_limits": {
        "limit": TEXT,
        "origin": TEXT,
        "bound": NUMBER,
        "unit": TEXT,
        "cost_per_unit": MAYBE,
        "cost_per_unit_down": MAYBE,
        "holds_from": MAYBE,
        "holds_to": MAYBE,
        "sentence": TEXT,
    },
    "used": {"ingredient": TEXT, "price_per_kg": NUMBER, "stays_from": MAYBE, "stays_to": MAYBE},
    "unused": {"ingredient": TEXT, "price_per_kg": NUMBER, "enters_below": MAYBE},
    "left_out": {"ingredient": TEXT, "missing": TEXT, "needed_by": TEXT},
    "cautions": (list,),
}
"""The keys that scripts rely on, and what may stand there."""


@pytest.mark.parametrize("example", ANSWERED, ids=lambda path: path.stem)
def test_the_answer_has_the_promised_keys(example: Path, optimiser: Command) -> None:
    """Every key that scripts rely on is there with the type they expect."""
    answer = optimiser.json("formulate", example)
    for key, kinds in SHAPE.items():
        if isinstance(kinds, dict):
            for line in answer[key]:
                assert set(kinds) <= set(line)
                for name, types in kinds.items():
                    assert isinstance(line[name], types), f"{key}: {name}"
        else:
            assert isinstance(answer[key], kinds), key
    # Of a weighed formula it is not known whether another costs the same.
    assert answer["unique"] is None if "weighing" in answer else answer["unique"] in (True, False)
    for totals in ("totals", "ratios"):
        assert all(isinstance(value, MAYBE) for value in answer[totals].values())
    for level in answer["properties"].values():
        assert {"value", "low", "high", "unit"} <= set(level)
        assert level["low"] <= level["value"] <= level["high"]
    assert {"status", "arithmetic", "cost_exact", "lower_bound_exact"} <= set(answer["proof"])
    cost, lower = (Fraction(answer["proof"][key]) for key in ("cost_exact", "lower_bound_exact"))
    assert lower <= cost
    assert (answer["proof"]["status"] == "proven") == (lower == cost)
    assert re.fullmatch(r"\d+(/\d+)?", answer["proof"]["cost_exact"])
    for found in answer["active_limits"]:
        low, high = found["holds_from"], found["holds_to"]
        assert low is None or low <= found["bound"]
        assert high is None or found["bound"] <= high


class TestHelp:
    def test_help_loads_nothing_heavy(self) -> None:
        """Help comes without the solver, numpy or pandas."""
        script = (
            "import sys; from optimiser.cli import app\n"
            "try: app(['--help'])\n"
            "except SystemExit as leaving: assert leaving.code == 0\n"
            "heavy = {'pulp', 'numpy', 'pandas', 'highspy', 'openpyxl'} & set(sys.modules)\n"
            "assert not heavy, heavy\n"
        )
        done = subprocess.run([sys.executable, "-c", script], capture_output=True, check=False)
        assert done.returncode == 0, done.stderr.decode()
        for command in ("start", "formulate", "ingredients"):
            assert command.encode() in done.stdout

    def test_a_mistake_loads_no_solver(self, workshop: Path) -> None:
        """A wrong brief is told without loading the solver or pandas."""
        script = (
            f"import sys; sys.argv = ['optimiser', 'formulate', {str(workshop / 'wrong.toml')!r}]\n"
            "from optimiser.cli import main\n"
            "try: main()\n"
            "except SystemExit as leaving: assert leaving.code == 2\n"
            "heavy = {'pulp', 'pandas', 'highspy', 'openpyxl'} & set(sys.modules)\n"
            "assert not heavy, heavy\n"
        )
        done = subprocess.run([sys.executable, "-c", script], capture_output=True, check=False)
        assert done.returncode == 0, done.stderr.decode()

    def test_each_command_says_what_it_does(self, optimiser: Command) -> None:
        """The list of commands has a sentence for each."""
        code, out, _ = optimiser("--help")
        assert code == 0
        commands = out.partition("Commands:")[2].strip().splitlines()
        assert all(len(line.split()) > 3 for line in commands if line.startswith("  "))

    def test_importing_the_package_loads_nothing_heavy(self) -> None:
        """`import optimiser` is for scripts, too, and comes at once."""
        assert package.__version__
        script = "import sys, optimiser; print({'pulp', 'numpy', 'pandas'} & set(sys.modules))"
        done = subprocess.run([sys.executable, "-c", script], capture_output=True, check=True)
        assert done.stdout == b"set()\n"


class TestSurroundings:
    def test_a_console_without_the_signs(self, workshop: Path) -> None:
        """Where the console knows only ASCII, a sign it lacks is shown as its escape."""
        (workshop / "balm.toml").write_text(BALM.replace("Small", "Été №5"), encoding="utf-8")
        done = in_a_process("formulate", workshop / "balm.toml", PYTHONIOENCODING="ascii")
        assert done.returncode == 0
        assert done.stdout.startswith(b"\\xc9t\\xe9 \\u21165\n")

    @pytest.mark.skipif(os.name == "nt", reason="pipes close otherwise on Windows")
    def test_a_reader_that_has_gone(self) -> None:
        """A closed pipe, as behind `| head`, is no failure and no noise."""
        read, write = os.pipe()
        os.close(read)
        with os.fdopen(write, "wb") as pipe:
            done = subprocess.run(
                [sys.executable, "-m", "optimiser", "ingredients"],
                stdout=pipe,
                stderr=subprocess.PIPE,
                check=False,
            )
        assert (done.returncode, done.stderr) == (0, b"")

    @pytest.mark.skipif(os.name == "nt", reason="the shell closes no streams on Windows")
    def test_no_standard_output_at_all(self, workshop: Path) -> None:
        """Without a standard output there is no traceback."""
        words = f"{sys.executable} -m optimiser formulate {workshop / 'balm.toml'} >&-"
        done = subprocess.run(["sh", "-c", words], stderr=subprocess.PIPE, check=False)
        assert b"Traceback" not in done.stderr

    @pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is full")
    def test_a_full_device(self, workshop: Path) -> None:
        """An answer that cannot be printed is said to be so, and is no success."""
        with Path("/dev/full").open("wb") as full:
            done = subprocess.run(
                [sys.executable, "-m", "optimiser", "formulate", workshop / "balm.toml"],
                stdout=full,
                stderr=subprocess.PIPE,
                check=False,
            )
        assert done.returncode not in (0, 1)
        assert b"fault of the tool" not in done.stderr


class TestStart:
    def test_a_folder_that_formulates_at_once(self, tmp_path: Path, optimiser: Command) -> None:
        """The new folder's brief is answered as it stands."""
        code, out, err = optimiser("start", tmp_path / "new" / "mine")
        assert (code, err) == (0, "")
        assert f"optimiser formulate {tmp_path / 'new' / 'mine' / 'brief.toml'}" in out
        answer = optimiser.json("formulate", tmp_path / "new" / "mine" / "brief.toml")
        assert answer["status"] == "optimal"
        assert answer["proof"]["status"] == "proven"

    def test_nothing_that_is_there_is_changed(self, tmp_path: Path, optimiser: Command) -> None:
        """One file in the way, and none of the three is written."""
        (tmp_path / "prices.csv").write_text("mine", encoding="utf-8")
        code, out, err = optimiser("start", tmp_path)
        assert (code, out) == (2, "")
        assert "prices.csv" in err
        assert [path.name for path in tmp_path.iterdir()] == ["prices.csv"]
        assert (tmp_path / "prices.csv").read_text(encoding="utf-8") == "mine"

    def test_other_files_stay(self, tmp_path: Path, optimiser: Command) -> None:
        """A folder may hold other things already."""
        (tmp_path / "photo.jpg").write_bytes(b"x")
        assert optimiser("start", tmp_path)[0] == 0
        assert sorted(path.name for path in tmp_path.iterdir()) == [
            "brief.toml",
            "notes.md",
            "photo.jpg",
            "prices.csv",
        ]

    def test_a_file_is_no_folder(self, tmp_path: Path, optimiser: Command) -> None:
        """A name that a file has is refused."""
        (tmp_path / "mine").write_text("x", encoding="utf-8")
        code, _, err = optimiser("start", tmp_path / "mine")
        assert code == 2
        assert "this is a file; name a folder" in err

    def test_the_answer_is_not_written_over_the_new_files(
        self,
        tmp_path: Path,
        optimiser: Command,
    ) -> None:
        """`--out` may not name one of the three files that are made."""
        code, _, _ = optimiser("start", tmp_path, "--out", tmp_path / "notes.md")
        notes = tmp_path / "notes.md"
        assert code == 2 or "optimiser formulate" not in notes.read_text(encoding="utf-8")
        assert code == 2

    def test_json(self, tmp_path: Path, optimiser: Command) -> None:
        """The folder and its files, for scripts."""
        answer = optimiser.json("start", tmp_path / "a")
        assert answer["folder"] == str(tmp_path / "a")
        assert [Path(file).name for file in answer["files"]] == [
            "brief.toml",
            "prices.csv",
            "notes.md",
        ]

    def test_the_starter_says_that_it_is_invented(self, tmp_path: Path, optimiser: Command) -> None:
        """Nobody takes the starter's prices for real ones."""
        _, out, _ = optimiser("start", tmp_path)
        assert "invented" in out
        assert "invented" in (tmp_path / "notes.md").read_text(encoding="utf-8")


class TestIngredients:
    def test_the_list(self, optimiser: Command) -> None:
        """Every ingredient is listed once, with the properties and the styles."""
        code, out, _ = optimiser("ingredients")
        assert code == 0
        assert sum(line.startswith("shea-butter-refined ") for line in out.splitlines()) == 1
        assert "vitamin_e, mg/100 g of the product" in out
        assert "whipped-butter" in out

    @pytest.mark.parametrize(
        "name", ["mango-butter", "Mango Butter", "Mangifera Indica Seed Butter"]
    )
    def test_one_by_any_of_its_names(self, name: str, optimiser: Command) -> None:
        """Id, common name and INCI name lead to the same sheet."""
        answer = optimiser.json("ingredients", name)
        assert answer["ingredient"] == "mango-butter"
        assert answer["sources"]
        for figure in answer["figures"]:
            assert figure["low"] <= figure["typical"] <= figure["high"]
            assert set(figure["source"].split()) <= set(answer["sources"])

    def test_an_unknown_one_offers_the_nearest(self, optimiser: Command) -> None:
        """A slip of the pen is answered with the likely names."""
        code, out, err = optimiser("ingredients", "mago-buter")
        assert (code, out) == (2, "")
        assert "mango-butter" in err

    def test_an_ambiguous_one_names_both(self, optimiser: Command) -> None:
        """An INCI name that two ingredients share is not guessed at."""
        code, out, err = optimiser("ingredients", "Butyrospermum Parkii Butter")
        assert (code, out) == (2, "")
        assert "shea-butter-refined" in err
        assert "shea-butter-unrefined" in err

    def test_the_list_as_json(self, optimiser: Command) -> None:
        """Ingredients, properties and styles for scripts."""
        answer = optimiser.json("ingredients")
        assert {"ingredients", "properties", "styles"} <= set(answer)
        ids = [line["ingredient"] for line in answer["ingredients"]]
        assert len(ids) == len(set(ids)) > 40

    def test_files(self, tmp_path: Path, optimiser: Command) -> None:
        """One sheet in every form at once."""
        names = [tmp_path / f"mango.{ending}" for ending in ("json", "csv", "md")]
        out = [word for name in names for word in ("--out", name)]
        assert optimiser("ingredients", "mango-butter", *out)[0] == 0
        assert json.loads(names[0].read_text(encoding="utf-8"))["ingredient"] == "mango-butter"
        assert names[1].read_text(encoding="utf-8").startswith('"property",low,typical,high,')
        assert names[2].read_text(encoding="utf-8").startswith("# ")

    def test_every_line_fits_80_columns(self, optimiser: Command) -> None:
        """The list and a sheet are legible on a small terminal."""
        for words in (("ingredients",), ("ingredients", "cocoa-butter")):
            _, out, _ = optimiser(*words)
            assert max(map(len, out.splitlines())) <= 80
