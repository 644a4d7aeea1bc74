"""Price lists as they come from spreadsheets, shops and suppliers: what each gives."""

from __future__ import annotations

import datetime
import io
import zipfile
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook
from reading_support import message_of, request_of

HEAD = "ingredient,pack,price\n"
LIST = HEAD + 'beeswax,1500 g,"1,234.50"\nmango-butter,2 kg,19.90\n'
EUROPEAN = 'ingredient;pack;price\nbeeswax;"1.500 g";1.234,50\nmango-butter;2,5 kg;19,90\n'
POUNDS = '_-"£"* #,##0.00_-;-"£"* #,##0.00_-'
EUROS = "#,##0.00 [$€-407]"
COMMAS = ["columns are separated by semicolons"]
THOUSANDS = "has thousands separators"

READ: dict[str, tuple[str | bytes, list[str]]] = {
    "byte-order mark": (b"\xef\xbb\xbf" + LIST.encode(), ["it begins with a byte-order mark"]),
    "UTF-16 with a mark": (LIST.encode("utf-16"), ["read as UTF-16"]),
    "UTF-16 without a mark, LE": (LIST.encode("utf-16-le"), ["read as UTF-16"]),
    "UTF-16 without a mark, BE": (LIST.encode("utf-16-be"), ["read as UTF-16"]),
    "UTF-32": (LIST.encode("utf-32"), ["read as UTF-32"]),
    "Windows-1252": (
        LIST.replace('"1,234.50"', '"£1,234.50"').encode("cp1252"),
        ["read as Windows-1252", "price has currency signs"],
    ),
    "decimal commas": (EUROPEAN, [*COMMAS, "pack has decimal commas", "price has decimal commas"]),
    "sep line": (
        "sep=;\n" + EUROPEAN,
        ["the first line tells the separator", *COMMAS, "pack has decimal commas"],
    ),
    "thin and no-break spaces": (
        LIST.replace("1500", "1\u2009500").replace("1,234", "1\u00a0234"),
        [f"pack {THOUSANDS}", f"price {THOUSANDS}"],
    ),
    "narrow no-break spaces": (LIST.replace("1,234", "1\u202f234"), [f"price {THOUSANDS}"]),
    "apostrophes": (LIST.replace("1,234", "1'234"), [f"price {THOUSANDS}"]),
    "typographic apostrophes": (LIST.replace("1,234", "1\u2019234"), [f"price {THOUSANDS}"]),
    "title above": (
        "Hollin & Wray price list\n\n" + LIST,
        ['the headings stand in row 3; what is above, "Hollin & Wray price list", is not used'],
    ),
    "title above, padded": (
        ",Valid to May,\n,,\n" + LIST,
        ['the headings stand in row 3; what is above, "Valid to May", is not used'],
    ),
    "title above, semicolons": (
        "Prices, valid to May\n" + EUROPEAN,
        [
            *COMMAS,
            'the headings stand in row 2; what is above, "Prices, valid to May", is not used',
        ],
    ),
    "notes with separators and line breaks": (
        LIST.replace("price\n", "price,notes\n")
        .replace('50"\n', '50","a\nb;c,d"\n')
        .replace("90\n", "90,\n"),
        ['the column "notes" is not used'],
    ),
    "blank rows": (LIST.replace("\n", "\n\n,,\n"), []),
    "old Mac line ends": (LIST.replace("\n", "\r"), []),
    "no-break space in a name": (LIST.replace("mango-butter", "mango\u00a0butter"), []),
}
"""What is read, and the beginnings of what is told."""

REFUSED: dict[str, tuple[str, str]] = {
    "ambiguous thousands": (
        HEAD + 'beeswax,1 kg,"1,234"\n',
        '2 price: "1,234" can be read in two ways; write 1234 or 1.2340',
    ),
    "lakhs": (
        HEAD + 'beeswax,1 kg,"1,23,456.00"\n',
        '2 price: "1,23,456.00" is not a number; write it like 8.50',
    ),
    "total": (LIST + "Total,,28.40\n", "4 ingredient: a total is no pack; delete this row"),
    "grand total": (LIST + "GRAND TOTAL:,,\n", "4 ingredient: a total is no pack; delete this row"),
    "headings once more": (LIST + HEAD, "4: the headings once more; delete this row"),
    "a date for a pack": (
        HEAD + "beeswax,01/05/2026,3\n",
        "2 pack: the date 01/05/2026 where a pack is needed; write it like 5 kg",
    ),
    "a day for a pack": (
        HEAD + "beeswax,05-Jan,3\n",
        "2 pack: the date 05-Jan where a pack is needed; write it like 5 kg",
    ),
    "a day in German for a pack": (
        HEAD + "beeswax,1. Mai,3\n",
        "2 pack: the date 1. Mai where a pack is needed; write it like 5 kg",
    ),
    "a day in numbers for a pack": (
        HEAD + "beeswax,5-1,3\n",
        "2 pack: the date 5-1 where a pack is needed; write it like 5 kg",
    ),
    "the pack beside the price": (
        HEAD + "beeswax,5 kg,45.00 per 5kg\n",
        '2 price: "45.00 per 5kg" is money for a pack of its own; write the pack in pack and the '
        "money of that pack in price",
    ),
    "a price per kg": (
        HEAD + "beeswax,5 kg,£9.00/kg\n",
        '2 price: "£9.00/kg" is money for a pack of its own; write the pack in pack and the money '
        "of that pack in price",
    ),
    "a price per kg in German": (
        HEAD + 'beeswax,5 kg,"9,00 € je kg"\n',
        '2 price: "9,00 € je kg" is money for a pack of its own; write the pack in pack and the '
        "money of that pack in price",
    ),
    "a heading with its currency": (
        "ingredient,pack,Price (£)\nbeeswax,5 kg,9\n",
        ' no column `price`; rename "Price (£)" to price',
    ),
    "two headings with more": (
        "Ingredients,Pack size,price\nbeeswax,5 kg,9\n",
        ' no column `ingredient` and `pack`; rename "Ingredients" to ingredient and rename "Pack '
        'size" to pack',
    ),
    "a heading of another price": (
        "ingredient,pack,Price per kg\nbeeswax,5 kg,9\n",
        " no column `price`; add it to the headings, which are "
        '"ingredient", "pack", "Price per kg"',
    ),
    "a percentage": (
        HEAD + "beeswax,1 kg,5%\n",
        "2 price: 5% is a percentage where money is needed; write it like 8.50",
    ),
    "a negative in brackets": (
        HEAD + "beeswax,1 kg,(3.50)\n",
        '2 price: "(3.50)" is not a number; write it like 8.50',
    ),
    "a column too narrow": (
        HEAD + "beeswax,1 kg,#####\n",
        '2 price: "#####" is not a number; write it like 8.50',
    ),
    "a formula in text": (
        HEAD + "beeswax,1 kg,=B2*2\n",
        '2 price: "=B2*2" is a formula without its value; open the file in a spreadsheet and save '
        "it there, or write the value",
    ),
    "fullwidth digits": (
        HEAD + "beeswax,1 kg,\uff13\n",
        '2 price: "\uff13" is not a number; write it like 8.50',
    ),
    "a sign without width": (
        HEAD + "bees\u200bwax,1 kg,3\n",
        '2 ingredient: "bees\\u200Bwax": no such ingredient; nearest: beeswax; if none, add it in '
        "a sheet of your own ([shelf] sheets)",
    ),
    "a sign that turns the line": (
        HEAD + "\u202ebeeswax,1 kg,3\n",
        '2 ingredient: "\\u202Ebeeswax": no such ingredient; nearest: beeswax; if none, add it in '
        "a sheet of your own ([shelf] sheets)",
    ),
    "a sign that turns a heading": (
        "ingredient,pack,price,\u202edelivery\nbeeswax,1 kg,3,4\n",
        "1 \\u202Edelivery: no such column; write delivery, or another heading for a note",
    ),
    "no currency": (
        "ingredient,pack,price,currency\nbeeswax,1 kg,3,to be agreed on later\n",
        '2 currency: "to be agreed on later" is no currency; write it like GBP',
    ),
    "a letter as separator": (
        "sep=x\n" + HEAD,
        ' "sep=x" names no separator; write sep=; or delete the line',
    ),
}


@pytest.mark.parametrize("habit", READ)
def test_a_habit_is_read_as_meant_and_told(tmp_path: Path, habit: str) -> None:
    """1.5 kg at 1234.50 and the second row, whatever the file's habits; each is told."""
    content, expected = READ[habit]
    request = request_of(tmp_path, {"prices.csv": content})
    first, second = request.offers
    assert (first.ingredient, first.pack_kg, first.price) == (
        "beeswax",
        Fraction(3, 2),
        Decimal("1234.50"),
    )
    assert (second.ingredient, second.price) == ("mango-butter", Decimal("19.90"))
    told = [remark.removeprefix("prices.csv: ") for remark in request.remarks]
    for beginning in expected:
        assert any(remark.startswith(beginning) for remark in told), told


@pytest.mark.parametrize("habit", REFUSED)
def test_a_habit_that_nobody_can_be_sure_of_is_refused(tmp_path: Path, habit: str) -> None:
    """One message, with the row, the column and what to write."""
    content, expected = REFUSED[habit]
    assert message_of(tmp_path, {"prices.csv": content}) == f"prices.csv:{expected}"


Rows = list[list[object]]
Change = Callable[[Workbook, Any], object]
H: list[object] = ["ingredient", "pack", "price"]
ROWS: Rows = [H, ["beeswax", "1.5 kg", 1234.5], ["mango-butter", "2 kg", 19.9]]


def workbook(rows: Rows, *changes: Change) -> bytes:
    """A workbook of one sheet, changed."""
    book = Workbook()
    sheet: Any = book.active
    for row in rows:
        sheet.append(row)
    for change in changes:
        change(book, sheet)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def formatted(number_format: str, column: str = "C") -> Change:
    def change(_: Workbook, sheet: Any) -> None:
        for cell in sheet[column][1:]:
            cell.number_format = number_format

    return change


def merged(reference: str) -> Change:
    return lambda _, sheet: sheet.merge_cells(reference)


def hidden_row(number: int) -> Change:
    return lambda _, sheet: setattr(sheet.row_dimensions[number], "hidden", True)


def hidden_column(letter: str) -> Change:
    return lambda _, sheet: setattr(sheet.column_dimensions[letter], "hidden", True)


def further_sheet(state: str, rows: Rows) -> Change:
    def change(book: Workbook, _: Any) -> None:
        sheet: Any = book.create_sheet("Last year")
        sheet.sheet_state = state
        for row in rows:
            sheet.append(row)

    return change


def all_hidden(book: Workbook, sheet: Any) -> None:
    further_sheet("visible", [["notes"], ["x"]])(book, sheet)
    sheet.sheet_state = "hidden"


OTHER_YEAR: Rows = [H, ["beeswax", "1 kg", 3]]
TITLED: Rows = [["Hollin & Wray, prices of May"], [], *ROWS]
SIGNS = ["price has currency signs"]
ABOVE = 'what is above, "Hollin & Wray, prices of May", is not used'

SHEETS: dict[str, tuple[bytes, list[str], str]] = {
    "plain": (workbook(ROWS), [], ""),
    "pounds": (workbook(ROWS, formatted(POUNDS)), SIGNS, "GBP"),
    "euros": (workbook(ROWS, formatted(EUROS)), SIGNS, "EUR"),
    "a code": (workbook(ROWS, formatted("[$CHF-807] #,##0.00")), SIGNS, "CHF"),
    "the currency of the reader's country": (
        workbook(ROWS, formatted('_("$"* #,##0.00_)_("$"* \\(#,##0.00\\)_("$"* "-"??_)_(@_)')),
        [],
        "",
    ),
    "numbers as text": (
        workbook([H, ["beeswax", "1.5 kg", "1234.50"], ["mango-butter", "2 kg", "19.90"]]),
        [],
        "",
    ),
    "title above": (workbook(TITLED), [f"the headings stand in row 3; {ABOVE}"], ""),
    "title over merged cells": (
        workbook(TITLED, merged("A1:C1")),
        [f"the headings stand in row 3; {ABOVE}"],
        "",
    ),
    "a hidden row": (
        workbook(ROWS, hidden_row(3)),
        ["row 3 is hidden, and is read all the same"],
        "",
    ),
    "hidden rows": (
        workbook(ROWS, hidden_row(2), hidden_row(3), hidden_row(9)),
        ["rows 2 and 3 are hidden, and are read all the same"],
        "",
    ),
    "a hidden column": (
        workbook([[*H, "delivery"], [*ROWS[1], 0], [*ROWS[2], 0]], hidden_column("D")),
        ["column D is hidden, and is read all the same"],
        "",
    ),
    "a hidden sheet beside": (
        workbook(ROWS, further_sheet("hidden", OTHER_YEAR)),
        ['read from the sheet "Sheet"'],
        "",
    ),
    "a very hidden sheet beside": (
        workbook(ROWS, further_sheet("veryHidden", OTHER_YEAR)),
        ['read from the sheet "Sheet"'],
        "",
    ),
    "a hidden sheet alone": (
        workbook(ROWS, all_hidden),
        ['the sheet "Sheet" is hidden, and is read all the same'],
        "",
    ),
}


@pytest.mark.parametrize("habit", SHEETS)
def test_a_sheet_is_read_as_meant_and_told(tmp_path: Path, habit: str) -> None:
    """The same two rows from a workbook, their currency, and everything unusual told."""
    data, told, currency = SHEETS[habit]
    brief = '[costing]\nprices = "prices.xlsx"\n'
    request = request_of(tmp_path, {"brief.toml": brief, "prices.xlsx": data})
    first, second = request.offers
    assert (first.pack_kg, first.price) == (Fraction(3, 2), Decimal("1234.5"))
    assert (second.pack_kg, second.price) == (2, Decimal("19.9"))
    assert (first.currency, second.currency) == (currency, currency)
    assert request.remarks == tuple(f"prices.xlsx: {remark}" for remark in told)


NO_VALUE = "is a formula without its value; open the file in a spreadsheet and save it there, or "
NO_VALUE += "write the value"
REFUSED_SHEETS: dict[str, tuple[bytes, str]] = {
    "a formula without its value": (
        workbook([H, ["beeswax", "1 kg", "=1+8"]]),
        f'2 price: "=1+8" {NO_VALUE}',
    ),
    "a formula for a name": (
        workbook([H, ["=A1", "1 kg", 9]]),
        '2 ingredient: "=A1": no such ingredient; add it in a sheet of your own ([shelf] sheets)',
    ),
    "a percentage": (
        workbook([H, ["beeswax", "1 kg", 0.5]], formatted("0%")),
        "2 price: 50 % is a percentage where money is needed; write it like 8.50",
    ),
    "a date": (
        workbook([H, ["beeswax", datetime.date(2026, 5, 1), 3]]),
        "2 pack: the date 2026-05-01 where a pack is needed; write it like 5 kg",
    ),
    "a time": (
        workbook([H, ["beeswax", datetime.time(5, 30), 3]]),
        '2 pack: "05:30:00" is not a weight; write it like 5 kg or 2 x 500 g',
    ),
    "money for a pack": (
        workbook([H, ["beeswax", 5, 3]], formatted(POUNDS, "B")),
        '2 pack: "£ 5" is not a weight; write it like 5 kg or 2 x 500 g',
    ),
    "a heading over two columns": (
        workbook([H, ["beeswax", "1 kg", 9, "GBP"]], merged("C1:D1")),
        "2: column 4 has no heading; name it or clear it",
    ),
    "a name over two rows": (
        workbook([H, ["beeswax", "1 kg", 9], [None, "2 kg", 16]], merged("A2:A3")),
        "3 ingredient: no ingredient in this row; fill it in or delete the row",
    ),
    "two lists in sight": (
        workbook(ROWS, further_sheet("visible", OTHER_YEAR)),
        ' the sheets "Sheet" and "Last year" have the same headings; name one behind the file, as '
        "in book.xlsx#Sheet",
    ),
}


@pytest.mark.parametrize("habit", REFUSED_SHEETS)
def test_a_sheet_that_nobody_can_be_sure_of_is_refused(tmp_path: Path, habit: str) -> None:
    """One message, with the row, the column and what to write."""
    data, expected = REFUSED_SHEETS[habit]
    brief = '[costing]\nprices = "prices.xlsx"\n'
    said = message_of(tmp_path, {"brief.toml": brief, "prices.xlsx": data})
    assert said == f"prices.xlsx:{expected}"


def test_another_currency_in_a_number_format_is_refused(tmp_path: Path) -> None:
    """Euros shown by the format are not taken for the pounds of the brief."""
    brief = '[costing]\nprices = "prices.xlsx"\ncurrency = "GBP"\n'
    data = workbook(ROWS[:2], formatted(EUROS))
    assert message_of(tmp_path, {"brief.toml": brief, "prices.xlsx": data}) == (
        'brief.toml:3 costing.currency: "GBP" where the price list has EUR, in prices.xlsx:2; '
        "write EUR, or price all in GBP"
    )


def test_a_workbook_with_a_password_is_told(tmp_path: Path) -> None:
    """Such a file, and one of before 2007, begins with other bytes than a workbook."""
    brief = '[costing]\nprices = "prices.xlsx"\n'
    data = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 512
    assert message_of(tmp_path, {"brief.toml": brief, "prices.xlsx": data}) == (
        "prices.xlsx: this is a workbook with a password, or an old one (.xls); save it without, "
        "as .xlsx"
    )


def test_rows_out_of_order_are_refused(tmp_path: Path) -> None:
    """The library would leave such rows out without a word."""
    stream, whole = io.BytesIO(workbook(ROWS)), io.BytesIO()
    with zipfile.ZipFile(stream) as good, zipfile.ZipFile(whole, "w") as packed:
        for part in good.namelist():
            swapped = good.read(part).replace(b'<row r="3"', b'<row r="1"')
            packed.writestr(part, swapped)
    brief = '[costing]\nprices = "prices.xlsx"\n'
    said = message_of(tmp_path, {"brief.toml": brief, "prices.xlsx": whole.getvalue()})
    assert said == (
        "prices.xlsx: rows or cells are out of order in it; open it in a spreadsheet and save it "
        "again"
    )
