"""Records of what a label has to say besides names and weights."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from optimiser.provenance import Origin

_BRACKETS = re.compile(r"\s*\([^)]*\)")


def folded_name(name: str) -> str:
    """An INCI name in one case, blanks and hyphens alike, for comparing."""
    return " ".join(name.casefold().replace("-", " ").split())


def plain_name(name: str) -> str:
    """The same without everyday names in brackets.

    Example:
        >>> plain_name("Lavandula Angustifolia (Lavender) Oil")
        'lavandula angustifolia oil'
    """
    return folded_name(_BRACKETS.sub("", name))


class Region(StrEnum):
    """Where the jar is sold, which decides what its label says."""

    EU = "eu"
    UK = "uk"
    US = "us"

    @property
    def in_words(self) -> str:
        """What a sentence calls it."""
        return {"eu": "European Union", "uk": "Great Britain", "us": "United States"}[self]

    @property
    def is_european(self) -> bool:
        """Whether Article 19 of Regulation (EC) 1223/2009 holds, as law or as retained law."""
        return self is not Region.US


@dataclass(frozen=True, slots=True)
class Colour:
    """A colourant and the number by which a list names it.

    Attributes:
        name: Its INCI name.
        ci_number: Such as `CI 77891`, or empty where it has none.
        ingredient: The ingredient that is this colour and nothing else, or empty.
        status: How the number was read, as for a figure.
        source: The id of the source.
        note: What is in doubt, or empty.
        origin: The row of the shipped table.
    """

    name: str
    ci_number: str
    ingredient: str
    status: str
    source: str
    note: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class MadeFrom:
    """What an ingredient comes from, where people have to know of it.

    Attributes:
        ingredient: Its id.
        of: The plant or animal, such as `almond`.
        how: `made from`, or less certain, such as `often made from`.
        food_lists: The regions whose lists of food allergens name it; these are food law.
        status: How it was read, as for a figure.
        source: The id of the source.
        note: A remark, or empty.
        origin: The row of the shipped table.
    """

    ingredient: str
    of: str
    how: str
    food_lists: frozenset[Region]
    status: str
    source: str
    note: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class LabelQuestion:
    """What a supplier has to be asked of an ingredient before its names are known."""

    ingredient: str
    question: str
    status: str
    source: str
    origin: Origin


class Says(StrEnum):
    """What a rule of a label is to a draft: something to know, or something still missing."""

    NOTE = "note"
    NEEDS = "needs"


@dataclass(frozen=True, slots=True)
class LabelRule:
    """Something that the law of a region wants of a label, or that is to be known of it.

    Attributes:
        regions: Where it holds.
        says: Whether it is a note or something that the formula cannot tell.
        when: `always`, `scent` (there is one), `net` (a net weight is given), `net pound`
            (it is a pound or more), or the name of an allergen that is in the product.
        text: The sentence, or what is needed.
        status: How it was read, as for a figure.
        source: The id of the source.
        origin: The row of the shipped table.
    """

    regions: frozenset[Region]
    says: Says
    when: str
    text: str
    status: str
    source: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class LabelTables:
    """All that is shipped about labels.

    Attributes:
        colours: Colourants with their CI numbers.
        made_from: What ingredients come from.
        questions: What to ask of suppliers.
        rules: What the law of a region wants besides.
    """

    colours: tuple[Colour, ...] = ()
    made_from: tuple[MadeFrom, ...] = ()
    questions: tuple[LabelQuestion, ...] = ()
    rules: tuple[LabelRule, ...] = ()


NO_LABELS = LabelTables()
"""Nothing known of labels."""
