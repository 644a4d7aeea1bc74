"""A constraint-based formula optimiser for water-free skin butters, balms and scrubs.

>>> import optimiser
>>> answer = optimiser.formulate("brief.toml")          # doctest: +SKIP
>>> float(answer.measures.cost_per_kg)                  # doctest: +SKIP
>>> optimiser.frames(answer)["formula"]                 # doctest: +SKIP
"""

from __future__ import annotations

TYPE_CHECKING = False
"""As type checkers know it; until `typing` were loaded, Ctrl-C would give a traceback."""

if TYPE_CHECKING:
    from pathlib import Path
    from typing import Any

    import pandas

    from optimiser.answers.cheapest import Cheapest
    from optimiser.answers.repricing import Repricing
    from optimiser.tables import Answer

__version__ = "0.1.0"
__all__ = ["formulate", "frames", "reprice"]


def formulate(brief: str | Path) -> Cheapest:
    """Read a brief with all it refers to; find, explain and prove its cheapest formula.

    In a notebook the answer shows itself as the page that `--out report.html` writes.

    Args:
        brief: The brief's TOML file.

    Raises:
        InputError: With every mistake in the files.
    """
    from optimiser.answers.cheapest import cheapest
    from optimiser.present.notebook import show_answers
    from optimiser.reading import read_request

    show_answers()
    return cheapest(read_request(brief))


def reprice(brief: str | Path, **asked: Any) -> Repricing:
    """Read a brief and answer what is asked of prices.

    Args:
        brief: The brief's TOML file.
        asked: What is asked, named as the options of the command: `price` (a list of texts
            such as `cocoa-butter=+10%`), `prices`, `sweep`, `sweep_limit`, `start`, `end`,
            `spread`, `draws`, `seed`, `together`, `scenarios`, `at_most`, `in_use`. Numbers
            other than `draws`, `seed` and `at_most` are texts, as on the command line.

    Raises:
        InputError: With every mistake in the files and what is asked.
    """
    from pathlib import Path

    from optimiser.commands.reprice import Asked, answered
    from optimiser.present.notebook import show_answers
    from optimiser.reading import read_request

    show_answers()
    return answered(read_request(brief), Path(brief), Asked(**asked))


def frames(answer: Answer) -> dict[str, pandas.DataFrame]:
    """All tables of an answer as DataFrames by name."""
    from optimiser.tables import frames as all_frames

    return all_frames(answer)
