"""A file that is there already is replaced where it is an earlier answer, and else never."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path

import pytest
from earlier import EARLIER, PROPERTIES, with_properties
from every_command import COMMANDS, Workshop, workshop
from formulation_support import Command
from openpyxl import Workbook, load_workbook

from optimiser.answers import cheapest as solving

WHY = "this file is there already and is no answer of optimiser; name another"


def workbook_of_hers() -> bytes:
    book, out = Workbook(), io.BytesIO()
    book.active.append(["ingredient", "percent"])
    book.active.append(["beeswax", 100])
    book.save(out)
    return out.getvalue()


HERS = {
    "notes.md": b"# Notes\n\n- whip it longer\n",
    "about.md": b"Its answers end with <!-- written by optimiser -->, I see.\n",
    "said.md": b"<!-- written by optimiser -->\n\n# Notes\n\n- whip it longer\n",
    "recipe.csv": b"ingredient,percent\nbeeswax,20\nsunflower-oil,80\n",
    "exact.csv": b"ingredient,percent\nbeeswax,33.333333\nsunflower-oil,66.666667\n",
    "saved.csv": b"ingredient,percent\r\nbeeswax,20\r\nsunflower-oil,80\r\n",
    "quoted.csv": b'"ingredient","percent"\n"beeswax",20\n"sunflower-oil",80\n',
    "half.csv": b'"ingredient","percent, of all"\n"beeswax",20\n"sunflower-oil",80\n',
    "comma.csv": b'"ingredient, as bought",percent\nbeeswax,20\nsunflower-oil,80\n',
    "prices_may.csv": b"ingredient,supplier,pack,price\nbeeswax,Larkmoor,1 kg,17\n",
    "words.csv": b"\xff\xfe\x00",
    "open.csv": b'"ingredient,percent\nbeeswax,20\n',
    "line.csv": b"\n",
    "own.json": b'{\n  "brief": "balm",\n  "price": 6,\n  "currency": "GBP"\n}\n',
    "recipe.json": b'{\n  "ingredients": [\n    {\n      "name": "beeswax"\n    }\n  ]\n}\n',
    "list.json": b"[]\n",
    "shop.html": b'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
    b"<title>Balms</title>\n<style>\n:root {\n  --paper: #fff;\n}\n</style>\n",
    "quotes.html": b"<!DOCTYPE html>\n<title>Notes</title>\n"
    b'<p>&lt;meta name="generator" content="optimiser"></p>\n',
    "model.lp": b"\\ my model\nMinimize\nx: y\nEnd\n",
    "model.mps": b"* my model\nNAME mine\nENDATA\n",
    "recipe.xlsx": workbook_of_hers(),
    "torn.xlsx": workbook_of_hers()[:300],
    "words.xlsx": b"no workbook\n",
}


@pytest.fixture
def made(tmp_path: Path) -> Workshop:
    return workshop(tmp_path)


@pytest.mark.parametrize("name", HERS)
def test_what_is_hers_stays(
    name: str, made: Workshop, optimiser: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever she wrote, copied or saved in that form; told before anything is computed."""

    def computed(*_: object) -> None:
        raise AssertionError

    monkeypatch.setattr("optimiser.commands.formulate.cheapest", computed)
    path = made.folder / name
    path.write_bytes(HERS[name])
    new = made.folder / "new.csv"
    told = optimiser("formulate", made.brief, "--out", path, "--out", new)
    assert told == (2, "", f"--out {path}: {WHY}\n")
    assert path.read_bytes() == HERS[name]
    assert not new.exists()


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_keeps_what_is_hers(name: str, made: Workshop, optimiser: Command) -> None:
    """No command goes over notes or a recipe."""
    hers = {"my notes.md": HERS["notes.md"]}
    if ".csv" in COMMANDS[name].forms:
        hers["recipe.csv"] = HERS["recipe.csv"]
    for file, content in hers.items():
        path = made.folder / file
        path.write_bytes(content)
        told = optimiser(*COMMANDS[name].on(made), "--out", path)
        assert told == (2, "", f"--out {path}: {WHY}\n")
        assert path.read_bytes() == content
        path.unlink()
    if name == "start":
        assert not (made.folder / "brief.toml").exists()


def test_the_notes_of_a_new_folder_stay(tmp_path: Path, optimiser: Command) -> None:
    """`start` makes a file of that name, and she goes on writing in it."""
    folder = tmp_path / "workshop"
    assert optimiser("start", folder)[0] == 0
    notes = (folder / "notes.md").read_bytes()
    brief = folder / "brief.toml"
    assert optimiser("formulate", brief, "--out", folder / "notes.md")[0] == 2
    assert (folder / "notes.md").read_bytes() == notes


@pytest.mark.parametrize("name", COMMANDS)
def test_the_same_command_again(name: str, made: Workshop, optimiser: Command) -> None:
    """Each form of each command is known again, also where the answer has changed since."""
    asking = COMMANDS[name]
    paths = [made.folder / f"answer{form}" for form in asking.forms]
    words = [word for path in paths for word in ("--out", path)]
    first = optimiser(*asking.on(made), *words)
    assert first[0] == asking.status, first
    if name == "start":  # it makes the folder once
        asked = ["start", made.folder / "other"]
        assert optimiser(*asked, *words)[0] == 0
        return
    prices = made.folder / "own prices.csv"
    prices.write_text(prices.read_text("utf-8").replace("1 kg,17", "1 kg,23"), encoding="utf-8")
    before = {path: path.read_bytes() for path in paths}
    again = optimiser(*asking.on(made), *words)
    assert (again[0], again[2]) == (first[0], first[2])
    if again[1] != first[1]:
        assert {path: path.read_bytes() for path in paths} != before


def test_several_batches_again(made: Workshop, optimiser: Command) -> None:
    """Their JSON and their table are built in another way."""
    paths = [made.folder / f"answer{form}" for form in COMMANDS["batch"].forms]
    words = [word for path in paths for word in ("--out", path)]
    both = [f"{made.brief}=1 kg", f"{made.weighed}=2 kg"]
    asked = ["batch", *(word for one in both for word in ("--batch", one)), *words]
    first = optimiser(*asked)
    assert first[0] == 0, first
    assert optimiser(*asked) == first


@pytest.mark.parametrize("form", EARLIER)
def test_an_empty_file_and_any_earlier_answer(
    form: str, made: Workshop, optimiser: Command
) -> None:
    """Nothing is lost with either."""
    path = made.folder / f"answer{form}"
    for content in (b"", EARLIER[form]):
        path.write_bytes(content)
        assert optimiser("formulate", made.brief, "--out", path)[0] == 0
        assert path.read_bytes() != content


def rewritten_by_a_spreadsheet(data: bytes) -> bytes:
    """As spreadsheets save a table: no needless quotes, each line ended as on Windows."""
    rows = csv.reader(io.StringIO(data.decode(), newline=""))
    out = io.StringIO(newline="")
    csv.writer(out).writerows(rows)
    return out.getvalue().encode()


def saved_again(data: bytes) -> bytes:
    book, out = load_workbook(io.BytesIO(data)), io.BytesIO()
    book.active["A1"] = "my own title"
    book.save(out)
    return out.getvalue()


CHANGES: dict[str, tuple[str, Callable[[bytes], bytes]]] = {
    "a share": (".csv", lambda data: data.replace(b"beeswax,2", b"beeswax,3", 1)),
    "a row": (".csv", lambda data: data + b"mango-butter,5\n"),
    "a remark": (".csv", lambda data: data + b"whip it longer\n"),
    "saved as a table": (".csv", rewritten_by_a_spreadsheet),
    "saved as a workbook": (".xlsx", saved_again),
    "notes below": (".md", lambda data: data + b"\nwhip it longer\n"),
}


@pytest.mark.parametrize("change", CHANGES)
def test_an_answer_that_she_went_on_with(change: str, made: Workshop, optimiser: Command) -> None:
    """What was changed since is hers."""
    form, changed = CHANGES[change]
    path = made.folder / f"answer{form}"
    assert optimiser("formulate", made.brief, "--out", path)[0] == 0
    hers = changed(path.read_bytes())
    assert hers != path.read_bytes()
    path.write_bytes(hers)
    told = optimiser("formulate", made.brief, "--out", path)
    assert told == (2, "", f"--out {path}: {WHY}\n")
    assert path.read_bytes() == hers


def test_a_workbook_from_when_it_held_the_time(made: Workshop, optimiser: Command) -> None:
    """It is known as well, unless somebody saved it later or by name."""
    path = made.folder / "answer.xlsx"
    early = PROPERTIES.replace("1980-01-01T00:00:00Z", "2026-02-02T02:02:02Z")
    by_name = early.replace("</cp:", "<cp:lastModifiedBy>Ada</cp:lastModifiedBy></cp:")
    later = early.replace("02:02:02Z</dcterms:mod", "02:20:02Z</dcterms:mod")
    early = early.replace("02:02:02Z</dcterms:mod", "02:02:03Z</dcterms:mod")
    for properties, status in ((early, 0), (by_name, 2), (later, 2)):
        path.write_bytes(with_properties(properties))
        assert optimiser("formulate", made.brief, "--out", path)[0] == status


WITHOUT = {
    ".html": b'<meta name="generator" content="optimiser">\n',
    ".lp": b"\\ written by optimiser\n",
    ".mps": b"* written by optimiser\n",
}


@pytest.mark.parametrize("form", WITHOUT)
def test_an_answer_from_before_answers_said_who_wrote_them(
    form: str, made: Workshop, optimiser: Command
) -> None:
    """These are known by what they begin with, too."""
    path = made.folder / f"answer{form}"
    assert optimiser("formulate", made.brief, "--out", path)[0] == 0
    whole = path.read_bytes()
    assert WITHOUT[form] in whole
    path.write_bytes(whole.replace(WITHOUT[form], b""))
    assert optimiser("formulate", made.brief, "--out", path)[0] == 0
    assert path.read_bytes() == whole


def test_what_came_while_the_answer_was_computed(
    made: Workshop, optimiser: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that she saves meanwhile stays as well, and nothing is written."""
    path, other = made.folder / "notes.md", made.folder / "other.json"

    def slow(*asked: object) -> solving.Cheapest:
        path.write_bytes(HERS["notes.md"])
        return solving.cheapest(*asked)  # type: ignore[arg-type]

    monkeypatch.setattr("optimiser.commands.formulate.cheapest", slow)
    told = optimiser("formulate", made.brief, "--out", other, "--out", path)
    assert told == (2, "", f"--out {path}: {WHY}\n")
    assert path.read_bytes() == HERS["notes.md"]
    assert not other.exists()


def test_a_large_table_is_known_by_its_beginning(made: Workshop, optimiser: Command) -> None:
    """Where it is longer than what is looked at, its last whole line ends the look."""
    path = made.folder / "answer.csv"
    rows = "".join(f"ingredient-{number},{number}.5\n" for number in range(20_000))
    path.write_text(f'"ingredient",first,second\n{rows}', encoding="utf-8")
    assert path.stat().st_size > 3 * 65536
    assert optimiser("formulate", made.brief, "--out", path)[0] == 0
