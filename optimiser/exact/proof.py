"""Proofs in exact arithmetic: that a point is a cheapest one, or that there is none.

Any prices y of the rows give a lower bound on the cost of every admissible point: with
d = c - A'y,

    c.x = y.r + d.x >= sum of each y_i, d_j times the end of its interval that it prefers.

(Weak duality; Neumaier and Shcherbina 2004, "Safe bounds in linear and mixed-integer
linear programming", Math. Program. 99, use the same bound.) A point that meets every
bound exactly and whose cost equals such a bound is therefore a cheapest one, however
both were found. With zero costs a bound above 0 shows that no point exists (Farkas).

The checks here read only the integer programme; they do not trust the dictionary.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from optimiser.exact.dictionary import Dictionary, Ending
from optimiser.exact.integer_program import IntegerProgram, integers
from optimiser.exact.kernel import Basis, Kernel, Rest
from optimiser.linear_model import LinearModel


@dataclass(frozen=True, eq=False)
class Certificate:
    """The outcome of a model, settled in exact arithmetic.

    Attributes:
        ending: What was found.
        proven: True where the exact check of it succeeded.
        x: The optimal point, or None.
        prices: Dual of each row per unit of its level where optimal; where infeasible,
            multipliers of the rows whose combination no point can meet; else None.
        cost: The exact cost of x, or None.
        lower_bound: No admissible point costs less than this, or None.
        dictionary: The final dictionary, for what is asked next, or None.
    """

    ending: Ending
    proven: bool
    x: tuple[Fraction, ...] | None = None
    prices: tuple[Fraction, ...] | None = None
    cost: Fraction | None = None
    lower_bound: Fraction | None = None
    dictionary: Dictionary | None = None


def common(values: Sequence[Fraction]) -> tuple[list[int], int]:
    """Fractions as integers over one denominator."""
    scale = math.lcm(*{value.denominator for value in values})
    return [value.numerator * (scale // value.denominator) for value in values], scale


def meets(program: IntegerProgram, x: Sequence[Fraction]) -> bool:
    """Whether a point is within every bound and every row, exactly."""
    shares, scale = common(x)
    levels = list(program.matrix.dot(integers(shares)))
    return all(
        (low is None or value * program.value_scale >= low * scale)
        and (high is None or value * program.value_scale <= high * scale)
        for value, low, high in zip(shares + levels, program.lower, program.upper, strict=True)
    )


def bound_from(
    program: IntegerProgram, prices: Sequence[Fraction], with_cost: bool = True
) -> Fraction | None:
    """The least cost that prices of the rows leave possible; None where they bound nothing.

    Args:
        program: The programme.
        prices: Any multipliers, per unit of each row's unscaled level, (m,).
        with_cost: False takes all costs as 0, for a proof that no point exists.
    """
    scaled = [price / scale for price, scale in zip(prices, program.row_scale, strict=True)]
    multipliers, scale = common(scaled or [Fraction(0)])
    reduced = -integers(multipliers[: program.m]).dot(program.matrix) * program.cost_scale
    if with_cost:
        reduced = reduced + program.cost * scale
    weights = [*reduced, *(multiplier * program.cost_scale for multiplier in multipliers)]
    total = 0
    for weight, low, high in zip(weights, program.lower, program.upper, strict=False):
        if not weight:
            continue
        end = low if weight > 0 else high
        if end is None:
            return None
        total += weight * end
    return Fraction(total, scale * program.cost_scale * program.value_scale)


def prove(model: LinearModel, basis: Basis | None, most_pivots: int | None = None) -> Certificate:
    """Settle a model exactly, starting from a solver's final basis.

    Args:
        model: The model; that columns must be whole numbers is not regarded.
        basis: Where to start; None starts with every row basic.
        most_pivots: Give up after so many exact pivots; default 50 + 10 (m + n).
    """
    return certified(model, dictionary_at(model, basis), most_pivots)


def dictionary_at(model: LinearModel, basis: Basis | None) -> Dictionary:
    """A model in the terms of a basis; None makes every row basic."""
    program = IntegerProgram.of(model)
    n, m = program.n, program.m
    if basis is None:
        basis = Basis((Rest.LOWER,) * n, (Rest.BASIC,) * m)
    inside = [j for j, rest in enumerate(basis.columns) if rest is Rest.BASIC]
    binding = [i for i, rest in enumerate(basis.rows) if rest is not Rest.BASIC]
    resting = [*basis.columns, *basis.rows]
    at_upper = {v for v, rest in enumerate(resting) if rest is Rest.UPPER}
    kernel = Kernel.of(program, inside, binding)
    return Dictionary.of(program, kernel, at_upper)


def certified(
    model: LinearModel, dictionary: Dictionary, most_pivots: int | None = None
) -> Certificate:
    """Walk on from a dictionary of a model to its outcome, and check that.

    Args:
        model: The model.
        dictionary: One of its dictionaries; it is walked and kept.
        most_pivots: Give up after so many exact pivots; default 50 + 10 (m + n).
    """
    program = dictionary.program
    if most_pivots is None:
        most_pivots = 50 + 10 * (program.m + program.n)
    ending, place = dictionary.settle(most_pivots)
    if ending is Ending.OPTIMAL:
        x, prices = dictionary.point(), dictionary.row_prices()
        cost, lower_bound = model.cost_of(x), bound_from(program, prices)
        proven = cost == lower_bound and meets(program, x)
        return Certificate(ending, proven, x, prices, cost, lower_bound, dictionary)
    if ending is Ending.INFEASIBLE:
        multipliers = _farkas(dictionary, place)
        gap = bound_from(program, multipliers, with_cost=False)
        return Certificate(ending, gap is not None and gap > 0, prices=multipliers)
    return Certificate(ending, proven=False)


def _farkas(dictionary: Dictionary, row: int) -> tuple[Fraction, ...]:
    """Multipliers of the rows whose sum a dictionary's broken row shows to be out of reach."""
    n = dictionary.program.n
    sign = -dictionary.overstep(row)
    found = [Fraction(0)] * dictionary.program.m
    for v, entry in zip(dictionary.nonbasic, dictionary.table[row], strict=True):
        if v >= n:
            found[v - n] = Fraction(-sign * entry * dictionary.program.row_scale[v - n])
    v = dictionary.basic[row]
    if v >= n:
        scale = dictionary.program.row_scale[v - n]
        found[v - n] = Fraction(sign * dictionary.divisor * scale)
    return tuple(found)
