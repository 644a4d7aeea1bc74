"""Whole numbers near given ones, with a given sum: least total relative deviation, exactly.

The sum of |n_i - t_i| / t_i is convex in every n_i by itself, so raising one number at a time,
always the one whose next unit costs least, ends at the least total (a classic of resource
allocation). It is the rule of largest remainders with each remainder weighed by 1 / t_i: what
rounding leaves over goes to the large amounts, where it matters least.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Span:
    """Between which whole numbers, both included, one is looked for."""

    low: int
    high: int


def apportioned(
    targets: Sequence[Fraction], spans: Sequence[Span], whole: int
) -> tuple[int, ...] | None:
    """Whole numbers within their spans that add up to `whole`, the nearest to the targets.

    Args:
        targets: Numbers above 0, (n,).
        spans: Where each whole number has to be, (n,).
        whole: Their sum.

    Returns:
        The numbers with the least sum of |n_i - t_i| / t_i, of equal ones those that raise
        the earlier targets; None where the spans do not allow the sum.

    Example:
        >>> thirds = [Fraction(10, 3)] * 3
        >>> apportioned(thirds, [Span(0, 9)] * 3, 10)
        (4, 3, 3)
    """
    numbers = [span.low for span in spans]
    missing = whole - sum(numbers)
    if missing < 0 or whole > sum(span.high for span in spans):
        return None
    queue = [
        (_next_unit(target, span.low), j)
        for j, (target, span) in enumerate(zip(targets, spans, strict=True))
        if span.low < span.high
    ]
    heapq.heapify(queue)
    for _ in range(missing):
        _, j = heapq.heappop(queue)
        numbers[j] += 1
        if numbers[j] < spans[j].high:
            heapq.heappush(queue, (_next_unit(targets[j], numbers[j]), j))
    return tuple(numbers)


def _next_unit(target: Fraction, number: int) -> Fraction:
    """What one unit more does to the relative deviation."""
    return (abs(number + 1 - target) - abs(number - target)) / target
