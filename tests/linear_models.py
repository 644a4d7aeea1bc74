"""Builders of linear models for the tests, and checks that use nothing but fractions."""

from __future__ import annotations

import random
from collections.abc import Sequence
from fractions import Fraction

from optimiser.exact.proof import Certificate
from optimiser.linear_model import Coefficients, LinearModel, Row, Sense
from optimiser.provenance import Exact, Origin, Statement

Limit = (
    tuple[Sequence[Exact], str, Exact]
    | tuple[Sequence[Exact], str, Exact, Sequence[Exact] | None, Exact]
)
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


def active_rows(model: LinearModel, x: Sequence[Fraction]) -> list[int]:
    """The rows whose level equals their bound."""
    return [i for i, bound in enumerate(model.bound) if model.level(i, x) == bound]


def random_model(rng: random.Random, ratios: bool = True) -> LinearModel:
    """A small model of integers and short fractions, built around a point to be degenerate.

    Equal, repeated and opposite limits, fixed, boxed and unbounded columns, equal and zero
    costs, rows of zeros, no rows at all; now and then it is impossible or has no end.
    """
    n = rng.randint(1, 6)
    high = rng.choice([1, 2, 3, 5, 9, 40])
    point = [rng.choice([0, 0, 1, 2, 5, 10, rng.randint(0, 50)]) for _ in range(n)]

    def number(low: int) -> Exact:
        value = 0 if rng.random() < 0.3 else rng.randint(low, high)
        return Fraction(value, rng.choice([2, 3, 7, 10])) if rng.random() < 0.1 else value

    limits: list[Limit] = []
    if rng.random() < 0.7:
        limits.append(((1,) * n, "=", sum(point)))
    for _ in range(rng.randint(0, 6)):
        if limits and rng.random() < 0.12:
            again = rng.choice(limits)
            side = again[1] if rng.random() < 0.7 else rng.choice([">=", "<=", "="])
            limits.append((again[0], side, *again[2:]))
            continue
        side = rng.choice([">=", "<=", ">=", "<=", "="])
        low = 0 if rng.random() < 0.7 else -high
        numerator = tuple(number(low) for _ in range(n))
        below, constant = None, rng.choice([1, 100])
        if ratios and rng.random() < 0.5:
            below = tuple(abs(number(0)) for _ in range(n))
            constant = rng.choice([0, 0, 1, 10, 100])
        weight = constant + (dot(below, point) if below else 0)
        bound = dot(numerator, point) / weight if weight else Fraction(rng.randint(0, 3))
        slack = rng.random()
        if slack < 0.35:
            bound += (1 if side == "<=" else -1) * Fraction(rng.randint(0, 20), rng.choice([1, 10]))
        elif slack < 0.4:
            bound += rng.randint(-9, 9)
        limits.append((numerator, side, bound, below, constant))
    return model_of(
        cost=random_costs(rng, n),
        limits=limits,
        upper=[rng.choice([None, None, 100, 100, x, x + rng.randint(0, 5)]) for x in point],
        lower=[x if rng.random() < 0.05 else 0 for x in point],
    )


def random_costs(rng: random.Random, n: int) -> list[Exact]:
    """Costs with ties, zeros and now and then a negative one."""
    high = rng.choice([1, 3, 9, 50])
    scale = 7 if rng.random() < 0.1 else 1
    return [
        Fraction((1 if rng.random() < 0.9 else -1) * rng.randint(0, high), scale) for _ in range(n)
    ]


def bare(model: LinearModel) -> str:
    """The numbers of a model, to be put into a failing test's message."""
    rows = [
        (tuple(map(str, numbers)), sense, str(side)) for numbers, sense, side in plain_rows(model)
    ]
    return f"min {tuple(map(str, model.cost.numbers))} {rows} {model.lower} {model.upper}"
