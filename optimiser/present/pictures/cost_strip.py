"""How costs are spread over many price scenarios, one strip for each way of answering them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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
    sheet,
    svg_of,
    words,
)
from optimiser.present.pictures.scales import mark_said, round_marks

TOP, ROW, BELOW = 8.0, 62.0, 62.0
LEFT, RIGHT = 8.0, 372.0
THICKNESS = 14.0


@dataclass(frozen=True, slots=True)
class Strip:
    """One distribution of costs.

    Attributes:
        name: What they are the costs of.
        least: The lowest.
        low: One in twenty is below.
        middle: The median.
        mean: The mean.
        high: One in twenty is above.
        most: The highest.
        said: Low, median and high as printed.
    """

    name: str
    least: float
    low: float
    middle: float
    mean: float
    high: float
    most: float
    said: tuple[str, str, str]


def cost_strip(name: str, title: str, unit: str, strips: Sequence[Strip]) -> tuple[str, str]:
    """The picture and its description."""
    told = "; ".join(
        f"{strip.name} {strip.said[1]}, in nine of ten {strip.said[0]} to {strip.said[2]}"
        for strip in strips
    )
    description = f"{unit}, median and the middle nine tenths: {told}."
    marks = round_marks(min(s.least for s in strips), max(s.most for s in strips))
    low, high = marks[0], marks[-1]
    bottom = TOP + ROW * len(strips)

    def across(cost: float) -> float:
        return LEFT + (RIGHT - LEFT) * (cost - low) / (high - low)

    with sheet(bottom + BELOW) as axes:
        for mark in marks:
            line(axes, [across(mark)] * 2, [TOP + 20, bottom], LINE, 0.7, above=0)
            words(axes, across(mark), bottom + 14, mark_said(mark), SMALL, QUIET, "center")
        words(axes, WIDTH, bottom + 32, unit, SMALL, QUIET, "right")
        for number, strip in enumerate(strips):
            y = TOP + ROW * number
            words(axes, 0, y + 10, fitting(strip.name, WIDTH - 150), TEXT)
            said = f"median {strip.said[1]}"
            words(axes, WIDTH, y + 10, said, TEXT, align="right", weight="bold")
            middle = y + 28
            line(axes, [across(strip.least), across(strip.most)], [middle] * 2, INK, 1.2)
            for end in (strip.least, strip.most):
                line(axes, [across(end)] * 2, [middle - 4, middle + 4], INK, 1.2)
            x = across(strip.low)
            box(axes, x, middle - 7, across(strip.high) - x, THICKNESS, SOFT, ACCENT, above=3)
            line(axes, [across(strip.middle)] * 2, [middle - 7, middle + 7], ACCENT, 3.0, above=4)
            dot(axes, across(strip.mean), middle, 3.0, PAPER, INK)
            words(axes, x, middle + 20, strip.said[0], SMALL, QUIET, "center")
            words(axes, across(strip.high), middle + 20, strip.said[2], SMALL, QUIET, "center")
        legend = "box: nine of ten; bar: median; ring: mean; line: all"
        words(axes, 0, bottom + 52, legend, SMALL, QUIET)
        return svg_of(axes, name, title, description), description
