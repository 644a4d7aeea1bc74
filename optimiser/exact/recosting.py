"""A linear function, and another cost, written in the terms of a dictionary at hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from optimiser.exact.dictionary import Dictionary
from optimiser.exact.integer_program import Integers, integers
from optimiser.linear_model import Coefficients


def written(dictionary: Dictionary, part: Coefficients) -> tuple[Integers, int]:
    """A linear function of the columns in terms of the nonbasic variables.

    Returns:
        Integers, (n,), and the one number that they are over.
    """
    numbers, bottom = part.integers
    n = dictionary.program.n
    own = integers([numbers[v] * dictionary.divisor if v < n else 0 for v in dictionary.nonbasic])
    inside = [(row, numbers[v]) for row, v in enumerate(dictionary.basic) if v < n and numbers[v]]
    if inside:
        own = own + integers([weight for _, weight in inside]).dot(
            dictionary.table[[row for row, _ in inside]]
        )
    return own, bottom * dictionary.divisor


def recosted(dictionary: Dictionary, cost: Coefficients) -> Dictionary:
    """The same basis with other costs; no longer optimal, as a rule.

    Args:
        dictionary: Not changed.
        cost: The new costs, (n,).
    """
    numbers, scale = cost.integers
    own, _ = written(dictionary, cost)
    return Dictionary(
        replace(dictionary.program, cost=integers(numbers), cost_scale=scale),
        np.vstack([dictionary.table[:-1], own[np.newaxis, :]]),
        dictionary.divisor,
        list(dictionary.basic),
        list(dictionary.nonbasic),
        set(dictionary.at_upper),
    )
