"""Round numbers along an axis."""

from __future__ import annotations

from matplotlib.ticker import MaxNLocator

FLAT, ROOM = 0.002, 0.1
"""A range that is this part of its values is none; it is shown with this part on each side."""


def round_marks(low: float, high: float, most: int = 5) -> list[float]:
    """Round numbers that cover a range, the ends at or beyond it.

    Values that are next to the same lie in the middle of a scale with some room.
    """
    size = max(abs(low), abs(high))
    if high - low < FLAT * size or not size:
        reach = ROOM * size or 1.0
        low, high = low - reach, high + reach
    locator = MaxNLocator(nbins=most, steps=[1, 2, 2.5, 5, 10])
    return [float(mark) for mark in locator.tick_values(low, high)]


def mark_said(mark: float) -> str:
    """A round number as short as it is."""
    return f"{mark:.10g}"
