"""A model whose cost, or one of whose rows, holds when some of its numbers turn out worse.

At most `most` of the coefficients a_j rise by up to rise_j; the worst that this adds at a
point x >= 0 is the sum of the largest `most` of rise_j x_j. Its linear form

    most * z + sum of p_j     with  z + p_j >= rise_j x_j,  p, z >= 0

is the dual of choosing which ones rise (Bertsimas and Sim 2004, "The price of robustness",
Oper. Res. 52, theorem 1; cited from memory). With `most` 0 nothing is added, with all of them
every coefficient is at its worst.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from optimiser.linear_model import LinearModel, ModelRow, Sense
from optimiser.provenance import Exact


def protected(
    model: LinearModel, rises: Sequence[Exact], most: Exact, row: int | None = None
) -> LinearModel:
    """The model with its cost, or one row, protected; the first n columns are the model's own.

    Args:
        model: A model whose columns are at least 0.
        rises: By how much each coefficient may turn out worse, at least 0, (n,).
        most: At most so many of them do; a part of one counts in part.
        row: The row whose coefficients these are; None for the cost.

    Raises:
        ValueError: A lower bound is below 0, or the row is an equation.
    """
    if any(low < 0 for low in model.lower):
        raise ValueError("protection is for columns from 0 up")
    if row is not None and model.rows[row].sense is Sense.EQUAL:
        raise ValueError("an equation cannot be protected")
    n = len(model.columns)
    moving = [j for j, rise in enumerate(rises) if rise]
    added = [most, *(1 for _ in moving)]
    labels = ["worst of all", *(f"rise of {model.columns[j]}" for j in moving)]
    if row is None:
        wide = model.with_columns(labels, added)
    else:
        sign = 1 if model.rows[row].sense is Sense.AT_MOST else -1
        entries = {k: sign * Fraction(number) for k, number in enumerate(added)}
        wide = model.with_columns(labels, [0] * len(added), in_rows={row: entries})
    width = n + len(added)
    return wide.with_rows(
        ModelRow.helping(
            "rise", Sense.AT_LEAST, {n: 1, n + 1 + k: 1, j: -Fraction(rises[j])}, 0, width
        )
        for k, j in enumerate(moving)
    )


def worst_rise(x: Sequence[Fraction], rises: Sequence[Exact], most: Exact) -> Fraction:
    """What the worst rises add at a point: the largest `most` of rise_j x_j.

    Args:
        x: The point, (n,).
        rises: By how much each coefficient may rise, (n,).
        most: At most so many of them do; a part of one counts in part.
    """
    added = sorted((Fraction(rise) * share for rise, share in zip(rises, x, strict=True)))
    left, total = Fraction(most), Fraction(0)
    while added and left > 0:
        total += min(left, Fraction(1)) * added.pop()
        left -= 1
    return total
