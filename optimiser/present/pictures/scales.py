"""Round numbers along an axis."""

from __future__ import annotations

from matplotlib.ticker import MaxNLocator


def round_marks(low: float, high: float, most: int = 5) -> list[float]:
    """Round numbers that cover a range, the ends at or beyond it."""
    locator = MaxNLocator(nbins=most, steps=[1, 2, 2.5, 5, 10])
    return [float(mark) for mark in locator.tick_values(low, high)]


def mark_said(mark: float) -> str:
    """A round number as short as it is."""
    return f"{mark:.10g}"
