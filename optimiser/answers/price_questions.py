"""What may be asked of prices, and what of the brief a question means."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from difflib import get_close_matches
from fractions import Fraction

from optimiser.answers.limit_sweep import TIMES_TODAY, usual_range
from optimiser.answers.price_draws import PriceTable, Spread
from optimiser.formulation import Formulation
from optimiser.provenance import InputError, Mistake, Origin, plain_number


@dataclass(frozen=True, slots=True)
class Questions:
    """What is asked.

    Attributes:
        sweep: The ingredient whose price is swept, or None.
        limit: The key path of the limit whose bound is swept, or None.
        start: Where the sweep starts; None for the usual place.
        end: Where it ends; None for the usual place.
        source: Scenarios, or None.
        at_most: How many prices may rise at once, or None.
        spreads: How far each price may rise, in percent, by ingredient id.
    """

    sweep: str | None = None
    limit: str | None = None
    start: Decimal | None = None
    end: Decimal | None = None
    source: Spread | PriceTable | None = None
    at_most: int | None = None
    spreads: Mapping[str, Decimal] = field(default_factory=dict)

    @property
    def ask_more(self) -> bool:
        """Whether anything but other prices is asked."""
        parts = (self.sweep, self.limit, self.source, self.at_most)
        return any(part is not None for part in parts)


def price_range(formulation: Formulation, asked: Questions) -> tuple[Fraction, Fraction]:
    """The prices between which one is swept, from 0 to three times today's unless said."""
    columns = formulation.model.columns
    assert asked.sweep is not None
    if asked.sweep not in columns:
        problem = f"its price changes nothing: {why_not(formulation, asked.sweep)}"
        raise InputError([Mistake(Origin("--sweep", None, asked.sweep), problem)])
    today = formulation.offers[columns.index(asked.sweep)].price_per_kg
    return _ends(asked, Fraction(0), TIMES_TODAY * today)


def limit_range(formulation: Formulation, row: int, asked: Questions) -> tuple[Fraction, Fraction]:
    """The bounds between which one is swept."""
    return _ends(asked, *usual_range(formulation, row))


def _ends(asked: Questions, start: Fraction, end: Fraction) -> tuple[Fraction, Fraction]:
    """The ends that were said, else the usual ones.

    Raises:
        InputError: They are not in order.
    """
    start = start if asked.start is None else Fraction(asked.start)
    end = end if asked.end is None else Fraction(asked.end)
    if start == end == 0 and asked.start is None and asked.end is None:
        problem = "its price is 0 today, so say how far the sweep goes, as in --to 20"
        raise InputError([Mistake(Origin("--sweep", None, asked.sweep), problem)])
    if start >= end:
        said = f"from {plain_number(start)} to {plain_number(end)} is nowhere to go"
        raise InputError([Mistake(Origin("--from, --to"), f"{said}; write the lower one first")])
    if asked.sweep is not None and start < 0:
        raise InputError([Mistake(Origin("--from"), "a price below 0; write 0 or more")])
    return start, end


def limit_row_of(formulation: Formulation, key: str) -> int:
    """The row of a limit by its key path, with or without quotes and its last part.

    Raises:
        InputError: There is no such limit, or there are several.
    """
    wanted = key.replace('"', "").strip().casefold()
    keys = {
        row.statement.key.replace('"', ""): i
        for i, row in enumerate(formulation.model.rows)
        if row.is_said
    }
    found = [i for name, i in keys.items() if name.casefold() == wanted]
    found = found or [i for name, i in keys.items() if name.casefold().rpartition(".")[0] == wanted]
    if len(found) == 1:
        return found[0]
    if found:
        sides = " or ".join(formulation.model.rows[i].statement.key for i in found)
        problem = f"it has several sides; write {sides}"
    else:
        near = get_close_matches(wanted, keys, n=4, cutoff=0.5) or sorted(keys)
        problem = f"the brief and its style have no such limit; there is {', '.join(near)}"
    raise InputError([Mistake(Origin("--sweep-limit", None, key), problem)])


def why_not(formulation: Formulation, name: str) -> str:
    """Why an ingredient has no place in a brief."""
    brief = formulation.request.brief
    for left in formulation.left_out:
        if left.ingredient == name:
            return left.said
    if name in brief.leave_out:
        return "it stands under shelf.leave_out"
    if brief.use is not None and name not in brief.use:
        return "it does not stand under shelf.use"
    return "it has no price; --price NAME=12.40 gives it one"
