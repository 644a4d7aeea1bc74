"""Why a brief cannot be met, in plain sentences."""

from __future__ import annotations

from fractions import Fraction

from optimiser.answers.causes import AbsentCause, Cause, SumCause
from optimiser.answers.impossible import Clash, Explanation, Move, WayOut
from optimiser.brief import End
from optimiser.linear_model import Row, Sense
from optimiser.present.numbers import money, rounded_towards, rounded_up, significant
from optimiser.provenance import plain_number

TOLD = Fraction(1, 100)
"""Smaller shares of a formula are not told in a sentence."""


def cause_said(cause: Cause) -> str:
    """What plain arithmetic shows."""
    if isinstance(cause, AbsentCause):
        limit = cause.limit
        return (
            f"{limit.key} = {plain_number(limit.value)} asks for {limit.of}, of which nothing is "
            "on the shelf: price one, or take the limit out."
        )
    if isinstance(cause, SumCause):
        keys = ", ".join(limit.key for limit in cause.limits)
        word = "least" if cause.end is End.MIN else "most"
        verb = "come to" if cause.end is End.MIN else "allow only"
        return f"The {word} amounts {verb} {plain_number(cause.total)} % together: {keys}."
    what = "reaches" if cause.limit.end is not End.MAX else "stays within"
    return (
        f"{cause.limit.key} = {plain_number(cause.limit.value)}: no ingredient on the shelf "
        f"{what} it by itself, so no blend can; {cause.closest} comes closest with "
        f"{significant(cause.reached, 4)}."
    )


MORE_CONFLICTS = "There are more conflicts than these: ease some of these and ask again."


def clash_said(clash: Clash) -> str:
    """One statement of a conflict, as the maker said it."""
    firm = "" if clash.row.may_be_eased else " (firm)"
    return clash.row.statement.render(clash.bound) + firm


def easier(row: Row, bound: Fraction, to: Fraction) -> Fraction:
    """A bound with few digits that is at least as easy to meet as the exact one.

    Args:
        row: The limit.
        bound: Its bound as said.
        to: The exact bound that would do; an exact amount is kept as it is.
    """
    if row.sense is Sense.EQUAL or to == bound:
        return to
    upwards = row.sense is Sense.AT_MOST
    if row.is_money:
        return rounded_up(to) if upwards else -rounded_up(-to)
    return rounded_towards(to, upwards)


def way_out_said(way: WayOut, currency: str) -> str:
    """What easing one statement alone would take, and what the formula would then cost."""
    said = way.row.statement.render(way.bound)
    if way.reachable is None:
        return f"{said}: easing this alone is not enough."
    instead = _instead(way.row, way.bound, way.reachable)
    return f"{said}: {instead}{_cost(way.cost_per_kg, currency)}."


def move_said(move: Move) -> str:
    """One bound of the smallest compromise."""
    said = move.row.statement.render(move.bound)
    return f"{said}: {_instead(move.row, move.bound, move.to)}."


def compromise_cost(explanation: Explanation, currency: str) -> str:
    """What the formula would cost under the smallest compromise, and what it would be."""
    text = f"All of this together{_cost(explanation.compromise_cost_per_kg, currency)}"
    shares = sorted(explanation.compromise_formula.items(), key=lambda share: -share[1])
    told = [f"{name} {significant(share)}" for name, share in shares if share >= TOLD]
    return f"{text} (percent: {'; '.join(told)})." if told else f"{text}."


def _instead(row: Row, bound: Fraction, to: Fraction) -> str:
    if row.sense is Sense.EQUAL:
        short = significant(to, 4)
        if Fraction(short) != to:
            return f"about {short} (exactly {to}) instead of {plain_number(bound)}"
        return f"{short} instead of {plain_number(bound)}"
    return f"{plain_number(easier(row, bound, to))} instead of {plain_number(bound)}"


def _cost(cost: Fraction | None, currency: str) -> str:
    if cost is None:
        return ""
    paid = money(rounded_up(cost))
    return f"; the cheapest formula then costs {paid} {f'{currency} per kg'.strip()}"
