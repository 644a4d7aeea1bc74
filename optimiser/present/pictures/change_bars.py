"""Two formulas side by side: their shares, and how their character differs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes

from optimiser.present.pictures.canvas import (
    ACCENT,
    INK,
    LINE,
    PAPER,
    QUIET,
    SMALL,
    SOFT,
    TEXT,
    WIDTH,
    box,
    dot,
    fitting,
    line,
    shape,
    sheet,
    svg_of,
    width_of,
    words,
)

HEAD, SHARE_ROW, TRAIT_ROW = 26.0, 44.0, 40.0
THICKNESS = 9.0
LEAST_SHOWN = 1.5

BEFORE, AFTER = (PAPER, INK, "////"), (ACCENT, None, None)
"""Fill, edge and pattern of a bar; told apart without colour."""

MIDDLE, HALF = 190.0, 150.0

FEW_STEPS, MANY_STEPS = 3.0, 8.0
"""The scale of changes shows at least and at most so many steps; beyond it an arrow."""


@dataclass(frozen=True, slots=True)
class ShareChange:
    """One ingredient before and after, in percent and as printed."""

    name: str
    before: float
    after: float
    before_said: str
    after_said: str


@dataclass(frozen=True, slots=True)
class TraitChange:
    """One trait by which a formula is known.

    Attributes:
        name: What it is called.
        said: Its levels before and after, with the unit.
        steps: The change in just-noticeable steps; below 0 for less.
        steps_said: The same as printed.
    """

    name: str
    said: str
    steps: float
    steps_said: str


def share_changes(name: str, title: str, shares: Sequence[ShareChange]) -> tuple[str, str]:
    """Before and after, one ingredient below the other; the picture and its description."""
    told = "; ".join(f"{s.name} {s.before_said} to {s.after_said}" for s in shares)
    description = f"Percent by weight, before and after: {told}."
    longest = max((max(s.before, s.after) for s in shares), default=1.0) or 1.0
    with sheet(HEAD + SHARE_ROW * len(shares)) as axes:
        box(axes, 0, 4, 22, THICKNESS, *BEFORE)
        words(axes, 28, 13, "before", SMALL)
        box(axes, 90, 4, 22, THICKNESS, *AFTER)
        words(axes, 118, 13, "after", SMALL)
        words(axes, WIDTH, 13, "percent", SMALL, QUIET, "right")
        for number, share in enumerate(shares):
            y = HEAD + SHARE_ROW * number
            said = f"{share.before_said} \u2192 {share.after_said}"
            words(axes, 0, y + 14, fitting(share.name, WIDTH - width_of(said) - 12), TEXT)
            words(axes, WIDTH, y + 14, said, TEXT, align="right")
            top = y + 20
            for percent, look in ((share.before, BEFORE), (share.after, AFTER)):
                if percent:
                    length = max(WIDTH * percent / longest, LEAST_SHOWN)
                    box(axes, 0, top, length, THICKNESS, *look)
                    top += THICKNESS + 1
        return svg_of(axes, name, title, description), description


def trait_changes(name: str, title: str, traits: Sequence[TraitChange]) -> tuple[str, str]:
    """How far each trait moves, in the change just noticed; the picture and its description."""
    told = "; ".join(f"{t.name} {t.said}, {t.steps_said} steps" for t in traits)
    description = f"Changes in steps of what is just noticed: {told}."
    largest = max((abs(trait.steps) for trait in traits), default=0.0)
    scale = min(max(largest * 1.1, FEW_STEPS), MANY_STEPS)
    bottom = HEAD + TRAIT_ROW * len(traits)

    def across(steps: float) -> float:
        return MIDDLE + HALF * steps / scale

    with sheet(bottom + 20) as axes:
        box(axes, across(-1), HEAD - 4, across(1) - across(-1), bottom - HEAD + 4, SOFT, above=-1)
        words(axes, MIDDLE, 13, "not noticed", SMALL, QUIET, "center")
        words(axes, 0, 13, "\u2190 less", SMALL, QUIET)
        words(axes, WIDTH, 13, "more \u2192", SMALL, QUIET, "right")
        line(axes, [MIDDLE, MIDDLE], [HEAD - 4, bottom], INK, 1.0, above=0)
        for number, trait in enumerate(traits):
            _draw_trait(axes, trait, HEAD + TRAIT_ROW * number, across, scale)
        for steps in range(-int(scale), int(scale) + 1):
            if steps and steps % (1 if scale < 5 else 2) == 0:
                line(axes, [across(steps)] * 2, [bottom, bottom + 4], QUIET, 0.8)
                words(axes, across(steps), bottom + 16, f"{steps:+d}", SMALL, QUIET, "center")
        return svg_of(axes, name, title, description), description


def _draw_trait(
    axes: Axes, trait: TraitChange, y: float, across: Callable[[float], float], scale: float
) -> None:
    words(axes, 0, y + 12, fitting(trait.name, WIDTH - width_of(trait.said) - 12), TEXT)
    words(axes, WIDTH, y + 12, trait.said, TEXT, align="right")
    middle = y + 25
    line(axes, [0, WIDTH], [middle, middle], LINE, 0.7, above=0)
    shown = max(-scale, min(scale, trait.steps))
    x, way = across(shown), 1 if trait.steps >= 0 else -1
    line(axes, [MIDDLE, x], [middle, middle], ACCENT, 4.0, above=3)
    if shown != trait.steps:
        shape(axes, [(x + 9 * way, middle), (x, middle - 6), (x, middle + 6)])
    else:
        dot(axes, x, middle, 4.4, ACCENT, PAPER)
    if abs(trait.steps) > 1:
        align = "left" if way > 0 else "right"
        words(axes, x + 12 * way, middle + 4, trait.steps_said, SMALL, INK, align, "bold")
