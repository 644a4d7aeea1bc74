"""Names of ingredients and properties."""

from __future__ import annotations

import pytest
from reading_support import small_book

from optimiser.reading import Problem, ingredient_names, property_names
from optimiser.reading.names import MOST_OFFERED, MOST_SEARCHED


@pytest.mark.parametrize(
    ("written", "identifier"),
    [
        ("mango-butter", "mango-butter"),
        ("Mango Butter", "mango-butter"),
        ("MANGO_BUTTER", "mango-butter"),
        ("Mango  kernel\tbutter ", "mango-butter"),
        ("mangifera indica seed butter", "mango-butter"),
        ("MANGIFERA INDICA\u00a0SEED BUTTER", "mango-butter"),
        ("Shea butter, refined", "shea-butter-refined"),
    ],
)
def test_any_name_in_any_case_is_found(written: str, identifier: str) -> None:
    """Id, common name and INCI name are found whatever their case, blanks and hyphens."""
    assert ingredient_names(small_book()).find(written) == identifier


@pytest.mark.parametrize(
    ("written", "problem"),
    [
        ("cocoa buter", "no such ingredient; nearest: cocoa-butter"),
        ("shea-butter", "no such ingredient; nearest: shea-butter-refined, shea-butter-unrefined"),
        ("almond oil", "no such ingredient; nearest: sweet-almond-oil"),
        ("shea", "no such ingredient; nearest: shea-butter-refined, shea-butter-unrefined"),
        ("Shea (refined)", "no such ingredient; nearest: shea-butter-refined"),
        ("unrefined shea", "no such ingredient; nearest: shea-butter-unrefined"),
        ("coconut", "no such ingredient; nearest: coconut-oil"),
        ("alba", "no such ingredient; nearest: beeswax"),
        (
            "seed",
            "no such ingredient; nearest: cocoa-butter, mango-butter, hazelnut-oil",
        ),
        (
            "butter",
            "no such ingredient; nearest: cocoa-butter, mango-butter, shea-butter-refined, "
            "shea-butter-unrefined",
        ),
        ("hazel oil", "no such ingredient; nearest: hazelnut-oil"),
        ("xyz", "no such ingredient; add it in a sheet of your own ([shelf] sheets)"),
        (
            "Butyrospermum Parkii Butter",
            "several ingredients have this name; write shea-butter-refined or "
            "shea-butter-unrefined",
        ),
    ],
)
def test_unknown_names_are_answered_with_near_ones(written: str, problem: str) -> None:
    """An unknown or shared name says what to write."""
    with pytest.raises(Problem) as caught:
        ingredient_names(small_book()).find(written)
    assert str(caught.value) == problem


@pytest.mark.parametrize("written", ["vitamin_e", "Vitamin E", "VITAMIN-E"])
def test_properties_are_found_in_any_spelling(written: str) -> None:
    """A property is found whatever its case and joints, and `cost` is one."""
    names = property_names(small_book())
    assert names.find(written) == "vitamin_e"
    assert names.find("Cost") == "cost"


def test_words_count_before_spelling() -> None:
    """A name whose words stand in known names is answered with those alone, four at most."""
    names = ingredient_names(small_book())
    assert names.nearest("cocoa") == ["cocoa-butter"]
    assert names.nearest("corn") == ["corn-starch"]
    assert len(names.nearest("oil")) == MOST_OFFERED


def test_looking_for_near_names_is_bounded() -> None:
    """After 500 unknown names no more are compared; those of before keep their answer."""
    names = ingredient_names(small_book())
    for number in range(MOST_SEARCHED):
        assert names.nearest(f"coconut oil {number}") == ["coconut-oil"]
    assert names.nearest("coconut") == []
    assert names.nearest("Coconut-oil 7") == ["coconut-oil"]
    with pytest.raises(Problem, match=r"no such ingredient; add it in a sheet of your own"):
        names.find("coconut")
