"""Numbers typed after an option."""

from __future__ import annotations

from decimal import Decimal

from optimiser.provenance import InputError, Mistake, Origin
from optimiser.reading import Problem, read_plain_number
from optimiser.reading.currencies import same_currency
from optimiser.reading.wording import quoted
from optimiser.reading.written_numbers import read_number, spelling, taken_apart


def number_of(text: str, option: str, example: str = "12.50") -> Decimal:
    """A plain number.

    Args:
        text: What was typed.
        option: The option it was typed after.
        example: A number that would do.

    Raises:
        InputError: It is no number.
    """
    try:
        return read_plain_number(text, f"write for instance {example}")
    except Problem as problem:
        raise InputError([Mistake(Origin(option), str(problem))]) from None


def money_of(text: str, option: str, currency: str, example: str = "12.50") -> Decimal:
    """Money, with or without its currency.

    Args:
        text: What was typed.
        option: The option it was typed after.
        currency: The currency that costs are told in, or nothing where none is known.
        example: A sum that would do.

    Raises:
        InputError: It is no sum, or one in another currency.
    """
    advice = f"write for instance {example}"
    try:
        written = taken_apart(text, advice)
        if written.percent:
            raise Problem(f"{quoted(text.strip())} is a percentage; {advice}")
        if written.currency and currency and not same_currency(written.currency, currency):
            raise Problem(
                f"{quoted(text.strip())} is in another currency than {currency}; {advice}"
            )
        return read_number(written, spelling([(1, written)]).mark, advice)[0]
    except Problem as problem:
        raise InputError([Mistake(Origin(option), str(problem))]) from None


def percent_of(text: str, option: str, example: str) -> Decimal:
    """A percentage with or without its sign; a small number without it is not guessed at.

    Args:
        text: What was typed.
        option: The option it was typed after.
        example: A percentage that would do.

    Raises:
        InputError: It is no number, or can be read in two ways.
    """
    typed = text.strip()
    value = number_of(typed.removesuffix("%"), option, example)
    if 0 < value < 1 and not typed.endswith("%"):
        problem = f"{typed} can be read in two ways; write {typed}% or {value * 100:f}%"
        raise InputError([Mistake(Origin(option), problem)])
    return value
