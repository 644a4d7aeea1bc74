"""The steps of the work for one formula, and where each ingredient goes in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from optimiser.ingredient import Ingredient
from optimiser.production import Step

WHIP = "whip"
"""The phase in which air is beaten in."""


@dataclass(frozen=True, slots=True)
class Method:
    """The steps for one formula.

    Attributes:
        steps: In the order of the work; the first is number 1.
        step_of: The number of the step in which each ingredient goes in, by id.
        is_whipped: Whether it is whipped; None for a product of no style.
    """

    steps: tuple[Step, ...]
    step_of: Mapping[str, int]
    is_whipped: bool | None

    def phase_of(self, ingredient: str) -> str:
        """The part of the work in which an ingredient goes in."""
        return self.steps[self.step_of[ingredient] - 1].phase


def method(table: Sequence[Step], style: str | None, ingredients: Sequence[Ingredient]) -> Method:
    """The steps that a formula needs.

    Args:
        table: The steps of every style; each kind goes in somewhere.
        style: The style, or None for the steps of no style.
        ingredients: What is in the formula.
    """
    known = {str(one.kind) for one in ingredients} | {one.id for one in ingredients}
    named = {step.style for step in table}
    chosen = style if style in named else ""
    steps = tuple(
        step
        for step in table
        if step.style == chosen
        and (not step.adds or step.adds & known)
        and (not step.only_with or step.only_with & known)
    )
    step_of = {
        one.id: next(n for n, step in enumerate(steps, start=1) if str(one.kind) in step.adds)
        for one in ingredients
    }
    is_whipped = any(step.phase == WHIP for step in steps) if chosen else None
    return Method(steps, step_of, is_whipped)
