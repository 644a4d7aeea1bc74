"""What a price list can have wrong, and the whole message for it."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading_support import message_of

MISTAKES: list[tuple[str, str | bytes, str]] = [
    (
        "empty",
        "",
        ("prices.csv: nothing stands in it; the first row must name ingredient, pack and price"),
    ),
    (
        "blank",
        "\n\n",
        ("prices.csv: nothing stands in it; the first row must name ingredient, pack and price"),
    ),
    (
        "binary",
        b"\x00\x01\x02",
        "prices.csv: this is no text; save it as CSV in UTF-8",
    ),
    (
        "zip",
        b"PK\x03\x04",
        (
            "prices.csv: this is a workbook or another zip file, not a CSV; save it as CSV "
            "or as .xlsx"
        ),
    ),
    (
        "xls",
        b"\xd0\xcf\x11\xe0",
        ("prices.csv: this is an old Excel workbook (.xls), not a CSV; save it as CSV or as .xlsx"),
    ),
    (
        "pdf",
        b"%PDF-1.7",
        "prices.csv: this is a PDF, not a CSV; save it as CSV or as .xlsx",
    ),
    (
        "undefined",
        b"ingredient,pack,price\nK\x81,1 kg,3\n",
        "prices.csv: this is no text; save it as CSV in UTF-8",
    ),
    (
        "no-pack",
        "ingredient,price\nbeeswax,3\n",
        ('prices.csv: no column `pack`; add it to the headings, which are "ingredient", "price"'),
    ),
    (
        "no-two",
        "ingredient;supplier\nbeeswax;3\n",
        (
            "prices.csv: no column `pack` and `price`; add it to the headings, which are "
            '"ingredient", "supplier"'
        ),
    ),
    (
        "twice",
        "ingredient,pack,price,Price\nbeeswax,1 kg,3,4\n",
        'prices.csv: two columns are headed "price"; rename or delete one',
    ),
    (
        "headings-only",
        "ingredient,pack,price\n",
        "prices.csv: no rows below the headings; write one for each pack",
    ),
    (
        "unknown",
        "ingredient,pack,price\ncocoa buter,1 kg,3\n",
        (
            'prices.csv:2 ingredient: "cocoa buter": no such ingredient; nearest: '
            "cocoa-butter; if none, add it in a sheet of your own ([shelf] sheets)"
        ),
    ),
    (
        "far",
        "ingredient,pack,price\nunobtainium,1 kg,3\n",
        (
            'prices.csv:2 ingredient: "unobtainium": no such ingredient; add it in a '
            "sheet of your own ([shelf] sheets)"
        ),
    ),
    (
        "ambiguous",
        "ingredient,pack,price\nButyrospermum Parkii Butter,1 kg,3\n",
        (
            'prices.csv:2 ingredient: "Butyrospermum Parkii Butter": several ingredients '
            "have this name; write shea-butter-refined or shea-butter-unrefined"
        ),
    ),
    (
        "no-ingredient",
        "ingredient,pack,price\n,1 kg,3\n",
        "prices.csv:2 ingredient: no ingredient in this row; fill it in or delete the row",
    ),
    (
        "no-price",
        "ingredient,pack,price\nbeeswax,1 kg,\n",
        "prices.csv:2 price: no price in this row; fill it in or delete the row",
    ),
    (
        "no-pack-cell",
        "ingredient,pack,price\nbeeswax,,3\n",
        "prices.csv:2 pack: no pack in this row; fill it in or delete the row",
    ),
    (
        "negative",
        "ingredient,pack,price\nbeeswax,1 kg,-3\n",
        "prices.csv:2 price: less than 0; write 0 or more",
    ),
    (
        "word",
        "ingredient,pack,price\nbeeswax,1 kg,ask\n",
        'prices.csv:2 price: "ask" is not a number; write it like 8.50',
    ),
    (
        "percent",
        "ingredient,pack,price\nbeeswax,1 kg,3 %\n",
        "prices.csv:2 price: 3 % is a percentage where money is needed; write it like 8.50",
    ),
    (
        "unit",
        "ingredient,pack,price\nbeeswax,1 stone,3\n",
        'prices.csv:2 pack: no such unit: "stone"; write g, kg, oz, lb, ml or l',
    ),
    (
        "unit-near",
        "ingredient,pack,price\nbeeswax,1 kgg,3\n",
        'prices.csv:2 pack: no such unit: "kgg"; write g, kg, oz, lb, ml or l',
    ),
    (
        "unitless",
        "ingredient,pack,price\nbeeswax,5,3\n",
        'prices.csv:2 pack: "5" has no unit; write 5 kg or 5 g',
    ),
    (
        "pack-word",
        "ingredient,pack,price\nbeeswax,a bag,3\n",
        'prices.csv:2 pack: "a bag" is not a weight; write it like 5 kg or 2 x 500 g',
    ),
    (
        "floz",
        "ingredient,pack,price\nsweet-almond-oil,16 fl oz,3\n",
        (
            "prices.csv:2 pack: fl oz is 29.57 ml in the US and 28.41 ml in the UK; write "
            "US fl oz or UK fl oz"
        ),
    ),
    (
        "volume",
        "ingredient,pack,price\nbeeswax,1 l,3\n",
        (
            "prices.csv:2 pack: a volume, and nobody gives this ingredient's density; "
            "write the weight, or give density (g/ml) in a sheet of your own"
        ),
    ),
    (
        "zero-pack",
        "ingredient,pack,price\nbeeswax,0 kg,3\n",
        "prices.csv:2 pack: a pack that holds nothing; write its weight, like 5 kg",
    ),
    (
        "pack-text-number",
        "ingredient,pack,price\nbeeswax,1.5.5 kg,3\n",
        'prices.csv:2 pack: "1.5.5" is not a number; write it like 5 kg',
    ),
    (
        "ambiguous-number",
        'ingredient,pack,price\nbeeswax,1 kg,"1,234"\n',
        'prices.csv:2 price: "1,234" can be read in two ways; write 1234 or 1.2340',
    ),
    (
        "ambiguous-point",
        "ingredient,pack,price\nbeeswax,1 kg,1.234\n",
        'prices.csv:2 price: "1.234" can be read in two ways; write 1234 or 1.2340',
    ),
    (
        "ambiguous-pack",
        'ingredient,pack,price\nbeeswax,"1,500 g",3\n',
        'prices.csv:2 pack: "1,500" can be read in two ways; write 1500 or 1.5000',
    ),
    (
        "both-marks",
        'ingredient,pack,price\nbeeswax,1 kg,8.50\nmango-butter,1 kg,"9,50"\n',
        (
            "prices.csv:1 price: row 2 has a decimal point and row 3 a decimal comma; "
            "write all numbers of the column in one way"
        ),
    ),
    (
        "comma-cells",
        "ingredient,pack,price\nbeeswax,1 kg,8,50\nmango-butter,1 kg,9\n",
        'prices.csv:2: one cell more than the headings; is "8,50" one number? put it in quotes',
    ),
    (
        "comma-cells-before-others",
        "ingredient,pack,price,currency\nbeeswax,1 kg,9,GBP\nmango-butter,1 kg,£20,50,\n",
        'prices.csv:3: one cell more than the headings; is "£20,50" one number? put it in quotes',
    ),
    (
        "comma-in-a-pack",
        "ingredient,pack,price\nbeeswax,1 kg,9\nmango-butter,2,5 kg,20\n",
        'prices.csv:3: one cell more than the headings; is "2,5 kg" one number? put it in quotes',
    ),
    (
        "comma-in-a-name",
        "ingredient,pack,price\nbeeswax,1 kg,9\nShea butter, refined,1 kg,20\n",
        (
            "prices.csv:3: 4 cells under 3 headings; put a cell with a separator inside, "
            "such as 8,50, in quotes"
        ),
    ),
    (
        "note-without-separators",
        "ingredient,pack,price\nbeeswax,1 kg,9\nprices without VAT - ask Jo\n",
        'prices.csv:3: "prices without VAT - ask Jo" looks like a note; delete this row',
    ),
    (
        "note-with-separators",
        "ingredient,pack,price\nbeeswax,1 kg,9\nprices without VAT - ask Jo,,\n",
        'prices.csv:3: "prices without VAT - ask Jo" looks like a note; delete this row',
    ),
    (
        "note-with-a-comma",
        "ingredient,pack,price\nbeeswax,1 kg,9\nprices without VAT, ask Jo\n",
        'prices.csv:3: "prices without VAT, ask Jo" looks like a note; delete this row',
    ),
    (
        "name-alone",
        "ingredient,pack,price\nbeeswax,1 kg,9\nmango buter,,\n",
        (
            "prices.csv:3 pack: no pack in this row; fill it in or delete the row\n"
            "prices.csv:3 price: no price in this row; fill it in or delete the row\n"
            'prices.csv:3 ingredient: "mango buter": no such ingredient; nearest: mango-butter; '
            "if none, add it in a sheet of your own ([shelf] sheets)"
        ),
    ),
    (
        "total-in-the-middle",
        "ingredient,pack,price\nbeeswax,1 kg,9\nZwischensumme,,9\nmango-butter,1 kg,9\n",
        "prices.csv:3 ingredient: a total is no pack; delete this row",
    ),
    (
        "short",
        "ingredient,pack,price\nbeeswax,1 kg\n",
        "prices.csv:2: 2 cells under 3 headings; add the separators of the empty cells",
    ),
    (
        "quote",
        'ingredient,pack,price\n"beeswax,1 kg,3\n',
        'prices.csv: row 2: a " is not closed or stands inside a cell; check it',
    ),
    (
        "quote-inside",
        'ingredient,pack,price\n"bees"wax,1 kg,3\n',
        'prices.csv: row 2: a " is not closed or stands inside a cell; check it',
    ),
    (
        "heading-near",
        "ingredient,pack,price,delivry\nbeeswax,1 kg,3,4\n",
        ("prices.csv:1 delivry: no such column; write delivery, or another heading for a note"),
    ),
    (
        "no-heading",
        "ingredient,pack,price,,\nbeeswax,1 kg,3,4,\n",
        "prices.csv:2: column 4 has no heading; name it or clear it",
    ),
    (
        "delivery-negative",
        "ingredient,pack,price,delivery\nbeeswax,1 kg,3,-1\n",
        "prices.csv:2 delivery: less than 0; write 0 or more",
    ),
    (
        "currency-sign",
        "ingredient,pack,price,currency\nbeeswax,1 kg,£3,EUR\n",
        "prices.csv:2 price: £ where the currency is EUR; write one of them",
    ),
    (
        "two-currencies",
        "ingredient,pack,price,currency\nbeeswax,1 kg,3,EUR\ncocoa-butter,1 kg,3,GBP\n",
        "brief.toml:1 costing: the price list has EUR and GBP; name one and price all in it",
    ),
    (
        "stock-unit",
        "ingredient,pack,price,in_stock\nbeeswax,1 kg,3,4\n",
        'prices.csv:2 in_stock: "4" has no unit; write 4 kg or 4 g',
    ),
    (
        "stock-volume",
        "ingredient,pack,price,in_stock\nbeeswax,1 kg,3,4 l\n",
        (
            "prices.csv:2 in_stock: a volume, and nobody gives this ingredient's density; "
            "write the weight, or give density (g/ml) in a sheet of your own"
        ),
    ),
    (
        "stock-negative",
        "ingredient,pack,price,in_stock\nbeeswax,1 kg,3,-4 kg\n",
        'prices.csv:2 in_stock: "-4 kg" is not a weight; write it like 5 kg or 2 x 500 g',
    ),
    (
        "digits",
        "ingredient,pack,price\nbeeswax,1 kg,3.1234567890123456\n",
        "prices.csv:2 price: a number with more than 15 digits; write fewer",
    ),
    (
        "huge",
        "ingredient,pack,price\nbeeswax,1 kg,12345678901\n",
        ("prices.csv:2 price: a number beyond 1,000,000,000; check it, and write a smaller one"),
    ),
    (
        "two-mistakes",
        "ingredient,pack,price\nbeeswx,1 kg,ask\ncocoa-butter,1 bag,3\n",
        (
            'prices.csv:2 price: "ask" is not a number; write it like 8.50\n'
            'prices.csv:2 ingredient: "beeswx": no such ingredient; nearest: beeswax; if '
            "none, add it in a sheet of your own ([shelf] sheets)\n"
            'prices.csv:3 pack: "cocoa-butter" is an ingredient; write what a pack weighs, as 5 kg'
        ),
    ),
    (
        "sheets",
        "a;b\n1;2\n",
        (
            "prices.csv: no column `ingredient` and `pack` and `price`; add it to the "
            'headings, which are "a", "b"'
        ),
    ),
]


@pytest.mark.parametrize(
    ("content", "message"),
    [(content, message) for _, content, message in MISTAKES],
    ids=[name for name, _, _ in MISTAKES],
)
def test_price_list_mistake_is_told(tmp_path: Path, content: str | bytes, message: str) -> None:
    """Every mistake in a price list is told with its row, column and what to write."""
    assert message_of(tmp_path, {"prices.csv": content}) == message


def test_a_habit_of_one_separator_too_many_moves_no_cell(tmp_path: Path) -> None:
    """Where most rows end in one, `20,5` before it are a price and its delivery."""
    content = "ingredient,pack,price,delivery\nbeeswax,1 kg,20,5,\nmango-butter,1 kg,9,2,\n"
    assert message_of(tmp_path, {"prices.csv": content}) == ""


@pytest.mark.parametrize(
    "name",
    [
        *("Total", "Subtotal:", "Summe", "GESAMT", "Gesamtsumme", "Somme", "Total général"),
        *("Suma", "Importe total", "Totaal", "Som", "Totale", "Somma"),
    ],
)
def test_a_total_is_told_in_any_of_six_languages(tmp_path: Path, name: str) -> None:
    """English, German, French, Spanish, Dutch and Italian words for a sum."""
    content = f"ingredient,pack,price\nbeeswax,1 kg,9\n{name},,9\n"
    assert message_of(tmp_path, {"prices.csv": content}) == (
        "prices.csv:3 ingredient: a total is no pack; delete this row"
    )
