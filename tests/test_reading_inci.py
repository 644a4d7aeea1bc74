"""Blends and colour numbers as makers and tables write them."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from reading_support import PRICES, message_of, request_of

from optimiser.inci import InciPart
from optimiser.reading import Problem, ingredient_names
from optimiser.reading.inci import ci_numbers, inci_parts

SHEET = "ingredient,inci_name,ci_number,kind\n"
BRIEF = '[costing]\nprices = "prices.csv"\n[shelf]\nsheets = ["own.csv"]\n'


def parts(text: str) -> list[tuple[str, Decimal | None]]:
    return [(part.name, part.percent) for part in inci_parts(text)]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Cera Alba", []),
        ("Polysorbate 80", []),
        ("Tocopherol 70; Helianthus Annuus Seed Oil 30", [("Tocopherol", 70)]),
        ("Tocopherol 70 %;Squalane 30%", [("Tocopherol", 70)]),
        ("Tocopherol 69,97; Squalane 30", [("Tocopherol", Decimal("69.97"))]),
        ("Tocopherol 100 %", [("Tocopherol", 100)]),
        ("Tocopherol; Squalane", [("Tocopherol", None)]),
        ("Polysorbate 80; Squalane", [("Polysorbate 80", None)]),
        ("Polysorbate 80 20; Squalane 80", [("Polysorbate 80", 20)]),
        ("CI 77891; Mica", [("CI 77891", None)]),
        ("Mica;", []),
    ],
)
def test_a_blend_states_its_parts(text: str, found: list[tuple[str, Decimal | None]]) -> None:
    """Parts stand between semicolons; a number that belongs to a name stays in it."""
    assert parts(text)[:1] == found


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("A 70; B 29.9", "sum to 99.9 %"),
        ("A 70; B 30.06", "sum to 100.06 %"),
        ("A 100; B 0", "each above 0"),
        ("A 70; B", 'no percentage behind "B"'),
        ("A 50; a 50", "stands twice in the blend"),
        ("Tocopherol 70 %", "sum to 70 %"),
    ],
)
def test_a_blend_that_does_not_add_up_is_refused(text: str, says: str) -> None:
    """The parts sum to 100 within 0.05, all of them have a percentage or none has."""
    with pytest.raises(Problem, match=says):
        inci_parts(text)


def test_the_sum_may_be_off_by_a_rounding() -> None:
    """0.05 off is as good as 100, as for a formula."""
    assert len(inci_parts("A 70.05; B 30")) == 2


def test_colour_numbers_are_written_in_one_way() -> None:
    """With and without its letters; what is no such number is refused."""
    assert ci_numbers("ci77891; C.I. 77491, 77499") == ("CI 77891", "CI 77491", "CI 77499")
    for wrong in ("red", "CI 7789", "77891 77491"):
        with pytest.raises(Problem, match="write CI 77891"):
            ci_numbers(wrong)


def test_an_own_sheet_states_parts_and_numbers(tmp_path: Path) -> None:
    """Both columns are kept, and are no properties."""
    sheet = SHEET + (
        "Guard blend,Tocopherol 70; Squalane 30,,antioxidant\n"
        "Rose pearl,Mica 80; Iron Oxides 20,77019; CI 77491,colour\n"
        "beeswax,Beeswax,,\n"
    )
    request = request_of(tmp_path, {"own.csv": sheet, "brief.toml": BRIEF})
    book = request.book
    assert book.ingredients["guard-blend"].parts == (
        InciPart("Tocopherol", Decimal(70)),
        InciPart("Squalane", Decimal(30)),
    )
    assert book.ingredients["rose-pearl"].ci_numbers == ("CI 77019", "CI 77491")
    assert book.ingredients["beeswax"].parts == ()
    assert "ci_number" not in book.properties


def test_only_a_single_inci_name_is_a_name_to_look_up_by(tmp_path: Path) -> None:
    """The text of a blend names nothing; the one INCI name of another row still does."""
    sheet = (
        SHEET + "beeswax,Cera Alba 60; Squalane 40,,\nMarula oil,Sclerocarya Birrea Seed Oil,,oil\n"
    )
    book = request_of(tmp_path, {"own.csv": sheet, "brief.toml": BRIEF}).book
    names = ingredient_names(book)
    assert names.find("sclerocarya birrea seed oil") == "marula-oil"
    assert not names.known("Cera Alba 60; Squalane 40")
    assert names.find("beeswax") == "beeswax"


def test_mistakes_of_a_sheet_have_their_place(tmp_path: Path) -> None:
    """File, row and column, and what to write."""
    sheet = SHEET + "beeswax,Cera Alba 60; Squalane 30,,\ncocoa-butter,,brown,\n"
    found = message_of(tmp_path, {"own.csv": sheet, "brief.toml": BRIEF, "prices.csv": PRICES})
    assert "own.csv:2 inci_name: the parts of the blend sum to 90 %" in found
    assert 'own.csv:3 ci_number: "brown" is no number of the Colour Index; write CI 77891' in found


@pytest.mark.parametrize("text", ["- 50; a 50", "70", "70 %", "; ;", "=1+1"])
def test_a_name_without_a_letter_is_refused(text: str) -> None:
    """Signs and numbers alone are no INCI name and do not get onto a label."""
    with pytest.raises(Problem, match="is no INCI name"):
        inci_parts(text)
