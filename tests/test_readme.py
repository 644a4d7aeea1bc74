"""The README: its printed answers are the command's, and every command is in it."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from formulation_support import ROOT, Command

from optimiser.cli import app

README = (ROOT / "README.md").read_text(encoding="utf-8")

BLOCK = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)

CONSOLE = [text for kind, text in BLOCK.findall(README) if kind == "console"]

PROMPT = "$ optimiser "


def matches(shown: list[str], printed: list[str]) -> bool:
    """Whether lines are as shown, where a line `...` stands for any lines left out."""
    if not shown:
        return not printed
    if shown[0].strip() == "...":
        return any(matches(shown[1:], printed[k:]) for k in range(len(printed) + 1))
    return bool(printed) and shown[0] == printed[0] and matches(shown[1:], printed[1:])


def test_left_out_lines_are_allowed_only_where_said() -> None:
    """The comparison of these tests itself: dots stand for any lines, nothing else does."""
    assert matches(["a", "...", "d"], ["a", "b", "c", "d"])
    assert matches(["a", "..."], ["a"])
    assert not matches(["a", "d"], ["a", "b", "d"])
    assert not matches(["a", "...", "d"], ["a", "b"])
    assert not matches(["a"], ["a", "b"])


@pytest.mark.parametrize("block", CONSOLE, ids=lambda block: block.split("\n")[0])
def test_a_printed_answer_is_what_the_command_prints(
    block: str,
    optimiser: Command,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    """Below `$ optimiser ...` stands what that command prints, run in this folder."""
    first, *shown = block.splitlines()
    assert first.startswith(PROMPT), "a console block begins with a command"
    monkeypatch.chdir(ROOT)
    words = shlex.split(first.removeprefix(PROMPT), comments=True)
    # What a command of the README would write is written elsewhere.
    after_out = {k + 1 for k, word in enumerate(words) if word == "--out"}
    words = [str(tmp_path / w) if k in after_out else w for k, w in enumerate(words)]
    if words[0] == "start":
        words[1] = str(tmp_path / words[1])
    code, out, err = optimiser(*words)
    assert code in (0, 1), err
    printed = (out or err).replace(f"{tmp_path}/", "").rstrip("\n").split("\n")
    assert matches(shown, printed), "\n".join(printed)


def test_there_is_a_worked_example() -> None:
    """The README shows at least one whole answer."""
    assert CONSOLE


def test_every_command_is_in_the_readme() -> None:
    """A command that nobody can read of does not exist."""
    names = {
        command.name or command.callback.__name__
        for command in app.registered_commands
        if command.callback is not None
    }
    missing = {name for name in names if f"optimiser {name}" not in README}
    assert missing == set()


def test_every_file_that_the_readme_names_is_there() -> None:
    """Links lead somewhere."""
    links = re.findall(r"\]\(([^)#:]+)\)", README)
    assert links
    assert [link for link in links if not (ROOT / link).exists()] == []


def test_every_brief_in_the_readme_is_toml() -> None:
    """Snippets of briefs can be pasted."""
    import tomllib

    snippets = [text for kind, text in BLOCK.findall(README) if kind == "toml"]
    assert snippets
    for text in snippets:
        assert tomllib.loads(text)
