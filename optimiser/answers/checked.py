"""One limit held against a blend, exactly."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from optimiser.answers.measures import Blend
from optimiser.brief import COST, Family, Limit
from optimiser.formulation import in_scope, limit_row
from optimiser.linear_model import ModelRow, Row, Sense
from optimiser.skin_content import certified_category, is_unknown
from optimiser.statements import limit_statement

LAST_DECIMAL = Fraction(1, 10**6)
"""Percent are written with six decimals; a limit missed by that rounding alone is met."""


@dataclass(frozen=True, slots=True)
class Checked:
    """One limit or rule held against a recipe.

    Attributes:
        row: Its sentence and unit.
        bound: Its bound; None for a rule without a number.
        value: The recipe's level in the limit's unit; None where it is not known, or for a
            ratio where there is nothing of the other.
        is_met: Whether it is met; None where a figure or price is missing.
        lacking: Ingredients whose figure or price is missing.
        offending: Ingredients that do not keep a rule.
    """

    row: Row
    bound: Fraction | None
    value: Fraction | None
    is_met: bool | None
    lacking: tuple[str, ...] = ()
    offending: tuple[str, ...] = ()


def all_held(blend: Blend) -> list[Checked]:
    """Hold every limit of its brief against a blend.

    A limit on skin that nothing in the blend counts towards is not told.
    """
    limits = blend.request.brief.limits
    return [
        check
        for limit in limits
        if (check := held(blend, limit)).value
        or limit.family is not Family.SKIN
        or check.lacking
        or check.offending
    ]


def held(blend: Blend, limit: Limit) -> Checked:
    """Hold one limit against a blend, exactly."""
    used = blend.used
    row, bound = limit_statement(blend.request, limit), Fraction(limit.value)
    ruled_out = _ruled_out(used, limit)
    if ruled_out:
        return Checked(row, bound, None, is_met=False, offending=ruled_out)
    lacking = _lacking(used, limit)
    if lacking:
        return Checked(row, bound, None, None, lacking)
    prices = [price or Fraction(0) for price in used.prices]
    stated = limit_row(blend.request, limit, used.ingredients, prices)
    top, weight = stated.numerator.level(used.x), Fraction(stated.constant)
    if stated.denominator is not None:
        weight += stated.denominator.level(used.x)
    missed = top - bound * weight
    slack = _rounding(stated, len(used.x))
    is_met = {
        Sense.AT_LEAST: missed >= -slack,
        Sense.AT_MOST: missed <= slack,
        Sense.EQUAL: abs(missed) <= slack,
    }[row.sense]
    may_be_absent = limit.family is Family.AMOUNTS and limit.of in blend.request.brief.or_none
    is_met = is_met or (may_be_absent and top == 0)
    return Checked(row, bound, top / weight if weight else None, is_met)


def _ruled_out(used: Blend, limit: Limit) -> tuple[str, ...]:
    """What a certificate does not allow in the category of a sum over certificates."""
    category = certified_category(limit.of) if limit.family is Family.SKIN else None
    if category is None:
        return ()
    certified = used.request.book.certified
    return tuple(
        one.id
        for one in used.ingredients
        if category in certified.get(one.id, {}) and not certified[one.id][category].percent
    )


def _rounding(stated: ModelRow, n: int) -> Fraction:
    """What half of the last decimal of a written formula can do to a row."""
    bottom = (0,) * n if stated.denominator is None else stated.denominator.numbers
    bound = Fraction(stated.bound)
    sizes = (
        abs(Fraction(a) - bound * Fraction(b))
        for a, b in zip(stated.numerator.numbers, bottom, strict=True)
    )
    return LAST_DECIMAL / 2 * sum(sizes, Fraction(0))


def _lacking(used: Blend, limit: Limit) -> tuple[str, ...]:
    """Ingredients whose figure or price a limit needs and nobody gives."""
    if limit.family is Family.SKIN:
        book, uses = used.request.book, used.request.brief.uses
        return tuple(i.id for i in used.ingredients if is_unknown(book, i, uses))
    if limit.family is not Family.PROPERTIES:
        return ()
    if limit.of == COST:
        priced = zip(used.ingredients, used.prices, strict=True)
        return tuple(i.id for i, price in priced if price is None)
    over = used.request.book.properties[limit.of].over
    return tuple(i.id for i in used.ingredients if in_scope(i, over) and limit.of not in i.figures)
