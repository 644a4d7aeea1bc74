"""Kinds, groups and ingredients: what a name may stand for, and who is meant by it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TypeVar

from optimiser.ingredient import Book, Kind
from optimiser.reading.names import Names, fold, one_of
from optimiser.reading.wording import listed

Said = TypeVar("Said")


def subject_names(groups: Mapping[str, tuple[str, ...]], ingredients: Names) -> Names:
    """How kinds, groups and ingredients may be called.

    Args:
        groups: The maker's own groups.
        ingredients: How ingredients may be called.
    """
    # A group that is called like a kind is a mistake told elsewhere.
    own = [group for group in groups if fold(group) not in set(Kind)]
    kinds_and_groups = one_of([*(kind.value for kind in Kind), *own], "").spellings
    # A kind or group keeps its name even where an own ingredient has it too.
    return Names(
        "kind, group or ingredient",
        {**ingredients.spellings, **kinds_and_groups},
        ingredients.complete,
        f"the kinds are {listed(list(Kind), 'and')}; a group is made in [groups]",
    )


def by_ingredient(
    said: Iterable[tuple[str, Said]], book: Book, groups: Mapping[str, tuple[str, ...]]
) -> tuple[dict[str, Said], list[tuple[str, str, str]]]:
    """What is said of each ingredient, where it is said of kinds and groups as well.

    What is said of an ingredient itself goes before what is said of a group it is in, and
    that before what is said of its kind.

    Args:
        said: A subject's id and what is said of it.
        book: The ingredients.
        groups: The maker's own groups.

    Returns:
        What is said by ingredient id, and for each contradiction the ingredient and the two
        subjects that speak of it with equal right.
    """
    ranked: dict[str, tuple[int, str, Said]] = {}
    clashes: list[tuple[int, str, str, str]] = []
    for subject, what in said:
        rank = 0 if subject in set(Kind) else 1 if subject in groups else 2
        for name in _members(subject, book, groups):
            known = ranked.get(name)
            if known is not None and known[0] == rank and known[2] != what:
                clashes.append((rank, name, known[1], subject))
            if known is None or known[0] < rank:
                ranked[name] = (rank, subject, what)
    # What is said of the ingredient itself, before or after, settles a clash of its groups.
    contradictions = [
        (name, one, other) for rank, name, one, other in clashes if ranked[name][0] == rank
    ]
    return {name: what for name, (_, _, what) in ranked.items()}, contradictions


def _members(subject: str, book: Book, groups: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    if subject in set(Kind):
        return tuple(name for name, one in book.ingredients.items() if one.kind == subject)
    return groups.get(subject, (subject,))
