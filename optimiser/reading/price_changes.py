"""Changed prices as said on the command line: `NAME=12.40` or `NAME=+10%`."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from optimiser.brief import Request
from optimiser.price import PriceChange
from optimiser.provenance import InputError, Mistake, Origin
from optimiser.reading.currencies import same_currency
from optimiser.reading.findings import Problem
from optimiser.reading.names import ingredient_names
from optimiser.reading.subjects import by_ingredient, subject_names
from optimiser.reading.wording import quoted
from optimiser.reading.written_numbers import read_number, spelling, taken_apart

OPTION = "--price"

EXAMPLE = "write NAME=12.40 for a price per kg, or NAME=+10% for a change"

LARGEST = Decimal(1000)
"""The largest change, in percent."""


def read_price_changes(texts: Sequence[str], request: Request) -> tuple[PriceChange, ...]:
    """The price changes of ingredients, kinds and groups.

    What is said of an ingredient goes before what is said of a group, and that before what is
    said of a kind.

    Args:
        texts: What was typed after each `--price`.
        request: The brief, whose names and groups are known.

    Raises:
        InputError: With every mistake.
    """
    mistakes: list[Mistake] = []
    said: dict[str, tuple[str, tuple[Decimal | None, Decimal | None]]] = {}
    groups = request.brief.groups
    names = subject_names(groups, ingredient_names(request.book))
    for text in texts:
        where = Origin(f"{OPTION} {quoted(text)}")
        name, sign, value = text.rpartition("=")
        try:
            if not sign or not name.strip() or not value.strip():
                raise Problem(f"not a change of a price; {EXAMPLE}")
            subject = names.find(name.strip())
            if subject in said:
                raise Problem(f"{subject} is changed twice; keep one")
            said[subject] = text, _change(value.strip(), request.brief.currency)
        except Problem as problem:
            mistakes.append(Mistake(where, str(problem)))
    found, contradictions = by_ingredient(
        ((subject, change) for subject, (_, change) in said.items()), request.book, groups
    )
    for name, one, other in contradictions:
        advice = f"{name} is in {one} too; say its own change as well"
        mistakes.append(Mistake(Origin(f"{OPTION} {quoted(said[other][0])}"), advice))
    priced = {offer.ingredient for offer in request.offers}
    for subject, (text, (to, _)) in said.items():
        where = Origin(f"{OPTION} {quoted(text)}")
        if to is None and not any(name in priced for name in _spoken_of(subject, request)):
            advice = f"{subject} has no price today to change; NAME=12.40 sets one"
            mistakes.append(Mistake(where, advice))
        if to is not None and subject not in request.book.ingredients:
            advice = "one price for many ingredients; change it in percent, as in +8%"
            mistakes.append(Mistake(where, advice))
    if mistakes:
        raise InputError(mistakes)
    return tuple(
        PriceChange(name, to, by, Origin(OPTION, None, name))
        for name, (to, by) in found.items()
        if to is not None or name in priced
    )


def _spoken_of(subject: str, request: Request) -> list[str]:
    one = by_ingredient([(subject, None)], request.book, request.brief.groups)[0]
    return list(one)


def _change(value: str, currency: str) -> tuple[Decimal | None, Decimal | None]:
    """A price to take, or a percentage to change by.

    Raises:
        Problem: It is neither.
    """
    signed = value[0] in "+-\u2212"
    if signed and value[1:].lstrip()[:1] in ("+", "-", "\u2212"):
        raise Problem(f"{quoted(value)} has two signs; {EXAMPLE}")
    written = taken_apart(value.removeprefix("+"), EXAMPLE)
    if written.currency and not same_currency(written.currency, currency):
        raise Problem(f"{quoted(value)} is in another currency than the brief; {EXAMPLE}")
    number, _ = read_number(written, spelling([(1, written)]).mark, EXAMPLE)
    if written.percent and not signed:
        raise Problem(f"{quoted(value)} can be read in two ways; write +{value} or -{value}")
    if signed and not written.percent:
        raise Problem(f"{quoted(value)} lacks its percent sign; {EXAMPLE}")
    if not written.percent:
        if number < 0:
            raise Problem(f"a price below 0; {EXAMPLE}")
        return number, None
    if not -100 <= number <= LARGEST:
        raise Problem(f"a change beyond -100% or +{LARGEST}%; {EXAMPLE}")
    return None, number
