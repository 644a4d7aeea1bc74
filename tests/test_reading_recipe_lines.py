"""Recipes pasted as lines, without headings."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from recipe_support import percents, recipe_of, refusal_of, wider_book

from optimiser.provenance import Exact
from optimiser.reading import ingredient_names
from optimiser.reading.caps import MOST_LINES
from optimiser.reading.recipe_lines import name_and_amount

NAMES = ingredient_names(wider_book())
SAID = "no headings; each line is taken as an ingredient and its amount"


@pytest.mark.parametrize(
    ("line", "identifier", "amount"),
    [
        ("beeswax 40", "beeswax", "40"),
        ("Shea butter, refined 40", "shea-butter-refined", "40"),
        ("Shea butter, refined: 40 %", "shea-butter-refined", "40 %"),
        ("cocoa butter - 30%", "cocoa-butter", "30%"),
        ("cocoa butter \u2013 30 %", "cocoa-butter", "30 %"),
        ("cocoa butter = 30 percent", "cocoa-butter", "30 percent"),
        ("cocoa-butter ....... 30", "cocoa-butter", "30"),
        ("- beeswax 12 g", "beeswax", "12 g"),
        ("* beeswax: 12g", "beeswax", "12g"),
        ("\u2022 beeswax 12 grams", "beeswax", "12 grams"),
        ("3. beeswax 12 g", "beeswax", "12 g"),
        ("3) beeswax 12 g", "beeswax", "12 g"),
        ("- [ ] beeswax 12 g", "beeswax", "12 g"),
        ("40 % mango butter", "mango-butter", "40 %"),
        ("40 % mango kernel butter", "mango-butter", "40 %"),
        ("- 40 % mango-butter", "mango-butter", "40 %"),
        ("40 mango-butter", "mango-butter", "40"),
        ("12 g of beeswax", "beeswax", "12 g"),
        ("2 x 250 g beeswax", "beeswax", "2 x 250 g"),
        ("beeswax 2 x 250 g", "beeswax", "2 x 250 g"),
        ("1.5 % beeswax", "beeswax", "1.5 %"),
        ("beeswax\t40", "beeswax", "40"),
        ("Beeswax\t40\tg", "beeswax", "40 g"),
        ("beeswax,40,g", "beeswax", "40 g"),
        ("beeswax;40,5", "beeswax", "40,5"),
        ("beeswax 40,5", "beeswax", "40,5"),
        ("beeswax,40", "beeswax", "40"),
        ("beeswax, .5", "beeswax", ".5"),
        ("beeswax 1 234 g", "beeswax", "1 234 g"),
        ('"Shea butter, refined",40', "shea-butter-refined", "40"),
        ('"beeswax","40"', "beeswax", "40"),
        ("| beeswax | 40 |".strip("|"), "beeswax", "40"),
        ("mixed-tocopherols-70 0.5", "mixed-tocopherols-70", "0.5"),
        ("mixed-tocopherols-70 500 g", "mixed-tocopherols-70", "500 g"),
        ("Mixed tocopherols 70 0.5", "mixed-tocopherols-70", "0.5"),
        ("Mixed tocopherols 70 % 0.5", "mixed-tocopherols-70", "0.5"),
        ("Mixed tocopherols 70 % 0.5 %", "mixed-tocopherols-70", "0.5 %"),
        ("Mixed tocopherols 70 %: 0.5", "mixed-tocopherols-70", "0.5"),
        ("0.5 % mixed tocopherols 70 %", "mixed-tocopherols-70", "0.5 %"),
        ("0.5 mixed-tocopherols-70", "mixed-tocopherols-70", "0.5"),
        ("rosemary-extract-co2 0.2", "rosemary-extract-co2", "0.2"),
        ("Rosemary extract (CO2): 0.2 %", "rosemary-extract-co2", "0.2 %"),
        ("stearic acid: 50", "stearic-acid", "50"),
        ("stearic acid 5", "stearic-acid", "5"),
        ("stearic acid 50 5", "stearic-acid-50", "5"),
        ("50 stearic acid 50", "stearic-acid-50", "50"),
        ("beeswx 40,5", None, "40,5"),
        ("walnut 7 butter 10", None, "10"),
    ],
)
def test_a_line_is_taken_apart_by_the_known_names(
    line: str, identifier: str | None, amount: str
) -> None:
    """The longest known name beside an amount is the ingredient, whatever digits it holds."""
    name, found = name_and_amount(line, NAMES)
    assert (NAMES.find(name) if NAMES.known(name) else None) == identifier
    assert " ".join(found.text.split()) == amount


@pytest.mark.parametrize(
    ("content", "shares", "remarks"),
    [
        (
            "# Hand butter\n\nShea butter, refined 40\n- cocoa butter: 30 %\n30 % mango-butter\n",
            percents(shea_butter_refined="40", cocoa_butter="30", mango_butter="30"),
            [SAID],
        ),
        (
            "beeswax 12.50\nmango-butter 87.54\n----------\ntotal 100\n",
            percents(beeswax="12.50", mango_butter="87.54"),
            [SAID],
        ),
        (
            "beeswax 12 g\r\nmango-butter 38 g\r\nTotal: 50 g",
            percents(beeswax="24", mango_butter="76"),
            [SAID, "weights, 50 g together, are taken as percent"],
        ),
        (
            "2 oz beeswax\n6 oz mango-butter\n8 oz total\n",
            percents(beeswax="25", mango_butter="75"),
            [SAID, "weights, 8 oz together, are taken as percent"],
        ),
        (
            "beeswax 50 g\nsweet almond oil 10 ml\nbeeswax 30.85 g\n0.009 kg corn starch",
            {
                "beeswax": Fraction("80.85"),
                "sweet-almond-oil": Fraction("9.15"),
                "corn-starch": Fraction(9),
            },
            [
                SAID,
                "10 ml of sweet-almond-oil is taken as 9.15 g, at 0.915 g/ml",
                "beeswax stands in lines 1 and 3 and is added up, 80.85 g together",
                "weights, 99 g together, are taken as percent",
            ],
        ),
        (
            "sep=;\nbeeswax;40,5\nmango-butter;59,5\n",
            percents(beeswax="40.5", mango_butter="59.5"),
            [SAID, "amounts have decimal commas"],
        ),
        (
            "| beeswax | 40 |\n|---------|---:|\n| mango-butter | 60 |\n",
            percents(beeswax="40", mango_butter="60"),
            [SAID],
        ),
    ],
)
@pytest.mark.parametrize("name", ["recipe.txt", "recipe.md", "recipe.csv", "RECIPE.TXT"])
def test_pasted_lines(
    tmp_path: Path, name: str, content: str, shares: dict[str, Exact], remarks: list[str]
) -> None:
    """What pasted lines give, and what is said of them; #, blank lines and rules are skipped."""
    found, said = recipe_of(tmp_path, content, name)
    total = sum(map(Fraction, found.values()))
    if "beeswax 50 g" in content:
        shares = {one: Fraction(share) * 100 / 99 for one, share in shares.items()}
    assert (found, said) == (shares, remarks)
    assert abs(total - 100) <= Fraction("0.05")


NO_LINE = 'is no ingredient with its amount; write it like "beeswax 5 %", or begin the line with'


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ("", "recipe.txt: nothing stands in it; write an ingredient and its amount on each line"),
        (
            "# only a title\n\n",
            "recipe.txt: nothing stands in it; write an ingredient and its amount on each line",
        ),
        (
            "beeswax 12\nmango-butter 87\n",
            "recipe.txt: the amounts without a unit sum to 99, 1 too little for percent; make "
            "them 100, or write weights with their unit, like 40 g",
        ),
        (
            "beeswax 12 %\nmango-butter 89 %\n",
            "recipe.txt: the percentages sum to 101, 1 too much; make them 100",
        ),
        (
            "beeswax 120\nmango-butter 380\n",
            "recipe.txt: the amounts without a unit sum to 500, 400 too much for percent; make "
            "them 100, or write weights with their unit, like 40 g",
        ),
        (
            "Phase A\nbeeswx 40\nMix for 5 minutes until smooth\nshea 60\n12 %\n",
            f'recipe.txt:1: "Phase A" {NO_LINE} # to skip it\n'
            'recipe.txt:2: "beeswx": no such ingredient; nearest: beeswax\n'
            f'recipe.txt:3: "Mix for 5 minutes until smooth" {NO_LINE} # to skip it\n'
            'recipe.txt:4: "shea": no such ingredient; nearest: shea-butter-refined, '
            "shea-butter-unrefined\n"
            f'recipe.txt:5: "12 %" {NO_LINE} # to skip it',
        ),
        (
            "beeswax 12 g\nmango-butter 88\n",
            'recipe.txt:2: "88" has no unit, and "12 g" in line 1 has one; write it as 88 g or '
            "the like, or write all in percent",
        ),
        (
            "beeswax 12 %\nmango-butter 88 g\n",
            'recipe.txt:1: "12 %" is a percentage, and "88 g" in line 2 is a weight; write all '
            "in percent or all as weights",
        ),
        (
            "beeswax 12 g\nmango-butter 88 g\ntotal 100\n",
            'recipe.txt:3: "100" has no unit, and "12 g" in line 1 has one; write it as 100 g or '
            "the like, or write all in percent",
        ),
        (
            "beeswax 12 g\nmango-butter 88 g\ntotal 110 g\n",
            'recipe.txt:3: the total is written as "110 g", and the amounts sum to 100 g; correct '
            "either, or leave the total out",
        ),
        (
            "beeswax 12\nmango-butter 88\ntotal 99\n",
            'recipe.txt:3: the total is written as "99", and the amounts sum to 100 %; correct '
            "either, or leave the total out",
        ),
        (
            "beeswax 50\ntotal 50\nmango-butter 50\n",
            "recipe.txt:2: a total before the last line; begin the line with # to skip it",
        ),
        (
            "beeswax 3 cups\nmango-butter 60 g\n",
            'recipe.txt:1: no such unit: "cups"; write g, kg, oz, lb, ml or l',
        ),
        ("beeswax -3\n", "recipe.txt:1: -3 is no percentage; write 0 to 100"),
        ("beeswax 101 %\n", "recipe.txt:1: 101 is no percentage; write 0 to 100"),
        (
            "beeswax 1,234 g\n",
            'recipe.txt:1: "1,234" can be read in two ways; write 1234 or 1.2340',
        ),
        (
            "beeswax 40,5\nmango-butter 59.5\n",
            "recipe.txt:1: line 2 has a decimal point and line 1 a decimal comma; write all "
            "amounts in one way",
        ),
        (
            "beeswax 50\nCera alba - 50\n",
            'recipe.txt:2: "Cera alba" stands in line 1 too; add the two up',
        ),
        (
            "hazelnut oil 10 ml\n",
            'recipe.txt:1: "10 ml": a volume, and nobody gives this ingredient\'s density; write '
            "the weight, or give density (g/ml) in a sheet of your own",
        ),
        (
            "beeswax 40 % 200 g\n200 g mango-butter 60 %\n",
            'recipe.txt:1: two amounts, "40 %" and "200 g"; keep one, like "beeswax: 40 %"\n'
            'recipe.txt:2: two amounts, "200 g" and "60 %"; keep one, like "mango-butter: 200 g"',
        ),
        (
            "Mixed tocopherols 70 %\n",
            'recipe.txt:1: "Mixed tocopherols 70 %" is a name without an amount; write it like '
            '"Mixed tocopherols 70 %: 5 %"',
        ),
        (
            "stearic acid 50\n",
            'recipe.txt:1: "stearic acid 50" is a name as a whole, and a shorter name with an '
            'amount; write it like "stearic acid: 50" or "stearic acid 50: 5 %"',
        ),
        (
            "beeswax ,5\n",
            'recipe.txt:1: "beeswax ,5" can be read in two ways; write "beeswax: 0,5" or '
            '"beeswax: 5"',
        ),
        (
            "Tocopherol 5\nButyrospermum Parkii Butter 95\n",
            'recipe.txt:2: "Butyrospermum Parkii Butter": several ingredients have this name; '
            "write shea-butter-refined or shea-butter-unrefined",
        ),
        (
            "x" * 301 + "\n",
            "recipe.txt:1: over 300 letters; write one ingredient and its amount a line",
        ),
        (
            "beeswax 1\n" * (MOST_LINES + 1),
            "recipe.txt: more than 1,000 lines; keep only the recipe",
        ),
    ],
)
def test_mistake_in_pasted_lines_is_told(tmp_path: Path, content: str, message: str) -> None:
    """Every mistake is told with its line and what to write."""
    assert refusal_of(tmp_path, content, "recipe.txt") == message


@pytest.mark.parametrize("way", ["stearic acid: 50", "stearic acid 50: 50", "beeswax: 0,5"])
def test_the_ways_that_messages_offer_are_read(way: str) -> None:
    """What an ambiguity is answered with has one reading."""
    name, amount = name_and_amount(way, NAMES)
    assert way == f"{name}: {amount.text}"


@pytest.mark.parametrize(
    ("name", "content", "message"),
    [
        (
            "recipe.doc",
            "beeswax 100",
            'recipe.doc: "recipe.doc" is a file ending in ".doc"; save it as .csv or .xlsx',
        ),
        (
            "recipe.md",
            "| ingredient | percent |\n|---|---|\n| beeswax | 100 |\n",
            'recipe.md: "recipe.md" is a file ending in ".md"; save it as .csv or .xlsx',
        ),
        ("recipe.txt", "%PDF-1.7", "recipe.txt: this is a PDF, not a CSV; save it as CSV or as"),
        ("recipe.txt", "a\0b", "recipe.txt: this is no text; save it as CSV in UTF-8"),
    ],
)
def test_other_files_are_refused(tmp_path: Path, name: str, content: str, message: str) -> None:
    """Files of another kind, and headed tables in a file that holds none, say what to save."""
    assert refusal_of(tmp_path, content, name).startswith(message)
