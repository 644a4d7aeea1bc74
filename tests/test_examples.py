"""Every example: what it claims, and that it is read as meant."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from formulation_support import ANSWERED, EXAMPLES, IMPOSSIBLE, ROOT

from optimiser.answers.cheapest import cheapest
from optimiser.present.console import cheapest_text
from optimiser.reading import read_book, read_formula, read_request, read_scenarios


def by_name(path: Path) -> str:
    return path.stem


def test_there_are_examples_of_both_kinds() -> None:
    """Some briefs have a formula, and one shows what is said where there is none."""
    assert len(ANSWERED) >= 4
    assert IMPOSSIBLE


@pytest.mark.parametrize("path", ANSWERED, ids=by_name)
def test_an_example_is_answered(path: Path) -> None:
    """The brief has a formula that keeps within every limit, and none below a proven cost."""
    answer = cheapest(read_request(path))
    assert answer.status == "optimal"
    assert answer.measures is not None
    assert sum(share.percent for share in answer.measures.formula) == 100
    lower = answer.certificate.lower_bound
    assert lower is not None
    assert lower <= answer.measures.cost_per_kg
    if answer.request.brief.weighing is None:
        assert answer.certificate.proven
        assert lower == answer.measures.cost_per_kg


@pytest.mark.parametrize("path", IMPOSSIBLE, ids=by_name)
def test_the_impossible_example_is_proven_so(path: Path) -> None:
    """No formula exists, exactly proven."""
    answer = cheapest(read_request(path))
    assert answer.status == "infeasible"
    assert answer.certificate.proven


@pytest.mark.parametrize("path", EXAMPLES, ids=by_name)
def test_an_example_says_that_it_is_invented(path: Path) -> None:
    """Nobody takes an example's prices or suppliers for real ones."""
    first = path.read_text(encoding="utf-8").splitlines()[0]
    assert first.startswith("#")
    assert "invented" in first


def test_every_table_of_the_examples_is_used_by_a_brief() -> None:
    """No price list or sheet lies beside the examples without a brief that names it."""
    used = {file.resolve() for path in EXAMPLES for file in read_request(path).files}
    for file in (ROOT / "examples").rglob("*.csv"):
        text = file.read_text(encoding="utf-8")
        if text.startswith("ingredient,percent\n"):
            assert read_formula(file, read_book()).shares
        elif text.startswith("scenario,"):
            assert read_scenarios(file, read_book()).prices
        else:
            assert file.resolve() in used


@pytest.mark.parametrize("path", EXAMPLES, ids=by_name)
def test_the_terminal_answer_is_legible(path: Path) -> None:
    """At most 80 columns, no trailing blanks, no exponents, no fractions, no negative zero."""
    text = cheapest_text(cheapest(read_request(path)))
    lines = text.split("\n")
    assert text.endswith("\n")
    # A path is not broken; everything else fits.
    assert [line for line in lines if len(line) > 80 and str(path) not in line] == []
    assert [line for line in lines if line != line.rstrip()] == []
    for word in text.split():
        assert "e-" not in word or not word[0].isdigit(), word
        assert word.strip("(),.") not in ("-0", "-0.00", "nan", "inf"), word
    assert "Fraction" not in text
    assert not re.search(r"\bNone\b(?! of these)", text)


def test_prices_of_the_examples_are_dear_enough_to_be_meant() -> None:
    """A slip of a pack or a decimal would show as a price that no shop has."""
    for path in EXAMPLES:
        for offer in read_request(path).offers:
            assert 2 < offer.price_per_kg < 400, f"{path.stem}: {offer.ingredient}"
            assert offer.in_stock_kg is None or offer.in_stock_kg < Fraction(50)
