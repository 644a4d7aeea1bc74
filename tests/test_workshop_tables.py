"""The shipped tables of the workshop, and mistakes in them."""

from __future__ import annotations

import csv
from importlib.resources import files
from pathlib import Path

import pytest

from optimiser.provenance import InputError
from optimiser.reading import read_book, read_fill_tolerances, read_method

BOOK = read_book()


def shipped(name: str) -> str:
    return files("ingredient_data").joinpath(name).read_text(encoding="utf-8")


def changed(folder: Path, name: str, old: str, new: str) -> Path:
    text = shipped(name)
    assert old in text
    (folder / name).write_text(text.replace(old, new, 1), encoding="utf-8")
    return folder


@pytest.mark.parametrize("name", ["method.csv", "fill_tolerances.csv"])
def test_a_table_is_plain_and_full(name: str) -> None:
    """Known headings, no ragged row, nothing padded, no row twice."""
    rows = list(csv.reader(shipped(name).splitlines()))
    assert all(len(row) == len(rows[0]) for row in rows)
    assert all(cell == cell.strip() for row in rows for cell in row)
    assert len({tuple(row) for row in rows}) == len(rows)


def test_every_style_has_its_steps() -> None:
    """All styles, and steps for a product of none."""
    assert {step.style for step in read_method(BOOK)} == {*BOOK.styles, ""}


def test_every_tolerance_has_a_source_that_exists() -> None:
    """The scheme's title, source and status stand beside every figure."""
    for row in read_fill_tolerances(BOOK):
        assert row.source in BOOK.sources
        assert row.title
        assert row.locator
        assert row.status in ("transcription", "recalled")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("whipped-butter,2,", "whipped-cream,2,",
         "ingredient_data/method.csv:3: no such style: 'whipped-cream'"),
        ("whipped-butter,2,", "whipped-butter,1,",
         "ingredient_data/method.csv:3: step 1 of whipped-butter must come after 1"),
        ("melt,butter wax,", "melt,butter lard,",
         "ingredient_data/method.csv:3: no such kind: 'lard'"),
        ("oils,oil,", "oils,oil butter,",
         "ingredient_data/method.csv:4: butter is added in ingredient_data/method.csv:3 already"),
        ("shea-butter-refined ", "shea-butter-golden ",
         "ingredient_data/method.csv:5: no such kind or ingredient: 'shea-butter-golden'"),
        ("77,85,10,15", "85,77,10,15", "ingredient_data/method.csv:5: 85 is above 77"),
        ("77,85,10,15", "hot,85,10,15", "ingredient_data/method.csv:5: 'hot' is not a number"),
        ("oils,oil,", "oils,,",
         "ingredient_data/method.csv: whipped-butter has no step that adds oil"),
        ("style,order", "style,place",
         "ingredient_data/method.csv:1: the headings must be style,order,phase,adds,only_with,"
         "step,low_C,high_C,low_minutes,high_minutes,status,note"),
    ],
)  # fmt: skip
def test_a_mistake_in_the_steps_is_told(tmp_path: Path, old: str, new: str, said: str) -> None:
    """With file and row, like one of the maker's."""
    folder = changed(tmp_path, "method.csv", old, new)
    with pytest.raises(InputError) as caught:
        read_method(BOOK, folder)
    assert str(caught.value).splitlines()[0] == said


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (",5,50,9,percent", ",5,50,9,g/g",
         "ingredient_data/fill_tolerances.csv:2: no such unit: 'g/g'"),
        (",50,100,4.5,g", ",60,100,4.5,g",
         "ingredient_data/fill_tolerances.csv:3: bands must rise and meet"),
        ("directive-76-211", "directive-0",
         "ingredient_data/fill_tolerances.csv:2: no such source: 'directive-0'"),
    ],
)  # fmt: skip
def test_a_mistake_in_the_tolerances_is_told(tmp_path: Path, old: str, new: str, said: str) -> None:
    """With file and row."""
    folder = changed(tmp_path, "fill_tolerances.csv", old, new)
    with pytest.raises(InputError) as caught:
        read_fill_tolerances(BOOK, folder)
    assert str(caught.value).splitlines()[0] == said


def test_a_missing_table_is_told(tmp_path: Path) -> None:
    """An installation without its tables says so."""
    for read in (read_method, read_fill_tolerances):
        with pytest.raises(InputError, match="install the package again"):
            read(BOOK, tmp_path)
