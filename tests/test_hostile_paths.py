"""What stands where a file is meant: folders, pipes, devices, loops, names too long, no rights."""

from __future__ import annotations

import os
import socket
from collections.abc import Callable
from pathlib import Path

import pytest
from formulation_support import Command
from hostile_support import READERS, outcome
from reading_support import COSTING, PRICES, small_book, write

from optimiser.provenance import InputError
from optimiser.reading import formula_file, read_formula, read_request, read_scenarios

if os.name != "posix":
    pytest.skip("pipes, devices and links as POSIX has them", allow_module_level=True)

LONG = "x" * 300


def a_pipe(path: Path) -> None:
    os.mkfifo(path)


def a_loop(path: Path) -> None:
    path.symlink_to(path.name)


def a_longer_loop(path: Path) -> None:
    other = path.with_name("other")
    path.symlink_to(other)
    other.symlink_to(path)


def a_link_to_nothing(path: Path) -> None:
    path.symlink_to("nowhere")


def a_device(path: Path) -> None:
    path.symlink_to("/dev/zero")


def a_socket(path: Path) -> None:
    # A socket's whole path may have no more than about a hundred letters.
    before = Path.cwd()
    os.chdir(path.parent)
    try:
        with socket.socket(socket.AF_UNIX) as listening:
            listening.bind(path.name)
    finally:
        os.chdir(before)


def a_folder(path: Path) -> None:
    path.mkdir()


NOT_PLAIN = "is not a file that can be read; name a plain file"
NONE = "; check its name and folder"
THINGS: dict[str, tuple[Callable[[Path], None], str]] = {
    "pipe": (a_pipe, NOT_PLAIN),
    "loop": (a_loop, NONE),
    "longer loop": (a_longer_loop, NONE),
    "link to nothing": (a_link_to_nothing, NONE),
    "device": (a_device, NOT_PLAIN),
    "socket": (a_socket, NOT_PLAIN),
    "folder": (a_folder, "is a folder; name a file in it"),
    "nothing": (lambda path: None, NONE),
}


def reading(folder: Path, name: str) -> str:
    """What reading the thing of this name complains of, by the reader that it belongs to."""
    write(folder, {"prices.csv": PRICES} if not name.startswith("prices") else {})
    kind = name.partition(".")[0]
    if kind in {"prices", "own", "certificates"}:
        key = {"prices": "prices", "own": "sheets", "certificates": "certificates"}[kind]
        table = COSTING + f'[shelf]\n{key} = ["{name}"]\n'
        brief = f'[costing]\nprices = "{name}"\n' if kind == "prices" else table
        write(folder, {"brief.toml": brief})
    try:
        if kind == "recipe":
            read_formula(folder / name, small_book())
        elif kind == "scenarios":
            read_scenarios(folder / name, small_book())
        else:
            read_request(folder / "brief.toml")
    except InputError as error:
        return str(error)
    return ""


@pytest.mark.parametrize("name", READERS)
@pytest.mark.parametrize("thing", THINGS)
def test_what_is_no_file_is_told_at_once(tmp_path: Path, name: str, thing: str) -> None:
    """Nothing waits for a pipe, follows a loop or reads a device to its end."""
    make, expected = THINGS[thing]
    make(tmp_path / name)
    (first, *_) = reading(tmp_path, name).splitlines()
    assert first.endswith(expected)
    assert name in first


@pytest.mark.parametrize("name", READERS)
def test_an_empty_file_says_what_to_write(tmp_path: Path, name: str) -> None:
    """Nothing in a file is a mistake with a way out, whichever reader has it."""
    messages = outcome(tmp_path, name, b"").messages
    assert len(messages) == 1
    assert any(word in messages[0] for word in ("write", "must name", "save it", "name some"))
    assert name in messages[0]


@pytest.mark.parametrize("name", [LONG, f"{LONG}.csv", f"{LONG}.xlsx", f"{LONG}.xlsx#Prices"])
def test_a_name_longer_than_any_file_has(tmp_path: Path, name: str) -> None:
    """The system refuses such a name, and so do we, in a sentence."""
    write(tmp_path, {"brief.toml": f'[costing]\nprices = "{name}"\n'})
    with pytest.raises(InputError, match=r'^brief\.toml:2 costing\.prices: "(\.\.\.)?xxx'):
        read_request(tmp_path / "brief.toml", book=small_book())
    for read in (read_request, read_formula, read_scenarios):
        with pytest.raises(InputError, match="xxx"):
            read(tmp_path / name, book=small_book())


@pytest.mark.parametrize("words", [("formulate",), ("assess", "brief.toml"), ("compare",)])
def test_the_command_line_names_what_is_no_file(
    tmp_path: Path, optimiser: Command, words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Exit status 2 and the file's name, from every command."""
    monkeypatch.chdir(tmp_path)
    write(tmp_path, {"prices.csv": PRICES, "brief.toml": COSTING})
    os.mkfifo("pipe.csv")
    again = ("pipe.csv",) if words == ("compare",) else ()
    status, out, errors = optimiser(*words, "pipe.csv", *again)
    assert (status, out) == (2, "")
    assert NOT_PLAIN in errors
    assert "pipe.csv" in errors


@pytest.mark.parametrize("fault", [PermissionError(13, "Permission denied"), OSError(5, "I/O")])
@pytest.mark.parametrize("name", READERS)
def test_a_file_that_the_system_withholds(
    tmp_path: Path, name: str, fault: OSError, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No right to read, or a broken disk: the system's word for it, and the file's name."""
    (tmp_path / name).write_bytes(b"x")
    opened = Path.open

    def refused(path: Path, mode: str = "r", **others: str) -> object:
        if path.name == name and mode == "rb":
            raise fault
        return opened(path, mode, **others)

    monkeypatch.setattr(Path, "open", refused)
    (first, *_) = reading(tmp_path, name).splitlines()
    assert first.endswith(f'{name}" cannot be read ({str(fault.strerror).lower()})')


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read everything")
@pytest.mark.parametrize("name", READERS)
def test_a_folder_that_may_not_be_entered(tmp_path: Path, name: str) -> None:
    """A file in it is told as one that cannot be read, or is not there."""
    inner = tmp_path / "locked"
    inner.mkdir()
    inner.chmod(0)
    try:
        for read in (read_request, read_formula, read_scenarios):
            with pytest.raises(InputError):
                read(inner / name, book=small_book())
    finally:
        inner.chmod(0o700)


def test_a_file_that_changes_while_it_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A table that loses its headings between two looks at it is a mistake, not a fault."""
    path = tmp_path / "recipe.csv"
    path.write_text("ingredient,percent\nbeeswax,100\n")
    looked = formula_file._pasted_lines

    def changing(*arguments: Path) -> object:
        found = looked(*arguments)
        path.write_text("beeswax 100\n")
        return found

    monkeypatch.setattr(formula_file, "_pasted_lines", changing)
    with pytest.raises(InputError, match=r"recipe\.csv: no column `ingredient`"):
        read_formula(path, small_book())


def test_a_file_that_goes_while_it_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same for one that is deleted."""
    path = tmp_path / "recipe.csv"
    path.write_text("ingredient,percent\nbeeswax,100\n")
    looked = formula_file._pasted_lines

    def going(*arguments: Path) -> object:
        found = looked(*arguments)
        path.unlink()
        return found

    monkeypatch.setattr(formula_file, "_pasted_lines", going)
    with pytest.raises(InputError, match='there is no file "recipe.csv"'):
        read_formula(path, small_book())
