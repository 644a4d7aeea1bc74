"""From a model to its settled outcome: the solver's answer, then the exact proof of it.

The solver is fast and rounds; what it says is a hint. The exact arithmetic starts from its
final basis and has the last word, also where the two disagree.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from optimiser.exact.dictionary import Ending, UnsettledError
from optimiser.exact.kernel import Basis, Rest
from optimiser.exact.proof import Certificate, prove
from optimiser.linear_model import Coefficients, Floats, LinearModel, ModelRow, Sense
from optimiser.provenance import Exact

NEAR_BOUND = 1e-7
"""A floating value this close to a bound is taken to rest on it when a basis is guessed."""


class Status(StrEnum):
    """What a solver said of a model."""

    OPTIMAL = "optimal"
    INFEASIBLE = "infeasible"
    UNBOUNDED = "unbounded"
    LIMIT = "limit"
    STOPPED = "stopped"


@dataclass(frozen=True, eq=False)
class Solution:
    """A solver's floating answer; numbers exist only where there is a point.

    Attributes:
        status: What the solver said.
        x: Values of the columns, or None.
        basis: Where the exact proof may start, or None.
        solver: The solver's name.
    """

    status: Status
    x: Floats | None
    basis: Basis | None
    solver: str


RESTS = {"kBasic": Rest.BASIC, "kUpper": Rest.UPPER}


def solve(
    model: LinearModel, seconds: float | None = None, start: Floats | None = None
) -> Solution:
    """Solve a model through PuLP.

    Args:
        model: The model.
        seconds: Time limit, or None.
        start: A point to begin from where the solver takes one, or None.
    """
    from optimiser.pulp_model import carry

    raw = carry(model, seconds, start)
    if raw.x is not None and not np.all(np.isfinite(raw.x)):
        raw = replace(raw, status="stopped", x=None)
    basis: Basis | None = None
    if raw.column_basis is not None and raw.row_basis is not None:
        basis = Basis(
            tuple(RESTS.get(name, Rest.LOWER) for name in raw.column_basis),
            tuple(RESTS.get(name, Rest.LOWER) for name in raw.row_basis),
        )
    elif raw.x is not None:
        basis = guessed_basis(model, raw.x)
    return Solution(Status(raw.status), raw.x, basis, raw.solver)


def guessed_basis(model: LinearModel, x: Floats) -> Basis:
    """The basis that a point suggests: basic is what lies between its bounds."""
    columns = []
    for value, low, high in zip(x, model.lower, model.upper, strict=True):
        above = value > float(low) + NEAR_BOUND
        below = high is None or value < float(high) - NEAR_BOUND
        columns.append(Rest.BASIC if above and below else Rest.UPPER if above else Rest.LOWER)
    levels = model.matrix @ x
    rows = []
    for row, level, right in zip(model.rows, levels, model.rhs, strict=True):
        if row.sense is not Sense.EQUAL and abs(level - right) > NEAR_BOUND * max(1, abs(right)):
            rows.append(Rest.BASIC)
        else:
            rows.append(Rest.UPPER if row.sense is Sense.AT_MOST else Rest.LOWER)
    return Basis(tuple(columns), tuple(rows))


def settle(model: LinearModel) -> tuple[Solution, Certificate]:
    """Solve a continuous model and settle the outcome exactly.

    Returns:
        The solver's answer, and a certificate: proven, or of a cost without end.

    Raises:
        ValueError: A column must be a whole number.
        UnsettledError: The proof came to no end, or its check failed.
    """
    if np.any(model.is_integer):
        raise ValueError("settle() is for models without whole numbers")
    solution = solve(model)
    return solution, concluded(prove(model, solution.basis))


def concluded(certificate: Certificate) -> Certificate:
    """The certificate, where something may be concluded from it.

    Raises:
        UnsettledError: Nothing may.
    """
    if not certificate.proven and certificate.ending is not Ending.UNBOUNDED:
        raise UnsettledError("the exact check of this brief came to no end; please report it")
    return certificate


def settle_in_turn(model: LinearModel, then: Coefficients) -> Certificate:
    """The least cost, and among all points of that cost the one that is least in `then`.

    Args:
        model: A continuous model.
        then: The second cost, (n,).

    Returns:
        The certificate of the second step, whose cost is that of `then`; of the first
        where it found no point.

    Raises:
        UnsettledError: The proof came to no end, or its check failed.
    """
    _, first = settle(model)
    if first.cost is None or first.dictionary is None:
        return first
    capped = capped_at(model, first.cost, then)
    basis = first.dictionary.basis()
    return concluded(prove(capped, Basis(basis.columns, (*basis.rows, Rest.BASIC))))


def capped_at(model: LinearModel, most: Exact, then: Coefficients) -> LinearModel:
    """The model with its cost held at a value, and another cost to be least in."""
    cap = ModelRow.helping("cost", Sense.AT_MOST, {}, most, len(model.columns))
    return model.with_rows([replace(cap, numerator=model.cost)]).costing(then)
