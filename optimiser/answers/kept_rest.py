"""How much of the rest of a formula can stay as it is when an ingredient goes."""

from __future__ import annotations

from fractions import Fraction

from optimiser.answers.closeness import fat_weights
from optimiser.answers.likeness import Shelf
from optimiser.formulation import WHOLE
from optimiser.linear_model import Coefficients, ModelRow, Sense
from optimiser.solve import settle, solve

HALF = 0.5
"""A 0-or-1 column below this counts as 0."""


def least_within(shelf: Shelf) -> Fraction | None:
    """The least number of points within which the rest can be kept; None if not at all."""
    model, shares = shelf.formulation.model, shelf.reference_shares
    n = len(model.columns)
    free = model.costing(Coefficients((0,) * n))
    wide = free.with_columns(["points"], [1], upper=WHOLE).with_rows(
        ModelRow.helping(
            "kept", Sense.AT_MOST, {j: way, n: -1}, way * shares[model.columns[j]], n + 1
        )
        for j in range(n)
        if model.columns[j] in shares
        for way in (1, -1)
    )
    return settle(wide)[1].cost


def moving_at_most(shelf: Shelf, count: int, seconds: float) -> Shelf | None:
    """The same with all but so many shares left as they are in the reference.

    Which ones move is chosen for likeness by the solver; None where it finds no choice.

    Args:
        shelf: What a formula may be made of, and what it is to be like.
        count: How many ingredients may move, beside what is gone.
        seconds: Time limit of the search.
    """
    model = shelf.widened(fat_weights(shelf.aims, shelf.reference)).model
    names = shelf.formulation.model.columns
    n, width = len(names), len(model.columns)
    aims = [shelf.reference_shares.get(name, Fraction(0)) for name in names]
    mixed = model.with_columns([f"{name} moves" for name in names], (0,) * n, 1, is_integer=True)
    mixed = mixed.with_rows(
        ModelRow.helping("moves", sense, {j: 1, width + j: sign * WHOLE}, aim, width + n)
        for j, aim in enumerate(aims)
        for sense, sign in ((Sense.AT_MOST, -1), (Sense.AT_LEAST, 1))
    )
    switches = dict.fromkeys(range(width, width + n), 1)
    counted = ModelRow.helping("count", Sense.AT_MOST, switches, count, width + n)
    found = solve(mixed.with_rows([counted]), seconds)
    if found.x is None:
        return None
    still = {
        name: aim
        for name, aim, moves in zip(names, aims, found.x[width:], strict=True)
        if moves < HALF
    }
    return shelf.limited(still, still)
