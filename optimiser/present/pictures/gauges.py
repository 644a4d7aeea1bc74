"""Where a formula stands between the bounds of each limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

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

ROW, NOTE = 56.0, 24.0
"""Heights of a gauge and of the line below it, which stands nearer to its own gauge."""
LEFT, RIGHT = 8.0, 372.0
TRACK = 8.0
MARGIN = 0.18
"""So much of a gauge lies beyond each bound."""


class Standing(StrEnum):
    """How a level stands to its bounds."""

    WITHIN = "within"
    JUST_MET = "just met"
    MISSED = "not met"


@dataclass(frozen=True, slots=True)
class Gauge:
    """One limited quantity.

    Attributes:
        name: What is limited.
        said: Its level as printed, with the unit.
        level: Where it stands; for a limit counted at both ends of the figures the lower end.
        level_to: The upper end, else the same.
        least: The lower bound, or None.
        most: The upper bound, or None.
        least_said: The lower bound as printed.
        most_said: The upper bound as printed.
        standing: How it stands to them.
        note: What a step of the bound costs, or nothing.
    """

    name: str
    said: str
    level: float
    level_to: float
    least: float | None
    most: float | None
    least_said: str
    most_said: str
    standing: Standing
    note: str = ""


def gauges(name: str, title: str, shown: Sequence[Gauge]) -> tuple[str, str]:
    """The picture and its description."""
    description = " ".join(_told(gauge) for gauge in shown)
    height = sum(ROW + (NOTE if gauge.note else 0) for gauge in shown)
    with sheet(height) as axes:
        y = 0.0
        for gauge in shown:
            _draw(axes, gauge, y)
            y += ROW + (NOTE if gauge.note else 0)
        return svg_of(axes, name, title, description), description


def _told(gauge: Gauge) -> str:
    if gauge.least is not None and gauge.least == gauge.most:
        asked = f"exactly {gauge.least_said}"
    else:
        parts = []
        if gauge.least is not None:
            parts.append(f"at least {gauge.least_said}")
        if gauge.most is not None:
            parts.append(f"at most {gauge.most_said}")
        asked = " and ".join(parts)
    text = f"{gauge.name}: {gauge.said}, asked {asked}, {gauge.standing}"
    return f"{text}; {gauge.note}." if gauge.note else f"{text}."


def _ends(gauge: Gauge) -> tuple[float, float]:
    """The ends of the scale: beyond the bounds and the level, from 0 where that is near."""
    marks = [gauge.level, gauge.level_to]
    marks += [bound for bound in (gauge.least, gauge.most) if bound is not None]
    low, high = min(marks), max(marks)
    if low >= 0 and (gauge.least is None or gauge.most is None or low < (high - low)):
        low = 0.0
    reach = (high - low) or abs(high) or 1.0
    return low - (MARGIN * reach if low else 0.0), high + MARGIN * reach


def _draw(axes: Axes, gauge: Gauge, y: float) -> None:
    low, high = _ends(gauge)

    def across(value: float) -> float:
        return LEFT + (RIGHT - LEFT) * (value - low) / (high - low)

    status = {Standing.WITHIN: "", Standing.JUST_MET: "just met", Standing.MISSED: "NOT MET"}
    right = " \u00b7 ".join(part for part in (gauge.said, status[gauge.standing]) if part)
    weight = "normal" if gauge.standing is Standing.WITHIN else "bold"
    room = WIDTH - width_of(right, TEXT, weight) - 14
    words(axes, 0, y + 14, fitting(gauge.name, room), TEXT)
    words(axes, WIDTH, y + 14, right, TEXT, align="right", weight=weight)
    middle = y + 28
    start = across(low if gauge.least is None else gauge.least)
    end = across(high if gauge.most is None else gauge.most)
    line(axes, [LEFT, RIGHT], [middle, middle], LINE, 1.2, above=0)
    box(axes, start, middle - TRACK / 2, max(end - start, 0.0), TRACK, SOFT)
    for bound in (gauge.least, gauge.most):
        if bound is not None:
            x = across(bound)
            line(axes, [x, x], [middle - 7, middle + 7], INK, 1.6)
    exact = gauge.least is not None and gauge.least == gauge.most
    if gauge.least is not None:
        x = across(gauge.least)
        words(axes, x, middle + 19, gauge.least_said, SMALL, QUIET, "center")
    if gauge.most is not None and not exact:
        words(axes, across(gauge.most), middle + 19, gauge.most_said, SMALL, QUIET, "center")
    one, other = across(gauge.level), across(gauge.level_to)
    if other - one > 1:
        line(axes, [one, other], [middle, middle], ACCENT, 3.0, above=3)
    for value in sorted({gauge.level, gauge.level_to}):
        _mark(axes, across(value), middle, _standing_of(value, gauge))
    if gauge.note:
        words(axes, 0, y + ROW + 7, fitting(gauge.note, WIDTH, SMALL), SMALL, QUIET)


def _standing_of(value: float, gauge: Gauge) -> Standing:
    """How one end of a level stands; what is rounding counts as the whole gauge does."""
    if gauge.level == gauge.level_to or gauge.standing is Standing.WITHIN:
        return gauge.standing
    if value in (gauge.least, gauge.most):
        return Standing.JUST_MET
    least, most = gauge.least, gauge.most
    is_within = (least is None or value > least) and (most is None or value < most)
    return Standing.WITHIN if is_within else gauge.standing


def _mark(axes: Axes, x: float, y: float, standing: Standing) -> None:
    """Round within the bounds, a diamond on one, a cross outside."""
    if standing is Standing.WITHIN:
        dot(axes, x, y, 5.0, ACCENT, PAPER)
    elif standing is Standing.JUST_MET:
        shape(axes, [(x, y - 8), (x + 7, y), (x, y + 8), (x - 7, y)], ACCENT, above=4)
    else:
        for sign in (1, -1):
            line(axes, [x - 6, x + 6], [y - 6 * sign, y + 6 * sign], INK, 2.6, above=4)
