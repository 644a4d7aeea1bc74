"""Room to move: what formulas there are that cost only a little more than the cheapest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from optimiser.answers.measures import Blend, Measures, measured
from optimiser.brief import COST, End, Family, Limit, Request
from optimiser.formulation import Formulation, formulated, in_scope, limit_row
from optimiser.ingredient import Property
from optimiser.linear_model import LinearModel, ModelRow
from optimiser.postoptimal.near_optimal import NearOptimal, near_optimal
from optimiser.repair import extreme_level
from optimiser.solve import settle

Point = tuple[Fraction, ...]

MOST_FORMULAS = 4
LEAST_APART = Fraction(4)
"""So many formulas beside the cheapest are shown, each this many points from those before."""


@dataclass(frozen=True, slots=True)
class Span:
    """How far something can go.

    Attributes:
        name: An ingredient's id or a property's.
        low: The least.
        high: The most.
        now: Where the cheapest formula stands.
    """

    name: str
    low: Fraction
    high: Fraction
    now: Fraction


@dataclass(frozen=True, eq=False)
class Variant:
    """A formula within the room.

    Attributes:
        measures: What it is and measures.
        apart: Total movement from the nearest of the formulas before it, in points.
    """

    measures: Measures
    apart: Fraction


@dataclass(frozen=True, eq=False)
class Room:
    """What formulas there are within a little more than the least cost.

    Attributes:
        request: The brief; its whole steps and choices are not regarded.
        slack: The part of the least cost that may be spent on top.
        least_cost: The least cost per kg.
        most_cost: What a formula may cost here.
        ingredients: Every ingredient of the shelf that can be used.
        properties: Every property that is limited or usually printed, as far as the figures of
            the whole shelf allow.
        not_judged: Properties that lack a figure somewhere on the shelf.
        cheapest: The cheapest formula.
        variants: Formulas truly different from it and each other, the furthest first.
    """

    request: Request
    slack: Fraction
    least_cost: Fraction
    most_cost: Fraction
    ingredients: tuple[Span, ...]
    properties: tuple[tuple[Property, Span], ...]
    not_judged: tuple[Property, ...]
    cheapest: Measures
    variants: tuple[Variant, ...]


def room_to_move(request: Request, slack: Fraction) -> Room | None:
    """Find the room within a part of the least cost.

    Costs are held at (1 + slack) times the least: less than the least is impossible.

    Args:
        request: The brief; whole steps and choices are not regarded.
        slack: The part of the least cost that may be spent on top, at least 0.

    Returns:
        None where no formula meets the brief.

    Raises:
        InputError: The brief cannot be stated as a model.
        UnsettledError: The exact arithmetic came to no end.
        ValueError: The slack is below 0.
    """
    any_shares = replace(request, brief=request.brief.in_any_shares)
    formulation = formulated(any_shares)
    model = formulation.model
    _, least = settle(model)
    if least.x is None or least.cost is None or least.dictionary is None:
        return None
    near = near_optimal(model, least, slack)
    properties, not_judged = _properties(formulation, near.model, least.x)
    return Room(
        request=request,
        slack=slack,
        least_cost=least.cost,
        most_cost=near.most,
        ingredients=_shares(model, near, least.x),
        properties=properties,
        not_judged=not_judged,
        cheapest=measured(Blend.of(formulation, least.x)),
        variants=_variants(formulation, least.x, near.points),
    )


def _shares(model: LinearModel, near: NearOptimal, now: Point) -> tuple[Span, ...]:
    """The range of every ingredient that can be used; none is without an end."""
    spans = [
        Span(name, low or Fraction(0), high, share)
        for name, (low, high), share in zip(model.columns, near.ranges, now, strict=True)
        if high
    ]
    spans.sort(key=lambda span: (-span.now, -span.high, span.name))
    return tuple(spans)


def _properties(
    formulation: Formulation, capped: LinearModel, now: Point
) -> tuple[tuple[tuple[Property, Span], ...], tuple[Property, ...]]:
    """The least and greatest level of every property worth telling."""
    request = formulation.request
    limited = {limit.of for limit in request.brief.limits if limit.family is Family.PROPERTIES}
    prices = [offer.price_per_kg for offer in formulation.offers]
    found, lacking = [], []
    for quantity in request.book.properties.values():
        if quantity.id == COST or not (quantity.always_printed or quantity.id in limited):
            continue
        scope = [i for i in formulation.ingredients if in_scope(i, quantity.over)]
        if any(quantity.id not in i.figures for i in scope):
            lacking.append(quantity)
            continue
        row = _level_row(request, quantity, formulation, prices)
        wide = capped.with_rows([row])
        i = len(capped.rows)
        level = wide.level(i, now)
        low, high = (extreme_level(wide, i, way) for way in (-1, 1))
        if level is not None and low is not None and high is not None:
            found.append((quantity, Span(quantity.id, low, high, level)))
    found.sort(key=lambda pair: pair[0].id not in limited)
    return tuple(found), tuple(lacking)


def _level_row(
    request: Request, quantity: Property, formulation: Formulation, prices: Sequence[Fraction]
) -> ModelRow:
    """A property as a row at its typical figures; its bound does not matter."""
    limit = Limit(
        Family.PROPERTIES, quantity.id, End.EXACTLY, Decimal(0), quantity.id, quantity.origin
    )
    return limit_row(request, limit, formulation.ingredients, prices)


def _variants(
    formulation: Formulation, cheapest: Point, points: Sequence[Point]
) -> tuple[Variant, ...]:
    """Of the points met the one furthest from those chosen before, again and again.

    Being the greatest of the least distances it is a corner formula that differs most; that
    no formula at all differs more is not claimed.
    """
    found: list[Variant] = []
    distance = {x: _apart(x, cheapest) for x in dict.fromkeys(points)}
    while distance and len(found) < MOST_FORMULAS:
        furthest = max(distance, key=lambda x: (distance[x], x))
        if distance[furthest] < LEAST_APART:
            break
        found.append(Variant(measured(Blend.of(formulation, furthest)), distance[furthest]))
        distance = {x: min(gap, _apart(x, furthest)) for x, gap in distance.items()}
    return tuple(found)


def _apart(one: Point, other: Point) -> Fraction:
    """Total movement between two formulas, in points."""
    return sum((abs(a - b) for a, b in zip(one, other, strict=True)), Fraction(0))
