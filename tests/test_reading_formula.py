"""Formulas read from files."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from reading_support import small_book

from optimiser.answers.measures import Share
from optimiser.ingredient import Kind
from optimiser.present.formula_csv import formula_text
from optimiser.provenance import InputError
from optimiser.reading import Formula, read_formula


def formula_of(folder: Path, content: str) -> Formula:
    path = folder / "formula.csv"
    path.write_text(content)
    return read_formula(path, small_book())


def test_formula_is_read_as_written(tmp_path: Path) -> None:
    """Shares are kept exactly, by id, whatever name is written."""
    formula = formula_of(tmp_path, "ingredient,percent\nCera Alba,12.50\nmango-butter,87.54\n")
    assert formula.shares == {"beeswax": Decimal("12.50"), "mango-butter": Decimal("87.54")}
    assert formula.remarks == ()
    assert formula.file == str(tmp_path / "formula.csv")


def test_habits_are_said(tmp_path: Path) -> None:
    """Semicolons, decimal commas, percent signs and further columns are read and told."""
    content = "Ingredient;Percent;Grams\nbeeswax;12,5 %;25\nmango-butter;87,5 %;175\n"
    formula = formula_of(tmp_path, content)
    assert formula.shares == {"beeswax": Decimal("12.5"), "mango-butter": Decimal("87.5")}
    assert formula.remarks == (
        "formula.csv: columns are separated by semicolons",
        'formula.csv: the column "Grams" is not used',
        "formula.csv: percent has decimal commas",
        "formula.csv: percent has percent signs",
    )


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        (
            "beeswax,12\nmango-butter,87.9",
            "formula.csv percent: the percentages sum to 99.9, 0.1 too little; make them 100",
        ),
        (
            "beeswax,12\nmango-butter,88.051",
            "formula.csv percent: the percentages sum to 100.051, 0.051 too much; make them 100",
        ),
        ("", "formula.csv percent: the percentages sum to 0, 100 too little; make them 100"),
        (
            "beeswx,100",
            'formula.csv:2 ingredient: "beeswx": no such ingredient; nearest: beeswax',
        ),
        (
            "beeswax,50\nCera alba,50",
            'formula.csv:3 ingredient: "Cera alba" stands in row 2 too; add the two up',
        ),
        (
            "beeswax,-1\nmango-butter,101",
            "formula.csv:2 percent: -1 is no percentage; write 0 to 100"
            "\nformula.csv:3 percent: 101 is no percentage; write 0 to 100",
        ),
        ("beeswax,", "formula.csv:2 percent: no percent in this row; fill it in or delete the row"),
        (",5", "formula.csv:2 ingredient: no ingredient in this row; fill it in or delete the row"),
        ("beeswax,lots", 'formula.csv:2 percent: "lots" is not a number; write it like 8.50'),
    ],
)
def test_formula_mistake_is_told(tmp_path: Path, rows: str, message: str) -> None:
    """What a formula has wrong is told with its row; a wrong sum says by how much."""
    with pytest.raises(InputError) as caught:
        formula_of(tmp_path, f"ingredient,percent\n{rows}\n")
    assert str(caught.value) == message


def test_missing_formula_is_told(tmp_path: Path) -> None:
    """A file that is not there is one message."""
    with pytest.raises(InputError) as caught:
        read_formula(tmp_path / "none.csv", small_book())
    assert str(caught.value) == ('none.csv: there is no file "none.csv"; check its name and folder')


# The folder is the same for every example; each writes the file anew.
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.lists(st.integers(1, 10**6), min_size=1, max_size=10))
def test_the_csv_of_an_answer_is_read_back(tmp_path: Path, parts: list[int]) -> None:
    """A formula that was written out is read back as printed, with nothing to remark."""
    shares = [
        Share(identifier, "", Kind.OTHER, Fraction(100 * part, sum(parts)), None, None)
        for identifier, part in zip(small_book().ingredients, parts, strict=False)
    ]
    text = formula_text(SimpleNamespace(formula=shares))
    path = tmp_path / "answer.csv"
    path.write_text(text)
    formula = read_formula(path, small_book())
    assert sum(formula.shares.values()) == 100
    assert formula.remarks == ()
    for share in shares:
        assert abs(Fraction(formula.shares[share.ingredient]) - share.percent) < Fraction(1, 10**5)


def test_a_brief_in_the_place_of_a_recipe_is_told(tmp_path: Path) -> None:
    """Whoever gives the brief twice hears what the second file is to be."""
    (tmp_path / "brief.toml").write_text("[amounts]\nbeeswax = 3\n")
    with pytest.raises(InputError) as caught:
        read_formula(tmp_path / "brief.toml", small_book())
    assert str(caught.value) == (
        'brief.toml: "brief.toml" is a brief; a recipe belongs here, a file ending in .csv or .xlsx'
    )
