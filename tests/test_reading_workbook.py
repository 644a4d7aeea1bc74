"""Price lists and sheets in XLSX workbooks."""

from __future__ import annotations

import datetime
import io
import sys
import zipfile
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook
from reading_support import message_of, request_of

from optimiser.reading import workbook_parts

BRIEF = '[costing]\nprices = "prices.xlsx"\n'
HEADINGS = ["ingredient", "pack", "price"]


def workbook(*sheets: list[list[object]]) -> bytes:
    """A workbook with a sheet for each table."""
    book = Workbook()
    for number, rows in enumerate(sheets):
        sheet = book.active if number == 0 else book.create_sheet(f"Sheet {number + 1}")
        for row in rows:
            sheet.append(row)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def message(folder: Path, data: bytes) -> str:
    return message_of(folder, {"brief.toml": BRIEF, "prices.xlsx": data})


def test_cells_are_read_exactly(tmp_path: Path) -> None:
    """Numbers are those the spreadsheet shows, blanks and short rows are filled up."""
    rows = [
        [None, None, None],
        ["Ingredient ", "PACK", "Price", "delivery", "in_stock", "quoted_on"],
        ["beeswax", "500 g", 8.1 + 4.02, 3],
        [],
        ["Mango kernel butter", "2 x 500 g", "£9.50", None, "1 kg", datetime.date(2026, 11, 2)],
    ]
    request = request_of(tmp_path, {"brief.toml": BRIEF, "prices.xlsx": workbook(rows)})
    first, second = request.offers
    assert (first.price, first.delivery) == (Decimal("12.12"), 3)
    assert str(first.origin) == "prices.xlsx:3"
    assert (second.pack_kg, second.price, second.quoted_on) == (1, Decimal("9.50"), "2026-11-02")
    assert second.in_stock_kg == Fraction(1)
    assert str(second.origin) == "prices.xlsx:5"
    assert request.remarks == ("prices.xlsx: price has currency signs",)


def test_a_long_calculated_fraction_is_read(tmp_path: Path) -> None:
    """A float below 1 has more decimals than a number may be typed with; they mean nothing."""
    data = workbook([HEADINGS, ["beeswax", "500 g", 1 / 30]])
    request = request_of(tmp_path, {"brief.toml": BRIEF, "prices.xlsx": data})
    assert request.offers[0].price == Decimal("0.033333333333333")


def test_the_sheet_with_the_headings_is_read(tmp_path: Path) -> None:
    """Of several sheets the one with the needed headings is read, and that is told."""
    data = workbook([["Notes"], ["x"]], [HEADINGS, ["beeswax", "1 kg", 9]])
    request = request_of(tmp_path, {"brief.toml": BRIEF, "prices.xlsx": data})
    assert [offer.ingredient for offer in request.offers] == ["beeswax"]
    assert request.remarks == ('prices.xlsx: read from the sheet "Sheet 2"',)


TWO_LISTS = (
    [HEADINGS, ["beeswax", "1 kg", 9]],
    [HEADINGS, ["beeswax", "1 kg", 11]],
    [["note"], ["not a list"]],
)


@pytest.mark.parametrize(("name", "price"), [("Sheet", 9), ("Sheet 2", 11), ("sheet 2", 11)])
def test_a_sheet_may_be_named(tmp_path: Path, name: str, price: int) -> None:
    """Behind the file's name, in any case; nothing is told of the choice then."""
    brief = f'[costing]\nprices = "prices.xlsx#{name}"\n'
    files = {"brief.toml": brief, "prices.xlsx": workbook(*TWO_LISTS)}
    request = request_of(tmp_path, files)
    assert [offer.price for offer in request.offers] == [price]
    assert request.remarks == ()
    assert tmp_path / "prices.xlsx" in request.files


def test_sheets_that_look_the_same_are_not_guessed_from(tmp_path: Path) -> None:
    """Two price lists in one workbook: one has to be named, and a wrong name is told."""
    said = message(tmp_path, workbook(*TWO_LISTS))
    assert said == (
        'prices.xlsx: the sheets "Sheet" and "Sheet 2" have the same headings; name one behind '
        "the file, as in book.xlsx#Sheet"
    )
    brief = '[costing]\nprices = "prices.xlsx#Octobre"\n'
    files = {"brief.toml": brief, "prices.xlsx": workbook(*TWO_LISTS)}
    assert message_of(tmp_path, files) == (
        'prices.xlsx#Octobre: there is no sheet "Octobre" in it; there is "Sheet", "Sheet 2" and '
        '"Sheet 3"'
    )


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        (
            [HEADINGS, ["beeswax", datetime.date(2026, 5, 1), 3]],
            "prices.xlsx:2 pack: the date 2026-05-01 where a pack is needed; write it like 5 kg",
        ),
        (
            [HEADINGS, ["beeswax", "1 kg", datetime.datetime(2026, 5, 1, 12)]],
            "prices.xlsx:2 price: the date 2026-05-01 where a number is needed; write it like 8.50",
        ),
        (
            [HEADINGS, ["beeswax", 5, 3]],
            'prices.xlsx:2 pack: "5" has no unit; write 5 kg or 5 g',
        ),
        (
            [HEADINGS, ["beeswax", "1 kg", True]],
            'prices.xlsx:2 price: "TRUE" is not a number; write it like 8.50',
        ),
        (
            [HEADINGS, ["beeswax", "1 kg", "=1+1"]],
            'prices.xlsx:2 price: "=1+1" is a formula without its value; open the file in a '
            "spreadsheet and save it there, or write the value",
        ),
        (
            [HEADINGS, ["beeswax", "1 kg", "#REF!"]],
            'prices.xlsx:2 price: "#REF!" is not a number; write it like 8.50',
        ),
        (
            [HEADINGS, ["beeswax", "1 kg", 1e300]],
            "prices.xlsx:2 price: a number beyond 1,000,000,000; check it, and write a smaller one",
        ),
        (
            [HEADINGS, ["beeswax", "1 kg", 3, "x"]],
            "prices.xlsx:2: column 4 has no heading; name it or clear it",
        ),
        (
            [["Pack", "Price"], ["1 kg", 3]],
            "prices.xlsx: no column `ingredient`; add it to the headings, which are "
            '"Pack", "Price"',
        ),
        (
            [],
            "prices.xlsx: nothing stands in it; the first row must name ingredient, pack and price",
        ),
    ],
)
def test_workbook_mistake_is_told(tmp_path: Path, rows: list[list[object]], expected: str) -> None:
    """What a workbook has wrong is told with the row as the spreadsheet shows it."""
    assert message(tmp_path, workbook(rows)) == expected


def test_what_is_no_workbook_is_refused(tmp_path: Path) -> None:
    """A CSV named .xlsx, a damaged workbook and another zip file are refused."""
    assert message(tmp_path, b"ingredient,pack,price\n") == (
        "prices.xlsx: this is not an XLSX workbook; save it as .xlsx or .csv"
    )
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as packed:
        packed.writestr("letter.txt", "hello")
    assert message(tmp_path, stream.getvalue()) == (
        "prices.xlsx: this is not a workbook that can be read; save it again"
    )


def test_what_unpacks_beyond_measure_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A workbook that unpacks to more than allowed is refused before it is unpacked."""
    monkeypatch.setattr(workbook_parts, "MOST_UNPACKED_BYTES", 1_000_000)
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/workbook.xml", " " * 2_000_000)
    assert message(tmp_path, stream.getvalue()) == (
        "prices.xlsx: this workbook is too large when unpacked; save the sheet as CSV"
    )


def test_a_lone_cell_far_down_or_right_is_refused(tmp_path: Path) -> None:
    """A cell beyond all rows or columns ends the reading instead of filling the gap."""
    for place, expected in (
        ("A1048576", "more than 20,000 rows, empty ones counted; delete those below the last one"),
        ("XFD2", "more than 1,000 columns in row 2"),
    ):
        book = Workbook()
        book.active.append(HEADINGS)
        book.active[place] = "x"
        stream = io.BytesIO()
        book.save(stream)
        assert message(tmp_path, stream.getvalue()).startswith(f"prices.xlsx: {expected}")


def test_without_openpyxl_the_way_out_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where openpyxl is not installed, the message says how to go on."""
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    assert message(tmp_path, workbook([HEADINGS])) == (
        "prices.xlsx: reading a workbook needs openpyxl; run `pip install openpyxl`, "
        "or save it as CSV"
    )


def test_own_sheets_may_be_workbooks(tmp_path: Path) -> None:
    """An own sheet in a workbook gives figures like a CSV does."""
    data = workbook([["ingredient", "kind", "vitamin_e"], ["Marula oil", "oil", 12.5]])
    brief = '[costing]\nprices = "prices.csv"\n[shelf]\nsheets = ["own.xlsx"]\n'
    request = request_of(tmp_path, {"brief.toml": brief, "own.xlsx": data})
    figure = request.book.ingredients["marula-oil"].figures["vitamin_e"]
    assert (figure.typical, figure.status, figure.source) == (Decimal("12.5"), "own", "own.xlsx")


GOOD = workbook([HEADINGS, ["beeswax", "1 kg", 9]])


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=150
)
@given(place=st.integers(0, len(GOOD) - 1), piece=st.binary(min_size=1, max_size=40))
def test_any_damage_is_read_or_refused(tmp_path: Path, place: int, piece: bytes) -> None:
    """Whatever bytes of a workbook are damaged, the answer is a request or a message."""
    message(tmp_path, GOOD[:place] + piece + GOOD[place + len(piece) :])


@pytest.mark.parametrize(
    ("held", "number_format", "percent"),
    [(0.7, "0%", "70"), (0.075, "0.0 %", "7.5"), (0.7, '0.0" %"', "0.7"), (70, r"0\%", "70")],
)
def test_a_cell_shown_as_a_percentage_is_one(
    tmp_path: Path, held: float, number_format: str, percent: str
) -> None:
    """The file holds 0.7 for a cell shown as 70 %; a sign that is mere text scales nothing.

    ECMA-376 part 1, 18.8.31 (number formats: %, quoted text, backslash; from memory).
    """
    book = Workbook()
    sheet = book.active
    sheet.append(["ingredient", "solid_fat_20C"])
    sheet.append(["mango-butter", held])
    sheet.cell(2, 2).number_format = number_format
    stream = io.BytesIO()
    book.save(stream)
    brief = '[costing]\nprices = "prices.csv"\n[shelf]\nsheets = ["own.xlsx"]\n'
    prices = "ingredient,pack,price\nmango-butter,1 kg,9\n"
    files = {"brief.toml": brief, "prices.csv": prices, "own.xlsx": stream.getvalue()}
    request = request_of(tmp_path, files)
    figure = request.book.ingredients["mango-butter"].figures["solid_fat_20C"]
    assert figure.typical == Decimal(percent)


@pytest.mark.parametrize("stock", ["1e999", "-1e999", "1e400", "1.5", "1e300"])
def test_a_stock_of_packaging_is_a_number_of_pieces(tmp_path: Path, stock: str) -> None:
    """A number that is not finite, or beyond all measure, is a mistake like any other."""
    rows = [[*HEADINGS, "in_stock"], ["amber jar", "12 jars", 9, 271828], ["beeswax", "1 kg", 9]]
    stream = io.BytesIO()
    good = zipfile.ZipFile(io.BytesIO(workbook(rows)))
    with good, zipfile.ZipFile(stream, "w") as packed:
        for part in good.namelist():
            packed.writestr(part, good.read(part).replace(b"271828", stock.encode()))
    said = message(tmp_path, stream.getvalue())
    assert said.startswith("prices.xlsx:2 in_stock: ")
    assert "; " in said
