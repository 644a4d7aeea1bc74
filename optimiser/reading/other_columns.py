"""Columns of a price list that are not used, and what is counted in place of a missing one."""

from __future__ import annotations

import re
from collections.abc import Sequence

from optimiser.reading.cells import Cell, Money, cell_text
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import fold, nearest
from optimiser.reading.own_properties import NOTE_HEADINGS
from optimiser.reading.sheet import Sheet
from optimiser.reading.weights import pack_taken_apart
from optimiser.reading.wording import quoted
from optimiser.reading.written_numbers import CURRENCIES_OF_SIGN, taken_apart

NEARLY_A_HEADING = 0.8
"""A heading at least this like a known one is taken for a misspelling of it."""

CELLS_COMPARED = 20
"""So many cells tell what a column holds."""

INSTEAD = {
    "free_delivery_from": "no delivery is counted as free",
    "minimum_order": "no supplier's least order is counted",
    "delivery": "delivery is counted as 0",
    "in_stock": "nothing is counted as in stock",
    "currency": "the currency is taken from the brief",
    "supplier": "no row has a supplier",
}
"""What is counted in place of a missing column."""

_ORDER_WORDS = frozenset({"min", "minimum", "least", "order", "moq"})
_SUPPLIER_WORDS = frozenset(
    {"vendor", "seller", "shop", "store", "merchant", "company", "lieferant", "fournisseur"}
)

_CURRENCY = re.compile(r"[A-Z]{3}")


def check_other_columns(sheet: Sheet, known: Sequence[str], findings: Findings) -> None:
    """Note columns that are not used, and misspelt headings as mistakes.

    A column that is not used may be one that is known under another heading, such as
    `postage` for `delivery`; where the known one is missing, the remark says what is counted
    in its place.

    Args:
        sheet: The price list.
        known: Every heading that it may have.
        findings: Where mistakes and remarks are noted.
    """
    positions = {sheet.position(heading) for heading in known}
    for place, heading in enumerate(sheet.headings):
        if place in positions or not heading:
            continue
        near = nearest(heading, [(fold(one), (one,)) for one in known], NEARLY_A_HEADING)
        if near:
            problem = f"no such column; write {near[0]}, or another heading for a note"
            findings.wrong(sheet.at(sheet.heading_row, heading), problem)
        else:
            missing = _missing(sheet, heading)
            findings.remark(sheet.file, f"{missing}the column {quoted(heading)} is not used")


def _missing(sheet: Sheet, heading: str) -> str:
    """What is counted in place of the columns that this one may stand for, or nothing."""
    if fold(heading) in NOTE_HEADINGS:
        return ""
    cells = [cell for _, cell in sheet.column(heading)[:CELLS_COMPARED]]
    name = _likely_name(heading, cells)
    if not name or sheet.position(name) is not None:
        return ""
    return f"no column {quoted(name)}, so {INSTEAD[name]}; "


def _likely_name(heading: str, cells: Sequence[Cell]) -> str:
    """The known heading that a column may stand for, by its cells and its words, or nothing."""
    words = set(fold(heading).split())
    if not cells:
        return ""
    if all(map(_is_money, cells)):
        if "free" in words:
            return "free_delivery_from"
        return "minimum_order" if words & _ORDER_WORDS else "delivery"
    if all(map(_is_weight, cells)):
        return "in_stock"
    if all(map(_is_currency, cells)):
        return "currency"
    return "supplier" if words & _SUPPLIER_WORDS else ""


def _is_money(cell: Cell) -> bool:
    if isinstance(cell, Money):
        return True
    try:
        return not taken_apart(cell_text(cell)).percent
    except Problem:
        return False


def _is_weight(cell: Cell) -> bool:
    if not isinstance(cell, str):
        return False
    try:
        pack_taken_apart(cell)
    except Problem:
        return False
    return True


def _is_currency(cell: Cell) -> bool:
    text = cell_text(cell)
    return text in CURRENCIES_OF_SIGN or bool(_CURRENCY.fullmatch(text))
