"""Why a brief cannot be met, where plain arithmetic shows it without any model."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from optimiser.brief import COST, End, Family, Limit
from optimiser.formulation import WHOLE, Formulation, in_scope, members, pessimistic


@dataclass(frozen=True, slots=True)
class AbsentCause:
    """A total that asks for something of which nothing is on the shelf.

    Attributes:
        limit: The limit.
    """

    limit: Limit


@dataclass(frozen=True, slots=True)
class SumCause:
    """Amounts whose minimums come to more than the whole, or whose maximums to less.

    Attributes:
        end: `min` or `max`.
        total: What they come to, percent.
        limits: The limits added up.
    """

    end: End
    total: Fraction
    limits: tuple[Limit, ...]


@dataclass(frozen=True, slots=True)
class ReachCause:
    """A target that no ingredient of the shelf reaches by itself, so no blend can.

    Attributes:
        limit: The limit.
        closest: The ingredient that comes closest.
        reached: What it measures, in the limit's unit.
    """

    limit: Limit
    closest: str
    reached: Fraction


Cause = AbsentCause | SumCause | ReachCause


def quick_causes(formulation: Formulation) -> tuple[Cause, ...]:
    """The causes that arithmetic alone shows; often none."""
    return (*_absent(formulation), *_sums(formulation), *_out_of_reach(formulation))


def _absent(formulation: Formulation) -> Iterator[AbsentCause]:
    """Totals that ask for what is not on the shelf at all."""
    groups = formulation.request.brief.groups
    for limit in formulation.request.brief.limits:
        asks = limit.family is Family.TOTALS and limit.end is not End.MAX and limit.value > 0
        if asks and not any(members(limit.of, formulation.ingredients, groups)):
            yield AbsentCause(limit)


def _sums(formulation: Formulation) -> Iterator[SumCause]:
    amounts = [
        limit
        for limit in formulation.request.brief.limits
        if limit.family is Family.AMOUNTS and limit.of not in formulation.request.brief.or_none
    ]
    least = tuple(limit for limit in amounts if limit.end is not End.MAX and limit.value > 0)
    total = sum((Fraction(limit.value) for limit in least), Fraction(0))
    if total > WHOLE:
        yield SumCause(End.MIN, total, least)
    most = tuple(limit for limit in amounts if limit.end is not End.MIN)
    capped = {limit.of: limit for limit in most}
    if all(ingredient.id in capped for ingredient in formulation.ingredients):
        kept = tuple(capped[ingredient.id] for ingredient in formulation.ingredients)
        total = sum((Fraction(limit.value) for limit in kept), Fraction(0))
        if total < WHOLE:
            yield SumCause(End.MAX, total, kept)


def _out_of_reach(formulation: Formulation) -> Iterator[ReachCause]:
    request = formulation.request
    for limit in request.brief.limits:
        if limit.family is not Family.PROPERTIES:
            continue
        values = dict(_values(formulation, limit))
        if not values:
            continue
        if limit.end is not End.MAX:
            best = max(values, key=lambda name: values[name])
            if values[best] < limit.value:
                yield ReachCause(limit, best, values[best])
                continue
        if limit.end is not End.MIN:
            best = min(values, key=lambda name: values[name])
            if values[best] > limit.value:
                yield ReachCause(limit, best, values[best])


def _values(formulation: Formulation, limit: Limit) -> Iterator[tuple[str, Fraction]]:
    """What each ingredient that counts measures by itself."""
    request = formulation.request
    if limit.of == COST:
        for ingredient, offer in zip(formulation.ingredients, formulation.offers, strict=True):
            yield ingredient.id, offer.price_per_kg
        return
    quantity = request.book.properties[limit.of]
    if not all(in_scope(ingredient, quantity.over) for ingredient in formulation.ingredients):
        return  # a blend without any fat has no mean over the fat to keep
    for ingredient in formulation.ingredients:
        figure = ingredient.figures[limit.of]
        number = pessimistic(figure, limit.end, limit.of in request.brief.cautious)
        yield ingredient.id, Fraction(number)
