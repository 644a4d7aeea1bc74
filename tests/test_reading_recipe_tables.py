"""Recipes as tables: percentages or weights beside the column `ingredient`."""

from __future__ import annotations

import io
from fractions import Fraction
from pathlib import Path

import openpyxl
import pytest
from recipe_support import percents, recipe_of, refusal_of, wider_book

from optimiser.provenance import Exact
from optimiser.reading import read_formula
from optimiser.reading.recipe_amounts import unit_of_heading


@pytest.mark.parametrize(
    "heading",
    [
        *("grams", "Grams", "g", "gram", "grammes", "weight (g)", "Weight (grams)", "weight_g"),
        *("Weight, g", "Weight/g", "Weight in grams", "amount (g)", "Amount [g]", "Quantity (g)"),
        *("qty g", "mass (g)", "oz", "ounces", "weight (oz)", "lb", "pounds", "kg", "kilos"),
    ],
)
def test_a_heading_with_a_unit_heads_weights(tmp_path: Path, heading: str) -> None:
    """Whatever the unit, weights become exact percentages of their sum, and that is said."""
    content = f'ingredient,"{heading}"\nbeeswax,2\nmango-butter,5\n'
    shares, remarks = recipe_of(tmp_path, content)
    assert shares == {"beeswax": Fraction(200, 7), "mango-butter": Fraction(500, 7)}
    assert all(type(share) is Fraction for share in shares.values())
    assert len(remarks) == 1
    assert remarks[0].startswith("weights, 7 ")
    assert remarks[0].endswith(" together, are taken as percent")


@pytest.mark.parametrize("heading", ["percent", "Percent", "%", "% w/w", "weight %", "amount (%)"])
def test_a_heading_may_say_percent_in_several_ways(tmp_path: Path, heading: str) -> None:
    """Percentages stay as typed, however far from 100 within 0.05."""
    content = f"ingredient,{heading}\nbeeswax,12.50\nmango-butter,87.54\n"
    shares, remarks = recipe_of(tmp_path, content)
    assert {one: str(share) for one, share in shares.items()} == {
        "beeswax": "12.50",
        "mango-butter": "87.54",
    }
    assert remarks == []


@pytest.mark.parametrize(
    "heading", ["", "note", "price", "phase", "weight (cups)", "in", "s", "fl oz", "(", "40"]
)
def test_other_headings_head_no_amounts(heading: str) -> None:
    """What names no unit and no amount is no column of amounts."""
    assert unit_of_heading(heading) is None


TOGETHER = "weights, {} together, are taken as percent"


@pytest.mark.parametrize(
    ("rows", "shares", "remarks"),
    [
        (
            "grams\nbeeswax,120\nmango-butter,380",
            percents(beeswax="24", mango_butter="76"),
            [TOGETHER.format("500 g")],
        ),
        (
            "oz\nbeeswax,4\nmango-butter,12.5",
            {"beeswax": Fraction(800, 33), "mango-butter": Fraction(2500, 33)},
            [TOGETHER.format("16.5 oz")],
        ),
        (
            "amount\nbeeswax,120 g\nmango-butter,0.38 kg",
            percents(beeswax="24", mango_butter="76"),
            [TOGETHER.format("500 g")],
        ),
        (
            "weight\nbeeswax,8 oz\nmango-butter,0.5 lb",
            percents(beeswax="50", mango_butter="50"),
            [TOGETHER.format("453.59237 g")],
        ),
        (
            "amount\nbeeswax,2 x 60 g\nmango-butter,380g",
            percents(beeswax="24", mango_butter="76"),
            [TOGETHER.format("500 g")],
        ),
        (
            "amount\nsweet-almond-oil,10 ml\nmango-butter,9.15 g",
            percents(sweet_almond_oil="50", mango_butter="50"),
            [
                "10 ml of sweet-almond-oil is taken as 9.15 g, at 0.915 g/ml",
                TOGETHER.format("18.3 g"),
            ],
        ),
        (
            "ml\nsweet-almond-oil,10",
            percents(sweet_almond_oil="100"),
            [
                "10 ml of sweet-almond-oil is taken as 9.15 g, at 0.915 g/ml",
                TOGETHER.format("9.15 g"),
            ],
        ),
        (
            "grams\nbeeswax,4 kg\nmango-butter,6000",
            percents(beeswax="40", mango_butter="60"),
            ["grams has cells with another unit, which counts", TOGETHER.format("10000 g")],
        ),
        (
            'grams\nbeeswax,"1.250,5"\nmango-butter,"1.250,5"',
            percents(beeswax="50", mango_butter="50"),
            [
                "grams has decimal commas",
                "grams has thousands separators",
                TOGETHER.format("2501 g"),
            ],
        ),
        (
            "amount,unit\nbeeswax,50,g\nmango-butter,0.15,kg",
            percents(beeswax="25", mango_butter="75"),
            [TOGETHER.format("200 g")],
        ),
        (
            "amount\nbeeswax,40 %\nmango-butter,60%",
            percents(beeswax="40", mango_butter="60"),
            [],
        ),
        ("amount\nbeeswax,40\nmango-butter,60", percents(beeswax="40", mango_butter="60"), []),
        (
            "grams\nbeeswax,100\nmango-butter,380\nCera alba,20\nTotal:,500",
            percents(beeswax="24", mango_butter="76"),
            [
                "beeswax stands in rows 2 and 4 and is added up, 120 g together",
                TOGETHER.format("500 g"),
            ],
        ),
        (
            "percent\nbeeswax,40\nmango-butter,60\nTotaal,100",
            percents(beeswax="40", mango_butter="60"),
            [],
        ),
        (
            "percent\nbeeswax,40\nmango-butter,60\nsum,",
            percents(beeswax="40", mango_butter="60"),
            [],
        ),
        (
            "grams,percent\nbeeswax,125,25\nmango-butter,375,75",
            percents(beeswax="25", mango_butter="75"),
            ['the column "grams" is not used'],
        ),
        (
            "percent,grams\nbeeswax,20,100\nmango-butter,80,100",
            percents(beeswax="20", mango_butter="80"),
            [
                'the column "grams" is not used; by it beeswax would be 50 %, where "percent" '
                "has 20 %"
            ],
        ),
        (
            "percent,grams\nbeeswax,33,100\nmango-butter,66,200",
            {"beeswax": Fraction(100, 3), "mango-butter": Fraction(200, 3)},
            [
                '"percent" does not sum to 100, so that "grams" counts',
                TOGETHER.format("300 g"),
            ],
        ),
        (
            "percent,grams,note\nbeeswax,,100,x\nmango-butter,66,300,y",
            percents(beeswax="25", mango_butter="75"),
            [
                '"percent" is not filled in everywhere, so that "grams" counts',
                'the column "note" is not used',
                TOGETHER.format("400 g"),
            ],
        ),
        (
            "grams,oz\nbeeswax,100,3.5\nmango-butter,300,10.6",
            percents(beeswax="25", mango_butter="75"),
            ['the column "oz" is not used', TOGETHER.format("400 g")],
        ),
        (
            "grams,oz\nbeeswax,,1\nmango-butter,,3",
            percents(beeswax="25", mango_butter="75"),
            ['the column "grams" is not used', TOGETHER.format("4 oz")],
        ),
    ],
)
def test_tables_as_makers_have_them(
    tmp_path: Path, rows: str, shares: dict[str, Exact], remarks: list[str]
) -> None:
    """What a table of percentages or weights gives, and what is said of it."""
    assert recipe_of(tmp_path, f"ingredient,{rows}\n") == (shares, remarks)


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        (
            "notes\nbeeswax,3",
            "recipe.csv:1: no column `percent` and none of weights, such as `grams`; add one to "
            'the headings, which are "ingredient", "notes"',
        ),
        ("grams", "recipe.csv: no rows below the headings; write one for each ingredient"),
        ("grams\nbeeswax,0", "recipe.csv grams: the weights sum to 0; fill them in"),
        (
            "grams\nbeeswx,3\n,4\nmango-butter,\nhazelnut,3 cups\nshea,lots",
            'recipe.csv:2 ingredient: "beeswx": no such ingredient; nearest: beeswax\n'
            "recipe.csv:3 ingredient: no ingredient in this row; fill it in or delete the row\n"
            "recipe.csv:4 grams: no grams in this row; fill it in or delete the row\n"
            'recipe.csv:5 grams: no such unit: "cups"; write g, kg, oz, lb, ml or l\n'
            'recipe.csv:5 ingredient: "hazelnut": no such ingredient; nearest: hazelnut-oil\n'
            'recipe.csv:6 grams: "lots" is no amount; write it like 120 g\n'
            'recipe.csv:6 ingredient: "shea": no such ingredient; nearest: shea-butter-refined, '
            "shea-butter-unrefined",
        ),
        (
            "grams\nbeeswax,-4\nmango-butter,100",
            "recipe.csv:2 grams: -4 is less than nothing; write 0 or more",
        ),
        (
            "amount\nbeeswax,-4 g\nmango-butter,100 g",
            "recipe.csv:2 amount: -4 g is less than nothing; write 0 or more",
        ),
        (
            'grams\nbeeswax,"1,234"\nmango-butter,100',
            'recipe.csv:2 grams: "1,234" can be read in two ways; write 1234 or 1.2340',
        ),
        (
            'grams\nbeeswax,"1,5"\nmango-butter,2.5',
            "recipe.csv:2 grams: row 3 has a decimal point and row 2 a decimal comma; write all "
            "amounts in one way",
        ),
        (
            "grams\nbeeswax,40 %\nmango-butter,60",
            "recipe.csv:2 grams: 40 % under a heading in g; write the weight",
        ),
        (
            "percent\nbeeswax,40 g\nmango-butter,60",
            'recipe.csv:2 percent: "40 g" is not a number; write it like 8.50',
        ),
        (
            "grams\nbeeswax,£4",
            "recipe.csv:2 grams: £4 has a currency sign; write a plain number like 8.50",
        ),
        (
            "amount\nhazelnut-oil,10 ml\nmango-butter,60 g",
            'recipe.csv:2 amount: "10 ml": a volume, and nobody gives this ingredient\'s density; '
            "write the weight, or give density (g/ml) in a sheet of your own",
        ),
        (
            "amount\nbeeswax,8 fl oz",
            "recipe.csv:2 amount: fl oz is 29.57 ml in the US and 28.41 ml in the UK; write US fl "
            "oz or UK fl oz",
        ),
        (
            "amount\nbeeswax,120 g\nmango-butter,380",
            'recipe.csv:3 amount: "380" has no unit, and "120 g" in row 2 has one; write it as '
            "380 g or the like, or write all in percent",
        ),
        (
            "amount\nbeeswax,20 %\nmango-butter,380 g",
            'recipe.csv:2 amount: "20 %" is a percentage, and "380 g" in row 3 is a weight; '
            "write all in percent or all as weights",
        ),
        (
            "weight\nbeeswax,120\nmango-butter,380",
            "recipe.csv weight: the amounts without a unit sum to 500, 400 too much for percent; "
            "make them 100, or write weights with their unit, like 40 g",
        ),
        (
            "amount,unit\nbeeswax,50,g\nmango-butter,1,cup",
            'recipe.csv:3 unit: no such unit: "cup"; write g, kg, oz, lb, ml, l or %',
        ),
        (
            "grams\nbeeswax,20\nmango-butter,380\nTotal,500",
            'recipe.csv:4 grams: the total is written as "500", and the amounts sum to 400 g; '
            "correct either, or leave the total out",
        ),
        (
            "percent\nbeeswax,20\nmango-butter,80\nTotal,101",
            'recipe.csv:4 percent: the total is written as "101", and the amounts sum to 100 %; '
            "correct either, or leave the total out",
        ),
        (
            "amount\nbeeswax,20 g\nTotal,20 ml",
            "recipe.csv:3 amount: a total as a volume; write its weight or leave it out",
        ),
        (
            "percent\nbeeswax,20\nTussentotaal,20\nZwischensumme,20\nmango-butter,80\nGesamt,100",
            'recipe.csv:3 ingredient: "Tussentotaal": no such ingredient; add it in a sheet of '
            "your own ([shelf] sheets)\n"
            "recipe.csv:4 ingredient: a total before the last row; delete this row",
        ),
        (
            "percent\nbeeswax,20\nmango-butter,80\nstir until cool,",
            'recipe.csv:4: "stir until cool" looks like a note; delete this row',
        ),
        (
            "percent,grams\nbeeswax,20,100\nbeeswax,80,400",
            'recipe.csv:3 ingredient: "beeswax" stands in row 2 too; add the two up',
        ),
        (
            "percent,grams\nbeeswax,lots,100\nmango-butter,80,400",
            'recipe.csv:2 percent: "lots" is not a number; write it like 8.50',
        ),
        (
            "percent,grams\nbeeswax,20,100\nmango-butter,70,lots",
            "recipe.csv percent: the percentages sum to 90, 10 too little; make them 100",
        ),
    ],
)
def test_mistake_in_a_table_is_told(tmp_path: Path, rows: str, message: str) -> None:
    """Every mistake is told with its row, its column and what to write."""
    assert refusal_of(tmp_path, f"ingredient,{rows}\n") == message


def test_a_table_needs_the_heading_ingredient(tmp_path: Path) -> None:
    """Headings without `ingredient` are not taken for lines of a recipe."""
    assert refusal_of(tmp_path, "name,percent\nbeeswax,100\n") == (
        'recipe.csv: no column `ingredient`; add it to the headings, which are "name", "percent"'
    )


def test_a_workbook_may_weigh(tmp_path: Path) -> None:
    """Numbers of a workbook are weights under a heading with a unit, to fifteen digits."""
    book = openpyxl.Workbook()
    for row in (["Ingredient", "Grams"], ["beeswax", 0.1], ["mango-butter", "0.3 kg"], ["Total"]):
        book.active.append(row)
    packed = io.BytesIO()
    book.save(packed)
    path = tmp_path / "recipe.xlsx"
    path.write_bytes(packed.getvalue())
    formula = read_formula(path, wider_book())
    assert formula.shares["beeswax"] == Fraction(10, Fraction("300.1"))
    assert sum(formula.shares.values()) == 100


@pytest.mark.parametrize("title", ["My balm\n", "My balm,\n,\n", "# tried in May\nMy balm\n\n"])
def test_a_title_above_the_headings_is_told(tmp_path: Path, title: str) -> None:
    """A table below a title is a table, not pasted lines."""
    shares, remarks = recipe_of(
        tmp_path, title + "ingredient,percent\nbeeswax,40\nshea-butter-refined,60\n"
    )
    assert shares == percents(beeswax="40", shea_butter_refined="60")
    (remark,) = remarks
    assert remark.startswith("the headings stand in row ")


def test_a_total_that_was_never_calculated_is_left_aside(tmp_path: Path) -> None:
    """Workbooks written by programs hold the formula of a sum and no value."""
    text = "ingredient,percent\nbeeswax,40\nshea-butter-refined,60\ntogether,=SUM(B2:B3)\n"
    assert recipe_of(tmp_path, text)[0] == percents(beeswax="40", shea_butter_refined="60")
    assert refusal_of(tmp_path, text.replace("60", "=20*3")) == (
        'recipe.csv:3 percent: "=20*3" is a formula without its value; open the file in a '
        "spreadsheet and save it there, or write the value"
    )
