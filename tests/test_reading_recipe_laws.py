"""What holds for every recipe, however it is written."""

from __future__ import annotations

import contextlib
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from recipe_support import recipe_of, wider_book

from optimiser.provenance import InputError
from optimiser.reading import read_formula

# The folder is the same for every example; each writes the file anew.
ANY_FOLDER = settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
OUNCE = Decimal("28.349523125")
"""Grams, of the international pound of 1959."""

PIECES = st.lists(
    st.sampled_from(
        ["beeswax", "mango-butter", "Mixed tocopherols 70 %", "stearic acid", "total", "shea"]
        + ["40", "0.5", "40,5", "1 234", "1,234", "2 x 5", "60", "100", "½", "٣"]
        + [" ", "\n", "\t", "%", " % ", " g", " oz", "kg", "ml", "fl oz", "cups", "percent"]
        + [":", "-", "- ", "=", "...", ",", ";", "|", "#", "* ", "1. ", '"', "'", "(", "x", "£"]
        + ["ingredient", "percent", "grams", "sep=;", "\u2212", "\u00a0", "\u2028", "\r", "\0"]
    ),
    max_size=25,
).map("".join)


@ANY_FOLDER
@given(
    text=PIECES | st.text(max_size=80),
    head=st.sampled_from(["", "ingredient,grams\n", "ingredient,amount,unit,percent\n"]),
    name=st.sampled_from(["recipe.txt", "recipe.md", "recipe.csv"]),
)
def test_any_text_is_a_formula_or_a_message(
    tmp_path: Path, text: str, head: str, name: str
) -> None:
    """No text at all gives anything but shares that sum to 100 or a message."""
    path = tmp_path / name
    path.write_text(head + text, encoding="utf-8", errors="replace")
    with contextlib.suppress(InputError):
        formula = read_formula(path, wider_book())
        assert all(0 <= share <= 100 for share in formula.shares.values())
        total = sum(map(Fraction, formula.shares.values()))
        assert abs(total - 100) <= Fraction("0.05")
        assert formula.remarks or head


SHARES = st.lists(st.integers(1, 400), min_size=1, max_size=6).map(
    lambda parts: [Decimal(part) / 4 for part in parts]
)


@ANY_FOLDER
@given(
    shares=SHARES,
    line=st.sampled_from(
        ["{n} {a}", "{a} {n}", "- {n}: {a}", "{n}\t{a}", "{n} - {a}", "{n},{a}", "{n} = {a}"]
    ),
    unit=st.sampled_from(["g", " g", " oz", " kg"]),
)
def test_lines_and_tables_agree(
    tmp_path: Path, shares: list[Decimal], line: str, unit: str
) -> None:
    """However a recipe is pasted, it gives what the table of the same weights gives."""
    names = [*wider_book().ingredients][: len(shares)]
    pairs = list(zip(names, shares, strict=True))
    pasted = "\n".join(line.format(n=name, a=f"{share}{unit}") for name, share in pairs)
    table = "".join(f"{name},{share}{unit}\n" for name, share in pairs)
    found, _ = recipe_of(tmp_path, pasted, "recipe.txt")
    assert found == recipe_of(tmp_path, "ingredient,weight\n" + table)[0]


OUNCES = st.lists(
    st.tuples(
        st.sampled_from(["beeswax", "mango-butter", "cocoa-butter", "hazelnut-oil"]),
        st.integers(1, 9999),
    ),
    min_size=1,
    max_size=6,
)


@ANY_FOLDER
@given(OUNCES)
def test_grams_and_ounces_of_one_recipe_agree(
    tmp_path: Path, weights: list[tuple[str, int]]
) -> None:
    """A recipe in ounces, in grams of 28.349523125 an ounce, or mixed, has the same shares."""
    ounces = "".join(f"{name},{weight}\n" for name, weight in weights)
    grams = "".join(f"{name},{weight * OUNCE}\n" for name, weight in weights)
    mixed = "".join(
        f"{name},{weight} oz\n" if place % 2 else f"{name},{Decimal(weight) / 16:.4f} lb\n"
        for place, (name, weight) in enumerate(weights)
    )
    first, _ = recipe_of(tmp_path, "ingredient,ounces\n" + ounces)
    assert recipe_of(tmp_path, "ingredient,grams\n" + grams)[0] == first
    assert recipe_of(tmp_path, "ingredient,amount\n" + mixed)[0] == first
    assert sum(map(Fraction, first.values())) == 100
    total = sum(weight for _, weight in weights)
    for name, share in first.items():
        weight = sum(weight for other, weight in weights if other == name)
        assert share == Fraction(100 * weight, total)
