"""A book with names that hold digits, and a shorthand to read a recipe."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from reading_support import small_book

from optimiser.ingredient import Book, Ingredient, Kind
from optimiser.provenance import Exact, InputError, Origin
from optimiser.reading import read_formula

FURTHER = (
    ("mixed-tocopherols-70", "Mixed tocopherols 70 %", "Tocopherol"),
    ("stearic-acid", "Stearic acid", "Stearic Acid"),
    ("stearic-acid-50", "Stearic acid 50", ""),
    ("rosemary-extract-co2", "Rosemary extract (CO2)", "Rosmarinus Officinalis Leaf Extract"),
)


def wider_book() -> Book:
    """The small book, and ingredients whose names hold digits or begin like others."""
    book = small_book()
    further = {
        identifier: Ingredient(
            identifier, common_name, inci_name, "", Kind.OTHER, {}, "", Origin("more.csv", 2)
        )
        for identifier, common_name, inci_name in FURTHER
    }
    return replace(book, ingredients={**book.ingredients, **further})


def recipe_of(
    folder: Path, content: str, name: str = "recipe.csv"
) -> tuple[dict[str, Exact], list[str]]:
    """The shares that a file gives, and its remarks without the file's name."""
    path = folder / name
    path.write_text(content, encoding="utf-8")
    formula = read_formula(path, wider_book())
    assert all(remark.startswith(f"{name}: ") for remark in formula.remarks)
    return dict(formula.shares), [remark.removeprefix(f"{name}: ") for remark in formula.remarks]


def refusal_of(folder: Path, content: str, name: str = "recipe.csv") -> str:
    """What reading the file complains of; empty where it does not."""
    try:
        recipe_of(folder, content, name)
    except InputError as error:
        return str(error)
    return ""


def percents(**shares: str) -> dict[str, Decimal]:
    """Shares by id, underscores for hyphens."""
    return {name.replace("_", "-"): Decimal(percent) for name, percent in shares.items()}
