"""The formula on the scale: whole divisions that add up to the batch and keep the limits.

First the nearest whole divisions (`apportionment`). Where these break a limit that the formula
keeps, the nearest are looked for that keep them all, or miss as few as can be
(`limits_on_scale`). Every limit is then held against the weights again, exactly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from optimiser.answers.checked import Checked, held
from optimiser.answers.measures import Blend
from optimiser.brief import End, Family, Limit
from optimiser.formulation import WHOLE, limit_row
from optimiser.linear_model import Sense
from optimiser.provenance import InputError, Mistake, Origin, plain_number
from optimiser.workshop.apportionment import Span, apportioned
from optimiser.workshop.limits_on_scale import LimitOnScale, fewest_missed

REACH = 12
"""How many divisions up or down are looked at, more where there are more ingredients."""

HALF = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Missed:
    """A limit that the weights miss.

    Attributes:
        check: The limit held against the weights.
        by: How far its level is from its bound, in the limit's unit; None where it has none.
        was_met: Whether the formula itself meets it.
        is_as_near: True for an exact amount or total that is within half a division, and for
            the least of one that is rounded down by less than one.
    """

    check: Checked
    by: Fraction | None
    was_met: bool | None
    is_as_near: bool


@dataclass(frozen=True, slots=True)
class Weights:
    """What is weighed in.

    Attributes:
        blend: The formula as weighed: the same ingredients, shares of the batch.
        grams: Target of each ingredient, whole divisions that add up to the batch, (n,).
        size_g: The batch.
        division_g: The division of the scale.
        held: How many limits the weights keep.
        missed: Limits that they miss, or meet only as nearly as the scale shows.
        unknown: Limits that cannot be judged for want of a figure.
    """

    blend: Blend
    grams: tuple[Fraction, ...]
    size_g: Fraction
    division_g: Fraction
    held: int
    missed: tuple[Missed, ...]
    unknown: tuple[Checked, ...]


def divisions_of(size_g: Fraction, division_g: Fraction, at: Origin) -> int:
    """How many divisions of the scale a batch is.

    Raises:
        InputError: It is no whole number of them; with the nearest sizes.
    """
    count = size_g / division_g
    if count.denominator == 1:
        return count.numerator
    below = math.floor(count) * division_g
    above = math.ceil(count) * division_g
    near = " or ".join(f"{plain_number(size)} g" for size in (below, above) if size)
    problem = (
        f"{plain_number(size_g)} g is no whole number of divisions of "
        f"{plain_number(division_g)} g; write {near}"
    )
    raise InputError([Mistake(at, problem)])


def weighed_out(
    blend: Blend,
    size_g: Fraction,
    division_g: Fraction,
    restricted: frozenset[str] = frozenset(),
    at: Origin = Origin("--size"),  # noqa: B008  # a frozen record
) -> Weights:
    """Weights for a batch of a formula.

    Args:
        blend: The formula; its shares add up to 100 %.
        size_g: The batch in grams.
        division_g: The division of the scale in grams.
        restricted: Ids of ingredients that are rounded down.
        at: Where the size was said.

    Raises:
        InputError: The batch is no whole number of divisions, or every ingredient is one
            that must not be rounded up.
    """
    used = blend.used
    whole = divisions_of(size_g, division_g, at)
    targets = [share * whole / WHOLE for share in used.x]
    asked = [(limit, held(used, limit)) for limit in used.request.brief.limits]
    kept = [limit for limit, check in asked if check.is_met]
    spans = _spans(used, kept, targets, whole, restricted)
    # What no weights can keep, such as the least of a scent that is rounded down, pulls nothing.
    rows = [row for row in _rows(used, kept, whole, restricted) if row.can_be_kept(spans)]
    counts = apportioned(targets, spans, whole)
    if counts is not None and not all(row.is_kept(counts) for row in rows):
        counts = fewest_missed(targets, spans, whole, rows) or counts
    if counts is None:
        problem = "no ingredient may take up what rounding leaves; use a finer scale"
        raise InputError([Mistake(at, problem)])
    return _told(used, counts, division_g, asked, restricted)


def _spans(
    used: Blend,
    kept: Sequence[Limit],
    targets: Sequence[Fraction],
    whole: int,
    restricted: frozenset[str],
) -> list[Span]:
    """Where the whole divisions of each ingredient may lie."""
    most: dict[str, Fraction] = {}
    least: dict[str, Fraction] = {}
    exactly: set[str] = set()
    for limit in kept:
        if limit.family is Family.AMOUNTS and limit.end is End.MAX:
            most[limit.of] = Fraction(limit.value) * whole / WHOLE
        elif limit.family is Family.AMOUNTS and limit.end is End.MIN:
            least[limit.of] = Fraction(limit.value) * whole / WHOLE
        elif limit.family is Family.AMOUNTS and limit.end is End.EXACTLY:
            exactly.add(limit.of)
    spans, reach = [], max(REACH, len(targets))
    for ingredient, target in zip(used.ingredients, targets, strict=True):
        below, above = math.floor(target), math.ceil(target)
        low, high = max(0, below - reach), above + reach
        if ingredient.id in exactly:
            low, high = math.ceil(target - HALF), math.floor(target + HALF)
        if ingredient.id in most:
            high = min(high, max(below, math.floor(most[ingredient.id])))
        if ingredient.id in restricted:
            low, high = min(low, below), below
            if ingredient.id in exactly:
                low = below
            if ingredient.id in least:
                # Its least falls short by the rounding down alone.
                low = max(low, min(below, math.ceil(least[ingredient.id])))
        if target >= HALF:
            low = max(low, min(1, high))  # what the scale shows is not rounded away
        spans.append(Span(low, high))
    return spans


def _rows(
    used: Blend, kept: Sequence[Limit], whole: int, restricted: frozenset[str]
) -> list[LimitOnScale]:
    """The limits that weights can keep: inequalities, and exact totals to half a division.

    An exact total may fall short by a division for each member that is rounded down.
    """
    rows = []
    prices = [price or Fraction(0) for price in used.prices]
    for limit in kept:
        stated = limit_row(used.request, limit, used.ingredients, prices)
        n = len(used.x)
        below = (0,) * n if stated.denominator is None else stated.denominator.numbers
        bound = Fraction(limit.value)
        coefficients = tuple(
            Fraction(a) - bound * Fraction(b)
            for a, b in zip(stated.numerator.numbers, below, strict=True)
        )
        right = bound * Fraction(stated.constant) * whole / WHOLE
        sense = stated.row.sense
        if limit.family is Family.AMOUNTS and not any(coefficients):
            continue  # may be absent, and is
        if sense is not Sense.EQUAL:
            rows.append(LimitOnScale(coefficients, sense, right))
        elif limit.family is Family.TOTALS:
            members = zip(used.ingredients, coefficients, strict=True)
            down = sum(1 for one, a in members if a and one.id in restricted)
            short = max(HALF, Fraction(down))
            rows.append(LimitOnScale(coefficients, Sense.AT_LEAST, right - short))
            rows.append(LimitOnScale(coefficients, Sense.AT_MOST, right + HALF))
    return rows


def _told(
    used: Blend,
    counts: Sequence[int],
    division_g: Fraction,
    asked: Sequence[tuple[Limit, Checked]],
    restricted: frozenset[str],
) -> Weights:
    """The weights with every limit held against them."""
    whole = sum(counts)
    shares = tuple(Fraction(WHOLE * count, whole) for count in counts)
    weighed = Blend(used.request, used.ingredients, used.prices, shares)
    missed, unknown, kept = [], [], 0
    for limit, before in asked:
        check = held(weighed, limit)
        if check.is_met is None:
            unknown.append(check)
        elif not check.is_met:
            by = None if check.value is None else abs(check.value - Fraction(limit.value))
            is_as_near = by is not None and _is_as_near(limit, by * whole / WHOLE, restricted)
            missed.append(Missed(check, by, before.is_met, is_as_near))
        elif limit.family is not Family.SKIN or check.value:
            kept += 1
    return Weights(
        blend=weighed,
        grams=tuple(count * division_g for count in counts),
        size_g=whole * division_g,
        division_g=division_g,
        held=kept,
        missed=tuple(missed),
        unknown=tuple(unknown),
    )


def _is_as_near(limit: Limit, divisions: Fraction, restricted: frozenset[str]) -> bool:
    """Whether so many divisions off an exact amount or total are what the scale allows."""
    if limit.family is Family.AMOUNTS and limit.of in restricted and limit.end is not End.MAX:
        return divisions < 1
    is_exact = limit.end is End.EXACTLY and limit.family in (Family.AMOUNTS, Family.TOTALS)
    return is_exact and divisions <= HALF
