"""What a formula costs while one price or one bound moves, with the places where it changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes

from optimiser.present.pictures.canvas import (
    ACCENT,
    INK,
    LINE,
    PAPER,
    QUIET,
    SMALL,
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

HEIGHT = 292.0
LEFT, RIGHT, TOP, BOTTOM = 40.0, 370.0, 52.0, 236.0

EDGE, GAP_NAMED = 90.0, 66.0

APART = 40.0
"""Marks nearer to one another than this are not both named; the table names all."""

DASHES = (5.0, 3.0)


@dataclass(frozen=True, slots=True)
class Point:
    """A place on a curve: the price or bound, as printed, and the cost, as printed."""

    x: float
    x_said: str
    cost: float
    cost_said: str


@dataclass(frozen=True, slots=True)
class Curve:
    """A cost that is straight between its points.

    Attributes:
        name: What it is the cost of.
        points: Its points, x rising.
    """

    name: str
    points: Sequence[Point]


@dataclass(frozen=True, slots=True)
class Swept:
    """One sweep.

    Attributes:
        along: What moves, with its unit.
        cost: What is on the other axis, with its unit.
        start: Where the sweep starts.
        end: Where it ends.
        here: Where it stands without the sweep; None where that is outside.
        here_said: The same in words, such as `today 18.56`.
        least: The cheapest formula; its inner points are where it changes.
        staying: A formula that is kept instead, or None.
    """

    along: str
    cost: str
    start: float
    end: float
    here: float | None
    here_said: str
    least: Curve
    staying: Curve | None = None


def sweep_curve(name: str, title: str, swept: Swept) -> tuple[str, str]:
    """The picture and its description."""
    description = _told(swept)
    curves = [swept.least, *([] if swept.staying is None else [swept.staying])]
    costs = [point.cost for curve in curves for point in curve.points]
    marks = round_marks(min(costs), max(costs))
    low, high = marks[0], marks[-1]

    def across(x: float) -> float:
        return LEFT + (RIGHT - LEFT) * (x - swept.start) / (swept.end - swept.start)

    def down(cost: float) -> float:
        return BOTTOM - (BOTTOM - TOP) * (cost - low) / (high - low)

    with sheet(HEIGHT) as axes:
        words(axes, 0, 12, fitting(swept.cost, WIDTH, SMALL), SMALL, QUIET)
        for mark in marks:
            line(axes, [LEFT, RIGHT], [down(mark)] * 2, LINE, 0.7, above=0)
            words(axes, LEFT - 6, down(mark) + 4, mark_said(mark), SMALL, QUIET, "right")
        for mark in round_marks(swept.start, swept.end):
            if swept.start <= mark <= swept.end:
                line(axes, [across(mark)] * 2, [BOTTOM, BOTTOM + 4], QUIET, 0.8)
                x = across(mark)
                words(axes, x, BOTTOM + 17, mark_said(mark), SMALL, QUIET, "center")
        words(axes, LEFT, BOTTOM + 35, fitting(swept.along, WIDTH - LEFT, SMALL), SMALL, QUIET)
        for start, end in _gaps(swept):
            x, width = across(start), across(end) - across(start)
            box(axes, x, TOP, width, BOTTOM - TOP, None, LINE, "///", above=0)
            if width > GAP_NAMED:
                words(axes, x + width / 2, BOTTOM - 12, "no formula", SMALL, QUIET, "center")
        if swept.here is not None:
            x = across(swept.here)
            line(axes, [x, x], [TOP - 8, BOTTOM], QUIET, 0.9, (2, 3))
            align = "left" if x < EDGE else "right" if x > WIDTH - EDGE else "center"
            words(axes, x, TOP - 14, swept.here_said, TEXT, INK, align, "bold")
        if swept.staying is not None:
            xs = [across(point.x) for point in swept.staying.points]
            ys = [down(point.cost) for point in swept.staying.points]
            line(axes, xs, ys, INK, 1.6, DASHES, above=2)
        xs = [across(point.x) for point in swept.least.points]
        ys = [down(point.cost) for point in swept.least.points]
        line(axes, xs, ys, ACCENT, 2.6, above=3)
        _turns(axes, swept, xs, ys)
        _legend(axes, swept)
        return svg_of(axes, name, title, description), description


def _turns(axes: Axes, swept: Swept, xs: Sequence[float], ys: Sequence[float]) -> None:
    """The places where the formula changes, named where there is room."""
    named = -APART
    is_falling = ys[-1] > ys[0]
    inner = list(zip(swept.least.points, xs, ys, strict=True))[1:-1]
    for point, x, y in inner:
        dot(axes, x, y, 3.6, PAPER, ACCENT)
        if x - named >= APART:
            align = "right" if x > RIGHT - APART else "left"
            beside = y - 9 if is_falling else min(y + 18, BOTTOM - 5)
            words(axes, x + (2 if is_falling else -4), beside, point.x_said, SMALL, INK, align)
            named = x


def _legend(axes: Axes, swept: Swept) -> None:
    """Which line is which."""
    y = HEIGHT - 6
    line(axes, [LEFT, LEFT + 22], [y - 4, y - 4], ACCENT, 2.6)
    dot(axes, LEFT + 11, y - 4, 3.6, PAPER, ACCENT)
    words(axes, LEFT + 28, y, swept.least.name, SMALL)
    if swept.staying is not None:
        x = LEFT + 200
        line(axes, [x, x + 22], [y - 4, y - 4], INK, 1.6, DASHES)
        words(axes, x + 28, y, fitting(swept.staying.name, WIDTH - x - 28, SMALL), SMALL)


def _gaps(swept: Swept) -> list[tuple[float, float]]:
    """Where the sweep has no formula."""
    points = swept.least.points
    ends = [(swept.start, points[0].x), (points[-1].x, swept.end)]
    return [(start, end) for start, end in ends if end > start]


def _told(swept: Swept) -> str:
    points = swept.least.points
    told = "; ".join(f"{point.cost_said} at {point.x_said}" for point in points)
    text = f"{swept.cost}, the cheapest formula by {swept.along}: {told}."
    if swept.staying is not None:
        ends = swept.staying.points[0], swept.staying.points[-1]
        said = " and ".join(f"{point.cost_said} at {point.x_said}" for point in ends)
        text += f" {swept.staying.name}: {said}."
    if swept.here is not None:
        text += f" Marked: {swept.here_said}."
    return text
