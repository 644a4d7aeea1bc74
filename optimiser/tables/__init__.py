"""Answers as pandas DataFrames: numbers as floats, units in the column names."""

from __future__ import annotations

from typing import TYPE_CHECKING

from optimiser.answers.cheapest import Cheapest
from optimiser.answers.repricing import Repricing
from optimiser.tables.cheapest import cheapest_frames
from optimiser.tables.repricing import repricing_frames

if TYPE_CHECKING:
    import pandas


def frames(answer: Cheapest | Repricing) -> dict[str, pandas.DataFrame]:
    """All tables of an answer by name."""
    if isinstance(answer, Repricing):
        return repricing_frames(answer)
    return cheapest_frames(answer)
