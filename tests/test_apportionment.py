"""Whole numbers near given ones: the sum exact, the least total relative deviation."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from optimiser.workshop.apportionment import Span, apportioned

law = settings(deadline=None, max_examples=80, derandomize=True)

REACH = 3


def deviation(numbers: tuple[int, ...], targets: list[Fraction]) -> Fraction:
    return sum((abs(n - t) / t for n, t in zip(numbers, targets, strict=True)), Fraction(0))


@st.composite
def batches(draw: st.DrawFn, most: int = 7) -> tuple[list[Fraction], int]:
    """Targets above 0 that add up to a whole number."""
    weights = draw(st.lists(st.integers(1, 400), min_size=1, max_size=most))
    whole = draw(st.integers(1, 3000))
    return [Fraction(w * whole, sum(weights)) for w in weights], whole


@law
@given(batches(), st.sets(st.integers(0, 6)))
def test_the_sum_is_exact_and_what_is_restricted_stays_below(
    batch: tuple[list[Fraction], int], chosen: set[int]
) -> None:
    """Restricted ones are never above their target, the others within a few units of it."""
    targets, whole = batch
    restricted = chosen & set(range(len(targets) - 1))
    reach = len(targets)
    spans = [
        Span(max(0, math.floor(t) - reach), math.floor(t) + (0 if j in restricted else reach + 1))
        for j, t in enumerate(targets)
    ]
    numbers = apportioned(targets, spans, whole)
    assert numbers is not None
    assert sum(numbers) == whole
    for j, (n, t) in enumerate(zip(numbers, targets, strict=True)):
        assert n <= t or j not in restricted
        assert abs(n - t) < reach + 1


@law
@given(batches(most=4))
def test_no_other_whole_numbers_are_nearer(batch: tuple[list[Fraction], int]) -> None:
    """Of all numbers within reach none has a smaller total relative deviation."""
    targets, whole = batch
    spans = [Span(max(0, math.floor(t) - 2), math.ceil(t) + 2) for t in targets]
    numbers = apportioned(targets, spans, whole)
    assert numbers is not None
    ranges = [range(span.low, span.high + 1) for span in spans]
    least = min(
        deviation(other, targets) for other in itertools.product(*ranges) if sum(other) == whole
    )
    assert deviation(numbers, targets) == least


def test_what_rounding_leaves_goes_to_the_large_amount() -> None:
    """By hand: 97.4, 1.3 and 1.3 of 100: the one unit left over goes to the first."""
    targets = [Fraction("97.4"), Fraction("1.3"), Fraction("1.3")]
    spans = [Span(90, 100), Span(0, 5), Span(0, 5)]
    assert apportioned(targets, spans, 100) == (98, 1, 1)


def test_spans_that_do_not_allow_the_sum() -> None:
    """There are no numbers where all the highest are too few, or all the lowest too many."""
    targets = [Fraction(3, 2)] * 2
    assert apportioned(targets, [Span(1, 1)] * 2, 3) is None
    assert apportioned(targets, [Span(2, 3)] * 2, 3) is None
    assert apportioned(targets, [Span(1, 2)] * 2, 3) == (2, 1)
