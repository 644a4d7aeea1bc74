"""Valid files with anything in them changed: an answer or messages, and never another number."""

from __future__ import annotations

import csv
import io
import os
import tempfile
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hostile_support import Outcome, checked
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from optimiser.brief import Request
from optimiser.reading import Formula

TIMES = int(os.environ.get("TIMES", "1"))
"""So many times as many examples: `TIMES=100 pytest tests/test_hostile_grammars.py`."""

BOUNDED = settings(deadline=None, max_examples=60 * TIMES)
"""Of each reader, which takes a second or two."""

TABLES: dict[str, list[list[str]]] = {
    "prices": [
        ["ingredient", "supplier", "pack", "price", "currency", "delivery", "in_stock"],
        ["cocoa-butter", "Larkmoor Oils", "1 kg", "14.20", "GBP", "3.20", "0.4 kg"],
        ["Cera Alba", "Hollin & Wray", "2 x 500 g", "1,234.50", "GBP", "", ""],
        ["sweet almond oil", "", "16 oz", "9", "", "0", "250 ml"],
        ["amber jar 60 ml", "Larkmoor Oils", "48 jars", "21.60", "GBP", "", "12"],
    ],
    "own": [
        ["ingredient", "inci_name", "kind", "vitamin_e", "drop point (C)", "density"],
        ["Marula oil", "Sclerocarya Birrea Seed Oil", "oil", "12.5", "-5", "0.91"],
        ["beeswax", "Cera Alba 98; Tocopherol 2", "", "0.5", "63.25", ""],
    ],
    "certificates": [
        ["ingredient", "constituent", "percent", "category", "at_most"],
        ["lavender-oil", "Linalool", "32.5", "5A", "1.9"],
        ["lavender-oil", "Geranial", "0.4", "", ""],
        ["lavender-oil", "Neral", "0.3", "IFRA 9", "2"],
    ],
    "scenarios": [
        ["scenario", "cocoa-butter", "Beeswax", "mango-butter"],
        ["as it is", "18.56", "8.86", "16.90"],
        ["dry year", "24", "10.40", "1,016.90"],
    ],
    "recipe": [
        ["ingredient", "percent", "grams", "note"],
        ["cocoa-butter", "38.5", "77", "melt first"],
        ["Mixed tocopherols 70 %", "1.5", "3", ""],
        ["beeswax", "60", "120", ""],
        ["total", "100", "200", ""],
    ],
}
"""A table that each reader takes."""

CELLS = st.sampled_from(
    ["", " ", "-", "n/a", "0", "-1", "1e5", "1.234", "1,234", "8,50", "1.234,5", "1 234.50", "½"]
    + ["1'234.50", "\u00a38.50", "8.50 EUR", "5 %", "100", "(3.50)", "3.50-", "1.2.3", "=A1*2"]
    + ["#REF!", "TRUE", "2026-05-01", "01/05/2026", "5-Jan", "5:30", "\uff13", "\u0663", "nan"]
    + ["inf", "9" * 40, "0." + "1" * 40, "1 kg", "2x500 g", "1 fl oz", "1 stone", "kg", "3 ml"]
    + ["ingredient", "percent", "price", "pack", "kind", "total", "Total:", "butter", "cost"]
    + ["shea", "Butyrospermum Parkii Butter", "bees\u200bwax", "\u202ebeeswax", "be\u0301eswax"]
    + ["\u0441ocoa-butter", "mango\u00a0butter", "mango\u00adbutter", "b\x1b[2Jx", "a\nb", 'a"b']
    + ["- 50; a 50", "a; a", "1,000 jars", "2 x 12 lids", "0 tins", "CI 77891", "1e999", "_"]
    + ["'", ";", "|", "\t", "sep=;", "\ufeff", "\0", "x" * 300, "Citral", "5A", "oil", "Linaloo"]
)
CHANGED = CELLS | st.text(max_size=8)


@st.composite
def mutated(draw: st.DrawFn, rows: list[list[str]]) -> list[list[str]]:
    """A table with cells changed, and rows or columns left out, doubled or exchanged."""
    rows = [[*row] for row in rows]
    for _ in range(draw(st.integers(0, 3))):
        row = draw(st.integers(0, len(rows) - 1))
        if rows[row]:
            rows[row][draw(st.integers(0, len(rows[row]) - 1))] = draw(CHANGED)
    for _ in range(draw(st.integers(0, 2))):
        row, column = draw(st.integers(0, len(rows) - 1)), draw(st.integers(0, 6))
        change = draw(st.sampled_from(["drop", "double", "swap", "shorten", "widen", "title"]))
        if change == "drop" and len(rows) > 1:
            rows.pop(row)
        elif change == "double":
            rows.insert(draw(st.integers(0, len(rows))), [*rows[row]])
        elif change == "swap":
            rows[0], rows[row] = rows[row], rows[0]
        elif change == "shorten":
            rows[row] = rows[row][:column]
        elif change == "widen":
            rows[row] = [*rows[row], draw(CHANGED)]
        else:
            rows.insert(0, [draw(CHANGED)])
    return rows


@st.composite
def as_text(draw: st.DrawFn, rows: list[list[str]]) -> bytes:
    """The table as some spreadsheet writes it, at times with a few bytes of damage."""
    stream = io.StringIO()
    separator = draw(st.sampled_from([",", ",", ";", "\t", "|", ":"]))
    quoting = draw(st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]))
    end = draw(st.sampled_from(["\n", "\r\n", "\r"]))
    csv.writer(stream, delimiter=separator, quoting=quoting, lineterminator=end).writerows(rows)
    head = draw(st.sampled_from(["", "", "", f"sep={separator}{end}", "\ufeff", end]))
    encodings = ["utf-8", "utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"]
    data = (head + stream.getvalue()).encode(draw(st.sampled_from(encodings)), "replace")
    place = draw(st.integers(0, len(data)))
    return (
        data[:place]
        + draw(st.sampled_from([b"", b"", b""]) | st.binary(max_size=3))
        + (data[place:])
    )


@st.composite
def as_workbook(draw: st.DrawFn, rows: list[list[str]]) -> bytes:
    """The table as a workbook, its numbers as numbers or as text, formatted in any way."""
    book = Workbook()
    sheet: Any = book.active
    for number, row in enumerate(rows, start=1):
        for place, text in enumerate(row, start=1):
            shown = "".join(sign for sign in text if sign.isprintable() or sign == "\n")
            value: object = shown
            if draw(st.booleans()):
                try:
                    value = float(shown.replace(",", ""))
                except ValueError:
                    value = shown
            cell = sheet.cell(number, place, value if value == value else "nan")
            formats = ["General", "0.00", "0%", '"£"0.00', "[$€-407] 0.00", "yyyy-mm-dd", '0" kg"']
            cell.number_format = draw(st.sampled_from(formats))
    if draw(st.booleans()):
        sheet.row_dimensions[2].hidden = True
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def read(name: str, data: bytes) -> Outcome:
    """The outcome in a folder of its own, after checking what holds for every input."""
    with tempfile.TemporaryDirectory() as folder:
        return checked(Path(folder), name, data)


@pytest.mark.parametrize("kind", TABLES)
@BOUNDED
@given(st.data())
def test_any_change_of_a_table_is_read_or_refused(kind: str, data: st.DataObject) -> None:
    """In text of any dialect: a record or printable messages that name the file; twice the same."""
    rows = data.draw(mutated(TABLES[kind]))
    read(f"{kind}.csv", data.draw(as_text(rows)))


@pytest.mark.parametrize("kind", TABLES)
@settings(BOUNDED, max_examples=25 * TIMES)
@given(st.data())
def test_any_change_of_a_workbook_is_read_or_refused(kind: str, data: st.DataObject) -> None:
    """The same for a sheet of a workbook."""
    rows = data.draw(mutated(TABLES[kind]))
    read(f"{kind}.xlsx", data.draw(as_workbook(rows)))


@BOUNDED
@given(st.data())
def test_any_change_of_pasted_lines_is_read_or_refused(data: st.DataObject) -> None:
    """The same for a recipe without headings."""
    rows = data.draw(mutated(TABLES["recipe"][1:]))
    glue = data.draw(st.sampled_from([" ", ": ", " - ", "\t", ", "]))
    lines = "\n".join(glue.join(row[:2]) for row in rows)
    read("recipe.txt", lines.encode("utf-8", "replace"))


BRIEF: dict[str, Any] = {
    "name": '"Hand butter"',
    "style": '"whipped-butter"',
    "use": '"hands"',
    "costing": {"prices": '"prices.csv"', "currency": '"GBP"'},
    "shelf": {"use": '["mango-butter", "cocoa-butter", "beeswax"]', "sheets": '["own.csv"]'},
    "groups": {"nut_oils": '["sweet-almond-oil", "hazelnut-oil"]'},
    "amounts": {"beeswax": "{ min = 2, max = 6, or_none = true }", "mango-butter": "30.5"},
    "totals": {"butter": "{ min = 40 }", "nut_oils": "{ max = 0, firm = true }"},
    "ratios": {'"butter:oil"': "{ min = 1, max = 3.5 }"},
    "properties": {"vitamin_e": "{ min = 3 }", "cost": "{ max = 12.50 }"},
    "skin": {"citral": "{ max = 0.1 }"},
    "weighing": {"step": "0.5", "smallest": "0.5", "max_ingredients": "7"},
    "natural_variation": {"cautious": '["vitamin_e"]'},
    "character": {"solid_fat_20C": "3"},
    "price_spread": {"butter": "20", "beeswax": "10"},
    "batch": {"size": '"2 kg"', "scale": '"0.1 g"', "loss": "3", "hours": "2", "hourly_rate": "15"},
    "jar": {"net": '"120 g"', "overrun": "40", "packaging": '["amber jar 60 ml"]', "margin": "60"},
}
VALUES = st.sampled_from(
    ["30", "-1", "0", "100", "101", "1e400", "nan", "-inf", "0x1F", "0b1", "1_000", "true", "[]"]
    + ["{}", '""', '" "', '"x"', "'30 %'", '"1,5"', "2026-05-01", "12:30:00", "[[1]]", "{a = {}}"]
    + ["{ min = 3, max = 2 }", "{ max = 0.1 }", "{ firm = 1 }", "{ mn = 2 }", '"\\u001b[2J"']
    + ['"bees\\u200bwax"', '["beeswax", "Cera Alba"]', '["unobtainium"]', '"own.csv"', "2,5"]
    + [
        '"""a\nb"""',
        "99999999999",
        "0.1234567890123456",
        '["shea"]',
        '"a.xlsx#b"',
        '"."',
        '"prices"',
    ]
    + ['"0 g"', '"1 fl oz"', '"2 t"', '"9999999 kg"', "{ jar = 2 }", "{ jar = 1.5 }", "-0.0"]
)
KEYS = st.sampled_from(
    ["beeswax", '"Cera Alba"', "butter", '"butter:oil"', '"oil:oil"', '"a:b:c"', "cost", "prices"]
    + ["use", "sheets", "certificates", "leave_out", "min", "step", "steps", '""', '"\\u200b"', "x"]
    + ["size", "net", "volume", "packaging", "price", "shelf_months", "version", "overhead"]
    + ["a.b", "nut_oils", "vitamin_e", "solid_fat_20C", "citral", '"\\u001b"', "cautious", "of"]
)


@BOUNDED
@given(st.data())
def test_any_change_of_a_brief_is_read_or_refused(data: st.DataObject) -> None:
    """Keys and values exchanged, left out, doubled or misspelt: a request or messages."""
    tables = {name: dict(one) if isinstance(one, dict) else one for name, one in BRIEF.items()}
    for name in data.draw(st.lists(st.sampled_from(sorted(tables)), max_size=8, unique=True)):
        del tables[name]
    for _ in range(data.draw(st.integers(0, 4))):
        name = data.draw(st.sampled_from([*sorted(BRIEF), "either", "define", "totl"]))
        table = tables.get(name)
        if isinstance(table, dict) and data.draw(st.booleans()):
            table[data.draw(st.sampled_from(sorted(table)) | KEYS if table else KEYS)] = data.draw(
                VALUES
            )
        else:
            tables[name] = data.draw(VALUES | st.dictionaries(KEYS, VALUES, max_size=2))
    plain = [f"{name} = {one}" for name, one in tables.items() if not isinstance(one, dict)]
    for name, one in tables.items():
        if isinstance(one, dict):
            plain += [f"[{name}]", *(f"{key} = {value}" for key, value in one.items())]
    text = data.draw(st.sampled_from(["\n", "\r\n"])).join(plain)
    place = data.draw(st.integers(0, len(text)))
    damage = data.draw(st.sampled_from(["", "", "", '"', "]", "{", "\0", "#", "=", "\n"]))
    read("brief.toml", (text[:place] + damage + text[place:]).encode())


MARKS = [(".", ""), (".", ","), (".", " "), (".", "'"), (".", "\u202f"), (".", "\u00a0")]
MARKS += [(",", ""), (",", "."), (",", " "), (",", "\u2019"), (",", "\u2009")]


def written(value: Decimal, decimal: str, thousands: str) -> str:
    """A number with these marks."""
    whole, _, decimals = f"{value:,f}".partition(".")
    return whole.replace(",", thousands) + (decimal + decimals if decimals else "")


NUMBERS = st.builds(
    lambda units, places: Decimal(units).scaleb(-places), st.integers(1, 10**8), st.integers(0, 3)
)


@settings(BOUNDED, max_examples=150 * TIMES)
@given(
    numbers=st.lists(st.tuples(NUMBERS, NUMBERS), min_size=1, max_size=4),
    marks=st.sampled_from(MARKS),
    separator=st.sampled_from(",;\t"),
    money=st.sampled_from(["{}", "£{}", "{} GBP", "£ {}"]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"]),
)
def test_no_dialect_makes_another_number(
    numbers: list[tuple[Decimal, Decimal]],
    marks: tuple[str, str],
    separator: str,
    money: str,
    encoding: str,
) -> None:
    """Prices and packs are read as meant, and what was unusual is told; or they are refused."""
    stream = io.StringIO()
    cells = [(written(pack, *marks) + " g", written(price, *marks)) for pack, price in numbers]
    rows = [("beeswax", pack, money.format(price)) for pack, price in cells]
    table = [("ingredient", "pack", "price"), *rows]
    csv.writer(stream, delimiter=separator).writerows(table)
    found = read("prices.csv", stream.getvalue().encode(encoding, "replace"))
    if found.record is None:
        return
    assert isinstance(found.record, Request)
    offers = [(1000 * offer.pack_kg, offer.price) for offer in found.record.offers]
    assert offers == [(Fraction(pack), price) for pack, price in numbers]
    plain = "".join(f"{pack.replace(' g', '')}{price}" for pack, price in cells)
    unusual = set(plain) - set("0123456789.") or encoding not in {"utf-8", "cp1252"}
    if unusual or money != "{}" or separator != ",":
        assert found.remarks


@settings(BOUNDED, max_examples=80 * TIMES)
@given(
    parts=st.lists(st.integers(1, 10**5), min_size=1, max_size=6),
    decimals=st.integers(0, 3),
    marks=st.sampled_from(MARKS),
    style=st.sampled_from(["table", "lines"]),
)
def test_no_dialect_makes_another_recipe(
    parts: list[int], decimals: int, marks: tuple[str, str], style: str
) -> None:
    """Weights of a recipe give the shares that were meant, or are refused."""
    names = [
        "beeswax",
        "mango-butter",
        "cocoa-butter",
        "corn-starch",
        "hazelnut-oil",
        "coconut-oil",
    ]
    weights = [Decimal(part).scaleb(-decimals) for part in parts]
    pairs = [(name, written(weight, *marks)) for name, weight in zip(names, weights, strict=False)]
    if style == "table":
        stream = io.StringIO()
        csv.writer(stream, delimiter=";").writerows([("ingredient", "grams"), *pairs])
        found = read("recipe.csv", stream.getvalue().encode())
    else:
        lines = "\n".join(f"{name}: {weight} g" for name, weight in pairs)
        found = read("recipe.txt", lines.encode())
    if found.record is not None:
        assert isinstance(found.record, Formula)
        shares = [Fraction(share) for share in found.record.shares.values()]
        assert shares == [Fraction(100 * part, sum(parts)) for part in parts]


@settings(BOUNDED, max_examples=40 * TIMES)
@given(
    numbers=st.lists(NUMBERS, min_size=1, max_size=4),
    number_format=st.sampled_from(
        ["General", "0.00", "#,##0.000", '"£"#,##0.00', "[$€-407] 0", '0.0" each"', "0.00E+00"]
    ),
)
def test_no_format_makes_another_number(numbers: list[Decimal], number_format: str) -> None:
    """A workbook's numbers are those that are stored, and its currency is that of its format."""
    book = Workbook()
    sheet: Any = book.active
    sheet.append(["ingredient", "pack", "price"])
    for row, number in enumerate(numbers, start=2):
        sheet.append(["beeswax", f"{row} kg", float(number)])
        sheet.cell(row, 3).number_format = number_format
    stream = io.BytesIO()
    book.save(stream)
    found = read("prices.xlsx", stream.getvalue())
    assert isinstance(found.record, Request)
    assert [offer.price for offer in found.record.offers] == numbers
    currency = "GBP" if "£" in number_format else "EUR" if "€" in number_format else ""
    assert {offer.currency for offer in found.record.offers} == {currency}
    assert bool(found.remarks) == bool(currency)
