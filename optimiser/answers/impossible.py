"""Why no formula exists, and what would have to give.

For a brief that cannot be met: the sets of statements that cannot hold together; for each
of these statements alone the nearest bound at which the brief becomes possible, with what
the cheapest formula would then cost; and the smallest compromise over all. Statements
marked as firm are named where they clash but never offered for change.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from optimiser.answers.causes import Cause, quick_causes
from optimiser.conflicts import conflicts
from optimiser.exact.proof import Certificate
from optimiser.formulation import Formulation
from optimiser.linear_model import LinearModel, Row
from optimiser.repair import nearest_bound, smallest_compromise
from optimiser.solve import settle

MOST_CONFLICTS = 8
"""So many conflicts are told; of more, that there are more. Who eases these asks again."""


@dataclass(frozen=True, slots=True)
class Clash:
    """One statement of a conflict."""

    row: Row
    bound: Fraction


@dataclass(frozen=True, slots=True)
class WayOut:
    """One statement eased alone.

    Attributes:
        row: Its row.
        bound: Its bound as said.
        reachable: The nearest bound at which the brief becomes possible; None where easing
            this one alone is not enough.
        cost_per_kg: What the cheapest formula would then cost, or None.
    """

    row: Row
    bound: Fraction
    reachable: Fraction | None
    cost_per_kg: Fraction | None


@dataclass(frozen=True, slots=True)
class Move:
    """One bound of the smallest compromise."""

    row: Row
    bound: Fraction
    to: Fraction


@dataclass(frozen=True, slots=True)
class Explanation:
    """Why a brief cannot be met, and what would have to give.

    Attributes:
        causes: What plain arithmetic shows.
        conflicts: Sets of statements that cannot hold together; drop any one of a set and
            the rest of it can be met.
        is_all: Whether there is no further knot beside these.
        ways_out: For each statement of the conflicts that may be eased.
        compromise: The bounds that move least together, relative to each; empty where
            easing is not enough.
        compromise_cost_per_kg: What the cheapest formula would then cost, or None.
        compromise_formula: Percent by ingredient id of that formula.
    """

    causes: tuple[Cause, ...]
    conflicts: tuple[tuple[Clash, ...], ...]
    is_all: bool
    ways_out: tuple[WayOut, ...]
    compromise: tuple[Move, ...]
    compromise_cost_per_kg: Fraction | None
    compromise_formula: Mapping[str, Fraction]


def explained(formulation: Formulation, model: LinearModel | None = None) -> Explanation:
    """Explain an impossible brief.

    Args:
        formulation: A request whose model has no point.
        model: Another impossible model of the same request, with further statements.

    Raises:
        UnsettledError: The exact arithmetic came to no end.
    """
    model = formulation.model if model is None else model
    bounds = [Fraction(bound) for bound in model.bound]
    sizes = [abs(b) or row.step for b, row in zip(bounds, model.rows, strict=True)]
    moved = dict(smallest_compromise(model, sizes) or {})
    found = conflicts(model, list(moved), MOST_CONFLICTS + 1)
    is_all = len(found) <= MOST_CONFLICTS
    found = found[:MOST_CONFLICTS]
    named = sorted({i for conflict in found for i in conflict})
    eased_alone = {i: nearest_bound(model, i) for i in named if model.rows[i].may_be_eased}
    ways = [
        WayOut(
            model.rows[i],
            bounds[i],
            reachable,
            None if reachable is None else _cost(model.with_bound(i, reachable)),
        )
        for i, reachable in eased_alone.items()
    ]
    moved = _or_one_alone(moved, eased_alone, bounds, sizes)
    eased = model
    for i, level in moved.items():
        eased = eased.with_bound(i, level)
    found_then = settle(eased)[1] if moved else None
    return Explanation(
        causes=quick_causes(formulation),
        conflicts=tuple(
            tuple(Clash(model.rows[i], bounds[i]) for i in conflict) for conflict in found
        ),
        is_all=is_all,
        ways_out=tuple(ways),
        compromise=tuple(Move(model.rows[i], bounds[i], level) for i, level in moved.items()),
        compromise_cost_per_kg=found_then.cost if found_then else None,
        compromise_formula=_formula(formulation, model, found_then),
    )


def _formula(
    formulation: Formulation, model: LinearModel, found: Certificate | None
) -> dict[str, Fraction]:
    """The shares of a point of a formulation's model; empty for another model's."""
    if found is None or found.x is None or model is not formulation.model:
        return {}
    return {name: share for name, share in zip(model.columns, found.x, strict=True) if share}


def _or_one_alone(
    moved: dict[int, Fraction],
    eased_alone: Mapping[int, Fraction | None],
    bounds: Sequence[Fraction],
    sizes: Sequence[Fraction],
) -> dict[int, Fraction]:
    """The compromise, or one bound moved alone where that is the smaller change."""

    def relative(i: int, to: Fraction) -> Fraction:
        return abs(to - bounds[i]) / sizes[i]

    alone = [(relative(i, to), i, to) for i, to in eased_alone.items() if to is not None]
    if not alone:
        return moved
    least, i, to = min(alone)
    total = sum((relative(k, level) for k, level in moved.items()), Fraction(0))
    return {i: to} if not moved or least < total else moved


def _cost(model: LinearModel) -> Fraction | None:
    """The least cost of a model, or None."""
    _, certificate = settle(model)
    return certificate.cost if certificate.proven else None
