"""Formulas side by side: what they are, cost and measure, and what would be noticed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from optimiser.answers.checked import Checked, all_held
from optimiser.answers.closeness import Aim, Change, changes, difference, lacks, level_of
from optimiser.answers.measures import Blend, Measures, measured
from optimiser.answers.rules_held import rules_held
from optimiser.brief import Request
from optimiser.formulation import scents_said
from optimiser.ingredient import Trait


@dataclass(frozen=True, eq=False)
class Compared:
    """One formula among others.

    Attributes:
        name: What it is called.
        measures: What it is and measures.
        missed: Limits and rules of the brief that it does not meet.
        unknown: Limits that cannot be judged for want of a figure.
        shut_out: Its ingredients that the brief does not allow.
        changes: How each trait differs from the first formula; none for the first itself.
        not_compared: Traits that lack a figure in one of the two.
    """

    name: str
    measures: Measures
    missed: tuple[Checked, ...]
    unknown: tuple[Checked, ...]
    shut_out: tuple[str, ...]
    changes: tuple[Change, ...]
    not_compared: tuple[Trait, ...]

    @property
    def difference(self) -> Fraction:
        """The sum of all changes, each in the change just noticed."""
        return difference(self.changes)


@dataclass(frozen=True, eq=False)
class Comparison:
    """The answer of `compare`.

    Attributes:
        request: The brief, or one without limits and prices where none is given.
        has_brief: Whether a brief was given.
        formulas: In the order given.
        remarks: What is worth telling of how the files were read.
    """

    request: Request
    has_brief: bool
    formulas: tuple[Compared, ...]
    remarks: tuple[str, ...]


def comparison(
    request: Request,
    has_brief: bool,
    recipes: Sequence[tuple[str, Mapping[str, Fraction]]],
    remarks: Sequence[str] = (),
) -> Comparison:
    """Set formulas side by side.

    Args:
        request: The brief, or one without limits and prices.
        has_brief: Whether it is the maker's.
        recipes: A name and percent by ingredient id of each, two at least.
        remarks: What is worth telling of how the files were read.
    """
    named = request.brief.character
    traits = request.book.character if named is None else named
    blends = [
        Blend.at(request, {name: share for name, share in shares.items() if share})
        for _, shares in recipes
    ]
    found = []
    for (name, _), blend in zip(recipes, blends, strict=True):
        aims, lacking = _aims(traits, blends[0], blend)
        is_first = blend is blends[0]
        checks = [*all_held(blend), *rules_held(blend)]
        found.append(
            Compared(
                name=name,
                measures=measured(blend),
                missed=tuple(check for check in checks if check.is_met is False),
                unknown=tuple(check for check in checks if check.is_met is None),
                shut_out=_shut_out(blend),
                changes=() if is_first else changes(aims, blend),
                not_compared=() if is_first else lacking,
            )
        )
    used = {one.id: one for blend in blends for one in blend.ingredients}
    scents = scents_said(request, used.values()) if has_brief else []
    return Comparison(request, has_brief, tuple(found), (*remarks, *scents))


def _shut_out(blend: Blend) -> tuple[str, ...]:
    """The ingredients of a formula that the brief leaves out or does not put on the shelf."""
    brief = blend.request.brief
    return tuple(
        i.id
        for i in blend.ingredients
        if i.id in brief.leave_out or (brief.use is not None and i.id not in brief.use)
    )


def _aims(
    traits: Sequence[Trait], first: Blend, other: Blend
) -> tuple[tuple[Aim, ...], tuple[Trait, ...]]:
    """The traits that both formulas' figures allow, with the first one's levels."""
    aims, lacking = [], []
    for trait in traits:
        ingredients = (*first.ingredients, *other.ingredients)
        level = None
        if not any(lacks(trait, ingredient, first.request) for ingredient in ingredients):
            level = level_of(trait, first)
        if level is None:
            lacking.append(trait)
        else:
            aims.append(Aim(trait, level))
    return tuple(aims), tuple(lacking)
