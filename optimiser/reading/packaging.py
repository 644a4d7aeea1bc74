"""Packaging in a price list: rows whose pack is a number of pieces."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from difflib import get_close_matches

from optimiser.price import PackagingOffer
from optimiser.provenance import Origin, printable
from optimiser.reading.cells import Cell, cell_text
from optimiser.reading.exact_numbers import sensible
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import Names, fold, nearest
from optimiser.reading.number_columns import NumberColumn
from optimiser.reading.sheet import Sheet
from optimiser.reading.wording import listed, quoted

VERY_LIKE = 0.85
"""A thing in pieces whose name is at least this like an ingredient's may be a misspelling."""

WORD_LIKE = 0.6
"""Least likeness of each of its words to one of the ingredient's."""

MOST_COMPARED = 200
"""So many names are compared with those of ingredients."""

_WORDS = (
    *("piece", "pc", "unit", "jar", "tin", "pot", "tub", "tube", "bottle", "lid", "cap", "pump"),
    *("seal", "label", "sticker", "sleeve", "box", "carton", "bag", "card", "insert", "spatula"),
)
PIECES = frozenset({form for word in _WORDS for form in (word, f"{word}s", f"{word}es")})
"""Words that count packaging."""

_NUMBER = r"[0-9]{1,3}(?:[ ,'’\u00a0\u202f][0-9]{3}){1,2}|[0-9]{1,7}"
_COUNTED = re.compile(rf"(?:([0-9]{{1,5}})\s*[x×*]\s*)?({_NUMBER})\s*([^\W\d_]+)\.?")
_BARE = re.compile(_NUMBER)


def pieces_in(text: str) -> int | None:
    """How many pieces a pack has; None where it is no number of pieces.

    Example:
        >>> pieces_in("12 x 10 pieces"), pieces_in("1,000 labels"), pieces_in("5 kg")
        (120, 1000, None)
    """
    found = _COUNTED.fullmatch(text.strip())
    if found is None or found.group(3).casefold() not in PIECES:
        return None
    return int(found.group(1) or 1) * int("".join(filter(str.isdigit, found.group(2))))


def counted_rows(sheet: Sheet) -> tuple[Sheet, dict[int, int]]:
    """The rows whose pack is in pieces, and how many pieces, by row number."""
    pieces = {
        number: count
        for number, text in sheet.texts("pack").items()
        if (count := pieces_in(text)) is not None
    }
    return replace(sheet, rows=tuple(row for row in sheet.rows if row.number in pieces)), pieces


def packaging_offers(
    sheet: Sheet,
    pieces: Mapping[int, int],
    numbers: Mapping[str, NumberColumn],
    currencies: Mapping[int, str],
    names: Names,
    findings: Findings,
) -> list[PackagingOffer]:
    """The rows of packaging, as far as they can be read.

    Args:
        sheet: The rows whose pack is in pieces.
        pieces: How many pieces, by row number.
        numbers: The columns of money by heading, read over the whole list.
        currencies: The currency of each row.
        names: How ingredients may be called, which packaging may not be.
        findings: Where mistakes and remarks are noted.
    """
    items = sheet.texts("ingredient")
    texts = {heading: sheet.texts(heading) for heading in ("supplier", "pack", "quoted_on")}
    stocks = {row.number: cell for row, cell in sheet.column("in_stock")}
    money = {heading: column.values for heading, column in numbers.items()}
    _remark_misspelt(sheet, names, findings)
    offers = []
    for row in sheet.rows:
        number = row.number
        if number not in items:
            continue
        if names.known(items[number]):
            problem = f"{quoted(items[number])} is an ingredient; write what a pack weighs, as 5 kg"
            findings.wrong(sheet.at(number, "pack"), problem)
            continue
        if not pieces[number]:
            problem = "a pack that holds nothing; write how many pieces, like 24 pieces"
            findings.wrong(sheet.at(number, "pack"), problem)
            continue
        stock = None
        if number in stocks:
            try:
                stock = _stock(stocks[number])
            except Problem as problem:
                findings.wrong(sheet.at(number, "in_stock"), problem)
        if number in money["price"]:
            offers.append(
                PackagingOffer(
                    item=printable(fold(items[number])),
                    supplier=printable(texts["supplier"].get(number, "")),
                    pack=texts["pack"][number],
                    pieces=pieces[number],
                    price=money["price"][number],
                    delivery=money["delivery"].get(number, Decimal(0)),
                    currency=currencies.get(number, ""),
                    in_stock=stock,
                    quoted_on=texts["quoted_on"].get(number, ""),
                    origin=Origin(sheet.file, number),
                    minimum_order=money["minimum_order"].get(number),
                    free_delivery_from=money["free_delivery_from"].get(number),
                )
            )
    return offers


def _remark_misspelt(sheet: Sheet, names: Names, findings: Findings) -> None:
    """Tell which packaging is nearly called like an ingredient, and may be one misspelt."""
    packs = sheet.texts("pack")
    near: dict[str, list[str]] = {}
    for number, item in sheet.texts("ingredient").items():
        folded = fold(item)
        if folded not in near and len(near) < MOST_COMPARED:
            known = names.known(item)
            likely = [] if known else nearest(item, names.spellings.items(), VERY_LIKE)
            near[folded] = [one for one in likely if _words_alike(folded, one, names)]
        if near.get(folded):
            findings.remark(
                f"{sheet.file}:{number}",
                f"{quoted(item)} in {packs[number]} is taken as packaging; for "
                f"{listed(near[folded])} write a weight",
            )


def _words_alike(folded: str, identifier: str, names: Names) -> bool:
    """Whether each word of a name is like one of an ingredient's: no `label`, no `60`.

    Names with a long part in common are alike as a whole, as of a tin and of what is in it.
    """
    for spelling, ids in names.spellings.items():
        words = spelling.split()
        if identifier in ids and all(
            get_close_matches(word, words, n=1, cutoff=WORD_LIKE) for word in folded.split()
        ):
            return True
    return False


def _stock(cell: Cell) -> int:
    """How many pieces are in stock, with or without the word.

    Raises:
        Problem: It is no number of pieces.
    """
    if isinstance(cell, Decimal) and sensible(cell) >= 0 and cell % 1 == 0:
        return int(cell)
    if isinstance(cell, str):
        if _BARE.fullmatch(cell.strip()):
            return int("".join(filter(str.isdigit, cell)))
        found = pieces_in(cell)
        if found is not None:
            return found
    raise Problem(
        f"{quoted(cell_text(cell))} is no number of pieces; write it like 40 or 40 pieces"
    )
