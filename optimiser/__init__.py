"""A constraint-based formula optimiser for water-free skin butters, balms and scrubs.

>>> import optimiser
>>> answer = optimiser.formulate("brief.toml")          # doctest: +SKIP
>>> float(answer.measures.cost_per_kg)                  # doctest: +SKIP
>>> optimiser.frames(answer)["formula"]                 # doctest: +SKIP
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    import pandas

    from optimiser.answers.cheapest import Cheapest

__version__ = "0.1.0"
__all__ = ["formulate", "frames"]


def formulate(brief: str | Path) -> Cheapest:
    """Read a brief with all it refers to; find, explain and prove its cheapest formula.

    Args:
        brief: The brief's TOML file.

    Raises:
        InputError: With every mistake in the files.
    """
    from optimiser.answers.cheapest import cheapest
    from optimiser.reading import read_request

    return cheapest(read_request(brief))


def frames(answer: Cheapest) -> dict[str, pandas.DataFrame]:
    """All tables of an answer as DataFrames by name."""
    from optimiser.tables import frames as all_frames

    return all_frames(answer)
