"""Shipped tables, read strictly: commas, points, UTF-8, fixed headings; nothing is guessed."""

from __future__ import annotations

import csv
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from importlib.resources.abc import Traversable
from typing import TypeVar

from optimiser.provenance import Mistake, Origin

PACKAGE = "ingredient_data"

COLUMNS = {
    "ingredients.csv": "ingredient,common_name,inci_name,cas,kind,allergen_note,status,source,note",
    "other_names.csv": "name,ingredient,note",
    "figures.csv": "ingredient,property,low,typical,high,unit,status,source,locator,note",
    "properties.csv": "property,title,unit,over,rule,trust,step,printed,meaning,source",
    "starting_limits.csv": "style,family,of,end,value,unit,status,note",
    "character.csv": "family,of,tolerance,unit,more,less,reason,status",
    "softening_pairs.csv": "first,second,status,source,note",
    "cautions.csv": "when,of,text,source,status,stands_on",
    "sources.csv": "source,citation,year",
    "constituents.csv": "ingredient,constituent,low,typical,high,status,source,note",
    "skin_limits.csv": (
        "limit,title,of,parts,but_not,categories,value,rule,source,locator,status,note,caution"
    ),
    "allergens.csv": "name,covers,list,leave_on,rinse_off,source,status,note",
    "colours.csv": "name,ci_number,ingredient,status,source,note",
    "origins.csv": "ingredient,origin,how,food_lists,status,source,note",
    "label_questions.csv": "ingredient,question,status,source",
    "label_rules.csv": "regions,says,when,text,status,source",
    "method.csv": (
        "style,order,phase,adds,only_with,step,low_C,high_C,low_minutes,high_minutes,status,note"
    ),
    "fill_tolerances.csv": "scheme,title,from_g,to_g,value,unit,source,locator,status",
}
"""The headings of each table."""

Word = TypeVar("Word", bound=StrEnum)


@dataclass(frozen=True, slots=True)
class Tables:
    """Where the tables are, and what is wrong with them."""

    folder: Traversable
    mistakes: list[Mistake]

    def rows(self, name: str) -> Iterator[tuple[Origin, list[str]]]:
        """The rows of a table below its headings, each with its place."""
        headings = COLUMNS[name].split(",")
        file = f"{PACKAGE}/{name}"
        try:
            text = (self.folder / name).read_text("utf-8")
            table = list(csv.reader(text.splitlines(keepends=True), strict=True))
        except (OSError, ValueError, csv.Error):
            self.wrong(Origin(file), "missing, or no table in UTF-8; install the package again")
            return
        if not table or table[0] != headings:
            self.wrong(Origin(file, 1), f"the headings must be {COLUMNS[name]}")
            return
        for number, cells in enumerate(table[1:], start=2):
            if len(cells) == len(headings):
                yield Origin(file, number), cells
            else:
                problem = f"{len(cells)} cells under {len(headings)} headings; fill the row up"
                self.wrong(Origin(file, number), problem)

    def wrong(self, at: Origin, problem: str) -> None:
        """Note a mistake."""
        self.mistakes.append(Mistake(at, problem))

    def new(self, at: Origin, identifier: str, known: Mapping[str, object]) -> bool:
        """Whether a row names something, and for the first time."""
        if identifier and identifier not in known:
            return True
        self.wrong(at, f"{identifier} stands twice; keep one row" if identifier else "no name")
        return False

    def word(self, at: Origin, text: str, words: type[Word], otherwise: Word) -> Word:
        """One of a few fixed words."""
        try:
            return words(text)
        except ValueError:
            self.wrong(at, f"{text!r} is none of {', '.join(words)}")
            return otherwise

    def number(self, at: Origin, text: str) -> Decimal:
        """A plain decimal number."""
        try:
            value = Decimal(text)
        except InvalidOperation:
            value = Decimal("NaN")
        if not value.is_finite():
            self.wrong(at, f"{text!r} is not a number")
            return Decimal(0)
        return value

    def known(self, at: Origin, text: str, known: Container[str], what: str) -> bool:
        """Whether something named in another table stands there."""
        if text in known:
            return True
        self.wrong(at, f"no such {what}: {text!r}")
        return False
