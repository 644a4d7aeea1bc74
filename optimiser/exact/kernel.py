"""Bases, and the exact inverse of the part of a basis that has to be inverted.

Pivots preserve integers: all entries are minors of the integer matrix, so each division
leaves no remainder (Edmonds 1967, "Systems of distinct representatives and linear algebra",
J. Res. NBS 71B; Bareiss 1968, Math. Comp. 22).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from optimiser.exact.integer_program import IntegerProgram, Integers


class Rest(StrEnum):
    """Where a variable of a basis is."""

    BASIC = "basic"
    LOWER = "lower"
    UPPER = "upper"


@dataclass(frozen=True, slots=True)
class Basis:
    """Which columns and rows are basic, and at which bound the others rest."""

    columns: tuple[Rest, ...]
    rows: tuple[Rest, ...]


def pivoted(table: Integers, divisor: int, row: int, column: int) -> tuple[Integers, int]:
    """Exchange the variable of one row with that of one column.

    Returns the new table and its divisor, which is positive.
    """
    pivot = table[row, column]
    old_row, old_column = table[row].copy(), table[:, column].copy()
    new = (table * pivot - np.multiply.outer(old_column, old_row)) // divisor
    new[row] = -old_row
    new[:, column] = old_column
    new[row, column] = divisor
    return (new, pivot) if pivot > 0 else (-new, -pivot)


@dataclass(frozen=True, eq=False)
class Kernel:
    """The inverse of the square part of a basis: its columns within its binding rows.

    Attributes:
        columns: The basic columns, (k,).
        rows: The rows held at a bound, (k,), paired by the elimination.
        inverse: columns = inverse . rows / divisor where other columns are 0, (k, k).
        divisor: Positive.
    """

    columns: tuple[int, ...]
    rows: tuple[int, ...]
    inverse: Integers
    divisor: int

    @classmethod
    def of(cls, program: IntegerProgram, columns: Sequence[int], rows: Sequence[int]) -> Kernel:
        """Invert, leaving out columns and rows that turn out to depend on others."""
        table, divisor = program.matrix[np.ix_(list(rows), list(columns))], 1
        row_of: dict[int, int] = {}
        open_rows = list(range(len(rows)))
        for column in range(len(columns)):
            chosen = next((row for row in open_rows if table[row, column]), None)
            if chosen is None:
                continue
            table, divisor = pivoted(table, divisor, chosen, column)
            row_of[column] = chosen
            open_rows.remove(chosen)
        # After an exchange the table's row stands for the column and the reverse.
        kept = list(row_of)
        paired = [row_of[column] for column in kept]
        return cls(
            columns=tuple(columns[column] for column in kept),
            rows=tuple(rows[row] for row in paired),
            inverse=table[np.ix_(paired, kept)],
            divisor=divisor,
        )
