"""One table of an answer: a DataFrame, and what a maker calls its columns."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING

from optimiser.brief import Brief

if TYPE_CHECKING:
    import pandas


class Holds(StrEnum):
    """What the cells of a column are.

    `KEY`: a name for programs, which a maker's sheet leaves out. `MONEY`: told with cents;
    `LOWEST_PRICE`: money that is no price where it is below 0; `RATE`: money of which a part
    of a cent counts. `PERCENT`: 0 to 100; `PART`: 0 to 1. `WEIGHT`: grams on a scale, all with
    its decimals.
    `FIGURE`: a measured level; `BOUND`: a bound, of which every digit may count.
    """

    KEY = "key"
    WORDS = "words"
    YES_NO = "yes or no"
    MONEY = "money"
    LOWEST_PRICE = "lowest price"
    RATE = "rate"
    PERCENT = "percent"
    PART = "part"
    WEIGHT = "weight"
    FIGURE = "figure"
    BOUND = "bound"
    COUNT = "count"


TYPES = {Holds.KEY: "object", Holds.WORDS: "object", Holds.YES_NO: "boolean"}
"""The type of a DataFrame's column where it is not a float."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table.

    Attributes:
        name: Its name in the DataFrame.
        heading: What a maker calls it.
        holds: What its cells are.
        unit: The unit of every row, or empty where there is none or rows have their own.
        priced_by: For shares of a formula: the name of the column with the prices per kg of
            its ingredients, or empty.
    """

    name: str
    heading: str
    holds: Holds = Holds.WORDS
    unit: str = ""
    priced_by: str = ""


@dataclass(frozen=True, eq=False)
class Table:
    """One table of an answer.

    Attributes:
        title: What a maker calls it.
        columns: Its columns, in the order of the frame's.
        frame: Its rows.
        adds_up: Whether the rows are the ingredients of formulas, so that percentages and
            parts have a sum.
    """

    title: str
    columns: tuple[Column, ...]
    frame: pandas.DataFrame
    adds_up: bool = False

    def titled(self, title: str) -> Table:
        """The same under another title."""
        return replace(self, title=title)


INGREDIENT = Column("ingredient", "id", Holds.KEY)
NAME = Column("name", "ingredient")
LIMIT = Column("limit", "where the brief says it")
SAID = Column("said", "limit")
UNIT = Column("unit", "unit")
PERCENT = Column("percent", "percent", Holds.PERCENT)


def per_kg(brief: Brief) -> str:
    """The unit of the brief's costs and prices."""
    return f"{brief.currency} per kg".strip()


def floated(value: Fraction | float | None) -> float:
    """A number as a float; what is not known as nan."""
    return float("nan") if value is None else float(value)


def table(
    title: str,
    columns: Sequence[Column],
    rows: Iterable[tuple[object, ...]],
    adds_up: bool = False,
) -> Table:
    """Rows as a table; numbers are floats, and one without rows keeps its columns."""
    import pandas

    frame = pandas.DataFrame(list(rows), columns=[column.name for column in columns])
    types = {column.name: TYPES.get(column.holds, "float64") for column in columns}
    return Table(title, tuple(columns), frame.astype(types), adds_up)


def with_formulas(beside: Table, formulas: Table) -> Table:
    """A table with a column for each ingredient of the formulas that belong to its rows.

    Args:
        beside: A row for each formula.
        formulas: The formulas in long form: number of the row, `ingredient`, `name`, `percent`.
    """
    import pandas

    number, frame = formulas.columns[0].name, formulas.frame
    wide = frame.pivot(index=number, columns="ingredient", values="percent").fillna(0.0)
    wide = wide[wide.max().sort_values(ascending=False, kind="stable").index]
    names = dict(zip(frame["ingredient"], frame["name"], strict=True))
    added = [Column(str(id_), names[id_], Holds.PERCENT, "%") for id_ in wide.columns]
    joined = pandas.concat([beside.frame, wide.reset_index(drop=True)], axis=1)
    return replace(beside, columns=(*beside.columns, *added), frame=joined)
