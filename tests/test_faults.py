"""What goes wrong around the tool: disks, signals, surroundings, solvers.

The long run of kills at random moments is `tests/faults/kill_while_writing.py`.
"""

from __future__ import annotations

import os
import random
import re
import signal
import stat
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from earlier import EARLIER
from every_command import COMMANDS, Asking, Workshop, workshop
from formulation_support import Command

from optimiser.cli import app
from optimiser.pulp_model import RawSolution, carry

IS_POSIX = os.name == "posix"
posix = pytest.mark.skipif(not IS_POSIX, reason="signals, links and modes of POSIX")


@pytest.fixture
def made(tmp_path: Path) -> Workshop:
    return workshop(tmp_path)


def in_a_process(
    *words: object, script: str = "", **environment: str
) -> subprocess.CompletedProcess[bytes]:
    """The command in a process of its own, after some lines of Python."""
    return subprocess.run(
        started(words, script), capture_output=True, check=False, env=surroundings(environment)
    )


def started(words: tuple[object, ...], script: str) -> list[str]:
    if not script:
        return [sys.executable, "-m", "optimiser", *map(str, words)]
    script += "\nfrom optimiser.__main__ import run\nrun()\n"
    return [sys.executable, "-c", script, *map(str, words)]


def surroundings(changed: dict[str, str]) -> dict[str, str]:
    """The environment with changes; an empty value takes a variable away."""
    return {name: value for name, value in {**os.environ, **changed}.items() if value}


def parts(folder: Path) -> list[str]:
    """Names of files that are not whole."""
    return [path.name for path in folder.iterdir() if path.name.startswith(".part-")]


def test_every_command_is_tried_here() -> None:
    """A command that is new gets a line in the table of all commands."""
    known = {command.name or command.callback.__name__ for command in app.registered_commands}  # type: ignore[union-attr]
    assert known == {asking.words[0] for asking in COMMANDS.values()}


def reading(name: str) -> bool:
    """Whether a command reads files of the maker."""
    return any("{" in word for word in COMMANDS[name].words) and name != "start"


@posix
@pytest.mark.parametrize("name", [name for name in COMMANDS if reading(name)])
def test_what_was_read_is_not_written_over(name: str, made: Workshop, optimiser: Command) -> None:
    """The prices by their name, by a link and by a hard link, and the named file itself."""
    asking = COMMANDS[name]
    form = ".csv" if ".csv" in asking.forms else ".json"
    prices = made.folder / "own prices.csv"
    # Written as the program writes its tables, so that it could be taken for one.
    rows = prices.read_text("utf-8").splitlines()
    like = "\n".join([rows[0].replace("ingredient", '"ingredient"', 1), *rows[1:], ""])
    prices.write_text(like, encoding="utf-8", newline="")
    why = "was read for the answer" if form == ".csv" else "is there already and is no answer"
    link, hard = made.folder / f"link{form}", made.folder / f"hard{form}"
    link.symlink_to(prices)
    hard.hardlink_to(prices)
    before = {path: path.read_bytes() for path in made.folder.iterdir()}
    for out in (link, hard, *([prices] if form == ".csv" else [])):
        code, printed, err = optimiser(*asking.on(made), "--out", out)
        assert (code, printed) == (2, "")
        assert err.startswith(f"--out {out}: this file {why}")
    assert {path: path.read_bytes() for path in made.folder.iterdir()} == before


@pytest.mark.parametrize("name", COMMANDS)
def test_of_several_files_all_are_written_or_none(
    name: str, made: Workshop, optimiser: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the disk is full at the second file, the first one is the old one as well."""
    asking, folder = COMMANDS[name], made.folder / "out"
    folder.mkdir()
    outs = [folder / "a.json", folder / "b.md"]
    outs[0].write_bytes(EARLIER[".json"])
    count = [0]

    def full(_: int) -> None:
        count[0] += 1
        if count[0] > 1:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    code, printed, err = optimiser(*asking.on(made), "--out", outs[0], "--out", outs[1])
    assert (code, printed) == (2, "")
    assert "not written: No space left on device\n" in err
    assert outs[0].read_bytes() == EARLIER[".json"]
    assert [path.name for path in folder.iterdir()] == ["a.json"]
    if name == "start":
        assert not (made.folder / "brief.toml").exists()


class TestPlaces:
    def refused(self, made: Workshop, optimiser: Command, out: Path, problem: str) -> None:
        before = sorted(made.folder.iterdir())
        code, printed, err = optimiser("formulate", made.brief, "--out", out)
        assert (code, printed, err) == (2, "", f"--out {out}: {problem}\n")
        assert sorted(made.folder.iterdir()) == before

    @posix
    def test_a_pipe_and_a_device(self, made: Workshop, optimiser: Command) -> None:
        """Neither is replaced by a file, nor waited for."""
        os.mkfifo(made.folder / "pipe.csv")
        (made.folder / "device.csv").symlink_to("/dev/null")
        for name in ("pipe.csv", "device.csv"):
            problem = "this is no plain file; name another"
            self.refused(made, optimiser, made.folder / name, problem)
        assert stat.S_ISFIFO((made.folder / "pipe.csv").stat().st_mode)
        assert (made.folder / "device.csv").is_symlink()

    @posix
    def test_a_link_stays_and_what_it_leads_to_is_written(
        self, made: Workshop, optimiser: Command
    ) -> None:
        """Also where that is not there yet."""
        (made.folder / "elsewhere").mkdir()
        old = made.folder / "elsewhere" / "old.csv"
        old.write_bytes(EARLIER[".csv"])
        for name in ("old.csv", "new.csv"):
            link = made.folder / name
            link.symlink_to(f"elsewhere/{name}")
            assert optimiser("formulate", made.brief, "--out", link)[0] == 0
            assert link.is_symlink()
            assert link.read_text("utf-8").startswith('"ingredient",percent\n')
        assert len(list((made.folder / "elsewhere").iterdir())) == 2

    @posix
    def test_links_in_a_circle(self, made: Workshop, optimiser: Command) -> None:
        """They are no file, as a place to write to and as a brief."""
        circle = made.folder / "circle.csv"
        circle.symlink_to("circle.csv")
        code, _, err = optimiser("formulate", made.brief, "--out", circle)
        assert (code, err) == (2, f"--out {circle}: this link leads nowhere; name another file\n")
        assert optimiser("formulate", circle)[0] == 2
        assert optimiser("start", circle)[0] == 2

    @posix
    def test_a_name_that_is_too_long(self, made: Workshop, optimiser: Command) -> None:
        """The system's word is passed on, for files and for folders."""
        name = made.folder / f"{'a' * 300}.csv"
        problem = "cannot be written: File name too long"
        self.refused(made, optimiser, name, problem)
        for words in (["start", name], ["assess", made.brief, name], ["formulate", name]):
            code, _, err = optimiser(*words)
            assert code == 2
            assert "ile name too long" in err

    def test_a_file_that_may_only_be_read(
        self, made: Workshop, optimiser: Command, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """That its folder may be written is no leave to replace it."""
        path = made.folder / "kept.csv"
        path.write_bytes(EARLIER[".csv"])
        path.chmod(0o444)
        if IS_POSIX and os.geteuid() == 0:
            # Root may always.
            monkeypatch.setattr("os.access", lambda _, mode: mode != os.W_OK)
        self.refused(made, optimiser, path, "this file may only be read; name another")
        assert path.read_bytes() == EARLIER[".csv"]

    @posix
    def test_folders_that_may_not_be_entered(self, optimiser: Command) -> None:
        """Every command says so; run as root, the test gives its rights away for a moment."""
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            folder.chmod(0o755)
            made = workshop(folder)
            closed, shown = folder / "closed", folder / "shown"
            closed.mkdir(0o000)
            shown.mkdir(0o555)
            assert optimiser("formulate", made.brief, "--out", folder / "a.csv")[0] == 0
            with without_rights():
                for words, problem in (
                    (("formulate", made.brief, "--out", closed / "a.csv"), "cannot be written"),
                    (("formulate", made.brief, "--out", shown / "a.csv"), "not written"),
                    (("start", closed / "x"), "cannot be made"),
                    (("start", shown / "x"), "cannot be made"),
                    (("start", shown), "not written"),
                    (("formulate", closed / "x.toml"), "cannot be read"),
                    (("assess", made.brief, closed / "x.csv"), "cannot be read"),
                ):
                    code, printed, err = optimiser(*words)
                    assert (code, printed) == (2, ""), err
                    assert problem in err
                    assert "ermission denied" in err
            assert list(shown.iterdir()) == []
            closed.chmod(0o755)
            assert list(closed.iterdir()) == []

    @posix
    def test_a_working_folder_that_is_gone(self, made: Workshop) -> None:
        """What is named by its whole path is read and written, the rest is not there."""
        gone = "import os, tempfile\nd = tempfile.mkdtemp()\nos.chdir(d)\nos.rmdir(d)\n"
        # As the program `optimiser` has it; Python 3.13.0 itself stumbles over `python -c` there.
        safe = {"PYTHONSAFEPATH": "1"}
        out = made.folder / "a.csv"
        done = in_a_process("formulate", made.brief, "--out", out, script=gone, **safe)
        assert done.returncode == 0, done.stderr
        assert out.exists()
        for words in (
            ("formulate", made.brief, "--out", "a.csv"),
            ("formulate", "none.toml"),
            ("start", "new"),
        ):
            done = in_a_process(*words, script=gone, **safe)
            assert done.returncode == 2, done.stderr
            assert done.stderr.count(b"\n") == 1


@posix
class TestStopped:
    """Killed, interrupted and terminated."""

    FORMS = COMMANDS["formulate"].forms
    QUICK = (".json", ".csv", ".lp", ".md")
    EACH = "import os, signal, pathlib\nn = [0]\ndef at(*_, **__):\n    n[0] += 1\n"
    AT_SYNC = "    if n[0] == {number}: signal.raise_signal(signal.{name})\nos.fsync = at\n"
    AT_REPLACE = (
        "    if n[0] == {number}: signal.raise_signal(signal.{name})\n"
        "    return os.replace(*_)\npathlib.Path.replace = at\n"
    )

    def outs(self, folder: Path, forms: tuple[str, ...] = FORMS) -> tuple[list[Path], list[object]]:
        paths = [folder / f"answer{form}" for form in forms]
        return paths, [word for path in paths for word in ("--out", path)]

    def test_killed_while_writing(self, made: Workshop) -> None:
        """Each file is the old one or the new one, whole; what is left over is told by its name."""
        out, right = made.folder / "out", made.folder / "right"
        for folder in (out, right):
            folder.mkdir()
        wanted, rightly = self.outs(right)
        done = in_a_process("formulate", made.brief, *rightly)
        assert done.returncode == 0, done.stderr
        paths, words = self.outs(out)
        for moment, number in ((self.AT_SYNC, 6), (self.AT_REPLACE, 6)):
            for path in paths:
                path.write_bytes(EARLIER[path.suffix])
            script = self.EACH + moment.format(number=number, name="SIGKILL")
            done = in_a_process("formulate", made.brief, *words, script=script)
            assert done.returncode == -signal.SIGKILL
            replaced = number - 1 if moment == self.AT_REPLACE else 0
            for place, (path, other) in enumerate(zip(paths, wanted, strict=True)):
                if place >= replaced:
                    assert path.read_bytes() == EARLIER[path.suffix]
                else:
                    assert path.read_bytes() == other.read_bytes()
            names = {path.name for path in paths}
            assert {path.name for path in out.iterdir()} - names == set(parts(out))

    @pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
    def test_asked_to_stop_while_writing(self, name: str, made: Workshop) -> None:
        """Before all are complete none is written; after that all are. No part is left."""
        status = {130} if name == "SIGINT" else {-getattr(signal, name)}
        out = made.folder / "out"
        out.mkdir()
        paths, words = self.outs(out, self.QUICK)
        for moment, number, is_new in ((self.AT_SYNC, 2, False), (self.AT_REPLACE, 1, True)):
            for path in paths:
                path.write_bytes(EARLIER[path.suffix])
            script = self.EACH + moment.format(number=number, name=name)
            done = in_a_process("formulate", made.brief, *words, script=script)
            assert done.returncode in status, done.stderr
            assert done.stdout == b""
            assert b"Traceback" not in done.stderr
            are_new = [path.read_bytes() != EARLIER[path.suffix] for path in paths]
            assert are_new == [is_new] * len(paths)
            assert len(list(out.iterdir())) == len(paths)

    def test_a_start_that_was_cut_short_is_completed(self, tmp_path: Path) -> None:
        """No brief stands there without its prices, and the same command again mends it."""
        script = self.EACH + self.AT_REPLACE.format(number=3, name="SIGKILL")
        folder = tmp_path / "new"
        assert in_a_process("start", folder, script=script).returncode == -signal.SIGKILL
        assert not (folder / "brief.toml").exists()
        done = in_a_process("start", folder)
        assert done.returncode == 0, done.stderr
        assert in_a_process("formulate", folder / "brief.toml").returncode == 0
        assert in_a_process("start", folder).returncode == 2

    @pytest.mark.parametrize(
        "words",
        [
            ("reprice", "{brief}", "--spread", "30%", "--draws", "10000000"),
            ("substitute", "{brief}", "--gone", "sunflower-oil"),
            ("tradeoff", "{brief}", "cost", "vitamin_e"),
        ],
        ids=lambda words: words[0],
    )
    def test_ctrl_c(self, words: tuple[str, ...], made: Workshop) -> None:
        """In the midst of an answer: stopped, no traceback, no half answer, no file."""
        out, begun = made.folder / "a.json", made.folder / "begun"
        asked = (*Asking(words, ()).on(made), "--out", out)
        # The computation tells that it has begun, and is drawn out so that it surely lasts.
        script = (
            "import optimiser.exact.dictionary as d, pathlib, time\n"
            "usual = d.Dictionary.settle\n"
            f"begun = pathlib.Path({str(begun)!r})\n"
            "def slow(*words):\n    begun.touch()\n    time.sleep(0.3)\n    return usual(*words)\n"
            "d.Dictionary.settle = slow\n"
        )
        running = subprocess.Popen(
            started(asked, script), stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        while not begun.exists():
            assert running.poll() is None, running.communicate()
            time.sleep(0.05)
        time.sleep(0.2)
        running.send_signal(signal.SIGINT)
        printed, err = running.communicate(timeout=60)
        assert (printed, err) == (b"", b"stopped\n")
        # Python itself leaves by the signal where it was running text of its own, as a
        # dataclass does when it is made; to a shell that is 130 as well.
        assert running.returncode in (130, -signal.SIGINT)
        assert not out.exists()

    def test_ctrl_c_in_a_search_of_the_solver(self, tmp_path: Path) -> None:
        """HiGHS does not go on to its time limit."""
        running = subprocess.Popen(
            started(("formulate", hard_brief(tmp_path), "--time-limit", "60"), ""),
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        assert running.stderr is not None
        assert b"at most 60 s" in running.stderr.readline()
        time.sleep(0.3)
        begin = time.monotonic()
        running.send_signal(signal.SIGINT)
        printed, err = running.communicate(timeout=50)
        assert (printed, err, running.returncode) == (b"", b"stopped\n", 130)
        assert time.monotonic() - begin < 30


def hard_brief(folder: Path, step: str = "0.01") -> Path:
    """Sixty ingredients in fine steps under thirty limits: a search that takes minutes."""
    rng = random.Random(5)
    n, m = 60, 30
    table = [
        [round(rng.uniform(0, 100), 1) if rng.random() < 0.6 else 0.0 for _ in range(n)]
        for _ in range(m)
    ]
    point = rng.sample(range(n), 10)
    said = []
    for k, figures in enumerate(table):
        level, room = sum(figures[j] for j in point) / 10, rng.uniform(0.2, 2)
        is_least = rng.random() < 0.5
        bound = level - room if is_least else level + room
        said.append(f"p{k} = {{ {'min' if is_least else 'max'} = {bound:.2f} }}\n")
    headings = ",".join(f"p{k}" for k in range(m))
    rows = [f"part-{j:02},oil,{','.join(str(table[k][j]) for k in range(m))}\n" for j in range(n)]
    (folder / "sheet.csv").write_text(f"ingredient,kind,{headings}\n{''.join(rows)}", "utf-8")
    offers = [f"part-{j:02},1 kg,{rng.uniform(3, 30):.2f}\n" for j in range(n)]
    (folder / "prices.csv").write_text(f"ingredient,pack,price\n{''.join(offers)}", "utf-8")
    brief = folder / "hard.toml"
    brief.write_text(
        'name = "Hard"\n[costing]\nprices = "prices.csv"\n[shelf]\nsheets = ["sheet.csv"]\n'
        f"[weighing]\nstep = {step}\nsmallest = 0.5\n[properties]\n{''.join(said)}",
        "utf-8",
    )
    return brief


class without_rights:  # noqa: N801  # used like a function
    """What root may do beyond others is given up for a while."""

    def __enter__(self) -> None:
        self.is_root = os.geteuid() == 0
        if self.is_root:
            os.seteuid(65534)

    def __exit__(self, *_: object) -> None:
        if self.is_root:
            os.seteuid(0)


class TestConsole:
    @posix
    @pytest.mark.parametrize(
        ("shell", "status", "said"),
        [
            ("formulate {brief} >&-", 2, b"standard output: not written: it is closed\n"),
            ("--help >&-", 2, b"standard output: not written: it is closed\n"),
            ("formulate {brief} >/dev/full", 2, b"standard output: not written: No space"),
            ("formulate --help >/dev/full", 2, b"standard output: not written: No space"),
            ("formulate none.toml 2>/dev/full", 2, b""),
            ("formulate none.toml 2>&-", 2, b""),
            ("formulate 2>/dev/full", 2, b""),
            ("formulate {weighed} 2>/dev/full", 0, b""),
            ("formulate {weighed} 2>&-", 0, b""),
            ("formulate {impossible} --out {folder}/a.csv 2>/dev/full", 1, b""),
            ("formulate {brief} <&-", 0, b""),
        ],
    )
    def test_streams_that_take_nothing(
        self, shell: str, status: int, said: bytes, made: Workshop
    ) -> None:
        """The status stays what it means, and there is no traceback."""
        if "/dev/full" in shell and not Path("/dev/full").exists():
            pytest.skip("needs a device that is full")
        words = shell
        for name in ("brief", "weighed", "impossible", "folder"):
            path = str(getattr(made, name))
            words = words.replace(f"{{{name}}}", f"'{path}'")
        done = subprocess.run(
            ["sh", "-c", f"{sys.executable} -m optimiser {words}"],
            capture_output=True,
            check=False,
        )
        assert done.returncode == status, done.stderr
        assert done.stderr.startswith(said)
        assert b"fault" not in done.stderr

    @posix
    @pytest.mark.parametrize("words", [("--help",), ("formulate", "--help"), ("ingredients",)])
    def test_a_reader_that_has_gone(self, words: tuple[str, ...]) -> None:
        """A closed pipe is no failure, also of help."""
        read, write = os.pipe()
        os.close(read)
        with os.fdopen(write, "wb") as pipe:
            done = subprocess.run(
                started(words, ""), stdout=pipe, stderr=subprocess.PIPE, check=False
            )
        assert (done.returncode, done.stderr) == (0, b"")


SURROUNDINGS = {
    "a kind of window that there is none of": {"MPLBACKEND": "nonsense"},
    "no locale and no home": {
        "LC_ALL": "C",
        "LANG": "",
        "PYTHONUTF8": "0",
        "PYTHONCOERCECLOCALE": "0",
        "PYTHONHASHSEED": "1",
        "HOME": "",
        "XDG_CONFIG_HOME": "",
        "XDG_CACHE_HOME": "",
    },
    "no folder of its own": {
        "PYTHONHASHSEED": "2",
        "HOME": "/dev/null/x",
        "MPLCONFIGDIR": "/dev/null/x",
        "TMPDIR": "/dev/null/x",
        "TMP": "/dev/null/x",
    },
    "a narrow terminal": {
        "PYTHONHASHSEED": "0",
        "TZ": "Pacific/Kiritimati",
        "COLUMNS": "20",
        "LINES": "5",
        "TERM": "dumb",
        "NO_COLOR": "1",
    },
}


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> tuple[Workshop, bytes, dict[str, bytes]]:
    """A workshop, with its answer as it is printed and written on an ordinary day."""
    made = workshop(tmp_path_factory.mktemp("usual"))
    return made, *answered_in(made, {})


def answered_in(
    made: Workshop, changed: dict[str, str], script: str = ""
) -> tuple[bytes, dict[str, bytes]]:
    """What is printed and what is written in some surroundings."""
    forms = COMMANDS["formulate"].forms
    with tempfile.TemporaryDirectory() as folder:
        outs = {form: Path(folder) / f"a{form}" for form in forms}
        words = [word for path in outs.values() for word in ("--out", path)]
        done = in_a_process("formulate", made.brief, *words, script=script, **changed)
        assert (done.returncode, done.stderr) == (0, b"")
        return done.stdout, {form: path.read_bytes() for form, path in outs.items()}


@pytest.mark.parametrize("name", SURROUNDINGS)
def test_the_same_bytes_in_other_surroundings(
    name: str, usual: tuple[Workshop, bytes, dict[str, bytes]]
) -> None:
    """Neither locale, seed, home nor terminal changes an answer, and nothing is said of them."""
    made, *answers = usual
    assert list(answered_in(made, SURROUNDINGS[name])) == answers


def test_the_same_bytes_on_another_day(usual: tuple[Workshop, bytes, dict[str, bytes]]) -> None:
    """A clock that is more than a year ahead changes no form."""
    made, *answers = usual
    script = (
        "import time\n"
        f"later, local = {time.time() + 400 * 24 * 3600}, time.localtime\n"
        "time.time = lambda: later\n"
        "time.localtime = lambda seconds=None: local(later if seconds is None else seconds)\n"
    )
    assert list(answered_in(made, {}, script)) == answers


@pytest.mark.parametrize("name", [name for name in COMMANDS if ".xlsx" in COMMANDS[name].forms])
def test_no_workbook_holds_the_time(name: str, made: Workshop, optimiser: Command) -> None:
    """Neither in its properties nor in its parts, which all bear the first day that ZIP has."""
    path = made.folder / "answer.xlsx"
    assert optimiser(*COMMANDS[name].on(made), "--out", path)[0] == COMMANDS[name].status
    with zipfile.ZipFile(path) as book:
        assert {part.date_time for part in book.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        properties = book.read("docProps/core.xml")
    assert b"<dc:creator>optimiser</dc:creator>" in properties
    times = re.findall(rb">([0-9TZ:-]+)</dcterms:(?:created|modified)>", properties)
    assert times == [b"1980-01-01T00:00:00Z"] * 2


def test_the_same_bytes_with_a_decimal_comma(
    usual: tuple[Workshop, bytes, dict[str, bytes]], tmp_path: Path
) -> None:
    """Numbers are read and written alike where the system writes 0,5, also where C does so."""
    made, *answers = usual
    name = "de_DE.UTF-8"
    place = str(tmp_path / name)
    try:
        subprocess.run(["localedef", "-i", "de_DE", "-f", "UTF-8", place], check=True)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("needs a locale with a decimal comma")
    script = (
        f"import locale\nlocale.setlocale(locale.LC_ALL, {name!r})\n"
        "assert locale.localeconv()['decimal_point'] == ','\n"
    )
    changed = {"LC_ALL": name, "LOCPATH": str(tmp_path)}
    assert list(answered_in(made, changed, script)) == answers


def test_where_nothing_temporary_can_be_written(
    made: Workshop, optimiser: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Forms that need it say so; the others are written."""

    def none(*_: object, **__: object) -> str:
        raise FileNotFoundError(2, "No usable temporary directory found")

    monkeypatch.setattr("tempfile._get_default_tempdir", none)
    monkeypatch.setattr("tempfile.tempdir", None)
    for form in COMMANDS["formulate"].forms:
        out = made.folder / f"a{form}"
        code, _, err = optimiser("formulate", made.brief, "--out", out)
        if form in (".lp", ".mps", ".xlsx"):
            assert code == 2
            assert err == f"--out {out}: not written: No usable temporary directory found\n"
        else:
            assert code == 0, err


class TestSolvers:
    STATUSES = ("optimal", "infeasible", "unbounded", "limit", "stopped")
    POINTS = ("none", "nan", "inf", "zero", "random")
    BASES = ("none", "all basic", "none basic", "random", "unheard of")

    @pytest.fixture
    def right(self, made: Workshop, optimiser: Command) -> Iterator[dict[str, object]]:
        answer = optimiser.json("formulate", made.brief)
        yield answer
        # What is proven without its help is the answer that stands with it.
        assert answer["proof"]["status"] == "proven"

    @pytest.mark.parametrize("status", STATUSES)
    def test_nonsense_of_a_solver_does_not_reach_the_answer(
        self,
        status: str,
        right: dict[str, object],
        made: Workshop,
        optimiser: Command,
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        """Whatever status, point and basis it gives, the same formula is proven."""
        rng = random.Random(status)

        def nonsense(model: object, *_: object) -> RawSolution:
            n, m = len(model.columns), len(model.rows)  # type: ignore[attr-defined]
            names = ["kBasic", "kLower", "kUpper"]
            x = {
                "none": None,
                "nan": np.full(n, np.nan),
                "inf": np.full(n, np.inf),
                "zero": np.zeros(n),
                "random": np.array([rng.uniform(-50, 150) for _ in range(n)]),
            }[point]
            columns, rows = {
                "none": (None, None),
                "all basic": (["kBasic"] * n, ["kBasic"] * m),
                "none basic": (["kLower"] * n, ["kUpper"] * m),
                "random": ([rng.choice(names) for _ in range(n)],
                           [rng.choice(names) for _ in range(m)]),
                "unheard of": (["kZero"] * n, ["kNonbasic"] * m),
            }[basis]  # fmt: skip
            return RawSolution(status, x, columns, rows, "HiGHS")

        monkeypatch.setattr("optimiser.pulp_model.carry", nonsense)
        for point, basis in [(p, "none") for p in self.POINTS] + [
            ("zero", basis) for basis in self.BASES
        ]:
            assert optimiser.json("formulate", made.brief) == right, (point, basis)
        point, basis = "none", "random"
        assert optimiser("formulate", made.impossible)[0] == 1

    @pytest.mark.parametrize("status", STATUSES)
    @pytest.mark.parametrize("point", ["none", "nan", "zero", "huge"])
    def test_nonsense_among_weighable_formulas_is_checked(
        self,
        status: str,
        point: str,
        made: Workshop,
        optimiser: Command,
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        """A formula that breaks a limit is never shown, and none is called proven."""

        def nonsense(model: object, *rest: object) -> RawSolution:
            if not any(model.is_integer):  # type: ignore[attr-defined]
                return carry(model, *rest)  # type: ignore[arg-type]
            n = len(model.columns)  # type: ignore[attr-defined]
            value = {"none": None, "nan": np.nan, "zero": 0.0, "huge": 1e300}[point]
            x = None if value is None else np.full(n, value)
            return RawSolution(status, x, None, None, "HiGHS")

        monkeypatch.setattr("optimiser.pulp_model.carry", nonsense)
        code, printed, err = optimiser("formulate", made.weighed, "--json")
        assert code == 1, err
        assert '"cost_per_kg"' not in printed.partition('"conflict"')[0]
        assert '"status": "not proven"' in printed
        if (status, point) != ("infeasible", "none"):
            assert '"status": "unsettled"' in printed
            said = optimiser("formulate", made.weighed)[1]
            assert "No formula was found within every limit" in " ".join(said.split())

    def test_a_solver_that_throws_gives_way_to_the_other(
        self, right: dict[str, object], made: Workshop, optimiser: Command,
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:  # fmt: skip
        """CBC answers, and the answer is the same."""

        def thrown(*_: object) -> None:
            raise RuntimeError("out of sorts")

        monkeypatch.setattr("optimiser.pulp_model._by_highs", thrown)
        assert optimiser.json("formulate", made.brief) == right

    def test_no_solver_at_all(self, made: Workshop) -> None:
        """One line says what to install."""
        script = (
            "import sys\nsys.modules['highspy'] = None\nimport pulp\n"
            "pulp.PULP_CBC_CMD.executable = staticmethod(lambda command: False)\n"
        )
        done = in_a_process("formulate", made.brief, script=script)
        assert (done.returncode, done.stdout) == (2, b"")
        assert done.stderr.startswith(b"solver: neither HiGHS nor CBC runs here; run `pip install")
        assert done.stderr.count(b"\n") == 1

    def test_the_other_solver_leaves_the_folder_clean(self, made: Workshop) -> None:
        """CBC's files are not put beside the maker's, wherever temporary ones may go."""
        script = (
            f"import glob, os, sys\nsys.modules['highspy'] = None\nos.chdir({str(made.folder)!r})\n"
            "import subprocess\nusual = subprocess.Popen\n"
            "def looking(*words, **more):\n"
            "    assert not glob.glob('*pulp*'), 'it works beside the files of the maker'\n"
            "    return usual(*words, **more)\n"
            "subprocess.Popen = looking\n"
        )
        before = sorted(made.folder.iterdir())
        done = in_a_process("formulate", made.brief, script=script, TMPDIR="/dev/null/x")
        assert done.returncode == 0, done.stderr
        assert sorted(made.folder.iterdir()) == before

    def test_out_of_time(self, tmp_path: Path, optimiser: Command) -> None:
        """The formula so far is shown as such; nothing says that it is the cheapest."""
        brief = hard_brief(tmp_path)
        answer = optimiser.json("formulate", brief, "--time-limit", "0.1", status=None)
        assert answer["proof"]["status"] == "not proven"
        code, printed, _ = optimiser("formulate", brief, "--time-limit", "0.1")
        text = " ".join(printed.split())
        assert "time ran out" in text
        assert "no weighable formula costs less" not in text
        assert "proven" not in text.replace("not proven", "").replace("Proven: no formula at", "")
        assert code in (0, 1)
