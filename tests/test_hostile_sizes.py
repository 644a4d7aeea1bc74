"""Files made to take hours or gigabytes: each ends in a message, within seconds."""

from __future__ import annotations

import io
import os
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import Workbook

if os.name != "posix":
    pytest.skip("memory and time are bounded by POSIX limits", allow_module_level=True)

from bounded_reading import read_bounded

PRICES = b"ingredient,pack,price\n"
SHEET = "xl/worksheets/sheet1.xml"
STRINGS = "xl/sharedStrings.xml"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
HEADINGS = "<row>" + "".join(
    f'<c t="inlineStr"><is><t>{name}</t></is></c>' for name in ("ingredient", "pack", "price")
)


def sheet(rows: str, before: str = "") -> bytes:
    """A sheet with headings and these rows, as XML."""
    return (
        f'<?xml version="1.0"?>{before}<worksheet xmlns="{MAIN}"><sheetData>{HEADINGS}</row>'
        f"{rows}</sheetData></worksheet>"
    ).encode()


def strings(item: str, count: int) -> bytes:
    """A table of texts that cells refer to."""
    return f'<sst xmlns="{MAIN}">{item * count}</sst>'.encode()


def workbook(**parts: bytes) -> bytes:
    """A workbook, its sheet or its shared strings replaced."""
    stream, whole = io.BytesIO(), io.BytesIO()
    Workbook().save(stream)
    names = {"sheet": SHEET, "strings": STRINGS}
    with zipfile.ZipFile(stream) as plain:
        found = {name: plain.read(name) for name in plain.namelist()}
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"
    if STRINGS not in found:
        types = found["[Content_Types].xml"].decode()
        override = f'<Override PartName="/{STRINGS}" ContentType="{kind}"/></Types>'
        found["[Content_Types].xml"] = types.replace("</Types>", override).encode()
    found[STRINGS] = strings("<si><t>x</t></si>", 1)
    found |= {names[name]: data for name, data in parts.items()}
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in found.items():
            packed.writestr(name, data)
    return whole.getvalue()


def laughs() -> str:
    """Entities within entities: a thousand million letters in a thousand bytes."""
    inner = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10}">' for n in range(1, 10))
    return f'<!DOCTYPE worksheet [<!ENTITY e0 "x">{inner}]>'


def cells(item: str, rows: int) -> str:
    """Rows of three cells each."""
    return f"<row>{item * 3}</row>" * rows


DAMAGED = "prices.xlsx: this is not a workbook that can be read; save it again"
UNPACKED = "prices.xlsx: this workbook is too large when unpacked; save the sheet as CSV"
FEWER = "keep only those that are needed"
KEYS = f"brief.toml: more than 10,000 names and list items; {FEWER}"
DOTS = "a name of more than 16 parts with dots between; write [table]"
DIGITS = "a number of more than 1,000 digits; write fewer"
TEXT = '<row><c t="inlineStr"><is><t>{}</t></is></c></row>'
WIDE = b"ingredient," + b",".join(b"zz%d" % number for number in range(990)) + b"\n"

BOMBS: dict[str, tuple[str, Callable[[], bytes], str]] = {
    "a line of 200 MB": (
        "prices.csv",
        lambda: PRICES + b"x" * 200_000_000,
        'brief.toml:2 costing.prices: "prices.csv" is larger than 20 MB; keep only what is needed',
    ),
    "a line of 19 MB": (
        "prices.csv",
        lambda: PRICES + b"x" * 19_000_000,
        "prices.csv: row 2 has a cell of over 32,767 letters; shorten it",
    ),
    "a quote never closed": (
        "prices.csv",
        lambda: PRICES + b'"' + b"a,\n" * 6_000_000,
        "prices.csv: row 2 has a cell of over 32,767 letters; shorten it",
    ),
    "millions of blank rows": (
        "prices.csv",
        lambda: b"\n" * 19_000_000,
        f"prices.csv: more than 20,000 rows; {FEWER}",
    ),
    "millions of columns": (
        "prices.csv",
        lambda: PRICES + b"ab," * 6_000_000,
        f"prices.csv: more than 1,000 columns in row 2; {FEWER}",
    ),
    "millions of cells": (
        "own.csv",
        lambda: WIDE + (b"oil" + b",1" * 990 + b"\n") * 9_000,
        f"own.csv: more than 1,000,000 cells; {FEWER}",
    ),
    "a wide own sheet": (
        "own.csv",
        lambda: WIDE + b"".join(b"nut %d" % one + b",1" * 990 + b"\n" for one in range(300)),
        "read",
    ),
    "ten thousand ingredients": (
        "own.csv",
        lambda: b"ingredient,vitamin_e\n" + b"".join(b"nut %d,1\n" % one for one in range(10_000)),
        "read",
    ),
    "twenty thousand currencies": (
        "prices.csv",
        lambda: (
            b"ingredient,pack,price,currency\n"
            + b"".join(b"beeswax,1 kg,3,C%d\n" % one for one in range(19_900))
        ),
        "brief.toml:1 costing: the price list has C0, C1, C2 and C3; name one and price all in it",
    ),
    "packs of ten thousand digits": (
        "prices.csv",
        lambda: PRICES + b'beeswax,"%b jars",3\n' % b",".join([b"100"] * 3_000),
        'prices.csv:2 pack: no such unit: "jars"; write g, kg, oz, lb, ml or l',
    ),
    "blends of many parts": (
        "own.csv",
        lambda: (
            b"ingredient,inci_name\n"
            + b"".join(
                b"nut %d,%b\n" % (one, b";".join(b"a%x" % part for part in range(6_000)))
                for one in range(100)
            )
        ),
        "read",
    ),
    "ten thousand prices": (
        "prices.csv",
        lambda: PRICES + b"".join(b"beeswax,%d g,3\n" % (one + 1) for one in range(10_000)),
        "read",
    ),
    "ten thousand unknown ingredients": (
        "prices.csv",
        lambda: PRICES + b"".join(b"nut %d,1 kg,3\n" % one for one in range(10_000)),
        "prices.csv: and 9,000 more mistakes; correct these first",
    ),
    "numbers of ten thousand digits": (
        "prices.csv",
        lambda: PRICES + b"beeswax,%b kg,0.%b\n" % (b"1" * 10_000, b"1" * 10_000),
        "prices.csv:2 price: a number with more than 15 digits; write fewer",
    ),
    "ten thousand unknown constituents": (
        "certificates.csv",
        lambda: (
            b"ingredient,constituent,percent\n"
            + b"".join(b"lavender-oil,stuff %d,1\n" % one for one in range(10_000))
        ),
        "certificates.csv:503 constituent: more than 500 unknown constituents so far; "
        "correct those first",
    ),
    "a table of scenarios as large as any": (
        "scenarios.csv",
        lambda: (
            b"scenario,beeswax,cocoa-butter\n"
            + b"".join(b"%d,1.5,2.5\n" % one for one in range(19_900))
        ),
        "read",
    ),
    "millions of blank lines": (
        "recipe.txt",
        lambda: b"\n" * 19_000_000,
        "recipe.txt: more than 20,000 lines; keep only the recipe",
    ),
    "millions of lines": (
        "recipe.txt",
        lambda: b"a\n" * 9_000_000,
        "recipe.txt: more than 1,000 lines; keep only the recipe",
    ),
    "lines that can be taken apart in many ways": (
        "recipe.txt",
        lambda: b"1 " * 140 + b"a\n" + b"beeswax 1 g," * 20 + b"\n",
        'recipe.txt:2: "beeswax 1 g,beeswax 1 g,beeswax 1 g,beeswax 1 g,beeswax 1...": no such '
        "ingredient; add it in a sheet of your own ([shelf] sheets)",
    ),
    "a dotted key": ("brief.toml", lambda: b"a." * 100_000 + b"b = 1\n", f"brief.toml:1: {DOTS}"),
    "a dotted key in quotes": (
        "brief.toml",
        lambda: b"x = {" + b'"a b" . ' * 30_000 + b"b = 1 }\n",
        f"brief.toml:1: {DOTS}",
    ),
    "dotted headers": (
        "brief.toml",
        lambda: b"\n" + b"".join(b"[" + b"a." * 20 + b"b%d]\n" % one for one in range(5_000)),
        f"brief.toml:2: {DOTS}",
    ),
    "a million keys": (
        "brief.toml",
        lambda: b"".join(b"a%d=1\n" % one for one in range(1_000_000)),
        "is larger than 500 kB; keep only what is needed",
    ),
    "fifty thousand keys": (
        "brief.toml",
        lambda: b"".join(b"a%d=1\n" % one for one in range(50_000)),
        KEYS,
    ),
    "a list of fifty thousand": ("brief.toml", lambda: b"use = [" + b"'x'," * 50_000 + b"]", KEYS),
    "hexadecimal digits": (
        "brief.toml",
        lambda: b"[amounts]\nbeeswax = 0x" + b"f" * 400_000,
        f"brief.toml:2: {DIGITS}",
    ),
    "brackets within brackets": (
        "brief.toml",
        lambda: b"x = " + b"[" * 200_000,
        "brief.toml: a number is too long or brackets are nested too deep; write plain values",
    ),
    "braces within braces": (
        "brief.toml",
        lambda: b"x = " + b"{a = " * 50_000,
        "brief.toml: a number is too long or brackets are nested too deep; write plain values",
    ),
    "many price lists": (
        "brief.toml",
        lambda: (
            b"[costing]\nprices = ["
            + b",".join(b'"%bprices.csv"' % (b"./" * one) for one in range(51))
            + b"]"
        ),
        "brief.toml:2 costing.prices: more than 50 files; put their rows together in one",
    ),
    "a sheet of half a gigabyte": (
        "prices.xlsx",
        lambda: workbook(sheet=sheet(TEXT.format(" " * 500_000_000))),
        UNPACKED,
    ),
    "a cell of 90 MB": (
        "prices.xlsx",
        lambda: workbook(sheet=sheet(TEXT.format("a" * 90_000_000))),
        "prices.xlsx: row 2 has a cell of over 32,767 letters; shorten it",
    ),
    "elements that are no cells": (
        "prices.xlsx",
        lambda: workbook(sheet=sheet("<x/>" * 20_000_000)),
        UNPACKED,
    ),
    "millions of cells in a row": (
        "prices.xlsx",
        lambda: workbook(sheet=sheet("<row>" + "<c><v>1</v></c>" * 5_000_000 + "</row>")),
        UNPACKED,
    ),
    "millions of shared strings": (
        "prices.xlsx",
        lambda: workbook(strings=strings("<si><t/></si>", 5_000_000)),
        UNPACKED,
    ),
    "one shared string in all cells": (
        "prices.xlsx",
        lambda: workbook(
            strings=strings(f"<si><t>{'1 ' * 16_000}</t></si>", 1),
            sheet=sheet(cells('<c t="s"><v>0</v></c>', 19_000)),
        ),
        "prices.xlsx: more than 20,000,000 letters; keep only what is needed",
    ),
    "elements within elements": (
        "prices.xlsx",
        lambda: workbook(sheet=sheet("<a>" * 5_000_000)),
        DAMAGED,
    ),
    "entities within entities": (
        "prices.xlsx",
        lambda: workbook(sheet=sheet(TEXT.format("&e9;"), laughs())),
        DAMAGED,
    ),
    "entities in shared strings": (
        "prices.xlsx",
        lambda: workbook(strings=laughs().encode() + strings("<si><t>&e9;</t></si>", 1)),
        DAMAGED,
    ),
    "a cell in a column that there is not": (
        "prices.xlsx",
        lambda: workbook(sheet=sheet('<row r="2"><c r="ZZZZZZZ2"><v>1</v></c></row>')),
        DAMAGED,
    ),
    "a cell in the last column of every row": (
        "prices.xlsx",
        lambda: workbook(sheet=sheet("<row><c r='XFD2'><v>1</v></c></row>" * 19_000)),
        f"prices.xlsx: more than 1,000 columns in row 2; {FEWER}",
    ),
}


@pytest.mark.parametrize("bomb", BOMBS)
def test_a_bomb_ends_in_a_message_or_an_answer(tmp_path: Path, bomb: str) -> None:
    """Half a minute and 1.5 GB are enough for any file, and the message says what to do."""
    name, data, expected = BOMBS[bomb]
    said = read_bounded(tmp_path, name, data())
    if expected.startswith("is larger"):
        assert said[-1].endswith(expected)
    else:
        assert said[-1] == expected


def test_what_is_read_in_a_workbook_is_what_is_written() -> None:
    """The workbook that the bombs are made of is sound without them."""
    with zipfile.ZipFile(io.BytesIO(workbook())) as packed:
        assert {SHEET, STRINGS} <= set(packed.namelist())
