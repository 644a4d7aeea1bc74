"""The cheapest formula of a brief, what holds it there, and the proof.

Answers `formulate`: which percentages cost least within every limit; which limits bind,
what each costs on either side and how far that holds; within which prices the formula
stays, and below which price an unused ingredient would come in; whether another formula
costs the same.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from optimiser.answers.measures import Blend, Measures, measured
from optimiser.answers.price_ranges import PriceRange, price_ranges
from optimiser.brief import Request
from optimiser.exact.dictionary import Ending
from optimiser.exact.proof import Certificate, prove
from optimiser.exact.sensitivity import Rate, bound_rate, equal_ranges
from optimiser.formulation import Formulation, LeftOut, formulated
from optimiser.linear_model import LinearModel, Row, Sense
from optimiser.solve import settle

if TYPE_CHECKING:
    # Most briefs have a formula and no choices; what explains and weighs is loaded on demand.
    from optimiser.answers.impossible import Explanation
    from optimiser.answers.weighed import Weighed

SECONDS = 5.0
"""Time limit of a search among weighable formulas."""


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
        row: Its row: sentence, origin, unit, sense, natural step.
        bound: Its bound.
        up: What a higher bound does to the cost.
        down: What a lower bound does to the cost.
        is_ratio: True for a ratio or a mean over part of the formula, where the rates
            drift as the bound moves.
        is_absent: True where nothing of what the limit concerns is in the formula, and
            the limit is what keeps it out.
        eased: One natural step looser, solved again; None where that changes nothing.
    """

    row: Row
    bound: Fraction
    up: Rate
    down: Rate
    is_ratio: bool
    is_absent: bool
    eased: Eased | None

    @property
    def is_from_style(self) -> bool:
        """Whether the style brought this limit, not the brief."""
        return self.row.is_customary

    @property
    def is_free(self) -> bool:
        """Whether easing this limit alone saves nothing."""
        return not _saving(self)

    @property
    def is_felt(self) -> bool:
        """Whether easing this limit saves something, or it keeps something out altogether."""
        return self.is_absent or not self.is_free


@dataclass(frozen=True, eq=False)
class Cheapest:
    """The answer of `formulate`.

    Attributes:
        formulation: The request as a model.
        certificate: What the exact arithmetic settled.
        measures: The formula and what it measures; None without one.
        active_limits: The limits that the formula exactly meets, the dearest first.
        used: Price ranges of the ingredients in the formula.
        unused: Price ranges of those that are not.
        equal_cost: How far each share can move at the same cost, for those that can;
            empty where the formula is the only cheapest one.
        explanation: Why there is no formula, where there is none.
        weighed: How the formula was made weighable, for a brief with choices. Prices of
            limits then are those of the continuous formula of the same ingredients, and
            price ranges and ties are not given.
    """

    formulation: Formulation
    certificate: Certificate
    measures: Measures | None = None
    active_limits: tuple[ActiveLimit, ...] = ()
    used: tuple[PriceRange, ...] = ()
    unused: tuple[PriceRange, ...] = ()
    equal_cost: Mapping[str, tuple[Fraction, Fraction]] | None = None
    explanation: Explanation | None = None
    weighed: Weighed | None = None

    @property
    def status(self) -> str:
        """`optimal`, `infeasible` or `unbounded`; `unsettled` where the time ran out."""
        if self.measures is not None:
            return str(Ending.OPTIMAL)
        if self.weighed is not None and not self.weighed.is_known:
            return str(Ending.UNSETTLED)
        if self.weighed is not None:
            return str(Ending.INFEASIBLE)
        return str(self.certificate.ending)

    @property
    def request(self) -> Request:
        """What was asked."""
        return self.formulation.request

    @property
    def stated_model(self) -> LinearModel:
        """The model that answers the brief, whole numbers included."""
        if self.weighed is None:
            return self.formulation.model
        from optimiser.weighable_model import weighable

        return weighable(self.formulation).model

    @property
    def proof_model(self) -> LinearModel:
        """The model whose rows the certificate's prices belong to."""
        if self.weighed is None:
            return self.formulation.model
        if self.measures is None or self.weighed.kept_model is None:
            return self.weighed.stated.model
        return self.weighed.kept_model

    @property
    def left_out(self) -> tuple[LeftOut, ...]:
        """Ingredients left out for want of a figure."""
        return self.formulation.left_out

    @property
    def is_unique(self) -> bool | None:
        """Whether no other formula costs the same; None where that is not known."""
        return None if self.equal_cost is None else not self.equal_cost


def cheapest(
    request: Request,
    seconds: float = SECONDS,
    tell: Callable[[str], None] = lambda _: None,
) -> Cheapest:
    """Find, explain and prove the cheapest formula of a request.

    Args:
        request: The brief and all it refers to.
        seconds: Time limit of a search among weighable formulas.
        tell: Takes a line of progress of that search.

    Raises:
        InputError: The request cannot be stated as a model.
        UnsettledError: The exact arithmetic came to no end.
    """
    formulation = formulated(request)
    if request.brief.has_choices:
        from optimiser.answers.weighed import weighed

        return _with_choices(formulation, weighed(formulation, seconds, tell))
    _, certificate = settle(formulation.model)
    if certificate.x is None or certificate.dictionary is None:
        from optimiser.answers.impossible import explained

        return Cheapest(formulation, certificate, explanation=explained(formulation))
    x, dictionary = certificate.x, certificate.dictionary
    used, unused = price_ranges(formulation, certificate)
    labels = formulation.model.columns
    equal = equal_ranges(dictionary, range(len(labels))) or {}
    return Cheapest(
        formulation=formulation,
        certificate=certificate,
        measures=measured(Blend.of(formulation, x)),
        active_limits=active_limits(formulation.model, certificate),
        used=used,
        unused=unused,
        equal_cost={
            labels[j]: (low, high)
            for j, (low, high) in equal.items()
            if low is not None and high is not None and low != high
        },
    )


def _with_choices(formulation: Formulation, outcome: Weighed) -> Cheapest:
    """The answer for a brief with whole steps, counts or either-or."""
    if outcome.x is None or outcome.kept is None or outcome.kept_model is None:
        explanation = None
        if outcome.is_for_limits:
            from optimiser.answers.impossible import explained

            explanation = explained(formulation, outcome.stated.relaxed)
        return Cheapest(formulation, outcome.relaxed, explanation=explanation, weighed=outcome)
    kept = outcome.kept
    return Cheapest(
        formulation=formulation,
        certificate=kept,
        measures=measured(Blend.of(formulation, outcome.x)),
        active_limits=() if kept.x is None else active_limits(outcome.kept_model, kept),
        weighed=outcome,
    )


def active_limits(model: LinearModel, certificate: Certificate) -> tuple[ActiveLimit, ...]:
    """The limits whose level equals their bound, with what each costs; the dearest first."""
    x, dictionary = certificate.x, certificate.dictionary
    assert x is not None
    assert dictionary is not None
    found = []
    for i, row in enumerate(model.rows):
        bound = Fraction(model.bound[i])
        if not row.is_said or not _binds(certificate, model, i):
            continue
        up, down = (bound_rate(model, dictionary, i, way) for way in (1, -1))
        eased = _eased(model, certificate, i, up, down)
        is_ratio = model.denominator[i] is not None
        is_absent = is_ratio and not model.weight(i, x)
        found.append(ActiveLimit(row, bound, up, down, is_ratio, is_absent, eased))
    return tuple(sorted(found, key=_saving, reverse=True))


def _binds(certificate: Certificate, model: LinearModel, i: int) -> bool:
    """Whether a row's level is its bound, or it shuts out both sides of a ratio."""
    assert certificate.x is not None
    assert certificate.prices is not None
    level = model.level(i, certificate.x)
    return bool(certificate.prices[i]) if level is None else level == model.bound[i]


def _saving(active: ActiveLimit) -> Fraction:
    """What one eased step saves, to put the dearest limit first."""
    rates = [rate.per_unit for rate in (active.up, active.down) if rate.per_unit is not None]
    return max((-rate for rate in rates if rate < 0), default=Fraction(0))


def _eased(
    model: LinearModel, certificate: Certificate, i: int, up: Rate, down: Rate
) -> Eased | None:
    """Ease one limit by a step the way that saves, and settle the model again.

    What may not be eased, such as a limit on skin, is not tried.
    """
    if not model.rows[i].may_be_eased:
        return None
    falling = {1: up.per_unit, -1: down.per_unit}
    sense = model.rows[i].sense
    ways = {Sense.AT_LEAST: (-1,), Sense.AT_MOST: (1,), Sense.EQUAL: (1, -1)}[sense]
    saving = [way for way in ways if (falling[way] or 0) < 0]
    if not saving:
        return None
    bound = Fraction(model.bound[i]) + saving[0] * model.rows[i].step
    least = model.rows[i].least
    bound = bound if least is None else max(bound, least)
    if bound == model.bound[i]:
        return None
    assert certificate.dictionary is not None
    assert certificate.x is not None
    assert certificate.cost is not None
    again = prove(model.with_bound(i, bound), certificate.dictionary.basis())
    if not again.proven or again.x is None or again.cost is None:
        return None
    moved = zip(model.columns, certificate.x, again.x, strict=True)
    changes = {label: after - before for label, before, after in moved if after != before}
    return Eased(bound, again.cost, changes)
