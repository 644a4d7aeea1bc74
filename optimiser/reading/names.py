"""Finding the thing a maker means by a name, and the nearest ones where there is none."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from optimiser.brief import COST
from optimiser.ingredient import Book
from optimiser.reading.findings import Problem
from optimiser.reading.wording import listed

LIKE_ENOUGH = 0.6
"""Least likeness (difflib's ratio, 0 to 1) at which a known name is offered."""

NEARLY_AS_LIKE = 0.1
"""Names are offered together when their likeness is within this of the best."""

WORDS_IN_COMMON = 0.9
"""Least likeness of a name whose words all stand in the other, as shea butter in refined."""

MOST_OFFERED = 4
"""So many names at most are offered."""

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
    """

    what: str
    spellings: Mapping[str, tuple[str, ...]]
    complete: bool = True
    otherwise: str = ""

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
        return nearest(name, self.spellings.items())


def plural(what: str) -> str:
    """The plural of a sort of thing."""
    return what[:-1] + "ies" if what.endswith("y") else what + "s"


def nearest(
    name: str, spellings: Iterable[tuple[str, tuple[str, ...]]], like_enough: float = LIKE_ENOUGH
) -> list[str]:
    """The ids whose folded spellings are most like the name, best first.

    Args:
        name: What was written.
        spellings: Folded names, each with the ids it stands for.
        like_enough: The least likeness, 0 to 1, at which an id is offered.
    """
    # A very long text is no misspelling, and comparing it would take seconds.
    folded = fold(name[:200])
    words = set(folded.split())
    matcher = difflib.SequenceMatcher(autojunk=False)
    matcher.set_seq2(folded)
    likeness: dict[str, float] = {}
    for spelling, ids in spellings:
        matcher.set_seq1(spelling)
        if words and words.issubset(spelling.split()):
            ratio = max(matcher.ratio(), WORDS_IN_COMMON)
        elif matcher.real_quick_ratio() < like_enough or matcher.quick_ratio() < like_enough:
            continue
        else:
            ratio = matcher.ratio()
        for identifier in ids:
            likeness[identifier] = max(ratio, likeness.get(identifier, 0.0))
    least = max(like_enough, max(likeness.values(), default=0.0) - NEARLY_AS_LIKE)
    close = [one for one, ratio in likeness.items() if ratio >= least]
    return sorted(close, key=lambda one: -likeness[one])[:MOST_OFFERED]


def one_of(known: Iterable[str], what: str) -> Names:
    """Names where each thing has its id as its only name."""
    spellings: dict[str, tuple[str, ...]] = {}
    for identifier in known:
        spellings[fold(identifier)] = (*spellings.get(fold(identifier), ()), identifier)
    return Names(what, spellings)


def ingredient_names(book: Book, complete: bool = True) -> Names:
    """Every id, common name and INCI name of the book; an id is never ambiguous."""
    by_id = {fold(identifier): (identifier,) for identifier in book.ingredients}
    shared: dict[str, tuple[str, ...]] = {}
    for identifier, ingredient in book.ingredients.items():
        for name in {fold(ingredient.common_name), fold(ingredient.inci_name)}:
            if name and name not in by_id:
                shared[name] = (*shared.get(name, ()), identifier)
    return Names("ingredient", by_id | shared, complete, ADD_INGREDIENT)


def property_names(book: Book, complete: bool = True) -> Names:
    """Every property that a limit may name, `cost` included."""
    known = one_of([*book.properties, COST], "property")
    return replace(known, complete=complete, otherwise=ADD_PROPERTY)
