"""Sets of rows that cannot hold together, though any of them dropped lets the rest.

A Farkas proof names rows that suffice for the contradiction; deletion makes the set
irreducible (Chinneck and Dravnieks 1991, "Locating minimal infeasible constraint sets in
linear programs", ORSA J. Comput. 3; cited from memory). Every step is settled exactly.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from optimiser.exact.dictionary import Ending
from optimiser.exact.proof import Certificate
from optimiser.linear_model import Coefficients, LinearModel
from optimiser.solve import settle

MOST_OTHERS = 6
"""So many other sets are looked at for a smaller one."""

MOST_ROWS = 80
"""Of a larger model the first set at hand is taken: each other one costs hundreds of solves."""


def point_within(model: LinearModel) -> Certificate:
    """A point within all rows, or the proof that there is none; costs count as 0."""
    return settle(replace(model, cost=Coefficients((0,) * len(model.columns))))[1]


def conflicts(
    model: LinearModel, eased_first: Sequence[int] = (), most: int | None = None
) -> list[tuple[int, ...]]:
    """Irreducible sets of rows that cannot hold together, until nothing else clashes.

    After each set one of its rows is dropped, one of `eased_first` if it has any, and the
    next set is looked for, so that every knot shows. Of several sets at hand the smallest is
    taken. Rows that are no statements of the maker's hold throughout and are not named.

    Args:
        model: An impossible model.
        eased_first: Rows that are likely to be eased.
        most: Stop after so many sets.

    Raises:
        UnsettledError: A step could not be settled exactly.
    """
    found: list[tuple[int, ...]] = []
    dropped: set[int] = set()
    alternatives = MOST_OTHERS if len(model.rows) <= MOST_ROWS else 0
    while most is None or len(found) < most:
        first = _one_conflict(model, dropped)
        if not first:  # none, or nothing that was said is to blame
            break
        others = (_one_conflict(model, {*dropped, row}) for row in first[:alternatives])
        conflict = min(
            (rows for rows in (first, *others) if rows), key=lambda rows: (len(rows), rows)
        )
        found.append(conflict)
        ranked = [*eased_first, *(i for i in conflict if model.rows[i].may_be_eased), *conflict]
        dropped.add(next(i for i in ranked if i in conflict))
    return found


def _one_conflict(model: LinearModel, dropped: Iterable[int]) -> tuple[int, ...] | None:
    """An irreducible set among the rows that are not dropped; None where a point exists."""
    gone = set(dropped)
    rows = [i for i in range(len(model.rows)) if i not in gone]
    blamed = _blamed(model, rows)
    if blamed is None:
        return None
    given = [i for i in rows if not model.rows[i].is_said]
    # Rows that may be eased are tried first to stay: what is tried last is what is blamed.
    candidates = sorted(
        (i for i in blamed if model.rows[i].is_said), key=lambda i: model.rows[i].may_be_eased
    )
    needed: list[int] = []
    while candidates:
        row = candidates.pop(0)
        smaller = _blamed(model, [*given, *needed, *candidates])
        if smaller is None:
            needed.append(row)
        else:
            candidates = [i for i in candidates if i in smaller]
    return tuple(sorted(needed))


def _blamed(model: LinearModel, rows: list[int]) -> set[int] | None:
    """Which of some rows a proof of impossibility uses; None where a point exists.

    Raises:
        UnsettledError: The exact arithmetic came to no end, or its proof failed.
    """
    kept = sorted(rows)
    part = model.without_rows(set(range(len(model.rows))) - set(kept))
    certificate = point_within(part)
    if certificate.ending is Ending.OPTIMAL:
        return None
    assert certificate.prices is not None
    return {i for i, price in zip(kept, certificate.prices, strict=True) if price}
