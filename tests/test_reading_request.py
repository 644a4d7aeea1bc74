"""A brief with its price lists and own sheets."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from reading_support import COSTING, PRICES, message_of, request_of, small_book, write

from optimiser.brief import Definition, End, Family, Limit, Request, Weighing
from optimiser.ingredient import Kind, Over
from optimiser.provenance import Origin
from optimiser.reading import read_request

WHOLE = """\
name  = "Gardener's hand butter"
style = "Whipped butter"

[costing]
prices   = "prices.csv"
currency = "GBP"

[shelf]
use       = ["mango-butter", "Cocoa butter", "cera alba",
             "sweet-almond-oil", "hazelnut-oil", "Marula oil"]
leave_out = ["coconut-oil"]
sheets    = ["own.csv"]

[groups]
nut_oils = ["sweet-almond-oil", "HAZELNUT OIL"]

[amounts]
"Mango kernel butter" = { max = 30 }
beeswax = { min = 2, max = 6, or_none = true }
cocoa-butter = 10.50

[totals]
powder   = { min = 3, max = 6, firm = true }
nut_oils = { max = 0 }

[ratios]
"Butter:nut_oils" = 2.5

[properties]
vitamin_e  = { min = 30 }
cost       = { max = 12.50 }
"Drop point" = { min = -3 }

[weighing]
step            = 0.5
smallest        = 0.25
max_ingredients = 7

[natural_variation]
cautious = ["vitamin E"]

[define.drop_point]
over = "fat"
"""
OWN = "ingredient,inci_name,kind,Drop point (C),Vitamin E\nMarula oil,Sclerocarya,oil,-5,12.5\n"


def whole(folder: Path) -> Request:
    prices = PRICES + "sweet-almond-oil,1 l,9\nhazelnut-oil,1 kg,12\nMarula oil,100 g,5\n"
    return request_of(folder, {"brief.toml": WHOLE, "own.csv": OWN, "prices.csv": prices})


def limits_of(folder: Path, brief: str) -> list[tuple[str, str, Decimal, bool]]:
    request = request_of(folder, {"brief.toml": brief})
    return [(one.of, one.end.value, one.value, one.from_style) for one in request.brief.limits]


def test_every_table_of_a_brief_is_read(tmp_path: Path) -> None:
    """Names become ids, numbers stay as typed, every limit knows its key and line."""
    brief = whole(tmp_path).brief
    file = "brief.toml"
    assert (brief.name, brief.file) == ("Gardener's hand butter", str(tmp_path / file))
    assert (brief.style, brief.currency) == ("whipped-butter", "GBP")
    assert brief.use == (
        "mango-butter",
        "cocoa-butter",
        "beeswax",
        "sweet-almond-oil",
        "hazelnut-oil",
        "marula-oil",
    )
    assert brief.leave_out == ("coconut-oil",)
    assert brief.groups == {"nut_oils": ("sweet-almond-oil", "hazelnut-oil")}
    expected = [
        (Family.AMOUNTS, "mango-butter", End.MAX, 30, 'amounts."Mango kernel butter".max', 18),
        (Family.AMOUNTS, "beeswax", End.MIN, 2, "amounts.beeswax.min", 19),
        (Family.AMOUNTS, "beeswax", End.MAX, 6, "amounts.beeswax.max", 19),
        (Family.AMOUNTS, "cocoa-butter", End.EXACTLY, "10.50", "amounts.cocoa-butter", 20),
        (Family.TOTALS, "powder", End.MIN, 3, "totals.powder.min", 23),
        (Family.TOTALS, "powder", End.MAX, 6, "totals.powder.max", 23),
        (Family.TOTALS, "nut_oils", End.MAX, 0, "totals.nut_oils.max", 24),
        (Family.RATIOS, "butter:nut_oils", End.EXACTLY, "2.5", 'ratios."Butter:nut_oils"', 27),
        (Family.PROPERTIES, "vitamin_e", End.MIN, 30, "properties.vitamin_e.min", 30),
        (Family.PROPERTIES, "cost", End.MAX, "12.50", "properties.cost.max", 31),
        (Family.PROPERTIES, "drop_point", End.MIN, -3, 'properties."Drop point".min', 32),
    ]
    assert [limit for limit in brief.limits if not limit.from_style] == [
        Limit(family, of, end, Decimal(value), key, Origin(file, line, key), of == "powder")
        for family, of, end, value, key, line in expected
    ]
    assert all(type(limit.of) is str for limit in brief.limits)
    assert str(brief.limits[3].value) == "10.50"
    assert brief.or_none == {"beeswax": Origin(file, 19, "amounts.beeswax.or_none")}
    weighing_keys = {"step": 35, "smallest": 36, "max_ingredients": 37}
    assert brief.weighing == Weighing(
        Decimal("0.5"),
        Decimal("0.25"),
        7,
        {key: Origin(file, line, f"weighing.{key}") for key, line in weighing_keys.items()},
    )
    assert brief.cautious == {"vitamin_e": Origin(file, 40, "natural_variation.cautious")}
    assert brief.definitions == {
        "drop_point": Definition(None, Over.FAT, Origin(file, 42, "define.drop_point"))
    }


def test_a_brief_of_two_lines_is_a_brief(tmp_path: Path) -> None:
    """Everything but the price list may be missing; the name is then the file's."""
    brief = request_of(tmp_path, {}).brief
    assert (brief.name, brief.style, brief.currency) == ("brief", None, "")
    assert (brief.use, brief.leave_out, brief.groups, brief.limits) == (None, (), {}, ())
    assert brief.weighing is None


def test_an_own_sheet_adds_to_the_book(tmp_path: Path) -> None:
    """A new ingredient and a new property know the sheet, the row and the column."""
    request = whole(tmp_path)
    marula = request.book.ingredients["marula-oil"]
    assert (marula.common_name, marula.inci_name) == ("Marula oil", "Sclerocarya")
    assert (marula.kind, marula.origin) == (Kind.OIL, Origin("own.csv", 2))
    figure = marula.figures["drop_point"]
    assert (figure.low, figure.typical, figure.high) == (-5, -5, -5)
    assert (figure.status, figure.source) == ("own", "own.csv")
    assert figure.origin == Origin("own.csv", 2, "Drop point (C)")
    drop_point = request.book.properties["drop_point"]
    assert (drop_point.title, drop_point.unit, drop_point.over) == ("Drop point", "C", Over.FAT)
    assert drop_point.origin == Origin("own.csv", 1, "Drop point (C)")
    assert 'own.csv: "Marula oil" is a new ingredient, marula-oil' in request.remarks
    assert request.files == tuple(tmp_path / one for one in ("brief.toml", "own.csv", "prices.csv"))


def test_an_own_figure_overrides_a_known_one(tmp_path: Path) -> None:
    """What the sheet gives of a known ingredient is changed, and nothing else."""
    brief = COSTING + "[shelf]\nsheets = ['own.csv']\n"
    own = "Ingredient,vitamin e,kind,notes\nCERA ALBA,0.5,other,\nsweet almond oil,31,,nice\n"
    request = request_of(tmp_path, {"brief.toml": brief, "own.csv": own})
    almond = request.book.ingredients["sweet-almond-oil"]
    assert almond.figures["vitamin_e"].typical == 31
    assert almond.figures["density"] == small_book().ingredients[almond.id].figures["density"]
    assert almond.kind is Kind.OIL
    assert request.book.ingredients["beeswax"].kind is Kind.OTHER
    assert request.remarks == (
        'own.csv: the column "notes" is not used',
        "own.csv: beeswax is of the kind other, not wax",
    )


def test_a_new_ingredient_is_told(tmp_path: Path) -> None:
    """A new ingredient is told with its kind, and with a known one that is much like it."""
    brief = COSTING + "[shelf]\nsheets = 'own.csv'\n"
    own = "ingredient,vitamin_e\nKarité d'Afrique,3\nCocoa buter,2\n"
    request = request_of(tmp_path, {"brief.toml": brief, "own.csv": own})
    assert request.book.ingredients["karite-d-afrique"].kind is Kind.OTHER
    assert request.remarks == (
        'own.csv: "Karité d\'Afrique" is a new ingredient, karite-d-afrique, of the kind other, '
        "as none is given",
        'own.csv: "Cocoa buter" is a new ingredient, cocoa-buter, of the kind other, as none is '
        "given (or is cocoa-butter meant?)",
    )


def test_sheets_build_on_each_other(tmp_path: Path) -> None:
    """A later sheet may add to an ingredient of an earlier one, but not give a figure again."""
    brief = COSTING + "[shelf]\nsheets = ['one.csv', 'two.csv']\n"
    files: dict[str, str | bytes] = {
        "brief.toml": brief,
        "one.csv": "ingredient,kind,vitamin_e\nMarula oil,oil,12\n",
        "two.csv": "ingredient,density\nmarula-oil,0.91\n",
    }
    marula = request_of(tmp_path, files).book.ingredients["marula-oil"]
    assert sorted(marula.figures) == ["density", "vitamin_e"]
    files["two.csv"] = "ingredient,vitamin_e\nmarula-oil,13\n"
    assert message_of(tmp_path, files) == (
        "two.csv:2 vitamin_e: one.csv:2 vitamin_e gives it too; keep one of them"
    )


def test_a_volume_is_weighed_with_an_own_density(tmp_path: Path) -> None:
    """The density of an own sheet turns a volume of the price list into a weight."""
    brief = COSTING + "[shelf]\nsheets = 'own.csv'\n"
    files: dict[str, str | bytes] = {
        "brief.toml": brief,
        "own.csv": "ingredient,density (g/ml)\nlavender-oil,0.885\n",
        "prices.csv": "ingredient,pack,price\nlavender-oil,100 ml,9\n",
    }
    (offer,) = request_of(tmp_path, files).offers
    assert offer.pack_kg * 10_000 == 885


def test_starting_limits_stand_where_the_brief_is_silent(tmp_path: Path) -> None:
    """The style's limits follow those of the brief, each with its row."""
    request = request_of(tmp_path, {"brief.toml": "style = 'whipped-butter'\n" + COSTING})
    limits = request.brief.limits
    assert [(limit.key, limit.value) for limit in limits] == [
        ("totals.butter.min", 40),
        ("totals.butter.max", 80),
        ("totals.oil.max", 60),
        ('ratios."butter:oil".min', 1),
    ]
    assert all(limit.from_style for limit in limits)
    assert limits[2].origin == Origin("ingredient_data/starting_limits.csv", 4)


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ("butter = { min = 50 }", [("min", 50, False), ("max", 80, True)]),
        ("Butter = { max = 70 }", [("max", 70, False), ("min", 40, True)]),
        ("butter = { min = 1, max = 99 }", [("min", 1, False), ("max", 99, False)]),
        ("butter = 55", [("exactly", 55, False)]),
        ("butter = { min = 90 }", [("min", 90, False)]),
        ("butter = { max = 0 }", [("max", 0, False)]),
        ("butter = { min = 80 }", [("min", 80, False), ("max", 80, True)]),
    ],
)
def test_the_brief_stands_over_its_style(
    tmp_path: Path, said: str, kept: list[tuple[str, int, bool]]
) -> None:
    """Key by key the brief's value stands, and an exact one displaces both of the style."""
    brief = f"style = 'whipped-butter'\n{COSTING}[totals]\n{said}\n"
    limits = limits_of(tmp_path, brief)
    assert [(end, value, style) for of, end, value, style in limits if of == "butter"] == kept


def test_a_dropped_limit_of_the_style_is_told(tmp_path: Path) -> None:
    """A bound of the style that the brief excludes is dropped, with a remark."""
    brief = f"style = 'whipped-butter'\n{COSTING}[totals]\nbutter = {{ min = 90 }}\n"
    assert request_of(tmp_path, {"brief.toml": brief}).remarks == (
        "brief.toml: the style's totals.butter.max 80 is dropped, as the brief's min is 90",
    )


def test_caution_without_a_limit_is_told(tmp_path: Path) -> None:
    """A cautious property that nothing limits has no effect, and that is told."""
    brief = COSTING + "[natural_variation]\ncautious = ['vitamin_e']\n"
    request = request_of(tmp_path, {"brief.toml": brief})
    assert list(request.brief.cautious) == ["vitamin_e"]
    assert request.remarks == ("brief.toml: cautious names vitamin_e, but nothing limits it",)


def test_totals_and_ratios_may_name_an_ingredient(tmp_path: Path) -> None:
    """Beside kinds and groups a total or ratio may be of one ingredient."""
    brief = COSTING + '[totals]\n"Cera alba" = { max = 5 }\n[ratios]\n"oil : corn starch" = 2\n'
    assert [of for of, *_ in limits_of(tmp_path, brief)] == ["beeswax", "oil:corn-starch"]


def test_several_price_lists_are_one(tmp_path: Path) -> None:
    """The offers of a list of files follow each other, each with its file."""
    brief = '[costing]\nprices = ["prices.csv", "more.csv"]\n'
    more = "ingredient,pack,price\nbeeswax,1 kg,16\n"
    request = request_of(tmp_path, {"brief.toml": brief, "more.csv": more})
    assert [str(offer.origin) for offer in request.offers] == [
        "prices.csv:2",
        "prices.csv:3",
        "prices.csv:4",
        "more.csv:2",
    ]


def test_price_lists_can_be_given_instead(tmp_path: Path) -> None:
    """Price lists given with the question replace those of the brief, which may name none."""
    write(tmp_path, {"brief.toml": "name = 'x'\n", "other.csv": PRICES})
    other = tmp_path / "other.csv"
    request = read_request(tmp_path / "brief.toml", prices=[other], book=small_book())
    assert len(request.offers) == 3
    assert request.offers[0].origin == Origin(str(other), 2)
    assert request.files == (tmp_path / "brief.toml", other)


def test_mistakes_of_all_files_are_told_at_once(tmp_path: Path) -> None:
    """One pass tells the mistakes of brief, sheets and price list, by file and line."""
    brief = COSTING + "[shelf]\nsheets = 'own.csv'\n[amounts]\nbeeswx = 3\n[weighing]\nstep = 0\n"
    files: dict[str, str | bytes] = {
        "brief.toml": brief,
        "own.csv": "ingredient,vitamin_e\nMarula oil,much\n",
        "prices.csv": "ingredient,pack,price\nmango-butter,1 kg,dear\nbeeswax,1 bag,3\n",
    }
    assert message_of(tmp_path, files).splitlines() == [
        "brief.toml:6 amounts.beeswx: no such ingredient; nearest: beeswax",
        "brief.toml:8 weighing.step: 0 is not above 0 and up to 100; write 0.5",
        'own.csv:2 vitamin_e: "much" is not a number; write it like 26',
        'prices.csv:2 price: "dear" is not a number; write it like 8.50',
        'prices.csv:3 pack: "beeswax" is an ingredient; write what a pack weighs, as 5 kg',
    ]


def test_one_missing_file_is_one_mistake(tmp_path: Path) -> None:
    """What only an unreadable sheet could explain is not held against the maker."""
    brief = COSTING + "[shelf]\nsheets = 'own.csv'\n[amounts]\nmarula-oil = { max = 3 }\n"
    brief += "[properties]\ndrop_point = { min = 3 }\n[define.drop_point]\nunit = 'C'\n"
    prices = "ingredient,pack,price\nMarula oil,1 kg,30\n"
    assert message_of(tmp_path, {"brief.toml": brief, "prices.csv": prices}) == (
        'brief.toml:4 shelf.sheets: there is no file "own.csv"; check its name and folder'
    )


def test_a_brief_that_is_not_there_is_told(tmp_path: Path) -> None:
    """A missing brief is one message that repeats what was asked for."""
    path = tmp_path / "none.toml"
    write(tmp_path, {})
    with pytest.raises(Exception, match="there is no file") as caught:
        read_request(path, book=small_book())
    assert str(caught.value).startswith("none.toml: there is no file")


@pytest.mark.parametrize(
    ("brief", "what"),
    [
        ('[costing]\nprices = "brief.toml"\n', "a price list"),
        (COSTING + '[shelf]\nsheets = "brief.toml"\n', "a sheet of ingredients"),
    ],
)
def test_a_brief_in_the_place_of_a_table_is_told(tmp_path: Path, brief: str, what: str) -> None:
    """It is not to be saved as a table; what belongs there is told."""
    assert message_of(tmp_path, {"brief.toml": brief}).endswith(
        f': "brief.toml" is a brief; {what} belongs here, a file ending in .csv or .xlsx'
    )
