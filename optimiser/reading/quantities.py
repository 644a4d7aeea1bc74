"""What a formula may be measured by, as named on the command line."""

from __future__ import annotations

from decimal import Decimal

from optimiser.brief import End, Family, Limit, Request
from optimiser.provenance import InputError, Mistake, Origin
from optimiser.reading.findings import Problem
from optimiser.reading.names import ingredient_names, property_names
from optimiser.reading.subjects import subject_names
from optimiser.reading.wording import quoted

ANY_BOUND = Decimal(10)
"""The bound of a quantity as a limit, which does not matter but for its natural step."""


def read_quantity(name: str, request: Request) -> Limit:
    """A property, the cost, a total or a ratio, as a limit without a bound of its own.

    Args:
        name: `cost`, a property, a kind, group or ingredient, or `one:other` of these.
        request: The brief, whose names are known.

    Raises:
        InputError: There is no such quantity; with the nearest names.
    """
    properties = property_names(request.book)
    subjects = subject_names(request.brief.groups, ingredient_names(request.book))
    try:
        if ":" in name:
            sides = [subjects.find(side.strip()) for side in name.split(":")]
            if len(sides) != 2:
                raise Problem('a ratio has two sides; write "butter:oil"')
            return _limit(Family.RATIOS, ":".join(sides), name)
        if properties.known(name):
            return _limit(Family.PROPERTIES, properties.find(name), name)
        if subjects.known(name):
            return _limit(Family.TOTALS, subjects.find(name), name)
        near = [*properties.nearest(name), *subjects.nearest(name)]
        advice = f"nearest: {', '.join(near)}" if near else "write cost, vitamin_e or powder"
        raise Problem(f"no such property, kind, group or ingredient; {advice}")
    except Problem as problem:
        raise InputError([Mistake(Origin(quoted(name)), str(problem))]) from None


def _limit(family: Family, of: str, name: str) -> Limit:
    return Limit(family, of, End.EXACTLY, ANY_BOUND, name, Origin(quoted(name)))
