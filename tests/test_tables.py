"""Answers as DataFrames: the same numbers as the JSON, in columns of one type."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

import pandas
import pytest
from formulation_support import ANSWERED, IMPOSSIBLE, small_request

import optimiser
from optimiser.answers.cheapest import cheapest
from optimiser.answers.recipe import assessed
from optimiser.answers.substitute import Options, substituted
from optimiser.present.answer_json import cheapest_document
from optimiser.present.recipe_words import assessment_document
from optimiser.present.substitute_forms import substitution_document
from optimiser.reading import read_request
from optimiser.tables import frames

COLUMNS = {
    "formula": ("ingredient", "name", "kind", "percent", "price_per_kg", "cost_share"),
    "totals": ("of", "amount", "unit"),
    "properties": (
        "property",
        "title",
        "value",
        "low",
        "high",
        "unit",
        "over",
        "trust",
        "is_limited",
    ),
    "active_limits": (
        "said",
        "limit",
        "bound",
        "unit",
        "cost_per_unit",
        "holds_to",
        "cost_per_unit_down",
        "holds_from",
        "eased_bound",
        "eased_cost_per_kg",
    ),
    "used": ("ingredient", "name", "price_per_kg", "stays_from", "stays_to"),
    "unused": ("ingredient", "name", "price_per_kg", "enters_below"),
    "on_skin": ("title", "limit", "level", "bound", "unit", "rule", "status"),
    "left_out": ("ingredient", "name", "missing", "title", "needed_by"),
}

WHY_NONE = {
    "conflicts": ("conflict", "said", "limit", "bound", "unit", "firm"),
    "ways_out": ("said", "limit", "bound", "reachable", "unit", "cost_per_kg"),
    "compromise": ("said", "limit", "from", "to", "unit", "cost_per_kg"),
    "compromise_formula": ("ingredient", "name", "percent"),
}
"""What a brief without a formula has besides."""

WORDS = {
    "ingredient", "name", "kind", "property", "title", "unit", "over", "trust", "limit", "said",
    "missing", "needed_by", "of", "rule", "status"
}  # fmt: skip

YES_NO = {"is_limited", "firm"}

LIMITS = (
    ("ratios.butter:oil.min", "1"),
    ("properties.density.min", "0.92"),
    ("totals.powder.max", "10"),
)


def tables_and_document() -> tuple[dict[str, pandas.DataFrame], Mapping[str, Any]]:
    answer = cheapest(small_request(*LIMITS))
    return frames(answer), cheapest_document(answer)


def test_the_tables_and_their_columns() -> None:
    """All tables are there with their columns in order."""
    tables, _ = tables_and_document()
    assert {name: tuple(table.columns) for name, table in tables.items()} == COLUMNS
    assert [name for name, table in tables.items() if not len(table)] == ["on_skin"]


@pytest.mark.parametrize("request_kind", ["answered", "without rows", "impossible"])
def test_numbers_are_floats_even_in_an_empty_table(request_kind: str) -> None:
    """A column of numbers is of floats, whether there are rows or not."""
    request = {
        "answered": small_request(*LIMITS),
        "without rows": small_request(prices={"starch": "3"}),
        "impossible": small_request(("totals.wax.min", "60"), ("totals.oil.min", "60")),
    }[request_kind]
    tables = frames(cheapest(request))
    expected = COLUMNS | (WHY_NONE if request_kind == "impossible" else {})
    assert {name: tuple(table.columns) for name, table in tables.items()} == expected
    for name, table in tables.items():
        for column in sorted(set(table.columns) - WORDS - YES_NO):
            assert table[column].dtype == "float64", f"{name}.{column}"


@pytest.mark.parametrize("name", ["formula", "active_limits", "used", "unused", "left_out"])
def test_the_values_are_those_of_the_json(name: str) -> None:
    """Row by row and column by column, null as NaN."""
    tables, document = tables_and_document()
    table, lines = tables[name], document[name]
    assert len(table) == len(lines)
    for (_, row), line in zip(table.iterrows(), lines, strict=True):
        for column in set(table.columns) & set(line):
            if line[column] is None:
                assert pandas.isna(row[column])
            else:
                assert row[column] == line[column]


def test_the_properties_are_those_of_the_json() -> None:
    """One row a property, in the same order."""
    tables, document = tables_and_document()
    found = tables["properties"].set_index("property")
    assert list(found.index) == list(document["properties"])
    for name, level in document["properties"].items():
        for column in ("value", "low", "high", "unit", "trust"):
            assert found.loc[name, column] == level[column]


def test_from_a_brief_to_a_table_in_two_calls() -> None:
    """`optimiser.formulate` and `optimiser.frames` are all that a notebook needs."""
    answer = optimiser.formulate(ANSWERED[0])
    table = optimiser.frames(answer)["formula"]
    assert table["percent"].sum() == pytest.approx(100)
    assert table["cost_share"].sum() == pytest.approx(1)
    assert answer.measures is not None
    assert len(table) == len(answer.measures.formula)


def test_frames_of_a_recipe_held_against_a_brief() -> None:
    """Limits, changes and both formulas are the numbers of the JSON."""
    request = read_request(ANSWERED[-1])
    names = sorted({offer.ingredient for offer in request.offers})[:2]
    answer = assessed(request, "recipe.csv", dict.fromkeys(names, Fraction(50)))
    tables, document = frames(answer), assessment_document(answer)
    assert list(tables["formula"]["percent"]) == [50, 50]
    limits = tables["limits"]
    assert list(limits["limit"]) == [limit["limit"] for limit in document["limits"]]
    known = [limit["met"] for limit in document["limits"]]
    assert [None if pandas.isna(met) else bool(met) for met in limits["met"]] == known
    changes = tables["changes"].set_index("ingredient")["change"]
    assert changes.to_dict() == document["nearest"]["changes"]
    nearest = tables["nearest"].set_index("ingredient")["percent"]
    assert nearest.to_dict() == {
        one["ingredient"]: one["percent"] for one in document["nearest"]["formula"]
    }


def test_frames_of_a_replacement() -> None:
    """Formulas side by side, and the corners in long form."""
    request = read_request(ANSWERED[-1])
    gone = cheapest(request).measures.formula[0].ingredient
    answer = substituted(request, Options(gone=(gone,)), None)
    tables, document = frames(answer), substitution_document(answer)
    beside = tables["formulas"].set_index("ingredient")
    for name, part in (("in_use", "reference"), ("closest", "closest"), ("cheapest", "cheapest")):
        shares = {one["ingredient"]: one["percent"] for one in document[part]["formula"]}
        assert beside[name][beside[name] > 0].to_dict() == shares
    assert list(tables["between"]["cost_per_kg"]) == [
        corner["cost_per_kg"] for corner in document["between"]
    ]
    sums = tables["between_formulas"].groupby("corner")["percent"].sum()
    assert list(sums) == pytest.approx([100] * len(document["between"]))
    assert len(tables["candidates"]) == len(document["candidates"])


def test_frames_of_an_impossible_brief() -> None:
    """Conflicts, ways out and the compromise are those of the JSON."""
    answer = cheapest(read_request(IMPOSSIBLE[0]))
    tables, document = frames(answer), cheapest_document(answer)
    told = [
        (number, clash["limit"], clash["bound"])
        for number, conflict in enumerate(document["conflicts"], start=1)
        for clash in conflict
    ]
    conflicts = tables["conflicts"]
    assert (
        list(conflicts[["conflict", "limit", "bound"]].itertuples(index=False, name=None)) == told
    )
    assert len(tables["ways_out"]) == len(document["ways_out"])
    moves = document["smallest_compromise"]
    assert list(tables["compromise"]["to"]) == [move["to"] for move in moves]
    assert tables["compromise_formula"]["percent"].sum() == pytest.approx(100)
