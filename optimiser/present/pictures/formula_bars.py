"""A formula as bars, grouped by what the ingredients are in the jar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from optimiser.present.pictures.canvas import (
    LARGE,
    LINE,
    TEXT,
    WIDTH,
    box,
    fitting,
    line,
    sheet,
    svg_of,
    words,
)

GROUP_HEIGHT, BAR_HEIGHT, THICKNESS = 30.0, 32.0, 10.0
NUMBER_WIDTH = 90.0
LEAST_SHOWN = 1.5
"""A share too small to see is still drawn so many units wide."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One ingredient: its name, percent, and the percent as printed."""

    name: str
    percent: float
    printed: str


@dataclass(frozen=True, slots=True)
class Group:
    """Ingredients of one kind, and what they come to together."""

    title: str
    printed: str
    bars: Sequence[Bar]


def formula_bars(name: str, title: str, groups: Sequence[Group]) -> tuple[str, str]:
    """The picture and its description."""
    told = "; ".join(
        f"{group.title} {group.printed} %: "
        + ", ".join(f"{bar.name} {bar.printed} %" for bar in group.bars)
        for group in groups
    )
    description = f"Percent by weight. {told}."
    count = sum(len(group.bars) for group in groups)
    height = len(groups) * GROUP_HEIGHT + count * BAR_HEIGHT + 4
    longest = max((bar.percent for group in groups for bar in group.bars), default=1.0)
    with sheet(height) as axes:
        y = 0.0
        for group in groups:
            y += GROUP_HEIGHT
            words(axes, 0, y - 9, fitting(group.title, 250, LARGE), LARGE, weight="bold")
            words(axes, WIDTH, y - 9, f"{group.printed} %", LARGE, align="right", weight="bold")
            line(axes, [0, WIDTH], [y - 2, y - 2], LINE)
            for bar in group.bars:
                words(axes, 0, y + 14, fitting(bar.name, WIDTH - NUMBER_WIDTH), TEXT)
                words(axes, WIDTH, y + 14, f"{bar.printed} %", TEXT, align="right")
                length = max(WIDTH * bar.percent / longest, LEAST_SHOWN)
                line(axes, [0, WIDTH], [y + 23, y + 23], LINE, 0.6, above=0)
                box(axes, 0, y + 18, length, THICKNESS)
                y += BAR_HEIGHT
        return svg_of(axes, name, title, description), description
