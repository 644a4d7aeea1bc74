"""A formula as a CSV file that every command reads again."""

from __future__ import annotations

import csv
import io

from optimiser.answers.measures import Measures
from optimiser.present.numbers import shares_adding_up

DECIMALS = 6


def formula_text(measures: Measures) -> str:
    """The columns `ingredient,percent`; the shares add up to 100 as printed."""
    percents = shares_adding_up([share.percent for share in measures.formula], DECIMALS)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("ingredient", "percent"))
    for share, percent in zip(measures.formula, percents, strict=True):
        writer.writerow((share.ingredient, percent.rstrip("0").rstrip(".")))
    return out.getvalue()
