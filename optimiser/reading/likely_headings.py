"""Whether the heading of a new property is likely that of a known one, misspelt or cut short.

It is looked at word by word, since one letter makes another thing of a property: vitamin A is
not vitamin E, solid fat at 15 C is not solid fat at 10 C, and unsaturated is not saturated.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence

from optimiser.reading.names import LONGEST_NAME, MOST_OFFERED

ALIKE = 0.8
"""Least likeness (difflib's ratio, 0 to 1) of two words of which one may be a misspelling."""

SHORTEST_MISSPELLING = 4
"""Shorter words are the same or different, in letters."""

SHORTEST_BEGINNING = 3
"""A shorter word is no abbreviation, in letters."""

_WORD = re.compile(r"[0-9]+|[^\W\d_]+")

_SAYING_NOTHING = frozenset(
    ["100", "acid", "acids", "content", "fat", "fats", "figure", "g", "in", "kg", "mg", "of"]
    + ["per", "percent", "typical", "value"]
)
"""Words that may follow the name of a property and do not change what it is."""

_SAME = {"number": "value"}
"""The iodine number is the iodine value."""


def likely_headings(heading: str, titles: Mapping[str, str]) -> list[str]:
    """The known headings that a new one may mean, those that it names most fully first.

    A heading is likely a known one where its words are those of the id or title, each as it
    is, misspelt by a letter or two, or cut short (`vit e`); where it stops after half of
    the letters or more (`iodine`); or where nothing but units and such words follow.

    Args:
        heading: The new heading.
        titles: The titles of the known ones, or nothing, by id.

    Example:
        >>> likely_headings("vitamine_e", {"vitamin_e": "vitamin E", "density": ""})
        ['vitamin_e']
        >>> likely_headings("vitamin_a", {"vitamin_e": "vitamin E", "density": ""})
        []
    """
    words = _words(heading[:LONGEST_NAME])
    found = {
        identifier: max(_share_named(words, _words(name)) for name in (identifier, title))
        for identifier, title in titles.items()
    }
    near = [identifier for identifier, share in found.items() if share]
    return sorted(near, key=lambda identifier: -found[identifier])[:MOST_OFFERED]


def _words(name: str) -> list[str]:
    """The words of a name and its numbers, in lower case."""
    return [_SAME.get(word, word) for word in _WORD.findall(name.casefold())]


def _share_named(words: Sequence[str], known: Sequence[str]) -> float:
    """How much of a known name the words stand for, 0 to 1; 0 where they mean another thing."""
    if not words or not known:
        return 0.0
    if "".join(words) == "".join(known):
        return 1.0
    pairs = list(zip(words, known, strict=False))
    if not all(_alike(word, other) for word, other in pairs):
        return 0.0
    if not _SAYING_NOTHING.issuperset(words[len(known) :]):
        return 0.0
    share = sum(len(other) for _, other in pairs) / len("".join(known))
    return share if share >= 0.5 else 0.0


def _alike(word: str, known: str) -> bool:
    """Whether a word is the known one, its beginning, or a misspelling of it."""
    if word == known:
        return True
    if word.isdigit() or known.isdigit() or word[0] != known[0]:
        return False
    if len(word) >= SHORTEST_BEGINNING and known.startswith(word):
        return True
    if min(len(word), len(known)) < SHORTEST_MISSPELLING:
        return False
    return difflib.SequenceMatcher(None, word, known, autojunk=False).ratio() >= ALIKE
