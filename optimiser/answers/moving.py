"""A model in which each share's way from where it is counts."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from optimiser.formulation import WHOLE
from optimiser.linear_model import Coefficients, LinearModel, ModelRow, Sense
from optimiser.provenance import Exact


def moving(model: LinearModel, aims: Sequence[Fraction], step: Sequence[Fraction]) -> LinearModel:
    """The model with each share's way up and down from its aim, which is the only cost.

    Args:
        model: Its first columns are the shares, in steps.
        aims: Percent that each share moves from, (n,).
        step: Percent of one step of each share, (n,).
    """
    n, width = len(aims), len(model.columns)
    labels = [f"{way} {j}" for way in ("up", "down") for j in range(n)]
    free = model.costing(Coefficients((0,) * width))
    wide = free.with_columns(labels, (1,) * (2 * n), upper=WHOLE)
    ways: list[dict[int, Exact]] = [{j: step[j], width + j: -1, width + n + j: 1} for j in range(n)]
    return wide.with_rows(
        ModelRow.helping("aim", Sense.EQUAL, way, aim, width + 2 * n)
        for way, aim in zip(ways, aims, strict=True)
    )
