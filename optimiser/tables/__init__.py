"""Answers as tables: DataFrames with plain names, and what a maker calls their columns."""

from __future__ import annotations

from typing import TYPE_CHECKING

from optimiser.tables.sheets import Answer, tables

if TYPE_CHECKING:
    import pandas

__all__ = ["Answer", "frames"]


def frames(answer: Answer) -> dict[str, pandas.DataFrame]:
    """All tables of an answer by name; numbers are floats, what is not known is nan."""
    return {name: table.frame for name, table in tables(answer).items()}
