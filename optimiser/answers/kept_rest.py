"""How much of the rest of a formula can stay as it is when an ingredient goes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from optimiser.answers.closeness import fat_weights
from optimiser.answers.likeness import Shelf
from optimiser.formulation import WHOLE
from optimiser.linear_model import Coefficients, Row, Sense
from optimiser.provenance import Origin, Statement
from optimiser.solve import settle, solve

HALF = 0.5
"""A 0-or-1 column below this counts as 0."""


def least_within(shelf: Shelf) -> Fraction | None:
    """The least number of points within which the rest can be kept; None if not at all."""
    model, n = shelf.formulation.model, len(shelf.formulation.ingredients)
    shares = shelf.reference_shares
    said = Statement("kept", "kept within: {bound}", Origin("optimiser"))
    rest = [j for j, name in enumerate(model.columns) if name in shares]
    signs = [(j, way) for j in rest for way in (1, -1)]

    def entry(j: int, way: int) -> Coefficients:
        return Coefficients((*(way * int(k == j) for k in range(n)), -1))

    row = Row(said, Sense.AT_MOST, "%", may_be_eased=False, is_said=False)
    widened = replace(
        model,
        columns=(*model.columns, "points"),
        rows=(*model.rows, *(row for _ in signs)),
        numerator=(
            *(Coefficients((*part.numbers, 0)) for part in model.numerator),
            *(entry(j, way) for j, way in signs),
        ),
        denominator=(
            *(
                None if part is None else Coefficients((*part.numbers, 0))
                for part in model.denominator
            ),
            *(None for _ in signs),
        ),
        constant=(*model.constant, *(1 for _ in signs)),
        bound=(*model.bound, *(way * shares[model.columns[j]] for j, way in signs)),
        cost=Coefficients((*(0 for _ in range(n)), 1)),
        lower=(*model.lower, 0),
        upper=(*model.upper, WHOLE),
        is_integer=(*model.is_integer, False),
    )
    return settle(widened)[1].cost


def moving_at_most(shelf: Shelf, count: int, seconds: float) -> Shelf | None:
    """The same with all but so many shares left as they are in the reference.

    Which ones move is chosen for likeness by the solver; None where it finds no choice.

    Args:
        shelf: What a formula may be made of, and what it is to be like.
        count: How many ingredients may move, beside what is gone.
        seconds: Time limit of the search.
    """
    wide = shelf.widened(fat_weights(shelf.aims, shelf.reference))
    model, n = wide.model, len(shelf.formulation.ingredients)
    width = len(model.columns)
    shares = shelf.reference_shares
    aims = [shares.get(name, Fraction(0)) for name in shelf.formulation.model.columns]

    def widened(part: Coefficients) -> Coefficients:
        return Coefficients((*part.numbers, *(0,) * n))

    def sparse(entries: Mapping[int, Fraction | int]) -> Coefficients:
        return Coefficients(tuple(entries.get(j, 0) for j in range(width + n)))

    said = Statement("moves", "moves: {bound}", Origin("optimiser"))
    rows, numerator, bound = list(model.rows), [], list(model.bound)
    for j, aim in enumerate(aims):
        for sense, sign in ((Sense.AT_MOST, -1), (Sense.AT_LEAST, 1)):
            rows.append(Row(said, sense, "%", may_be_eased=False, is_said=False))
            numerator.append(sparse({j: 1, width + j: sign * WHOLE}))
            bound.append(aim)
    rows.append(Row(said, Sense.AT_MOST, "", may_be_eased=False, is_said=False))
    numerator.append(sparse(dict.fromkeys(range(width, width + n), 1)))
    bound.append(count)
    more = len(numerator)
    mixed = replace(
        model,
        columns=(*model.columns, *(f"{name} moves" for name in model.columns[:n])),
        rows=tuple(rows),
        numerator=(*map(widened, model.numerator), *numerator),
        denominator=(
            *(None if part is None else widened(part) for part in model.denominator),
            *(None,) * more,
        ),
        constant=(*model.constant, *(1,) * more),
        bound=tuple(bound),
        cost=widened(model.cost),
        lower=(*model.lower, *(0,) * n),
        upper=(*model.upper, *(1,) * n),
        is_integer=(*model.is_integer, *(True,) * n),
    )
    found = solve(mixed, seconds)
    if found.x is None:
        return None
    still = {
        name: aim
        for name, aim, moves in zip(model.columns[:n], aims, found.x[width:], strict=True)
        if moves < HALF
    }
    return shelf.limited(still, still)
