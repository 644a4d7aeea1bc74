"""What a limit or a price means, in one plain sentence each."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from optimiser.answers.cheapest import ActiveLimit, Cheapest
from optimiser.answers.price_ranges import PriceRange
from optimiser.exact.sensitivity import Rate
from optimiser.present.numbers import money, significant, small_money
from optimiser.provenance import plain_number
from optimiser.statements import TIMES

if TYPE_CHECKING:
    from optimiser.answers.weighed import FailingRule, Weighed

MENTIONED = Fraction(1, 200)
"""Shares that move by less than this many points are not mentioned."""


def limit_said(active: ActiveLimit) -> str:
    """The maker's statement with its number."""
    return active.row.statement.render(active.bound)


def limit_priced(active: ActiveLimit, currency: str) -> str:
    """What moving an active limit either way does to the cost, and how far that holds."""
    up = _one_way(active, active.up, 1, currency)
    if active.bound == active.row.least:  # there is nothing below it
        return f"{up}."
    down = _one_way(active, active.down, -1, currency)
    return f"{up}; {down}."


def _one_way(active: ActiveLimit, rate: Rate, way: int, currency: str) -> str:
    word = "more" if way > 0 else "less"
    least = active.row.least
    until = None if least is not None and (rate.until or least) < least else rate.until
    if rate.per_unit is None:
        formula = "such formula" if active.is_ratio else "formula"
        return f"any {word} and no {formula} is possible"
    if rate.per_unit == 0:
        text = f"{word} changes nothing"
        return text if until is None else f"{text} until {bound_text(until, active.bound)}"
    text = _step_priced(active, rate.per_unit, word, currency)
    return text if until is None else f"{text}, until {bound_text(until, active.bound)}"


def _step_priced(active: ActiveLimit, per_unit: Fraction, word: str, currency: str) -> str:
    step, unit = natural_step(active)
    change = per_unit * step
    verb = "costs" if change > 0 else "saves"
    size = small_money(abs(change))
    about = "about " if active.is_ratio and size[0].isdigit() else ""
    amount = f"{about}{size} {currency}".rstrip()
    return f"each {unit} {word} {verb} {amount} per kg"


def easing_said(active: ActiveLimit, currency: str) -> str:
    """What one natural step saves the way that saves; empty where neither does."""
    for rate, word in ((active.up, "more"), (active.down, "less")):
        if rate.per_unit is not None and rate.per_unit < 0:
            return _step_priced(active, rate.per_unit, word, currency)
    return ""


def natural_step(active: ActiveLimit) -> tuple[Fraction, str]:
    """A step of the limit's unit, and how it is said."""
    unit, size = active.row.unit, plain_number(active.row.step)
    if unit == TIMES:
        return active.row.step, size
    if unit.startswith("%"):
        return active.row.step, "point" if active.row.step == 1 else f"{size} point"
    return active.row.step, (unit or "unit") if active.row.step == 1 else f"{size} {unit}".rstrip()


def bound_text(value: Fraction, beside: Fraction) -> str:
    """A bound to three digits, or as many as tell it apart from another."""
    for digits in range(3, 12):
        text = significant(value, digits)
        if value == beside or text != significant(beside, digits):
            return text
    return plain_number(value)


def limit_eased(active: ActiveLimit, answer: Cheapest) -> str | None:
    """What one natural step of easing brings, from solving again; None where nothing."""
    eased = active.eased
    if eased is None:
        return None
    moves = sorted(eased.changes.items(), key=lambda change: (-abs(change[1]), change[0]))
    names = {i.id: i.common_name for i in answer.formulation.ingredients}
    told = [
        f"{names[label]} {significant(points, 2) if points < 0 else '+' + significant(points, 2)}"
        for label, points in moves
        if abs(points) >= MENTIONED
    ]
    text = f"At {bound_text(eased.bound, active.bound)} instead: {money(eased.cost_per_kg)}"
    text += f" {answer.request.brief.currency}".rstrip() + " per kg"
    return f"{text} (points: {'; '.join(told)})." if told else f"{text}."


FAR = 10
"""A price that many times today's is not worth naming as an end."""


def stays(found: PriceRange) -> str:
    """Between which prices the formula stays, for an ingredient that is used."""
    low = None if found.stays_from is None or found.stays_from <= 0 else money(found.stays_from)
    is_far = found.stays_to is None or found.stays_to > FAR * max(found.price_per_kg, Fraction(1))
    high = None if is_far else money(found.stays_to)
    if low and high:
        return f"{low} to {high}"
    if high:
        return f"up to {high}"
    if low:
        return f"from {low}"
    return "at any price" if found.stays_to is None else "at any likely price"


def enters(found: PriceRange) -> str:
    """Below which price an unused ingredient comes in."""
    if found.stays_from is None or found.stays_from <= 0:
        return "at no price"
    return f"below {money(found.stays_from)}"


def proof_said(answer: Cheapest) -> str:
    """What is proven, in words."""
    certificate = answer.certificate
    if answer.weighed is not None and answer.measures is not None:
        return _weighed_said(answer, answer.weighed)
    if answer.status == "optimal" and certificate.proven:
        return (
            "Proven in exact arithmetic: no formula within these limits and at these prices "
            "costs less."
        )
    if answer.status == "infeasible" and certificate.ending == "infeasible" and certificate.proven:
        if answer.weighed is not None and not answer.weighed.is_for_limits:
            return (
                "Proven in exact arithmetic: no formula meets all limits and rules together; the "
                "limits alone can be met."
            )
        return "Proven in exact arithmetic: no formula meets all limits together."
    if answer.status == "infeasible" and answer.weighed is not None:
        return "The limits alone can be met, but not with these rules; that is the solver's word."
    if answer.status == "unsettled":
        return (
            "The time ran out before a weighable formula was found; that does not say that "
            "there is none. Give it more with --time-limit."
        )
    return "Not proven: take the answer as the solver's word only."


def _weighed_said(answer: Cheapest, weighed: Weighed) -> str:
    """How good a weighable formula is: what is exact, and what is the solver's word."""
    currency = answer.request.brief.currency
    text = "Every limit holds exactly for the formula as weighed. "
    bound, cost = weighed.relaxed.lower_bound, weighed.cost
    if weighed.is_proven:
        return text + "Proven in exact arithmetic: no formula under these rules costs less."
    if bound is not None and cost is not None:
        least = f"{money(bound)} {currency}".strip()
        text += (
            f"Proven: no formula at all costs less than {least} per kg, so being weighable "
            f"costs {small_money(cost - bound)} {currency} per kg at most. "
        )
    if weighed.is_best:
        return text + "By the solver's word, not proven: no weighable formula costs less."
    return text + "The time ran out: a cheaper weighable formula may exist (see --time-limit)."


def failing_said(rule: FailingRule) -> str:
    """A rule without which the brief could be met, and its mildest form that will do."""
    named = [f"{key} ({said})" for key, said in zip(rule.keys, rule.said, strict=True)]
    text = f"Without {' and '.join(named)} it can be met"
    if rule.possible_from is None:
        return f"{text}."
    return f"{text}; {plain_number(rule.possible_from)} would do."


def failing_lines(weighed: Weighed) -> list[str]:
    """Which rules make a brief impossible that its limits alone do not."""
    if weighed.failing or weighed.is_for_limits or not weighed.is_known:
        return [failing_said(rule) for rule in weighed.failing]
    return [
        "None of the rules and pairs of rules tried makes it possible when dropped, as far as the "
        "solver could see."
    ]
