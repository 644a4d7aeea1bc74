"""The cells of a table of a maker's own, before anything is made of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from optimiser.provenance import plain_number


@dataclass(frozen=True, slots=True)
class Money:
    """A number that a workbook shows with a currency.

    Attributes:
        amount: The number.
        currency: The sign or code beside it.
    """

    amount: Decimal
    currency: str


Cell = str | Decimal | Money | date
"""Text as written, or a number or date as a workbook stores it."""

NumberedRow = tuple[int, list[Cell]]
"""A row with its number as a spreadsheet shows it, from 1."""


def is_blank(cell: Cell) -> bool:
    """Whether nothing stands in the cell."""
    return isinstance(cell, str) and not cell.strip()


def cell_text(cell: Cell) -> str:
    """The cell as text, blanks around it removed."""
    if isinstance(cell, Money):
        return f"{cell.currency} {cell_text(cell.amount)}"
    if isinstance(cell, Decimal):
        # Beyond that a number is no sensible one, and writing it out could take gigabytes.
        short = cell.is_finite() and abs(cell.adjusted()) < 20
        return plain_number(cell) if short else str(cell)
    return cell.isoformat() if isinstance(cell, date) else cell.strip()
