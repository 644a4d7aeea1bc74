"""The shipped tables of labels: names match those of constituents, and mistakes are told."""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest

from optimiser.ingredient import Kind
from optimiser.label import Region, plain_name
from optimiser.provenance import InputError
from optimiser.reading import read_book
from optimiser.reading.label_tables import with_label_tables
from optimiser.reading.skin_tables import with_skin_tables

BOOK = with_label_tables(with_skin_tables(read_book()))

TABLES = ("allergens.csv", "colours.csv", "origins.csv", "label_questions.csv", "label_rules.csv")

NO_ALLERGENS = {
    "1,8-Cineole",
    "Bergapten (5-MOP)",
    "BHT",
    "Citronellal",
    "Methyl Eugenol",
    "Retinol",
    "Retinyl Palmitate",
    "Safrole",
}
"""Constituents on file that neither list of allergens names."""

LISTED = {
    "lavender-oil": "Lavandula Oil/Extract",
    "lavandin-oil-grosso": "Lavandula Oil/Extract",
    "lavandin-oil-abrial": "Lavandula Oil/Extract",
    "sweet-orange-oil": "Citrus Aurantium Peel Oil",
    "bitter-orange-oil": "Citrus Aurantium Peel Oil",
    "lemon-oil": "Citrus Limon Peel Oil",
    "bergamot-oil": "Citrus Aurantium Bergamia Peel Oil",
    "bergamot-oil-fcf": "Citrus Aurantium Bergamia Peel Oil",
    "peppermint-oil": "Mentha Piperita Oil",
    "eucalyptus-oil": "Eucalyptus Globulus Oil",
    "geranium-oil": "Pelargonium Graveolens Flower Oil",
    "ylang-ylang-oil-extra": "Cananga Odorata Oil/Extract",
    "ylang-ylang-oil-complete": "Cananga Odorata Oil/Extract",
    "lemongrass-oil": "Lemongrass Oil",
    "clove-bud-oil": "Eugenia Caryophyllus Oil",
    "clove-leaf-oil": "Eugenia Caryophyllus Oil",
    "cinnamon-bark-oil": "Cinnamomum Zeylanicum Bark Oil",
    "cedarwood-oil-atlas": "Cedrus Atlantica Oil/Extract",
    "cedarwood-oil": "Juniperus Virginiana Oil",
    "patchouli-oil": "Pogostemon Cablin Oil",
    "vanillin": "Vanillin",
}
"""Scents that Regulation (EU) 2023/1545 lists as they are, with the name to declare."""


def test_every_constituent_is_an_allergen_or_known_to_be_none() -> None:
    """No constituent on file misses its allergen by the spelling of its name."""
    covered = {name for allergen in BOOK.allergens for name in allergen.covers}
    named = {name for stated in BOOK.constituents.values() for name in stated}
    assert named - covered == NO_ALLERGENS
    known = {plain_name(name) for name in covered}
    assert not {name for name in NO_ALLERGENS if plain_name(name) in known}


def test_listed_oils_are_matched_by_their_inci_name() -> None:
    """A scent whose INCI name stands on the list counts towards that name, and no other does."""
    owner = {plain_name(name): one.name for one in BOOK.allergens for name in one.covers}
    matched = {
        one.id: owner[plain_name(one.inci_name)]
        for one in BOOK.ingredients.values()
        if plain_name(one.inci_name) in owner
    }
    assert matched == LISTED


def test_the_lists_are_whole() -> None:
    """Annex III entries 45 and 67 to 92 name 26; the thresholds are 0.001 and 0.01 %."""
    assert sum(not one.is_later for one in BOOK.allergens) == 26
    assert {(str(one.leave_on), str(one.rinse_off)) for one in BOOK.allergens} == {
        ("0.001", "0.01")
    }


def test_every_shipped_colour_has_its_row() -> None:
    """No colour of the ingredients is without a number to check."""
    colours = {one.id for one in BOOK.ingredients.values() if one.kind is Kind.COLOUR}
    assert colours == {one.ingredient for one in BOOK.label.colours if one.ingredient}


def test_no_origin_is_cleared() -> None:
    """Nothing in the tables says that a material is free of something."""
    for table in TABLES:
        text = files("ingredient_data").joinpath(table).read_text("utf-8").casefold()
        assert "free of" not in text
        assert "free from" not in text


def test_every_region_asks_for_what_the_formula_cannot_tell() -> None:
    """A responsible person or business and a batch code stand in every region."""
    for region in Region:
        needed = " ".join(rule.text for rule in BOOK.label.rules if region in rule.regions)
        assert "name and" in needed
        assert "batch code" in needed


@pytest.mark.parametrize(
    ("table", "old", "new", "message"),
    [
        ("allergens", "Geranial; Neral", "Geranial; Linalool", "counts towards"),
        ("allergens", "0.001,0.01", "0.01,0.001", "the thresholds must be above 0, and rise"),
        ("allergens", ",first,", ",second,", "no such list: 'second'"),
        ("colours", "CI 77891", "CI 7789", "no number of the Colour Index"),
        ("colours", ",mica,", ",glitter,", "no such ingredient: 'glitter'"),
        ("origins", "eu uk us", "eu uk fr", "'fr' is none of eu, uk, us"),
        ("origins", "food-lists-recalled", "hearsay", "no such source: 'hearsay'"),
        ("label_rules", ",Citral,", ",Citrus,", "no such occasion: 'Citrus'"),
        ("label_rules", ",needs,", ",wants,", "'wants' is none of note, needs"),
        ("label_questions", "ingredient,", "material,", "the headings must be ingredient,"),
    ],
)
def test_mistakes_in_the_tables_are_told(
    tmp_path: Path, table: str, old: str, new: str, message: str
) -> None:
    """A mistake in a shipped table names the file and row."""
    for name in TABLES:
        text = files("ingredient_data").joinpath(name).read_text("utf-8")
        if name == f"{table}.csv":
            assert old in text
            text = text.replace(old, new, 1)
        (tmp_path / name).write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        with_label_tables(replace(BOOK, allergens=()), tmp_path)
    assert message in str(caught.value)
    assert f"ingredient_data/{table}.csv:" in str(caught.value)
