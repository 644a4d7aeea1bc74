"""The cheapest formula of a brief, what holds it there, and the proof.

Answers `formulate`: which percentages cost least within every limit; which limits bind,
what each costs on either side and how far that holds; within which prices the formula
stays, and below which price an unused ingredient would come in; whether another formula
costs the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from optimiser.answers.measures import Measures, measured
from optimiser.brief import COST, Family, Limit, Request
from optimiser.exact.dictionary import Dictionary, Ending
from optimiser.exact.kernel import Basis
from optimiser.exact.proof import Certificate, prove
from optimiser.exact.sensitivity import Rate, bound_rate, cost_range, equal_ranges
from optimiser.formulation import WHOLE, Formulation, LeftOut, formulated
from optimiser.linear_model import LinearModel, Row, Sense
from optimiser.solve import Solution, settle

STEP_OF_SHARES = Fraction(1)
"""A limit on shares is eased by one percentage point, or a tenth where it is small."""
STEP_OF_RATIOS = Fraction(1, 10)
STEP_OF_COST = Fraction(1, 10)
SMALL_SHARE = 4


@dataclass(frozen=True, slots=True)
class Eased:
    """What one natural step of easing a limit would bring, from solving again.

    Attributes:
        bound: The eased bound.
        cost_per_kg: The cost of the cheapest formula then.
        changes: Percentage points by which each share would move.
    """

    bound: Fraction
    cost_per_kg: Fraction
    changes: Mapping[str, Fraction]


@dataclass(frozen=True, slots=True)
class ActiveLimit:
    """A limit that the formula exactly meets.

    Attributes:
        limit: The limit.
        row: Its row: sentence, unit, sense.
        bound: Its bound.
        up: What a higher bound does to the cost.
        down: What a lower bound does to the cost.
        step: A natural step of the limit's unit.
        is_ratio: True for a ratio or a mean over part of the formula, where the rates
            drift as the bound moves.
        eased: One natural step looser, solved again; None where that changes nothing.
    """

    limit: Limit
    row: Row
    bound: Fraction
    up: Rate
    down: Rate
    step: Fraction
    is_ratio: bool
    eased: Eased | None

    @property
    def is_free(self) -> bool:
        """Whether easing this limit alone saves nothing."""
        return not _saving(self)


@dataclass(frozen=True, slots=True)
class PriceRange:
    """Between which prices per kg this formula stays the cheapest, others unchanged.

    Attributes:
        ingredient: Its id.
        price_per_kg: Today's price.
        stays_from: The lowest price, None where there is none. For an unused ingredient
            this is the price below which it enters.
        stays_to: The highest price, None where there is none.
    """

    ingredient: str
    price_per_kg: Fraction
    stays_from: Fraction | None
    stays_to: Fraction | None


@dataclass(frozen=True, eq=False)
class Cheapest:
    """The answer of `formulate`.

    Attributes:
        formulation: The request as a model.
        solution: What the solver said.
        certificate: What the exact arithmetic settled.
        measures: The formula and what it measures; None without one.
        active_limits: The limits that the formula exactly meets, the dearest first.
        used: Price ranges of the ingredients in the formula.
        unused: Price ranges of those that are not.
        equal_cost: How far each share can move at the same cost, for those that can;
            empty where the formula is the only cheapest one.
    """

    formulation: Formulation
    solution: Solution
    certificate: Certificate
    measures: Measures | None = None
    active_limits: tuple[ActiveLimit, ...] = ()
    used: tuple[PriceRange, ...] = ()
    unused: tuple[PriceRange, ...] = ()
    equal_cost: Mapping[str, tuple[Fraction, Fraction]] | None = None

    @property
    def status(self) -> str:
        """`optimal`, `infeasible` or `unbounded`."""
        return str(self.certificate.ending)

    @property
    def request(self) -> Request:
        """What was asked."""
        return self.formulation.request

    @property
    def left_out(self) -> tuple[LeftOut, ...]:
        """Ingredients left out for want of a figure."""
        return self.formulation.left_out

    @property
    def is_unique(self) -> bool:
        """Whether no other formula costs the same."""
        return not self.equal_cost


class UnsettledError(Exception):
    """The exact arithmetic did not come to an end; nothing is claimed."""


def cheapest(request: Request) -> Cheapest:
    """Find, explain and prove the cheapest formula of a request.

    Raises:
        InputError: The request cannot be stated as a model.
        UnsettledError: The exact arithmetic came to no end.
    """
    formulation = formulated(request)
    solution, certificate = settle(formulation.model)
    if certificate.ending is Ending.UNSETTLED:
        raise UnsettledError("the exact check of this brief came to no end; please report it")
    if certificate.x is None or certificate.dictionary is None:
        return Cheapest(formulation, solution, certificate)
    x, dictionary = certificate.x, certificate.dictionary
    used, unused = _price_ranges(formulation, certificate)
    labels = formulation.model.columns
    equal = equal_ranges(dictionary, range(len(labels))) or {}
    return Cheapest(
        formulation=formulation,
        solution=solution,
        certificate=certificate,
        measures=measured(formulation, x),
        active_limits=active_limits(formulation, certificate),
        used=used,
        unused=unused,
        equal_cost={labels[j]: ends for j, ends in equal.items() if ends[0] != ends[1]},
    )


def active_limits(formulation: Formulation, certificate: Certificate) -> tuple[ActiveLimit, ...]:
    """The limits whose level equals their bound, with what each costs; the dearest first."""
    model, x, dictionary = formulation.model, certificate.x, certificate.dictionary
    assert x is not None
    assert dictionary is not None
    found = []
    for i, limit in enumerate(formulation.limits):
        bound = Fraction(model.bound[i])
        if limit is None or model.level(i, x) != bound:
            continue
        up, down = (bound_rate(model, dictionary, i, way) for way in (1, -1))
        step = _step(formulation, limit)
        eased = _eased(model, certificate, i, step, up, down)
        is_ratio = model.denominator[i] is not None
        row = model.rows[i]
        found.append(ActiveLimit(limit, row, bound, up, down, step, is_ratio, eased))
    return tuple(sorted(found, key=_saving, reverse=True))


def _saving(active: ActiveLimit) -> Fraction:
    """What one eased step saves, to put the dearest limit first."""
    rates = [rate.per_unit for rate in (active.up, active.down) if rate.per_unit is not None]
    return max((-rate for rate in rates if rate < 0), default=Fraction(0))


def _step(formulation: Formulation, limit: Limit) -> Fraction:
    """A natural step by which a limit may be eased, in its own unit."""
    if limit.family is Family.RATIOS:
        return STEP_OF_RATIOS
    if limit.family is Family.PROPERTIES:
        if limit.of == COST:
            return STEP_OF_COST
        return Fraction(formulation.request.book.properties[limit.of].step)
    return STEP_OF_SHARES if limit.value >= SMALL_SHARE else STEP_OF_SHARES / 10


def _eased(
    model: LinearModel, certificate: Certificate, i: int, step: Fraction, up: Rate, down: Rate
) -> Eased | None:
    """Ease one limit by a step the way that saves, and settle the model again."""
    falling = {1: up.per_unit, -1: down.per_unit}
    sense = model.rows[i].sense
    ways = {Sense.AT_LEAST: (-1,), Sense.AT_MOST: (1,), Sense.EQUAL: (1, -1)}[sense]
    saving = [way for way in ways if (falling[way] or 0) < 0]
    if not saving:
        return None
    bound = Fraction(model.bound[i]) + saving[0] * step
    assert certificate.dictionary is not None
    assert certificate.x is not None
    assert certificate.cost is not None
    again = prove(model.with_bound(i, bound), certificate.dictionary.basis())
    if not again.proven or again.x is None or again.cost is None:
        return None
    moved = zip(model.columns, certificate.x, again.x, strict=True)
    changes = {label: after - before for label, before, after in moved if after != before}
    return Eased(bound, again.cost, changes)


def _price_ranges(
    formulation: Formulation, certificate: Certificate
) -> tuple[tuple[PriceRange, ...], tuple[PriceRange, ...]]:
    """The interval of each price in which the formula stays, used and unused apart."""
    model, x = formulation.model, certificate.x
    assert x is not None
    dictionary = _without_cost_limits(formulation, certificate)
    used: list[PriceRange] = []
    unused: list[PriceRange] = []
    for j, offer in enumerate(formulation.offers):
        low, high = cost_range(dictionary, j)
        price = offer.price_per_kg
        found = PriceRange(
            ingredient=model.columns[j],
            price_per_kg=price,
            stays_from=None if low is None else low * WHOLE,
            stays_to=_within_cost_limits(formulation, certificate, j, high),
        )
        (used if x[j] else unused).append(found)
    used.sort(key=lambda found: (-x[model.columns.index(found.ingredient)], found.ingredient))
    unused.sort(key=_price_drop)
    return tuple(used), tuple(unused)


def _price_drop(unused: PriceRange) -> tuple[bool, Fraction, str]:
    """Ingredients nearest to coming in first, those that never do last."""
    never = unused.stays_from is None
    drop = Fraction(0) if unused.stays_from is None else unused.price_per_kg - unused.stays_from
    return never, drop, unused.ingredient


def _cost_rows(formulation: Formulation) -> list[int]:
    return [
        i
        for i, limit in enumerate(formulation.limits)
        if limit is not None and limit.family is Family.PROPERTIES and limit.of == COST
    ]


def _without_cost_limits(formulation: Formulation, certificate: Certificate) -> Dictionary:
    """The optimal dictionary without limits on the cost itself.

    A price moves such a limit's row as well as the cost. It never changes which formula is
    cheapest, only whether that one is still allowed, so it is looked at separately.
    """
    rows = _cost_rows(formulation)
    assert certificate.dictionary is not None
    if not rows:
        return certificate.dictionary
    basis = certificate.dictionary.basis()
    kept = tuple(rest for i, rest in enumerate(basis.rows) if i not in rows)
    model = formulation.model.without_rows(rows)
    again = prove(model, Basis(basis.columns, kept))
    if again.dictionary is None or again.x != certificate.x:
        # The cost limit forbids what would be cheaper (a minimum), or ties were broken by it.
        return certificate.dictionary
    return again.dictionary


def _within_cost_limits(
    formulation: Formulation, certificate: Certificate, j: int, high: Fraction | None
) -> Fraction | None:
    """The highest price of a column in its unit of money per kg, cost limits regarded."""
    model, x, cost = formulation.model, certificate.x, certificate.cost
    assert x is not None
    assert cost is not None
    ends = [] if high is None else [high * WHOLE]
    if x[j]:
        price = formulation.offers[j].price_per_kg
        ends += [
            price + (Fraction(model.bound[i]) - cost) * WHOLE / x[j]
            for i in _cost_rows(formulation)
            if model.rows[i].sense is not Sense.AT_LEAST
        ]
    return min(ends, default=None)
