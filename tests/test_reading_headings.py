"""Headings of a maker's own properties, and the known ones they may be slips of."""

from __future__ import annotations

import pytest

from optimiser.reading import read_book
from optimiser.reading.likely_headings import likely_headings


def likely(heading: str) -> list[str]:
    titles = {identifier: own.title for identifier, own in read_book().properties.items()}
    return likely_headings(heading, titles)


@pytest.mark.parametrize(
    ("heading", "known"),
    [
        ("vitamine_e", "vitamin_e"),
        ("VitaminE", "vitamin_e"),
        ("vit e", "vitamin_e"),
        ("vitamin e content", "vitamin_e"),
        ("vitamin_e_mg_per_100_g", "vitamin_e"),
        ("solid fat 20", "solid_fat_20C"),
        ("solid fat at 20 C", "solid_fat_20C"),
        ("free oil", "free_oil_32C"),
        ("iodine", "iodine_value"),
        ("iodin value", "iodine_value"),
        ("Iodine number", "iodine_value"),
        ("sap value", "saponification_value"),
        ("denisty", "density"),
        ("oleic acid", "oleic"),
    ],
)
def test_a_slip_of_a_known_heading_is_seen(heading: str, known: str) -> None:
    """A heading misspelt, cut short or with its unit behind it is likely the known one."""
    assert likely(heading) == [known]


@pytest.mark.parametrize(
    "heading",
    ["drop_point", "grip", "assay", "price_note", "melting_point", "hardness", "slip", "viscosity"]
    + ["vitamin_a", "vitamin_d", "solid_fat_15C", "solid_fat_37C", "free_oil_35C", "density_40C"]
    + ["bulk_density", "unsaturated", "acid_value", "peroxide_value", "fat", "oil", "value"]
    + ["ricinoleic", "total_tocopherols", "oleic_linoleic_ratio", "shelf_life", "moisture", "°"],
)
def test_a_property_of_its_own_is_free(heading: str) -> None:
    """One letter or number makes another thing of a property: those are no slips."""
    assert likely(heading) == []
