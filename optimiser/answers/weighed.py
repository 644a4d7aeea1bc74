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
from itertools import combinations
from time import monotonic

import numpy as np

from optimiser.brief import Family
from optimiser.exact.integer_program import IntegerProgram
from optimiser.exact.proof import Certificate, meets
from optimiser.formulation import Formulation
from optimiser.linear_model import Floats, LinearModel, Sense
from optimiser.provenance import Exact
from optimiser.solve import Status, settle, solve
from optimiser.weighable_model import (
    COUNT_KEY,
    STEP_KEY,
    WeighableModel,
    least_doses,
    rules,
    weighable,
)

NEAR_STEPS = 3
"""How many steps up or down from the continuous optimum the first search looks."""

NEAR_SECONDS = 2.0
TRIAL_SECONDS = 2.0

MARGINS = (0.0, 1e-7, 1e-6, 1e-5)
"""By how much limits are tightened for the solver where its tolerance lets one break."""

MOST_PAIRS = 15

FINER = (2, 5, 10, 20, 100)


@dataclass(frozen=True, slots=True)
class FailingRule:
    """A rule, or two together, without which the brief could be met.

    Attributes:
        keys: The key path of each.
        said: Each rule in words.
        possible_from: For a count the smallest number of ingredients that will do, for
            steps the coarsest of a few finer ones; None where not known.
    """

    keys: tuple[str, ...]
    said: tuple[str, ...]
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
        kept_model: The continuous model of the same ingredients.
        kept: Its exact optimum, for prices of limits.
        is_for_limits: True where the limits alone, without any rule, are impossible.
        failing: Rules that, dropped, make an impossible brief possible; single ones, or
            pairs where no single one is enough.
        is_known: False where no formula was found, but it is not known that there is none.
        ran_out: True where the time ended before the solver was done.
    """

    stated: WeighableModel
    relaxed: Certificate
    x: tuple[Fraction, ...] | None = None
    cost: Fraction | None = None
    is_best: bool = False
    kept_model: LinearModel | None = None
    kept: Certificate | None = None
    is_for_limits: bool = False
    failing: tuple[FailingRule, ...] = ()
    is_known: bool = True
    ran_out: bool = False

    @property
    def is_proven(self) -> bool:
        """Whether the exact lower bound itself shows that nothing is cheaper."""
        return self.cost is not None and self.cost == self.relaxed.lower_bound


def weighed(
    formulation: Formulation,
    seconds: float,
    tell: Callable[[str], None] = lambda _: None,
) -> Weighed:
    """Find the cheapest weighable formula.

    Args:
        formulation: A formulation whose brief has choices.
        seconds: Time limit of the free search.
        tell: Takes a line of progress.
    """
    stated = weighable(formulation)
    relaxed = settle(stated.relaxed)[1]
    if relaxed.x is None:
        every_rule = frozenset(key for key, _ in rules(formulation))
        limits_alone = weighable(formulation, every_rule, is_tight=False)
        plain = settle(limits_alone.relaxed)[1]
        if plain.x is None:
            return Weighed(limits_alone, plain, is_for_limits=True)
        return Weighed(stated, relaxed, failing=_failing(formulation))
    near = search(_near(stated, relaxed.x), stated, min(NEAR_SECONDS, seconds), None).values
    best, found = near, Found(near, Status.OPTIMAL)
    if near is None or _cost(stated, near) != relaxed.cost:
        tell(f"looking for a cheaper weighable formula, at most {seconds:g} s")
        start = None if near is None else np.array([float(v) for v in near])
        found = search(stated.model, stated, seconds, start)
        best = found.values
        if near is not None and (best is None or _cost(stated, near) <= _cost(stated, best)):
            best = near
    ran_out = found.status in (Status.LIMIT, Status.STOPPED) and not found.is_adjusted
    if best is None:
        is_known = found.status is Status.INFEASIBLE
        failing = _failing(formulation) if is_known else ()
        return Weighed(stated, relaxed, failing=failing, is_known=is_known, ran_out=ran_out)
    x = stated.shares(best)
    kept_model = _kept_model(formulation, x)
    return Weighed(
        stated=stated,
        relaxed=relaxed,
        x=x,
        cost=formulation.model.cost_of(x),
        is_best=found.status is Status.OPTIMAL and not found.is_adjusted,
        kept_model=kept_model,
        kept=settle(kept_model)[1],
        ran_out=ran_out,
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


@dataclass(frozen=True, eq=False)
class Found:
    """The outcome of one search.

    Attributes:
        values: Exact values of all columns, checked against every row; None without any.
        status: What the solver said of the model as stated.
        is_adjusted: True where limits had to be tightened for the solver, so that its word
            on what is best is not for the model as stated.
    """

    values: tuple[Fraction, ...] | None
    status: Status
    is_adjusted: bool = False


def search(
    model: LinearModel, stated: WeighableModel, seconds: float, start: Floats | None
) -> Found:
    """Solve, and check the whole numbers found in exact arithmetic.

    Where the solver's tolerance let a limit break, that limit is tightened a little and the
    model is solved again, all within the time. The answer is exact or there is none.
    """
    program = IntegerProgram.of(stated.model)
    end = monotonic() + seconds
    for margin in MARGINS:
        left = end - monotonic()
        if left <= 0:
            break
        solution = solve(model, left, start)
        if solution.x is None:
            status = solution.status if not margin else Status.STOPPED
            return Found(None, status, is_adjusted=bool(margin))
        values = _whole(stated, solution.x)
        if meets(program, values):
            return Found(values, solution.status, is_adjusted=bool(margin))
        model = _tightened(model, values, margin or MARGINS[1])
    return Found(None, Status.STOPPED, is_adjusted=True)


def _whole(stated: WeighableModel, x: Floats) -> tuple[Fraction, ...]:
    """Whole numbers as such; the continuous columns settled exactly around them."""
    counts = [Fraction(round(v)) for v in x]
    fixed = stated.model
    if all(fixed.is_integer):
        return tuple(counts)
    whole = fixed.is_integer
    lower = tuple(c if w else b for c, w, b in zip(counts, whole, fixed.lower, strict=True))
    upper = tuple(c if w else b for c, w, b in zip(counts, whole, fixed.upper, strict=True))
    settled = settle(replace(stated.relaxed, lower=lower, upper=upper))[1]
    # Impossible around these numbers: show them to the check, which says which row breaks.
    return settled.x or tuple(
        c if w else Fraction(repr(float(v))) for c, w, v in zip(counts, whole, x, strict=True)
    )


def _tightened(model: LinearModel, values: tuple[Fraction, ...], margin: float) -> LinearModel:
    """The model with the inequalities that a point breaks a little harder to meet."""
    signs = {Sense.AT_LEAST: 1, Sense.AT_MOST: -1, Sense.EQUAL: 0}
    for i, row in enumerate(model.rows):
        bound, sign = Fraction(model.bound[i]), signs[row.sense]
        over = model.numerator[i].level(values) - bound * model.weight(i, values)
        if over * sign < 0:
            size = max(Fraction(1), abs(bound))
            model = model.with_bound(i, bound + Fraction(repr(margin)) * size * sign)
    return model


def _kept_model(formulation: Formulation, x: tuple[Fraction, ...]) -> LinearModel:
    """The continuous model with the chosen ingredients only, each kept at its least dose.

    Limits of an ingredient that may be absent, and is, are left out.
    """
    model = formulation.model
    upper = tuple(
        bound if share else Fraction(0) for bound, share in zip(model.upper, x, strict=True)
    )
    doses = zip(least_doses(formulation), x, strict=True)
    lower = tuple(min(dose, share) for dose, share in doses)
    present = {i.id for i, share in zip(formulation.ingredients, x, strict=True) if share}
    absent = set(formulation.request.brief.or_none) - present
    idle = [
        i
        for i, limit in enumerate(formulation.limits)
        if limit is not None and limit.family is Family.AMOUNTS and limit.of in absent
    ]
    return replace(model, lower=lower, upper=upper).without_rows(idle)


def _failing(formulation: Formulation) -> tuple[FailingRule, ...]:
    """The rules that, dropped, let the brief be met, as far as the solver says.

    Single rules; where no single one is enough, pairs.
    """
    known = rules(formulation)
    singles = [((key,), (said,)) for key, said in known]
    pairs = [((a, b), (said_a, said_b)) for (a, said_a), (b, said_b) in combinations(known, 2)]
    for tried in (singles, pairs[:MOST_PAIRS]):
        found = []
        for keys, said in tried:
            stated = weighable(formulation, frozenset(keys))
            if search(stated.model, stated, TRIAL_SECONDS, None).values is not None:
                mildest = _possible_from(formulation, keys[0]) if len(keys) == 1 else None
                found.append(FailingRule(keys, said, mildest))
        if found:
            return tuple(found)
    return ()


def _possible_from(formulation: Formulation, key: str) -> Fraction | None:
    """The mildest form of a rule under which the brief can be met."""
    if key == COUNT_KEY:
        stated = weighable(formulation)
        i = next(i for i, r in enumerate(stated.model.rows) if r.statement.key == COUNT_KEY)
        counting = replace(
            stated.model.with_bound(i, len(stated.switch)), cost=stated.model.numerator[i]
        )
        least = search(counting, replace(stated, model=counting), TRIAL_SECONDS, None)
        if least.values is None or least.status is not Status.OPTIMAL:
            return None
        return counting.cost_of(least.values)
    weighing = formulation.request.brief.weighing
    if key != STEP_KEY or weighing is None or weighing.step is None:
        return None
    for divisor in FINER:
        finer = weighable(_with_step(formulation, divisor))
        if search(finer.model, finer, TRIAL_SECONDS, None).values is not None:
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
