"""Price lists as spreadsheets of many habits write them."""

from __future__ import annotations

import contextlib
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from reading_support import COSTING, PRICES, message_of, request_of, small_book

from optimiser.provenance import InputError
from optimiser.reading import read_formula

PLAIN = "ingredient,pack,price\nbeeswax,1.5 kg,8.50\n"
COMMAS = "ingredient;pack;price\nbeeswax;1,5 kg;8,50\n"
HABITS = [
    'pack has decimal commas; row 2, "1,5 kg", is read as 1.5 kg',
    'price has decimal commas; row 2, "8,50", is read as 8.50',
]
POUNDS = HABITS[1].replace("8,50", "£8,50")
SEMICOLONS = "columns are separated by semicolons"


@pytest.mark.parametrize(
    ("content", "remarks"),
    [
        (PLAIN, []),
        (PLAIN.replace("\n", "\r\n"), []),
        (PLAIN.replace("\n", "\r"), []),
        ("\n\n" + PLAIN + "\n,,\n\n", []),
        (b"\xef\xbb\xbf" + PLAIN.encode(), ["it begins with a byte-order mark"]),
        (PLAIN.encode("utf-16"), ["read as UTF-16"]),
        (b"\xfe\xff" + PLAIN.encode("utf-16-be"), ["read as UTF-16"]),
        (COMMAS, [SEMICOLONS, *HABITS]),
        ("sep=;\n" + COMMAS, ["the first line tells the separator", SEMICOLONS, *HABITS]),
        ("SEP=;\r\n" + COMMAS, ["the first line tells the separator", SEMICOLONS, *HABITS]),
        (PLAIN.replace(",", "\t"), ["columns are separated by tabs"]),
        (PLAIN.replace(",", "|"), ["columns are separated by upright strokes"]),
        (
            'ingredient,pack,price\nbeeswax,"1,5 kg","8,50"\n',
            HABITS,
        ),
        (PLAIN.replace("8.50", "£8.50"), ["price has currency signs"]),
        (PLAIN.replace("8.50", "8.50 GBP"), ["price has currency signs"]),
        (
            COMMAS.replace("beeswax", "Beeswax").replace("8,50", "\u00a38,50").encode("cp1252"),
            ["read as Windows-1252", SEMICOLONS, HABITS[0], "price has currency signs", POUNDS],
        ),
        ("Price , INGREDIENT,Pack\n8.50, beeswax ,1.5 kg\n", []),
        (
            "ingredient,pack,price,my notes\nbeeswax,1.5 kg,8.50,dear\n",
            ['the column "my notes" is not used'],
        ),
        ("ingredient,pack,price,,\nbeeswax,1.5 kg,8.50,,\n", []),
        ('"ingredient",pack,price\n"beeswax","1.5 kg",8.50\n', []),
        ("ingredient,pack,price\nCERA  alba,1500 g,8.50\n", []),
    ],
)
def test_habits_are_read_as_meant_and_said(
    tmp_path: Path, content: str | bytes, remarks: list[str]
) -> None:
    """Whatever the spreadsheet's habits, the same offer is read, and every habit is told."""
    request = request_of(tmp_path, {"prices.csv": content})
    (offer,) = request.offers
    assert offer.ingredient == "beeswax"
    assert offer.pack_kg == Fraction(3, 2)
    assert offer.price == Decimal("8.50")
    assert list(request.remarks) == [f"prices.csv: {remark}" for remark in remarks]


def test_thousands_are_read_and_said(tmp_path: Path) -> None:
    """A separator of thousands is read as meant where the column tells it."""
    content = 'ingredient,pack,price\nbeeswax,"25 000 g","1,234.50"\ncocoa-butter,1 kg,8.5\n'
    request = request_of(tmp_path, {"prices.csv": content})
    assert [offer.price for offer in request.offers] == [Decimal("1234.50"), Decimal("8.5")]
    assert request.offers[0].pack_kg == 25
    assert request.remarks == (
        'prices.csv: pack has thousands separators; row 2, "25 000 g", is read as 25000 g',
        'prices.csv: price has thousands separators; row 2, "1,234.50", is read as 1234.50',
    )


def test_rows_are_counted_as_a_spreadsheet_does(tmp_path: Path) -> None:
    """Blank rows count, a cell over two lines is one row, and `sep=` is no row."""
    head = "sep=,\ningredient,supplier,pack,price\n\n"
    content = head + 'beeswax,"Ash\ndown",1 kg,3\nmango-butter,,1 kg,x\n'
    assert message_of(tmp_path, {"prices.csv": content}) == (
        'prices.csv:4 price: "x" is not a number; write it like 8.50'
    )


def test_every_column_is_kept(tmp_path: Path) -> None:
    """An offer carries supplier, delivery, currency, stock and date as the row gives them."""
    content = (
        "ingredient,supplier,pack,price,currency,delivery,in_stock,quoted_on\n"
        "mango-butter,Ashdown Oils,5 kg,46.50,GBP,3.20,1.2 kg,2026-11-02\n"
        "sweet-almond-oil,,1 l,9.00,,,0,\n"
    )
    first, second = request_of(tmp_path, {"prices.csv": content}).offers
    assert (first.supplier, first.pack, first.quoted_on) == ("Ashdown Oils", "5 kg", "2026-11-02")
    assert (first.currency, first.delivery) == ("GBP", Decimal("3.20"))
    assert first.in_stock_kg == Fraction(6, 5)
    assert first.price_per_kg == Fraction("9.94")
    assert str(first.origin) == "prices.csv:2"
    assert second.pack_kg == Fraction("0.915")
    assert (second.currency, second.delivery, second.in_stock_kg) == ("", 0, 0)


def test_a_free_sample_has_a_price_of_nothing(tmp_path: Path) -> None:
    """A price of 0 is a price."""
    content = "ingredient,pack,price\nbeeswax,1 kg,0\n"
    (offer,) = request_of(tmp_path, {"prices.csv": content}).offers
    assert offer.price_per_kg == 0


@pytest.mark.parametrize(
    ("named", "column", "price", "currency"),
    [
        ('"GBP"', "", "3", "GBP"),
        ('"GBP"', "gbp", "3", "GBP"),
        ('"GBP"', "", "£3", "GBP"),
        ('"£"', "GBP", "3", "£"),
        ('"CAD"', "", "$3", "CAD"),
        ('"shells"', "", "3", "shells"),
        (None, "EUR", "3", "EUR"),
        (None, "", "£3", "GBP"),
        (None, "", "$3", "$"),
        (None, "NZD", "$3", "NZD"),
        (None, "", "3", ""),
    ],
)
def test_currency_of_costs(
    tmp_path: Path, named: str | None, column: str, price: str, currency: str
) -> None:
    """Costs are in the brief's currency, else in the only one of the price list."""
    brief = COSTING + (f"currency = {named}\n" if named else "")
    content = f"ingredient,pack,price,currency\nbeeswax,1 kg,{price},{column}\n"
    request = request_of(tmp_path, {"brief.toml": brief, "prices.csv": content})
    assert request.brief.currency == currency


def test_another_currency_than_the_brief_is_refused(tmp_path: Path) -> None:
    """Prices in another currency are not taken for the brief's."""
    content = "ingredient,pack,price\nbeeswax,1 kg,€3\nmango-butter,1 kg,£3\n"
    brief = COSTING + 'currency = "GBP"\n'
    assert message_of(tmp_path, {"brief.toml": brief, "prices.csv": content}) == (
        "prices.csv:2 currency: EUR where the brief costs in GBP (brief.toml:3); price it in GBP"
    )


def test_several_rows_in_another_currency_are_told_once(tmp_path: Path) -> None:
    """The first of them, and how many more there are."""
    content = "ingredient,pack,price\nbeeswax,1 kg,€3\nmango-butter,1 kg,£3\ncocoa-butter,1 kg,€9\n"
    brief = COSTING + 'currency = "GBP"\n'
    assert message_of(tmp_path, {"brief.toml": brief, "prices.csv": content}) == (
        "prices.csv:2 currency: EUR where the brief costs in GBP (brief.toml:3), here and 1 more "
        "row; price it in GBP"
    )


@pytest.mark.parametrize(
    ("named", "instead"), [("pounds", "GBP"), ("EUR", "GBP, or price all in EUR")]
)
def test_a_currency_that_no_row_has_is_told_once(tmp_path: Path, named: str, instead: str) -> None:
    """Where every row has the same other one the brief is likely wrong; its line is told."""
    rows = "".join(f"{name},1 kg,3,GBP\n" for name in ("beeswax", "mango-butter", "cocoa-butter"))
    brief = COSTING + f'currency = "{named}"\n'
    content = f"ingredient,pack,price,currency\n{rows}"
    assert message_of(tmp_path, {"brief.toml": brief, "prices.csv": content}) == (
        f'brief.toml:3 costing.currency: "{named}" where the price list has GBP, in prices.csv:2 '
        f"and 2 more rows; write {instead}"
    )


def test_too_many_rows_are_refused(tmp_path: Path) -> None:
    """A table of more than 20,000 rows is refused before it is worked through."""
    content = "ingredient,pack,price\n" + "\n" * 20_001
    message = "prices.csv: more than 20,000 rows; keep only those that are needed"
    assert message_of(tmp_path, {"prices.csv": content}) == message


def test_too_large_files_are_refused(tmp_path: Path) -> None:
    """A file of more than 20 MB is refused unread."""
    content = PRICES.encode() + b" " * 20_000_000
    message = 'brief.toml:2 costing.prices: "prices.csv" is larger than 20 MB; keep only what'
    assert message_of(tmp_path, {"prices.csv": content}).startswith(message)


def test_too_wide_tables_and_cells_are_refused(tmp_path: Path) -> None:
    """More than 1,000 columns, or a cell of more than 32,767 letters, is no price list."""
    wide = PRICES + "," * 1_000 + "\n"
    assert message_of(tmp_path, {"prices.csv": wide}) == (
        "prices.csv: more than 1,000 columns in row 5; keep only those that are needed"
    )
    long = PRICES + "x" * 140_000 + ",1 kg,3\n"
    assert message_of(tmp_path, {"prices.csv": long}) == (
        "prices.csv: row 5 has a cell of over 32,767 letters; shorten it"
    )


PIECES = st.lists(
    st.sampled_from(
        ["ingredient", "pack", "price", "beeswax", "1 kg", "8,50", "1,234", "£", '"', "\n", ";"]
        + [
            ",",
            "\t",
            "sep=;",
            "\u00a0",
            "%",
            "-",
            "e",
            "\r",
            "\0",
            "é",
            "\ufeff",
            "=",
            "'",
            "[",
            "]",
        ]
    ),
    max_size=25,
).map("".join)
BYTES = st.binary(max_size=80) | PIECES.map(str.encode)
# The folder is the same for every example; each writes the files anew.
ANY_FOLDER = settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)


@ANY_FOLDER
@given(head=st.sampled_from([b"", PRICES.encode(), PRICES.encode("utf-16")]), tail=BYTES)
def test_any_price_list_is_read_or_refused(tmp_path: Path, head: bytes, tail: bytes) -> None:
    """No bytes at all in a price list give anything but an answer or a message."""
    message_of(tmp_path, {"prices.csv": head + tail})


@ANY_FOLDER
@given(head=st.sampled_from([b"", b"ingredient,kind,vitamin_e\n"]), tail=BYTES)
def test_any_own_sheet_is_read_or_refused(tmp_path: Path, head: bytes, tail: bytes) -> None:
    """No bytes at all in an own sheet give anything but an answer or a message."""
    brief = COSTING + "[shelf]\nsheets = 'own.csv'\n"
    message_of(tmp_path, {"brief.toml": brief, "own.csv": head + tail})


@ANY_FOLDER
@given(head=st.sampled_from([b"", b"ingredient,percent\n"]), tail=BYTES)
def test_any_formula_is_read_or_refused(tmp_path: Path, head: bytes, tail: bytes) -> None:
    """No bytes at all in a formula give anything but a formula or a message."""
    path = tmp_path / "formula.csv"
    path.write_bytes(head + tail)
    with contextlib.suppress(InputError):
        formula = read_formula(path, small_book())
        assert abs(sum(formula.shares.values()) - 100) <= Decimal("0.05")


WORDS = st.sampled_from(
    ["[amounts]", "[shelf]", "[totals]", "[ratios]", "[define.x]", "beeswax", "butter", " = "]
    + ["{", "}", "min", "max", "30", "-1", '"', "'", "\n", "[", "]", ",", "nan", "1e400", "true"]
    + ["use", "#", ".", "butter:oil", "[groups]", "2026-01-01", "style", "[weighing]", "step"]
)


@ANY_FOLDER
@given(
    head=st.sampled_from([b"", COSTING.encode()]),
    tail=BYTES | st.lists(WORDS, max_size=20).map(lambda words: "".join(words).encode()),
)
def test_any_brief_is_read_or_refused(tmp_path: Path, head: bytes, tail: bytes) -> None:
    """No bytes at all in a brief give anything but an answer or a message."""
    message_of(tmp_path, {"brief.toml": head + tail})


VALUES = st.recursive(
    st.sampled_from(["30", "-1", "nan", "1e400", "true", '"x"', '"30 %"', "2026-01-01", "[]"]),
    lambda inner: st.one_of(
        st.lists(inner, max_size=2).map(lambda items: "[" + ", ".join(items) + "]"),
        st.dictionaries(
            st.sampled_from(["min", "max", "firm", "or_none", "unit", "over"]), inner, max_size=3
        ).map(lambda table: "{ " + ", ".join(f"{k} = {v}" for k, v in table.items()) + " }"),
    ),
    max_leaves=4,
)
TABLES = ["costing", "shelf", "groups", "amounts", "totals", "ratios", "properties", "weighing"]
TABLES += ["natural_variation", "define"]
NAMES = ["beeswax", "butter", '"butter:oil"', "vitamin_e", "cost", "use", "sheets", "leave_out"]
NAMES += ["step", "max_ingredients", "prices", "currency", "cautious", "drop_point", "nut_oils"]


@ANY_FOLDER
@given(
    tables=st.dictionaries(
        st.sampled_from(TABLES), st.dictionaries(st.sampled_from(NAMES), VALUES, max_size=3)
    ),
    outermost=st.dictionaries(st.sampled_from([*TABLES, "name", "style"]), VALUES, max_size=2),
)
def test_any_types_are_read_or_refused(
    tmp_path: Path, tables: dict[str, dict[str, str]], outermost: dict[str, str]
) -> None:
    """Whatever types stand in the tables of a brief, the answer is a request or a message."""
    lines = [f"{name} = {value}" for name, value in outermost.items() if name not in tables]
    for table, entries in tables.items():
        lines += [f"[{table}]", *(f"{name} = {value}" for name, value in entries.items())]
    message = message_of(tmp_path, {"brief.toml": "\n".join(lines)})
    assert "Kind." not in message
