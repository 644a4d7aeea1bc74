"""How much of the fat is solid at each temperature, with what natural figures allow."""

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
    dot,
    line,
    shape,
    sheet,
    svg_of,
    words,
)

HEIGHT = 262.0
LEFT, RIGHT, TOP, BOTTOM = 34.0, 364.0, 50.0, 220.0

ROOM, SKIN = 20.0, 32.0

LABEL_RISE = 11.0


@dataclass(frozen=True, slots=True)
class Solid:
    """The solid share of the fat at one temperature.

    Attributes:
        celsius: The temperature.
        low: Percent with every figure at its lower end.
        value: Percent from typical figures.
        high: Percent with every figure at its upper end.
        printed: The value as printed.
        least: The lower limit of the brief, or None.
        most: The upper limit, or None.
    """

    celsius: float
    low: float
    value: float
    high: float
    printed: str
    least: float | None = None
    most: float | None = None


def solid_fat_curve(name: str, title: str, levels: Sequence[Solid]) -> tuple[str, str]:
    """The picture and its description.

    Args:
        name: A name that no other picture of the page has.
        title: What it shows.
        levels: At least two temperatures, rising.
    """
    told = "; ".join(
        f"{level.celsius:g} C {level.printed} ({level.low:.0f} to {level.high:.0f})"
        for level in levels
    )
    description = (
        f"Solid share of the fat in percent, with the range that natural figures allow: {told}. "
        "The room is marked at 20 C, the skin at 32 C."
    )
    first, last = levels[0].celsius, levels[-1].celsius
    highest = max(max(level.high, level.most or 0) for level in levels)
    top = 20.0 * (int(highest / 20) + 1)

    def across(celsius: float) -> float:
        return LEFT + (RIGHT - LEFT) * (celsius - first) / (last - first)

    def down(percent: float) -> float:
        return BOTTOM - (BOTTOM - TOP) * max(percent, 0.0) / top

    with sheet(HEIGHT) as axes:
        words(axes, 0, 12, "% of the fat that is solid", SMALL, QUIET)
        for percent in range(0, int(top) + 1, 20):
            line(axes, [LEFT, RIGHT], [down(percent)] * 2, LINE, 0.7, above=0)
            words(axes, LEFT - 6, down(percent) + 4, str(percent), SMALL, QUIET, "right")
        for tens in range(10 * -(-int(first) // 10), int(last) + 1, 10):
            line(axes, [across(tens)] * 2, [BOTTOM, BOTTOM + 4], QUIET, 0.8)
            words(axes, across(tens), BOTTOM + 18, f"{tens} \u00b0C", SMALL, QUIET, "center")
        xs = [across(level.celsius) for level in levels]
        upper = [(x, down(level.high)) for x, level in zip(xs, levels, strict=True)]
        lower = [(x, down(level.low)) for x, level in zip(xs, levels, strict=True)]
        shape(axes, [*upper, *reversed(lower)], SOFT, above=1)
        line(axes, xs, [down(level.value) for level in levels], ACCENT, 2.4, above=3)
        for celsius, place in ((ROOM, "room"), (SKIN, "skin")):
            if first <= celsius <= last:
                x = across(celsius)
                line(axes, [x, x], [TOP - 8, BOTTOM], QUIET, 0.9, (2, 3))
                words(axes, x, TOP - 13, f"{place} {celsius:g} \u00b0C", TEXT, INK, "center")
        for x, level in zip(xs, levels, strict=True):
            for bound in (level.least, level.most):
                if bound is not None:
                    line(axes, [x - 9, x + 9], [down(bound)] * 2, INK, 1.8, above=3)
            is_named = level.celsius in (ROOM, SKIN)
            dot(axes, x, down(level.value), 4.2 if is_named else 2.6, ACCENT, PAPER)
            if is_named:
                y = down(level.value) - LABEL_RISE
                words(axes, x + 11, y, f"{level.printed} %", TEXT, weight="bold")
        has_bounds = any(level.least is not None or level.most is not None for level in levels)
        legend = "band: the range of natural figures"
        if has_bounds:
            legend += "; short bars: your limits"
        words(axes, LEFT, HEIGHT - 6, legend, SMALL, QUIET)
        return svg_of(axes, name, title, description), description
