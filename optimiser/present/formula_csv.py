"""A formula as a CSV file that every command reads again."""

from __future__ import annotations

from optimiser.answers.measures import Measures
from optimiser.present.csv_text import csv_text
from optimiser.present.numbers import shares_adding_up

DECIMALS = 6


def formula_text(measures: Measures) -> str:
    """The columns `ingredient,percent`; the shares add up to 100 as printed."""
    percents = shares_adding_up([share.percent for share in measures.formula], DECIMALS)
    rows = [
        (share.ingredient, percent.rstrip("0").rstrip("."))
        for share, percent in zip(measures.formula, percents, strict=True)
    ]
    return csv_text([("ingredient", "percent"), *rows])
