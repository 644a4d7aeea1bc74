"""Finding the thing a maker means by a name, and the nearest ones where there is none."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from unicodedata import normalize

from optimiser.brief import COST
from optimiser.ingredient import Book
from optimiser.reading.findings import Problem
from optimiser.reading.wording import listed

LIKE_ENOUGH = 0.6
"""Least likeness (difflib's ratio, 0 to 1) at which a known name is offered."""

NEARLY_AS_LIKE = 0.1
"""Names are offered together when their likeness is within this of the best."""

WORDS_IN_COMMON = 0.9
"""Likeness of a name whose words all stand in a known one, as those of `unrefined shea` do."""

MOST_OFFERED = 4
"""So many names at most are offered."""

LONGEST_NAME = 200
"""Longer texts are no misspelling, and comparing them would take seconds, in characters."""

MOST_SEARCHED = 500
"""So many unknown names are compared with the known ones; later ones are only called unknown."""

_WORD = re.compile(r"[^\W_]+")

_TOTALS = frozenset(
    {"total", "totals", "sum", "together", "in total", "in all", "grand total", "total weight"}
    | {"subtotal", "sub total", "summe", "gesamt", "gesamtsumme", "insgesamt", "zwischensumme"}
    | {"gesamtgewicht", "somme", "total général", "total general", "sous total", "poids total"}
    | {"suma", "suma total", "peso total", "importe total", "totaal", "som", "totaalgewicht"}
    | {"subtotaal", "totale", "somma", "totale generale", "peso totale", "subtotale"}
)
"""What totals are called in English, German, French, Spanish, Dutch and Italian."""

ADD_INGREDIENT = "add it in a sheet of your own ([shelf] sheets)"
ADD_PROPERTY = "a sheet of your own may bring it as a column ([shelf] sheets)"


class UnknownName(Problem):
    """Nothing has this name."""


def fold(name: str) -> str:
    """The name without regard to case, and to blanks, hyphens or underscores between words.

    Example:
        >>> fold("  Mango-Butter "), fold("solid_fat_20C")
        ('mango butter', 'solid fat 20c')
    """
    if not name.isascii():
        # One letter with an accent is the same as a letter and an accent behind it.
        name = normalize("NFC", name)
    return " ".join(name.casefold().replace("-", " ").replace("_", " ").split())


@dataclass(frozen=True, slots=True)
class Names:
    """The names by which things of one sort may be called.

    Attributes:
        what: The sort, as a message calls it, such as `ingredient`.
        spellings: The ids behind each folded name; more than one where they share it.
        complete: False when a file that may bring more names could not be read, so that an
            unknown name proves nothing.
        otherwise: What to do where no known name is near, as the end of a sentence.
        everyday: The folded names that are only everyday ones, which a group may take.
        searched: The nearest names of those looked up so far, by folded name: a search costs
            a millisecond, and a wrong file can hold 20,000 unknown names.
    """

    what: str
    spellings: Mapping[str, tuple[str, ...]]
    complete: bool = True
    otherwise: str = ""
    everyday: frozenset[str] = frozenset()
    searched: dict[str, list[str]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def known(self, name: str) -> bool:
        """Whether something, or several things, are called so."""
        return fold(name) in self.spellings

    def find(self, name: str) -> str:
        """The id of what is called so.

        Raises:
            UnknownName: Nothing is; the text offers the nearest names.
            Problem: Several things are; the text names their ids.
        """
        found = self.spellings.get(fold(name), ())
        if len(found) == 1:
            return found[0]
        if found:
            raise Problem(f"several {plural(self.what)} have this name; write {listed(found)}")
        raise UnknownName(f"no such {self.what}{self.offer(name)}")

    def offer(self, name: str) -> str:
        """`; nearest: ...` with the ids whose names are most like this one, or what else to do."""
        near = self.nearest(name)
        if near:
            return f"; nearest: {', '.join(near)}"
        return f"; {self.otherwise}" if self.otherwise else ""

    def nearest(self, name: str) -> list[str]:
        """The ids whose names are most like this one, best first; often none."""
        folded = fold(name[:LONGEST_NAME])
        if folded not in self.searched:
            if len(self.searched) >= MOST_SEARCHED:
                return []
            self.searched[folded] = nearest(folded, self.spellings.items())
        return list(self.searched[folded])


def plural(what: str) -> str:
    """The plural of a sort of thing."""
    return what[:-1] + "ies" if what.endswith("y") else what + "s"


def nearest(
    name: str, spellings: Iterable[tuple[str, tuple[str, ...]]], like_enough: float = LIKE_ENOUGH
) -> list[str]:
    """The ids whose folded spellings are most like the name, best first.

    A name whose words all stand in known ones is answered with those, the shortest first:
    `shea` with both shea butters. Only where there are none does likeness of spelling count.

    Args:
        name: What was written.
        spellings: Folded names, each with the ids it stands for.
        like_enough: The least likeness, 0 to 1, at which an id is offered.

    Example:
        >>> nearest("almond", [("sweet almond oil", ("a",)), ("almonds", ("b",))])
        ['a']
    """
    folded = fold(name[:LONGEST_NAME])
    known = list(spellings)
    if like_enough <= WORDS_IN_COMMON:
        offered = _with_these_words(folded, known)
        if offered:
            return offered
    matcher = difflib.SequenceMatcher(autojunk=False)
    matcher.set_seq2(folded)
    likeness: dict[str, float] = {}
    for spelling, ids in known:
        matcher.set_seq1(spelling)
        if matcher.real_quick_ratio() < like_enough or matcher.quick_ratio() < like_enough:
            continue
        ratio = matcher.ratio()
        for identifier in ids:
            likeness[identifier] = max(ratio, likeness.get(identifier, 0.0))
    least = max(like_enough, max(likeness.values(), default=0.0) - NEARLY_AS_LIKE)
    close = [one for one, ratio in likeness.items() if ratio >= least]
    return sorted(close, key=lambda one: -likeness[one])[:MOST_OFFERED]


def _with_these_words(folded: str, known: Iterable[tuple[str, tuple[str, ...]]]) -> list[str]:
    """The ids with a spelling that has all words of the name, those of fewest words first."""
    words = set(_WORD.findall(folded))
    if not words:
        return []
    fewest: dict[str, int] = {}
    for spelling, ids in known:
        # Looking for the letters first spares most spellings the taking apart.
        if not all(word in spelling for word in words):
            continue
        own = _WORD.findall(spelling)
        if words.issubset(own):
            for identifier in ids:
                fewest[identifier] = min(len(own), fewest.get(identifier, len(own)))
    return sorted(fewest, key=lambda one: fewest[one])[:MOST_OFFERED]


def is_total(name: str, names: Names) -> bool:
    """Whether a name announces a total and belongs to no ingredient."""
    return fold(name.strip(" :=")) in _TOTALS and not names.known(name)


def one_of(known: Iterable[str], what: str) -> Names:
    """Names where each thing has its id as its only name."""
    spellings: dict[str, tuple[str, ...]] = {}
    for identifier in known:
        spellings[fold(identifier)] = (*spellings.get(fold(identifier), ()), identifier)
    return Names(what, spellings)


def ingredient_names(book: Book, complete: bool = True) -> Names:
    """Every id, common name, INCI name and everyday name of the book.

    An id is never ambiguous, and an everyday name is nothing but what no other name says.
    """
    by_id = {fold(identifier): (identifier,) for identifier in book.ingredients}
    shared: dict[str, tuple[str, ...]] = {}
    for identifier, ingredient in book.ingredients.items():
        # What a blend consists of is no name of it.
        inci_name = "" if ingredient.parts else fold(ingredient.inci_name)
        for name in {fold(ingredient.common_name), inci_name}:
            if name and name not in by_id:
                shared[name] = (*shared.get(name, ()), identifier)
    spellings = by_id | shared
    everyday = {
        fold(name): ids for name, ids in book.other_names.items() if fold(name) not in spellings
    }
    return Names("ingredient", everyday | spellings, complete, ADD_INGREDIENT, frozenset(everyday))


def property_names(book: Book, complete: bool = True) -> Names:
    """Every property that a limit may name, `cost` included."""
    known = one_of([*book.properties, COST], "property")
    return replace(known, complete=complete, otherwise=ADD_PROPERTY)
