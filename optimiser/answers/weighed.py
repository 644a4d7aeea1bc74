"""The cheapest formula that can be weighed: whole steps, doses, counts, either-or.

A mixed-integer programme, right for the formula as weighed: nothing is rounded after the
fact. First near the continuous optimum (its ingredients, a few steps up or down), then
freely from there, for a few seconds at most. The answer is checked against every limit in
exact arithmetic, and an exact lower bound says how far it can be from the best.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from optimiser.exact.integer_program import IntegerProgram
from optimiser.exact.proof import Certificate, meets, prove
from optimiser.formulation import Formulation
from optimiser.linear_model import Floats, LinearModel, Sense
from optimiser.provenance import Exact
from optimiser.solve import Status, solve
from optimiser.weighable_model import (
    COUNT_KEY,
    STEP_KEY,
    WeighableModel,
    rules,
    weighable,
)

NEAR_STEPS = 3
"""How many steps up or down from the continuous optimum the first search looks."""

NEAR_SECONDS = 2.0
DEFAULT_SECONDS = 5.0
TRIAL_SECONDS = 2.0

MARGINS = (0.0, 1e-7, 1e-6, 1e-5)
"""By how much limits are tightened for the solver where its tolerance lets one break."""

FINER = (2, 5, 10, 20, 100)


@dataclass(frozen=True, slots=True)
class FailingRule:
    """A rule without which the brief could be met.

    Attributes:
        key: Its key path.
        said: The rule in words.
        possible_from: For a count the smallest number of ingredients that will do, for
            steps the coarsest of a few finer ones; None where not known.
    """

    key: str
    said: str
    possible_from: Fraction | None


@dataclass(frozen=True, eq=False)
class Weighed:
    """The outcome of a brief with choices.

    Attributes:
        stated: The mixed model that was searched or shown to be impossible.
        relaxed: The exact optimum without whole numbers, a lower bound; or the proof that
            not even that is possible.
        x: Percent of each ingredient, exactly; None where none was found.
        cost: Its exact cost, or None.
        is_best: Whether the solver proved that nothing weighable is cheaper.
        kept: The exact continuous optimum with the same ingredients, for prices of limits.
        failing: Rules of which any one, dropped, makes an impossible brief possible.
        ran_out: True where the time ended before the solver was done.
    """

    stated: WeighableModel
    relaxed: Certificate
    x: tuple[Fraction, ...] | None = None
    cost: Fraction | None = None
    is_best: bool = False
    kept: Certificate | None = None
    failing: tuple[FailingRule, ...] = ()
    ran_out: bool = False

    @property
    def is_proven(self) -> bool:
        """Whether the exact lower bound itself shows that nothing is cheaper."""
        return self.cost is not None and self.cost == self.relaxed.lower_bound


def weighed(
    formulation: Formulation,
    seconds: float = DEFAULT_SECONDS,
    tell: Callable[[str], None] = lambda _: None,
) -> Weighed:
    """Find the cheapest weighable formula.

    Args:
        formulation: A formulation whose brief has choices.
        seconds: Time limit of the free search.
        tell: Takes a line of progress.
    """
    stated = weighable(formulation)
    relaxed = prove(stated.relaxed, None)
    if relaxed.x is None:
        every_rule = frozenset(key for key, _ in rules(formulation))
        limits_alone = weighable(formulation, every_rule, is_tight=False)
        plain = prove(limits_alone.relaxed, None)
        if plain.x is None:
            return Weighed(limits_alone, plain)
        return Weighed(limits_alone, plain, failing=_failing(formulation))
    near, _ = search(_near(stated, relaxed.x), stated, NEAR_SECONDS, None)
    best, status = near, Status.OPTIMAL
    if near is None or _cost(stated, near) != relaxed.cost:
        tell(f"looking for a cheaper weighable formula, at most {seconds:g} s")
        start = None if near is None else np.array([float(v) for v in near])
        best, status = search(stated.model, stated, seconds, start)
        if near is not None and (best is None or _cost(stated, near) <= _cost(stated, best)):
            best = near
    if best is None:
        ran_out = status is not Status.INFEASIBLE
        failing = () if ran_out else _failing(formulation)
        return Weighed(stated, relaxed, failing=failing, ran_out=ran_out)
    x = stated.shares(best)
    is_best = status is Status.OPTIMAL
    return Weighed(
        stated=stated,
        relaxed=relaxed,
        x=x,
        cost=formulation.model.cost_of(x),
        is_best=is_best,
        kept=_kept(formulation, x),
        ran_out=not is_best,
    )


def _cost(stated: WeighableModel, values: tuple[Fraction, ...]) -> Fraction:
    return stated.model.cost_of(values)


def _near(stated: WeighableModel, x: tuple[Fraction, ...]) -> LinearModel:
    """The model within a few steps of a continuous optimum, and on its ingredients."""
    model = stated.model
    lower: list[Exact] = list(model.lower)
    upper: list[Exact | None] = list(model.upper)
    for j, counted in enumerate(stated.is_counted):
        if not x[j]:
            upper[j] = 0
        elif counted:
            whole = x[j].numerator // x[j].denominator
            lower[j] = max(0, whole - NEAR_STEPS)
            upper[j] = whole + 1 + NEAR_STEPS
    return replace(model, lower=tuple(lower), upper=tuple(upper))


def search(
    model: LinearModel, stated: WeighableModel, seconds: float, start: Floats | None
) -> tuple[tuple[Fraction, ...] | None, Status]:
    """Solve, and check the whole numbers found in exact arithmetic.

    Where the solver's tolerance let a limit break, limits are tightened a little and the
    model is solved again. The answer is exact or there is none.
    """
    program = IntegerProgram.of(stated.model)
    status = Status.STOPPED
    for margin in MARGINS:
        solution = solve(_tightened(model, margin), seconds, start)
        status = solution.status
        if solution.x is None:
            return None, status
        values = _whole(stated, solution.x)
        if values is not None and meets(program, values):
            return values, status if margin == 0 else Status.LIMIT
    return None, Status.STOPPED


def _whole(stated: WeighableModel, x: Floats) -> tuple[Fraction, ...] | None:
    """Whole numbers as such; the continuous columns settled exactly around them."""
    counts = [Fraction(round(v)) for v in x]
    fixed = stated.model
    if all(fixed.is_integer):
        return tuple(counts)
    whole = fixed.is_integer
    lower = tuple(c if w else b for c, w, b in zip(counts, whole, fixed.lower, strict=True))
    upper = tuple(c if w else b for c, w, b in zip(counts, whole, fixed.upper, strict=True))
    settled = prove(replace(stated.relaxed, lower=lower, upper=upper), None)
    return settled.x


def _tightened(model: LinearModel, margin: float) -> LinearModel:
    """The model with each inequality a little harder to meet."""
    if not margin:
        return model
    signs = {Sense.AT_LEAST: 1, Sense.AT_MOST: -1, Sense.EQUAL: 0}
    for i, row in enumerate(model.rows):
        bound = Fraction(model.bound[i])
        if row.is_said and signs[row.sense] and model.denominator[i] is None:
            size = max(Fraction(1), abs(bound))
            shift = Fraction(repr(margin)) * size * signs[row.sense]
            model = model.with_bound(i, bound + shift)
    return model


def _kept(formulation: Formulation, x: tuple[Fraction, ...]) -> Certificate:
    """The continuous optimum with the chosen ingredients kept."""
    model = formulation.model
    brief = formulation.request.brief
    upper = tuple(
        bound if share else Fraction(0) for bound, share in zip(model.upper, x, strict=True)
    )
    absent = {i.id for i, share in zip(formulation.ingredients, x, strict=True) if not share}
    idle = [
        i
        for i, limit in enumerate(formulation.limits)
        if limit is not None and limit.of in brief.or_none and limit.of in absent
    ]
    return prove(replace(model, upper=upper).without_rows(idle), None)


def _failing(formulation: Formulation) -> tuple[FailingRule, ...]:
    """The rules of which any one, dropped, lets the brief be met, as far as the solver says."""
    found = []
    for key, said in rules(formulation):
        stated = weighable(formulation, frozenset({key}))
        values, _ = search(stated.model, stated, TRIAL_SECONDS, None)
        if values is not None:
            found.append(FailingRule(key, said, _possible_from(formulation, key)))
    return tuple(found)


def _possible_from(formulation: Formulation, key: str) -> Fraction | None:
    """The mildest form of a rule under which the brief can be met."""
    if key == COUNT_KEY:
        stated = weighable(formulation)
        i = next(i for i, r in enumerate(stated.model.rows) if r.statement.key == COUNT_KEY)
        counting = replace(
            stated.model.with_bound(i, len(stated.switch)), cost=stated.model.numerator[i]
        )
        values, status = search(counting, replace(stated, model=counting), TRIAL_SECONDS, None)
        return None if values is None or status is not Status.OPTIMAL else counting.cost_of(values)
    weighing = formulation.request.brief.weighing
    if key != STEP_KEY or weighing is None or weighing.step is None:
        return None
    for divisor in FINER:
        finer = weighable(_with_step(formulation, divisor))
        values, _ = search(finer.model, finer, TRIAL_SECONDS, None)
        if values is not None:
            return Fraction(weighing.step) / divisor
    return None


def _with_step(formulation: Formulation, divisor: int) -> Formulation:
    """The same brief with finer steps."""
    brief = formulation.request.brief
    weighing = brief.weighing
    assert weighing is not None
    assert weighing.step is not None
    finer = replace(weighing, step=weighing.step / divisor)
    request = replace(formulation.request, brief=replace(brief, weighing=finer))
    return replace(formulation, request=request)
