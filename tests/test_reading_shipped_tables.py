"""The shipped tables."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from optimiser.ingredient import Kind, Over, Rule, Trust
from optimiser.provenance import InputError, Origin
from optimiser.reading import Problem, ingredient_names, read_book, read_request

TABLES = {
    "ingredients.csv": (
        "ingredient,common_name,inci_name,cas,kind,allergen_note,status,source,note\n"
        "cocoa-butter,Cocoa butter,Theobroma Cacao Seed Butter,84649-99-0,butter,,published,us,\n"
        '"coconut-oil",Coconut oil,Cocos Nucifera Oil,,butter,"Coconut, named",published,us,\n'
    ),
    "figures.csv": (
        "ingredient,property,low,typical,high,unit,status,source,locator,note\n"
        "cocoa-butter,vitamin_e,1,2.10,3,mg/100 g,published,us,p. 3,a note\n"
        "cocoa-butter,density,,0.9,,g/ml,recalled,us,,\n"
    ),
    "properties.csv": (
        "property,title,unit,over,rule,trust,step,printed,meaning,source\n"
        "vitamin_e,vitamin E,mg/100 g,product,mass,exact,5,always,It is good.,us\n"
        "density,density,g/ml,product,volume,approximate,0.01,when limited,It is heavy.,us\n"
    ),
    "starting_limits.csv": (
        "style,family,of,end,value,unit,status,note\n"
        "balm,totals,butter,max,40,%,common practice,usual\n"
        "balm,ratios,butter:oil,min,1,,common practice,\n"
        "bar,properties,vitamin_e,min,5,mg/100 g,common practice,\n"
    ),
    "other_names.csv": "name,ingredient,note\ncacao butter,cocoa-butter,usual\n",
    "character.csv": (
        "family,of,tolerance,unit,more,less,reason,status\n"
        "properties,vitamin_e,10,mg/100 g,richer,poorer,nobody feels it,common practice\n"
        "totals,powder,0.5,%,drier,less dry,it is felt,common practice\n"
    ),
    "softening_pairs.csv": (
        "first,second,status,source,note\ncocoa-butter,coconut-oil,published,us,softer\n"
    ),
    "cautions.csv": (
        "when,of,text,source,status,stands_on\nkind,butter,It melts.,us,recalled,label\n"
    ),
    "sources.csv": "source,citation,year\nus,Ourselves,2020\n",
}


def book_of(folder: Path, **changed: tuple[str, str]):  # noqa: ANN201 - a Book, read from files
    for name, text in TABLES.items():
        old, new = changed.get(name.removesuffix(".csv"), ("", ""))
        assert old in text
        (folder / name).write_text(text.replace(old, new) if old else text)
    return read_book(folder)


def test_tables_become_a_book(tmp_path: Path) -> None:
    """Every column that has a record is kept, with its file and row."""
    book = book_of(tmp_path)
    cocoa = book.ingredients["cocoa-butter"]
    assert (cocoa.kind, cocoa.cas) == (Kind.BUTTER, "84649-99-0")
    assert cocoa.origin == Origin("ingredient_data/ingredients.csv", 2)
    figure = cocoa.figures["vitamin_e"]
    assert (figure.low, figure.typical, figure.high) == (1, Decimal("2.10"), 3)
    assert (figure.status, figure.source, figure.note) == ("published", "us", "a note")
    assert figure.origin == Origin("ingredient_data/figures.csv", 2)
    assert cocoa.figures["density"].low == cocoa.figures["density"].high == Decimal("0.9")
    assert book.ingredients["coconut-oil"].figures == {}
    density = book.properties["density"]
    assert (density.over, density.rule, density.trust) == (
        Over.PRODUCT,
        Rule.VOLUME,
        Trust.APPROXIMATE,
    )
    assert [one.always_printed for one in book.properties.values()] == [True, False]
    assert book.styles == ("balm", "bar")
    assert book.other_names == {"cacao butter": ("cocoa-butter",)}
    assert [(t.family, t.of, t.tolerance) for t in book.character] == [
        ("properties", "vitamin_e", 10),
        ("totals", "powder", Decimal("0.5")),
    ]
    assert book.softening_pairs[0].second == {"coconut-oil"}
    assert (book.cautions[0].text, book.cautions[0].status) == ("It melts.", "recalled")
    assert book.sources["us"].year == "2020"


@pytest.mark.parametrize(
    ("table", "old", "new", "message"),
    [
        (
            "figures",
            "1,2.10,3",
            "3,2.10,3",
            "ingredient_data/figures.csv:2: low must not be above typical, nor typical above high",
        ),
        (
            "figures",
            "2.10",
            "2,10",
            "ingredient_data/figures.csv:2: 11 cells under 10 headings; fill the row up",
        ),
        (
            "figures",
            "2.10",
            "x",
            "ingredient_data/figures.csv:2: low, typical and high must be numbers",
        ),
        (
            "figures",
            "mg/100 g",
            "mg/kg",
            "ingredient_data/figures.csv:2: in 'mg/kg', but vitamin_e is in 'mg/100 g'",
        ),
        ("figures", "density", "dense", "ingredient_data/figures.csv:3: no such property: 'dense'"),
        (
            "figures",
            "published,us",
            "published,them",
            "ingredient_data/figures.csv:2: no such source: 'them'",
        ),
        (
            "figures",
            "cocoa-butter,density",
            "cacao-butter,density",
            "ingredient_data/figures.csv:3: no such ingredient: 'cacao-butter'",
        ),
        (
            "ingredients",
            '"coconut-oil"',
            "cocoa-butter",
            "ingredient_data/ingredients.csv:3: cocoa-butter stands twice; keep one row\n"
            "ingredient_data/softening_pairs.csv:2: no such ingredient: 'coconut-oil'",
        ),
        (
            "ingredients",
            "0,butter",
            "0,fat",
            "ingredient_data/ingredients.csv:2: 'fat' is none of butter, oil, wax, powder, "
            "antioxidant, fragrance, colour, exfoliant, other",
        ),
        (
            "properties",
            ",5,always",
            ",five,often",
            "ingredient_data/properties.csv:2: no such time to print it: 'often'\n"
            "ingredient_data/properties.csv:2: 'five' is not a number",
        ),
        (
            "properties",
            "title",
            "name",
            "ingredient_data/properties.csv:1: the headings must be "
            "property,title,unit,over,rule,trust,step,printed,meaning,source\n"
            "ingredient_data/figures.csv:2: no such property: 'vitamin_e'\n"
            "ingredient_data/figures.csv:3: no such property: 'density'\n"
            "ingredient_data/starting_limits.csv:4: no such kind or property: 'vitamin_e'\n"
            "ingredient_data/character.csv:2: no such kind or property: 'vitamin_e'",
        ),
        (
            "starting_limits",
            "butter,max",
            "butter,most",
            "ingredient_data/starting_limits.csv:2: no such limit: totals.butter.most",
        ),
        (
            "other_names",
            "cacao butter",
            "Coconut-Oil",
            "ingredient_data/other_names.csv:2: Coconut-Oil is a name of coconut-oil already; "
            "delete the row",
        ),
        (
            "other_names",
            "cocoa-butter",
            "cacao",
            "ingredient_data/other_names.csv:2: no such ingredient: 'cacao'",
        ),
        (
            "other_names",
            "cacao butter,cocoa-butter,usual",
            "cacao butter,cocoa-butter,\ncacao butter,cocoa-butter,\nCacao-butter,coconut-oil,",
            "ingredient_data/other_names.csv:3: cacao butter stands twice for cocoa-butter; "
            "keep one row\n"
            "ingredient_data/other_names.csv:4: Cacao-butter is cacao butter again; "
            "write it in one way",
        ),
        (
            "cautions",
            "kind",
            "sometimes",
            "ingredient_data/cautions.csv:2: no such occasion: 'sometimes'",
        ),
    ],
)
def test_mistakes_in_shipped_tables_are_told(
    tmp_path: Path, table: str, old: str, new: str, message: str
) -> None:
    """A mistake in a shipped table names the file and row."""
    with pytest.raises(InputError) as caught:
        book_of(tmp_path, **{table: (old, new)})
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("written", "found"),
    [
        ("Cornflour", "corn-starch"),
        ("CACAO BUTTER", "cocoa-butter"),
        ("sea salt", "fine-salt"),
        ("illipe nut butter", "illipe-butter"),
    ],
)
def test_everyday_names_are_found(written: str, found: str) -> None:
    """An everyday name of one ingredient is as good as its id."""
    assert ingredient_names(read_book()).find(written) == found


@pytest.mark.parametrize(
    ("written", "problem"),
    [
        (
            "Vitamin E",
            "several ingredients have this name; write mixed-tocopherols-70, d-alpha-tocopherol "
            "or dl-alpha-tocopheryl-acetate",
        ),
        (
            "Shea butter",
            "several ingredients have this name; write shea-butter-refined or "
            "shea-butter-unrefined",
        ),
    ],
)
def test_everyday_names_of_several_say_which(written: str, problem: str) -> None:
    """Where an everyday name leaves open which is meant, nothing is guessed."""
    with pytest.raises(Problem) as caught:
        ingredient_names(read_book()).find(written)
    assert str(caught.value) == problem


def test_a_group_may_have_an_everyday_name(tmp_path: Path) -> None:
    """A maker's group called `shea butter` is hers, as the name is no ingredient's own."""
    (tmp_path / "prices.csv").write_text("ingredient,pack,price\ncornflour,1 kg,3\n")
    brief = tmp_path / "brief.toml"
    brief.write_text(
        "[costing]\nprices = 'prices.csv'\n[groups]\n'shea butter' = ['cornflour']\n"
        "[totals]\n'shea butter' = { max = 3 }\n"
    )
    request = read_request(brief)
    assert request.brief.groups == {"shea butter": ("corn-starch",)}
    assert request.offers[0].ingredient == "corn-starch"


def test_a_missing_table_is_told(tmp_path: Path) -> None:
    """Without a table the package is to be installed again."""
    book_of(tmp_path)
    (tmp_path / "cautions.csv").unlink()
    with pytest.raises(InputError) as caught:
        read_book(tmp_path)
    assert str(caught.value) == (
        "ingredient_data/cautions.csv: missing, or no table in UTF-8; install the package again"
    )


def test_the_shipped_tables_have_no_mistake() -> None:
    """What is shipped can be read, and every ingredient is found by id and by common name."""
    book = read_book()
    names = ingredient_names(book)
    assert len(book.ingredients) > 50
    assert len(book.styles) > 3
    for identifier, ingredient in book.ingredients.items():
        assert names.find(identifier) == identifier
        assert names.find(ingredient.common_name.upper()) == identifier
