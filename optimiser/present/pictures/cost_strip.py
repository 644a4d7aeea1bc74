"""How costs are spread over many price scenarios, one strip for each way of answering them."""

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
    words,
)
from optimiser.present.pictures.scales import mark_said, round_marks

TOP, ROW, BELOW = 8.0, 62.0, 62.0
SHAPE = 34.0
"""Height of the shape of a distribution above its strip."""
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
        counts: How many lie in each equal part from the lowest to the highest; empty where
            there are too few to have a shape.
    """

    name: str
    least: float
    low: float
    middle: float
    mean: float
    high: float
    most: float
    said: tuple[str, str, str]
    counts: Sequence[int] = ()


def cost_strip(name: str, title: str, unit: str, strips: Sequence[Strip]) -> tuple[str, str]:
    """The picture and its description."""
    told = "; ".join(
        f"{strip.name} {strip.said[1]}, in nine of ten {strip.said[0]} to {strip.said[2]}"
        for strip in strips
    )
    description = f"{unit}, median and the middle nine tenths: {told}."
    marks = round_marks(min(s.least for s in strips), max(s.most for s in strips))
    low, high = marks[0], marks[-1]
    has_shapes = any(strip.counts for strip in strips)
    row = ROW + SHAPE if has_shapes else ROW
    bottom = TOP + row * len(strips)

    def across(cost: float) -> float:
        return LEFT + (RIGHT - LEFT) * (cost - low) / (high - low)

    with sheet(bottom + BELOW) as axes:
        for mark in marks:
            line(axes, [across(mark)] * 2, [TOP + 20, bottom], LINE, 0.7, above=0)
            words(axes, across(mark), bottom + 14, mark_said(mark), SMALL, QUIET, "center")
        words(axes, WIDTH, bottom + 32, unit, SMALL, QUIET, "right")
        for number, strip in enumerate(strips):
            y = TOP + row * number
            words(axes, 0, y + 10, fitting(strip.name, WIDTH - 150), TEXT)
            said = f"median {strip.said[1]}"
            words(axes, WIDTH, y + 10, said, TEXT, align="right", weight="bold")
            middle = y + row - 34
            _shape(axes, strip, across, middle - 9)
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
        if has_shapes:
            legend = "hill: how often; " + legend.removesuffix("; line: all")
        words(axes, 0, bottom + 52, legend, SMALL, QUIET)
        return svg_of(axes, name, title, description), description


def _shape(axes: Axes, strip: Strip, across: Callable[[float], float], base: float) -> None:
    """How often each cost occurs, as a hill of steps."""
    if not strip.counts:
        return
    highest = max(strip.counts)
    width = (strip.most - strip.least) / len(strip.counts)
    outline = [(across(strip.least), base)]
    for number, count in enumerate(strip.counts):
        top = base - SHAPE * count / highest
        outline.append((across(strip.least + width * number), top))
        outline.append((across(strip.least + width * (number + 1)), top))
    outline.append((across(strip.most), base))
    shape(axes, outline, SOFT, above=1)
    line(axes, [x for x, _ in outline], [y for _, y in outline], ACCENT, 1.0)
