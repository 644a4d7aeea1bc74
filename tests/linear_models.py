"""Builders of linear models for the tests, and checks that use nothing but fractions."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from optimiser.exact.proof import Certificate
from optimiser.linear_model import Coefficients, LinearModel, Row, Sense
from optimiser.provenance import Exact, Origin, Statement

Limit = tuple[Sequence[Exact], str, Exact] | tuple[
    Sequence[Exact], str, Exact, Sequence[Exact] | None, Exact
]
"""Numerator, side, bound; where it is no plain sum also the denominator and its constant."""


def model_of(
    cost: Sequence[Exact],
    limits: Sequence[Limit],
    upper: Sequence[Exact | None] | None = None,
    lower: Sequence[Exact] | None = None,
    labels: Sequence[str] | None = None,
    keys: Sequence[str] | None = None,
    whole: Sequence[bool] | None = None,
) -> LinearModel:
    """A linear model from bare numbers."""
    n = len(cost)
    full = [limit if len(limit) == 5 else (*limit, None, 1) for limit in limits]
    names = keys or [f"limit {i}" for i in range(len(full))]
    return LinearModel(
        columns=tuple(labels or [f"x{j}" for j in range(n)]),
        rows=tuple(
            Row(
                Statement(name, f"{name} {limit[1]} {{bound}}", Origin("brief.toml", i + 1)),
                Sense(limit[1]),
                "%",
            )
            for i, (name, limit) in enumerate(zip(names, full, strict=True))
        ),
        numerator=tuple(Coefficients(tuple(limit[0])) for limit in full),
        denominator=tuple(
            None if limit[3] is None else Coefficients(tuple(limit[3])) for limit in full
        ),
        constant=tuple(limit[4] for limit in full),
        bound=tuple(limit[2] for limit in full),
        cost=Coefficients(tuple(cost)),
        lower=tuple(lower or (0,) * n),
        upper=tuple(upper or (None,) * n),
        is_integer=tuple(whole or (False,) * n),
    )


def plain_rows(model: LinearModel) -> list[tuple[list[Fraction], str, Fraction]]:
    """The rows as (coefficients, side, right side), worked out again from the maker's words."""
    rows = []
    for row, top, bottom, constant, bound in zip(
        model.rows, model.numerator, model.denominator, model.constant, model.bound, strict=True
    ):
        side, below = Fraction(bound), (0,) * len(model.columns)
        if bottom is not None:
            below = bottom.numbers
        numbers = [
            Fraction(a) - side * Fraction(b) for a, b in zip(top.numbers, below, strict=True)
        ]
        rows.append((numbers, str(row.sense), side * Fraction(constant)))
    return rows


def dot(numbers: Sequence[Exact], x: Sequence[Fraction]) -> Fraction:
    return sum((Fraction(a) * b for a, b in zip(numbers, x, strict=True)), Fraction(0))


def keeps_to(model: LinearModel, x: Sequence[Fraction]) -> bool:
    """Whether a point is within all bounds and limits."""
    inside = all(
        low <= share and (high is None or share <= high)
        for low, share, high in zip(model.lower, x, model.upper, strict=True)
    )
    return inside and all(
        {">=": level >= side, "<=": level <= side, "=": level == side}[sense]
        for level, sense, side in ((dot(a, x), s, b) for a, s, b in plain_rows(model))
    )


def weak_bound(
    model: LinearModel, prices: Sequence[Fraction], with_cost: bool = True
) -> Fraction | None:
    """Weak duality written out: y.b plus each reduced cost at the end that it prefers.

    None where a price has the wrong sign or a reduced cost finds no end.
    """
    rows = plain_rows(model)
    total = Fraction(0)
    for price, (_, sense, side) in zip(prices, rows, strict=True):
        if (sense == ">=" and price < 0) or (sense == "<=" and price > 0):
            return None
        total += price * side
    for j, (low, high) in enumerate(zip(model.lower, model.upper, strict=True)):
        cost = Fraction(model.cost.numbers[j]) if with_cost else Fraction(0)
        reduced = cost - sum(
            (price * row[0][j] for price, row in zip(prices, rows, strict=True)), Fraction(0)
        )
        if reduced < 0 and high is None:
            return None
        total += reduced * Fraction(low if reduced >= 0 else high or 0)
    return total


def assert_proof_holds(model: LinearModel, certificate: Certificate) -> None:
    """Check a certificate with fractions only, without the programme that made it."""
    assert certificate.proven
    if certificate.x is None:
        gap = weak_bound(model, certificate.prices, with_cost=False)
        assert gap is not None
        assert gap > 0
        return
    assert keeps_to(model, certificate.x)
    cost = dot(model.cost.numbers, certificate.x)
    assert certificate.cost == certificate.lower_bound == cost
    assert weak_bound(model, certificate.prices) == cost
