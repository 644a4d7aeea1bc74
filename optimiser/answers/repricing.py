"""What price changes do: other prices, one swept, many scenarios, prices that are uncertain."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from optimiser.answers.changed_prices import Changed, at_other_prices, missed_limits
from optimiser.answers.cheapest import SECONDS, Cheapest, cheapest
from optimiser.answers.checked import Checked
from optimiser.answers.limit_sweep import LimitSweep, limit_sweep
from optimiser.answers.measures import Blend, Measures, measured
from optimiser.answers.price_draws import PriceTable, Spread
from optimiser.answers.price_questions import (
    Questions,
    limit_range,
    limit_row_of,
    price_range,
    why_not,
)
from optimiser.answers.price_scenarios import Scenarios, price_scenarios
from optimiser.answers.price_sweep import PriceSweep, price_sweep
from optimiser.answers.uncertain_prices import Uncertain, uncertain_prices
from optimiser.brief import Request
from optimiser.formulation import Formulation, formulated
from optimiser.price import PriceChange, repriced
from optimiser.provenance import Origin


@dataclass(frozen=True, eq=False)
class Repricing:
    """The answer of `reprice`; parts that were not asked for are None.

    Attributes:
        request: The brief at today's prices.
        today: Its cheapest formula, or why there is none.
        in_use: The formula compared with: the recipe given, else today's cheapest.
        is_recipe: Whether a recipe was given.
        in_use_missed: Limits of the brief that the formula in use does not meet today.
        compared: The formula that scenarios are compared with: the one in use, or for a brief
            with choices today's cheapest in shares of any size.
        changed: At other prices.
        sweep: One price swept.
        limit_sweep: One limit swept.
        scenarios: Many scenarios.
        uncertain: The formula for uncertain prices.
        questions: What was asked.
        remarks: What is worth telling.
    """

    request: Request
    today: Cheapest
    in_use: Measures | None
    is_recipe: bool
    in_use_missed: tuple[Checked, ...]
    compared: Measures | None
    changed: Changed | None
    sweep: PriceSweep | None
    limit_sweep: LimitSweep | None
    scenarios: Scenarios | None
    uncertain: Uncertain | None
    questions: Questions
    remarks: tuple[str, ...]

    @property
    def is_answered(self) -> bool:
        """Whether everything that was asked has a formula."""
        asked = self.questions
        return not (
            (self.changed is not None and self.changed.answer.measures is None)
            or (asked.sweep is not None and (self.sweep is None or not self.sweep.pieces))
            or (asked.limit is not None and (not self.limit_sweep or not self.limit_sweep.pieces))
            or (asked.source is not None and self.scenarios is None)
            or (asked.at_most is not None and self.uncertain is None)
        )

    @property
    def has_shares_of_any_size(self) -> bool:
        """Whether a part was answered without the whole steps and choices of the brief."""
        parts = (self.sweep, self.limit_sweep, self.scenarios, self.uncertain)
        return self.request.brief.has_choices and any(part is not None for part in parts)


def repricing(
    request: Request,
    changed: Request | None,
    questions: Questions,
    recipe: Mapping[str, Fraction] | None = None,
    seconds: float = SECONDS,
    tell: Callable[[int, int], None] = lambda done, of: None,
    remarks: Sequence[str] = (),
) -> Repricing:
    """Answer what is asked of prices.

    Args:
        request: The brief at today's prices.
        changed: The brief at other prices, from which sweeps and scenarios then start; None
            for none.
        questions: What else is asked.
        recipe: Percent by ingredient id of the formula in use; None takes today's cheapest.
        seconds: Time limit of each search among weighable formulas.
        tell: Takes how many scenarios of how many are done.
        remarks: What is worth telling of how the files were read.

    Raises:
        InputError: The brief cannot be stated as a model, or a name has no place in it.
        UnsettledError: The exact arithmetic came to no end.
    """
    today = cheapest(request, seconds)
    in_use = _in_use(request, today, recipe)
    missed = () if in_use is None else missed_limits(in_use)
    base = request if changed is None else changed
    any_shares = replace(base, brief=base.brief.in_any_shares)
    told = list(dict.fromkeys((*request.remarks, *base.remarks, *remarks)))
    sweep = swept_limit = scenarios = uncertain = beside = None
    if questions.ask_more:
        formulation = formulated(any_shares)
        if questions.sweep is not None:
            ends = price_range(formulation, questions)
            sweep = price_sweep(formulation, questions.sweep, *ends, in_use)
        if questions.limit is not None:
            row = limit_row_of(formulation, questions.limit)
            swept_limit = limit_sweep(formulation, row, *limit_range(formulation, row, questions))
        if questions.at_most is not None:
            uncertain = uncertain_prices(formulation, questions.spreads, questions.at_most)
        if questions.source is not None:
            wide, more = _with_scenario_prices(any_shares, formulation, questions.source)
            columns = wide.model.columns
            beside = in_use
            if recipe is None and request.brief.has_choices:
                free = replace(request, brief=request.brief.in_any_shares)
                beside = _in_use(free, cheapest(free, seconds), None)
            compared = None if beside is None else _placed(beside.shares, columns)
            if beside is not None and compared is None:
                more = (*more, "the formula in use has what may not be used; it is not compared")
                beside = None
            cautious = None
            if uncertain is not None:
                shares = dict(zip(formulation.model.columns, uncertain.x, strict=True))
                cautious = _placed(shares, columns)
            scenarios = price_scenarios(
                wide, questions.source, compared, cautious, tell, is_rival=not missed
            )
            told += more
    return Repricing(
        request=request,
        today=today,
        in_use=None if in_use is None else measured(in_use),
        is_recipe=recipe is not None,
        in_use_missed=missed,
        compared=None if beside is None else measured(beside),
        changed=None if changed is None else at_other_prices(changed, today, in_use, seconds),
        sweep=sweep,
        limit_sweep=swept_limit,
        scenarios=scenarios,
        uncertain=uncertain,
        questions=questions,
        remarks=tuple(told),
    )


def _in_use(
    request: Request, today: Cheapest, recipe: Mapping[str, Fraction] | None
) -> Blend | None:
    """The recipe given, else the cheapest formula, at today's prices; None without any."""
    if recipe is not None:
        return Blend.at(request, {name: share for name, share in recipe.items() if share})
    if today.measures is None:
        return None
    return Blend.at(request, {share.ingredient: share.percent for share in today.measures.formula})


def _with_scenario_prices(
    request: Request, formulation: Formulation, source: Spread | PriceTable
) -> tuple[Formulation, tuple[str, ...]]:
    """The shelf with what only the scenarios price, and what they price in vain."""
    if isinstance(source, Spread):
        return formulation, ()
    priced = {offer.ingredient for offer in request.offers}
    added = [
        PriceChange(name, prices[0], None, Origin(source.file, None, name))
        for name, prices in source.prices.items()
        if name not in priced
    ]
    if added:
        offers = repriced(request.offers, added, request.brief.currency)
        formulation = formulated(replace(request, offers=offers))
    remarks = [
        f"{source.file}: the prices of {name} change nothing: {why_not(formulation, name)}"
        for name in source.prices
        if name not in formulation.model.columns
    ]
    if added:
        names = ", ".join(change.ingredient for change in added)
        remarks.append(f"{source.file}: {names} without a price today may be used as well")
    return formulation, tuple(remarks)


def _placed(shares: Mapping[str, Fraction], columns: Sequence[str]) -> list[Fraction] | None:
    """Shares in the order of some columns; None where one of them has no column."""
    if any(share and name not in columns for name, share in shares.items()):
        return None
    return [shares.get(name, Fraction(0)) for name in columns]
