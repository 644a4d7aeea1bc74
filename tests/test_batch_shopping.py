"""What `batch` says to buy: of one batch, of several, with packaging, and at other sizes."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from formulation_support import Command

PRICES = """ingredient,supplier,pack,price,delivery,in_stock,minimum_order,free_delivery_from
cocoa-butter,Larkmoor Oils,1 kg,18.00,4.00,,,60
sunflower-oil,Larkmoor Oils,1 kg,5.00,4.00,200 g,,
sunflower-oil,Hollin & Wray,5 lb,9.00,2.00,,20,
beeswax,Hollin & Wray,8 oz,6.00,2.00,,,
jar 60 ml,Bramble Packaging,24 jars,12.00,3.00,6 pieces,,
jar 60 ml,Bramble Packaging,100 pieces,38.00,3.00,,,
lid,Bramble Packaging,"1,000 pieces",90.00,3.00,40,,
"""
BRIEF = """name = "Small balm"
style = "balm"
[costing]
prices = "prices.csv"
currency = "GBP"
[amounts]
beeswax = 12
"cocoa-butter" = 20
[batch]
size = "1 kg"
scale = "0.1 g"
loss = 4
[jar]
net = "60 g"
packaging = ["Jar 60 ml", "lid"]
"""


@pytest.fixture
def workshop(tmp_path: Path) -> Path:
    """A brief with its price list."""
    (tmp_path / "prices.csv").write_text(PRICES, encoding="utf-8")
    (tmp_path / "brief.toml").write_text(BRIEF, encoding="utf-8")
    (tmp_path / "again.toml").write_text(BRIEF.replace("Small", "Other"), encoding="utf-8")
    return tmp_path


def bought(answer) -> dict[str, list[tuple[str, str, int]]]:
    """Supplier, pack and count of what is bought, by item."""
    lines = [(one["ingredient"], one["buy"]) for one in answer["shopping"]]
    lines += [(one["item"], one["buy"]) for one in answer["packaging"]]
    return {
        item: [(pack["supplier"], pack["pack"], pack["count"]) for pack in packs]
        for item, packs in lines
    }


def test_packs_stock_and_packaging(workshop, optimiser: Command):
    """200 g cocoa, 680 g oil less 200 in stock, 120 g wax, 16 jars less 6, 16 lids of 40."""
    answer = optimiser.json("batch", workshop / "brief.toml")
    assert bought(answer) == {
        "cocoa-butter": [("Larkmoor Oils", "1 kg", 1)],
        # The shop with wax takes no order below 20: its oil and a second pack of wax, 21, cost
        # less than oil from elsewhere and four packs of wax.
        "sunflower-oil": [("Hollin & Wray", "5 lb", 1)],
        "beeswax": [("Hollin & Wray", "8 oz", 2)],
        "Jar 60 ml": [("Bramble Packaging", "24 jars", 1)],
        "lid": [],
    }
    by_item = {one["ingredient"]: one for one in answer["shopping"]}
    assert by_item["sunflower-oil"]["needed_g"] == 680
    assert by_item["sunflower-oil"]["in_stock_g"] == 200
    assert by_item["sunflower-oil"]["left_over_g"] == pytest.approx(200 + 5 * 453.59237 - 680)
    jars = next(one for one in answer["packaging"] if one["item"] == "Jar 60 ml")
    assert (jars["needed"], jars["in_stock"], jars["left_over"]) == (16, 6, 14)
    money = answer["spending"]
    # 18 + 4 at the first, 9 + 12 + 2 at the second, 12 + 3 for the jars.
    assert (money["goods"], money["delivery"], money["total"]) == (51, 9, 60)
    assert money["total"] <= money["each_alone"]


def test_packaging_is_in_the_cost_of_a_jar(workshop, optimiser: Command):
    """The cheapest piece with its part of the delivery: 0.41 a jar, 0.093 a lid."""
    answer = optimiser.json("batch", workshop / "brief.toml")
    piece = (38 + 3) / 100 + (90 + 3) / 1000
    assert answer["cost"]["packaging"] == pytest.approx(16 * piece)
    assert "packaging" not in answer["cost"]["left_out"]


def test_several_batches_are_bought_for_together(workshop, optimiser: Command):
    """The needs of two briefs with one price list are one sum, and stock counts once."""
    one, other = workshop / "brief.toml", workshop / "again.toml"
    answer = optimiser.json("batch", "--batch", f"{one}=1 kg", "--batch", f"{other}=2 kg")
    assert len(answer["batches"]) == 2
    by_item = {line["ingredient"]: line for line in answer["shopping"]}
    assert by_item["sunflower-oil"]["needed_g"] == 3 * 680
    assert by_item["sunflower-oil"]["in_stock_g"] == 200
    assert by_item["cocoa-butter"]["needed_g"] == 600


def test_units_mixed_in_one_list_are_exact(workshop, optimiser: Command):
    """Eight ounces are 226.796185 g, and what is left over of two packs says so."""
    answer = optimiser.json("batch", workshop / "brief.toml")
    wax = next(one for one in answer["shopping"] if one["ingredient"] == "beeswax")
    left = 2 * 8 * Fraction(45359237, 16 * 10**5) - 120
    assert wax["left_over_g"] == float(left)


def test_what_packaging_is_missing_is_told(workshop, optimiser: Command):
    """An item that the price list does not have keeps the cost open, and is named."""
    text = BRIEF.replace('"lid"]', '"lid", "ribbon"]')
    (workshop / "brief.toml").write_text(text, encoding="utf-8")
    code, out, _ = optimiser("batch", workshop / "brief.toml")
    assert code == 0
    assert "Not known: no price for ribbon." in out
    assert "Not to be had from the price list: ribbon." in out
    assert "no price list has ribbon; there is " in " ".join(out.split())


def test_misspelt_packaging_is_told_with_the_nearest(workshop, optimiser: Command):
    """Its place in the brief, the nearest name with a price, and what the rest comes to."""
    brief = workshop / "brief.toml"
    right = optimiser.json("batch", brief)
    text = BRIEF.replace('"Jar 60 ml"', '"Jar 60ml"')
    brief.write_text(text, encoding="utf-8")
    line = next(n for n, one in enumerate(text.splitlines(), start=1) if "Jar 60ml" in one)
    code, out, _ = optimiser("batch", brief)
    assert code == 0
    said = " ".join(out.split())
    assert "Not known: no price for Jar 60ml." in said
    place = f"brief.toml:{line} jar.packaging"
    assert f"{place}: no price list has Jar 60ml; nearest: jar 60 ml" in said
    known = said.split("Incomplete, only what is known so far:")[1]
    ingredients = f"{right['cost']['ingredients']:.2f}"
    assert f"ingredients {ingredients} " in known
    assert f"so far {ingredients} " in known
    answer = optimiser.json("batch", brief)
    assert answer["cost"] is None


def test_a_jar_costs_less_in_larger_batches_when_packs_have_to_be_bought(
    workshop, optimiser: Command
):
    """Whole packs weigh less on each jar the more jars there are, and never less than costing."""
    sizes = optimiser.json("batch", workshop / "brief.toml")["sizes"]
    assert [one["size_g"] for one in sizes] == [500, 1000, 2000, 4000]
    money = [one["bought_per_jar"] for one in sizes]
    assert money == sorted(money, reverse=True)
    same = next(one for one in sizes if one["size_g"] == 1000)
    cost = optimiser.json("batch", workshop / "brief.toml")["cost"]
    assert same["per_jar"] == pytest.approx(cost["per_jar"])


def test_the_page_has_a_list_for_each_supplier(workshop, optimiser: Command):
    """80 columns, one table an order, with delivery and total."""
    code, out, _ = optimiser("batch", workshop / "brief.toml")
    assert code == 0
    part = out[out.index("\nShopping\n") : out.index("\nA jar at other sizes")]
    assert all(len(line) <= 80 for line in part.splitlines())
    for supplier in ("Bramble Packaging", "Hollin & Wray", "Larkmoor Oils"):
        assert f"  {supplier} " in part
    assert part.count("delivery  ") == 3


@pytest.mark.parametrize(
    ("row", "message"),
    [
        (
            "cocoa-butter,X,12 pieces,3,,,,",
            'prices.csv:2 pack: "cocoa-butter" is an ingredient; write what a pack weighs, as 5 kg',
        ),
        (
            "ribbon,X,0 pieces,3,,,,",
            "prices.csv:2 pack: a pack that holds nothing; write how many pieces, like 24 pieces",
        ),
        (
            "ribbon,X,24 pieces,3,,2 kg,,",
            'prices.csv:2 in_stock: "2 kg" is no number of pieces; write it like 40 or 40 pieces',
        ),
        ("ribbon,X,24 pieces,-3,,,,", "prices.csv:2 price: less than 0; write 0 or more"),
        ("ribbon,X,24 pieces,3,,,-5,", "prices.csv:2 minimum_order: less than 0; write 0 or more"),
        (
            "ribbon,X,24 pieces,,,,,",
            "prices.csv:2 price: no price in this row; fill it in or delete the row",
        ),
        (
            "ribbon,X,24 pieces,3,,,20,\nbow,x,24 pieces,3,,,25,",
            'prices.csv:3 minimum_order: 25 where prices.csv:2 says 20 for "x"; make them agree',
        ),
    ],
)
def test_mistakes_in_packaging(tmp_path, optimiser: Command, row, message):
    """Each is told with its cell and what to write."""
    head = PRICES.splitlines()[0]
    rest = "\n".join(PRICES.splitlines()[1:5])
    (tmp_path / "prices.csv").write_text(f"{head}\n{row}\n{rest}\n", encoding="utf-8")
    (tmp_path / "brief.toml").write_text(BRIEF, encoding="utf-8")
    code, out, err = optimiser("formulate", tmp_path / "brief.toml")
    assert (code, out) == (2, "")
    assert message in err.splitlines()


def test_packaging_is_never_an_ingredient(workshop, optimiser: Command):
    """It is not in a formula, not among prices, and nobody misses its figures."""
    answer = optimiser.json("formulate", workshop / "brief.toml")
    assert "jar" not in str(answer["formula"]) + str(answer["unused"]) + str(answer["left_out"])


def test_decimal_commas_and_semicolons_hold_for_packaging_too(tmp_path, optimiser: Command):
    """The habits of a column are those of all its rows."""
    (tmp_path / "prices.csv").write_text(
        "ingredient;pack;price;delivery\ncocoa-butter;1 kg;18,00;2,50\nsunflower-oil;1 kg;5,00;\n"
        "beeswax;500 g;8,00;\njar 60 ml;24 jars;12,50;3,00\nlid;100 lids;9,00;\n",
        encoding="utf-8",
    )
    (tmp_path / "brief.toml").write_text(BRIEF, encoding="utf-8")
    answer = optimiser.json("batch", tmp_path / "brief.toml")
    assert answer["cost"]["packaging"] == pytest.approx(16 * (15.5 / 24 + 0.09))


def test_terms_of_a_supplier_hold_over_two_lists(tmp_path, optimiser: Command):
    """A minimum order in one list holds for the rows of the other; two values are a mistake."""
    head = "ingredient,supplier,pack,price,delivery,minimum_order\n"
    plain = BRIEF.split("[jar]")[0]
    for name, rows in {
        "one": "sunflower-oil,B,1 kg,5,4,50\nbeeswax,A,1 kg,17,4,\ncocoa-butter,A,1 kg,18,4,\n",
        "two": "beeswax,B,1 kg,16,4,\nsunflower-oil,C,1 kg,9,4,\ncocoa-butter,C,1 kg,18,4,\n",
    }.items():
        (tmp_path / f"{name}.csv").write_text(head + rows, encoding="utf-8")
        text = plain.replace("prices.csv", f"{name}.csv")
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    words = [f"{tmp_path / 'one.toml'}=1 kg", f"{tmp_path / 'two.toml'}=1 kg"]
    for first, second in (words, reversed(words)):
        answer = optimiser.json("batch", "--batch", first, "--batch", second)
        for order in answer["orders"]:
            assert order["supplier"] != "B" or order["goods"] >= 50
    other = (tmp_path / "two.csv").read_text().replace("B,1 kg,16,4,", "B,1 kg,16,4,20")
    (tmp_path / "two.csv").write_text(other, encoding="utf-8")
    code, _, err = optimiser("batch", "--batch", words[0], "--batch", words[1])
    assert code == 2
    assert 'two.csv:2 minimum_order: 20 where one.csv:2 says 50 for "B"; make them agree' in err


def test_packaging_spelled_in_two_ways_is_one_item(workshop, optimiser: Command):
    """`lid` in one brief and `LID` in another are bought together."""
    text = BRIEF.replace('"Jar 60 ml", "lid"', '"JAR-60-ml", "LID"')
    (workshop / "again.toml").write_text(text, encoding="utf-8")
    one, other = workshop / "brief.toml", workshop / "again.toml"
    answer = optimiser.json("batch", "--batch", f"{one}=1 kg", "--batch", f"{other}=1 kg")
    assert [(line["item"], line["needed"]) for line in answer["packaging"]] == [
        ("Jar 60 ml", 32),
        ("lid", 32),
    ]
    assert all(line["can_be_had"] for line in answer["packaging"])


def test_a_batch_that_fills_no_jar_tells_no_cost_at_other_sizes(workshop, optimiser: Command):
    """Fifty grams fill no jar of sixty, so that nothing is known of the packaging of one."""
    assert optimiser.json("batch", workshop / "brief.toml", "--size", "50 g")["sizes"] == []


def test_more_than_a_tonne_of_jars_is_refused(workshop, optimiser: Command):
    """A billion jars are a slip."""
    code, _, err = optimiser("batch", workshop / "brief.toml", "--jars", "1000000000")
    assert code == 2
    assert "--jars: 1000000000 jars take more than a tonne" in err
