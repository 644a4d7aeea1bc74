"""One DataFrame: text columns as they are, all others as floats."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas

WORDS = frozenset(
    {
        "ingredient",
        "name",
        "kind",
        "property",
        "unit",
        "trust",
        "limit",
        "missing",
        "needed_by",
        "of",
    }
)
"""Columns of text; all others are numbers."""


def floated(value: Fraction | float | None) -> float:
    """A number as a float; what is not known as nan."""
    return float("nan") if value is None else float(value)


def table(names: Sequence[str], rows: Sequence[tuple[object, ...]]) -> pandas.DataFrame:
    """Rows as a DataFrame; one without rows keeps its columns."""
    import pandas

    frame = pandas.DataFrame(rows, columns=list(names))
    return frame.astype({name: float for name in names if name not in WORDS})
