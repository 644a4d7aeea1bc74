"""A small book and helpers for the tests of reading."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from optimiser.brief import Request
from optimiser.ingredient import (
    Book,
    Figure,
    Ingredient,
    Kind,
    Over,
    Property,
    Rule,
    StartingLimit,
    Trust,
)
from optimiser.provenance import InputError, Origin
from optimiser.reading import read_request

PRICES = "ingredient,pack,price\ncocoa-butter,1 kg,14\nmango-butter,1 kg,11\nbeeswax,500 g,9\n"
"""A price list without mistakes."""

COSTING = '[costing]\nprices = "prices.csv"\n'
"""The two lines that every brief needs."""

_INGREDIENTS = (
    ("shea-butter-refined", "Shea butter, refined", "Butyrospermum Parkii Butter", Kind.BUTTER),
    ("shea-butter-unrefined", "Shea butter, unrefined", "Butyrospermum Parkii Butter", Kind.BUTTER),
    ("cocoa-butter", "Cocoa butter", "Theobroma Cacao Seed Butter", Kind.BUTTER),
    ("mango-butter", "Mango kernel butter", "Mangifera Indica Seed Butter", Kind.BUTTER),
    ("coconut-oil", "Coconut oil", "Cocos Nucifera Oil", Kind.BUTTER),
    ("sweet-almond-oil", "Sweet almond oil", "Prunus Amygdalus Dulcis Oil", Kind.OIL),
    ("hazelnut-oil", "Hazelnut oil", "Corylus Avellana Seed Oil", Kind.OIL),
    ("beeswax", "Beeswax", "Cera Alba", Kind.WAX),
    ("corn-starch", "Corn starch", "Zea Mays Starch", Kind.POWDER),
    ("lavender-oil", "Lavender oil", "Lavandula Angustifolia Oil", Kind.FRAGRANCE),
)

_PROPERTIES = (
    ("vitamin_e", "vitamin E", "mg/100 g", Over.PRODUCT, Rule.MASS),
    ("solid_fat_20C", "solid fat at 20 C", "%", Over.FAT, Rule.MASS),
    ("free_oil_32C", "free oil at 32 C", "%", Over.PRODUCT, Rule.MASS),
    ("density", "density before whipping", "g/ml", Over.PRODUCT, Rule.VOLUME),
)

_FIGURES = {
    "sweet-almond-oil": {"density": ("0.911", "0.915", "0.920"), "vitamin_e": ("20", "26", "40")},
    "cocoa-butter": {"solid_fat_20C": ("70", "76", "80"), "vitamin_e": ("1", "2", "3")},
    "corn-starch": {"free_oil_32C": ("-70", "-55", "-40")},
}

_STARTS = (
    ("whipped-butter", "totals", "butter", "min", "40"),
    ("whipped-butter", "totals", "butter", "max", "80"),
    ("whipped-butter", "totals", "oil", "max", "60"),
    ("whipped-butter", "ratios", "butter:oil", "min", "1"),
    ("balm", "totals", "wax", "min", "10"),
)


def small_book() -> Book:
    """Ten ingredients, four properties, two styles."""
    table = Origin("ingredient_data/small.csv", 2)
    return Book(
        ingredients={
            identifier: Ingredient(
                identifier,
                common_name,
                inci_name,
                "",
                kind,
                {
                    of: Figure(*map(Decimal, values), "published", "somewhere", table)
                    for of, values in _FIGURES.get(identifier, {}).items()
                },
                "",
                table,
            )
            for identifier, common_name, inci_name, kind in _INGREDIENTS
        },
        properties={
            identifier: Property(
                identifier, title, unit, over, rule, Trust.EXACT, "", Decimal(1), True, table
            )
            for identifier, title, unit, over, rule in _PROPERTIES
        },
        starting_limits=tuple(
            StartingLimit(
                style,
                family,
                of,
                end,
                Decimal(value),
                "common practice, no source",
                "",
                Origin("ingredient_data/starting_limits.csv", row),
            )
            for row, (style, family, of, end, value) in enumerate(_STARTS, start=2)
        ),
    )


def write(folder: Path, files: dict[str, str | bytes]) -> None:
    """Put files into a folder."""
    for name, content in files.items():
        data = content if isinstance(content, bytes) else content.encode()
        (folder / name).write_bytes(data)


def request_of(folder: Path, files: dict[str, str | bytes]) -> Request:
    """Read `brief.toml` among the files, with a good price list unless one is given."""
    write(folder, {"prices.csv": PRICES, "brief.toml": COSTING, **files})
    return read_request(folder / "brief.toml", book=small_book())


def message_of(folder: Path, files: dict[str, str | bytes]) -> str:
    """What reading these files complains of; empty where it does not."""
    try:
        request_of(folder, files)
    except InputError as error:
        return str(error)
    return ""
