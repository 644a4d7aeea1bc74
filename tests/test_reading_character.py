"""The table `character` of a brief: what is read, and the whole message for each mistake."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from reading_support import COSTING, message_of, request_of

from optimiser.brief import Family
from optimiser.ingredient import Trait
from optimiser.provenance import Origin
from optimiser.reading import read_book

GROUPS = '[groups]\nnut_oils = ["hazelnut-oil", "sweet-almond-oil"]\n'
BEFORE = COSTING + GROUPS + "[character]\n"
"""Four lines; the character's begin with line 6."""

NONE = "no such property, kind or group"


def character(folder: Path, lines: str) -> tuple[Trait, ...] | None:
    """The traits of a brief with these lines under its character."""
    return request_of(folder, {"brief.toml": BEFORE + lines}).brief.character


def test_brief_without_it_leaves_the_customary_traits(tmp_path: Path) -> None:
    """A brief that says nothing has no character of its own."""
    assert request_of(tmp_path, {}).brief.character is None


def test_properties_kinds_and_groups_are_read(tmp_path: Path) -> None:
    """Each line is a trait of its family, with the tolerance as typed and the place."""
    found = character(tmp_path, "vitamin_e = 2.50\nbutter = 4\nnut_oils = 0.5\n")
    assert found is not None
    said = [(t.family, t.of, str(t.tolerance), t.status) for t in found]
    assert said == [
        (Family.PROPERTIES, "vitamin_e", "2.50", "own"),
        (Family.TOTALS, "butter", "4", "own"),
        (Family.TOTALS, "nut_oils", "0.5", "own"),
    ]
    assert found[1].origin == Origin("brief.toml", 7, "character.butter")


def test_property_of_the_makers_own_is_known(tmp_path: Path) -> None:
    """A property that the maker's sheet brings can be part of the character."""
    sheet = "ingredient,grip\ncocoa-butter,3\n"
    text = COSTING + '[shelf]\nsheets = ["own.csv"]\n[character]\ngrip = 1\n'
    request = request_of(tmp_path, {"own.csv": sheet, "brief.toml": text})
    assert request.brief.character is not None
    assert [t.of for t in request.brief.character] == ["grip"]


MISTAKES: list[tuple[str, str, str]] = [
    (
        "zero",
        "vitamin_e = 0\n",
        "brief.toml:6 character.vitamin_e: a tolerance is above 0; write how much of a change "
        "is noticed",
    ),
    (
        "negative",
        "butter = -1\n",
        "brief.toml:6 character.butter: a tolerance is above 0; write how much of a change "
        "is noticed",
    ),
    (
        "text",
        'vitamin_e = "x"\n',
        'brief.toml:6 character.vitamin_e: the text "x" where a number is needed; write a number '
        "without quotes or signs",
    ),
    (
        "table",
        "vitamin_e = { min = 1 }\n",
        "brief.toml:6 character.vitamin_e: a table where a number is needed; write 3",
    ),
    (
        "true",
        "vitamin_e = true\n",
        "brief.toml:6 character.vitamin_e: true where a number is needed; write 3",
    ),
    (
        "not-finite",
        "vitamin_e = nan\n",
        "brief.toml:6 character.vitamin_e: not a finite number; write a plain number such as 30",
    ),
    ("cost", "cost = 1\n", f"brief.toml:6 character.cost: {NONE}"),
    ("unknown", "bogus = 1\n", f"brief.toml:6 character.bogus: {NONE}"),
    (
        "ingredient",
        '"cocoa-butter" = 1\n',
        f"brief.toml:6 character.cocoa-butter: {NONE}; nearest: butter",
    ),
    (
        "ratio",
        '"butter:oil" = 1\n',
        f'brief.toml:6 character."butter:oil": {NONE}; nearest: butter',
    ),
    (
        "misspelt",
        "vitamine_e = 1\n",
        f"brief.toml:6 character.vitamine_e: {NONE}; nearest: vitamin_e",
    ),
    (
        "two-at-once",
        "vitamin_e = 0\nbogus = 1\n",
        "brief.toml:6 character.vitamin_e: a tolerance is above 0; write how much of a change "
        f"is noticed\nbrief.toml:7 character.bogus: {NONE}",
    ),
    (
        "twice",
        'vitamin_e = 1\n"Vitamin_E" = 2\n',
        "brief.toml:7 character.Vitamin_E: vitamin_e stands here already; keep one line",
    ),
    (
        "empty",
        "",
        "brief.toml:5 character: an empty table; write [character] and lines such as "
        "solid_fat_20C = 3, or remove it",
    ),
]


@pytest.mark.parametrize(
    ("lines", "message"), [one[1:] for one in MISTAKES], ids=[one[0] for one in MISTAKES]
)
def test_mistake_is_told(tmp_path: Path, lines: str, message: str) -> None:
    """A wrong line is told with its place and what to write."""
    assert message_of(tmp_path, {"brief.toml": BEFORE + lines}) == message


def test_no_table_is_told(tmp_path: Path) -> None:
    """A number in the place of the table is told."""
    said = message_of(tmp_path, {"brief.toml": "character = 3\n" + COSTING})
    assert said.startswith("brief.toml:1 character: ")
    assert "[character] and lines such as solid_fat_20C = 3" in said


def test_customary_traits_can_be_used() -> None:
    """Every shipped trait is a known property or kind with a tolerance above 0 and words."""
    book = read_book()
    assert len(book.character) >= 10
    for one in book.character:
        assert one.tolerance > Decimal(0)
        assert one.more != one.less
        known = book.properties if one.family == Family.PROPERTIES else {"butter", "wax", "powder"}
        assert one.of in known or one.of == "fragrance"
    assert len({one.of for one in book.character}) == len(book.character)
