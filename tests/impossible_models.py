"""Impossible linear models that hypothesis makes up, and checks of what is said of them."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from operator import mul

import numpy as np
from hypothesis import assume
from hypothesis import strategies as st
from linear_models import Limit, assert_proof_holds, model_of, plain_rows
from scipy.optimize import linprog

from optimiser.conflicts import point_within
from optimiser.linear_model import Coefficients, LinearModel, Sense

SAID, FIRM, GIVEN = (True, True), (True, False), (False, False)
"""Whether a row is a statement, and whether it may be eased."""


def is_possible(model: LinearModel) -> bool:
    """Whether a point exists; either way the proof is checked with fractions only."""
    certificate = point_within(model)
    assert_proof_holds(replace(model, cost=Coefficients((0,) * len(model.columns))), certificate)
    return certificate.x is not None


def only(model: LinearModel, kept: Iterable[int]) -> LinearModel:
    """The model with some of its rows."""
    return model.without_rows(set(range(len(model.rows))) - set(kept))


def given_rows(model: LinearModel) -> list[int]:
    """The rows that are no statements."""
    return [i for i, row in enumerate(model.rows) if not row.is_said]


def marked(model: LinearModel, marks: Sequence[tuple[bool, bool]]) -> LinearModel:
    """The model with each row said or not, firm or not."""
    rows = (
        replace(row, is_said=said, may_be_eased=eased)
        for row, (said, eased) in zip(model.rows, marks, strict=True)
    )
    return replace(model, rows=tuple(rows))


def sizes(model: LinearModel) -> list[Fraction]:
    """What a move of each bound is measured against: the bound, or the natural step for 0."""
    return [
        abs(Fraction(bound)) or row.step for bound, row in zip(model.bound, model.rows, strict=True)
    ]


def moved(model: LinearModel, moves: Mapping[int, Fraction]) -> LinearModel:
    """The model with some bounds moved."""
    for i, level in moves.items():
        model = model.with_bound(i, level)
    return model


def total_movement(model: LinearModel, moves: Mapping[int, Fraction]) -> Fraction:
    """All moves, each against its size."""
    size = sizes(model)
    return sum(
        (abs(level - Fraction(model.bound[i])) / size[i] for i, level in moves.items()),
        Fraction(0),
    )


@st.composite
def limits(draw: st.DrawFn, n: int, ratios: bool, sides: Sequence[str]) -> Limit:
    """One limit on a sum, an average over the whole, a ratio of sums or a partial average."""
    kinds = ["sum", "average", *(["ratio", "partial"] if ratios else [])]
    kind, side = draw(st.sampled_from(kinds)), draw(st.sampled_from(sides))
    some = st.lists(st.sampled_from([0, 1]), min_size=n, max_size=n)
    figures = st.lists(st.integers(0, 90), min_size=n, max_size=n)
    level = draw(st.integers(0, 100))
    if kind == "sum":
        return draw(some), side, draw(st.sampled_from([0, 10, 20, 50, 80, 110])), None, 1
    if kind == "average":
        return draw(figures), side, level, None, 100
    below = draw(some)
    if kind == "ratio":
        return draw(some), side, Fraction(level, 25), below, 0
    return [a * b for a, b in zip(draw(figures), below, strict=True)], side, level, below, 0


@st.composite
def impossible_models(
    draw: st.DrawFn,
    ratios: bool = True,
    columns: tuple[int, int] = (1, 5),
    sides: Sequence[str] = (">=", "<=", ">=", "<=", "="),
    upper: Sequence[int] = (100, 100, 60),
    marks: Sequence[tuple[bool, bool]] = (SAID, SAID, SAID, FIRM),
) -> LinearModel:
    """A percentage formula that nothing meets, though what is no statement can be met.

    Some limits are said twice, some are firm, some concern nothing of the shelf.
    """
    n = draw(st.integers(*columns))
    stated: list[Limit] = [((1,) * n, "=", 100, None, 1)]
    for _ in range(draw(st.integers(1, 6))):
        if len(stated) > 1 and draw(st.integers(0, 6)) == 0:
            stated.append(draw(st.sampled_from(stated[1:])))
        else:
            stated.append(draw(limits(n, ratios, sides)))
    said = [GIVEN, *(draw(st.sampled_from(marks)) for _ in stated[1:])]
    cost = draw(st.lists(st.integers(1, 9), min_size=n, max_size=n))
    most = draw(st.lists(st.sampled_from(upper), min_size=n, max_size=n))
    assume(sum(most) >= 100)
    model = marked(model_of(cost, stated, upper=most), said)
    assume(not is_possible(model))
    return model


def least_movement(model: LinearModel) -> float | None:
    """The least total relative movement by HiGHS in scipy, for plain sums; None without one."""
    n, size = len(model.columns), sizes(model)
    slack = [
        (i, way)
        for i, row in enumerate(model.rows)
        if row.may_be_eased
        for way in ((1, -1) if row.sense is Sense.EQUAL else (0,))
    ]
    within, right, equal, level = [], [], [], []
    for i, (numbers, sense, side) in enumerate(plain_rows(model)):
        # A move of one unit of the bound is `constant` units of the row.
        unit = float(model.constant[i])
        easing = [
            0.0 if owner != i else unit * (way or (1 if sense == ">=" else -1))
            for owner, way in slack
        ]
        line = [*map(float, numbers), *easing]
        if sense == "=":
            equal.append(line)
            level.append(float(side))
        else:
            turn = -1 if sense == ">=" else 1
            within.append([turn * number for number in line])
            right.append(turn * float(side))
    found = linprog(
        [0.0] * n + [1 / float(size[i]) for i, _ in slack],
        A_ub=within or None,
        b_ub=right or None,
        A_eq=equal or None,
        b_eq=level or None,
        bounds=[*((float(a), float(b)) for a, b in zip(model.lower, model.upper, strict=True))]
        + [(0, None)] * len(slack),
    )
    assert found.status in (0, 2)
    return float(found.fun) if found.status == 0 else None


def least_on_a_grid(model: LinearModel, steps: int = 100) -> float:
    """The least total relative movement over a grid of three shares; ratios included.

    Every row but the first, which is the sum, may be eased. Infinite where no point does.
    """
    points = np.array(
        [
            (a * 100 / steps, b * 100 / steps, 100 - (a + b) * 100 / steps)
            for a in range(steps + 1)
            for b in range(steps + 1 - a)
        ]
    )
    total = np.zeros(len(points))
    for i in range(1, len(model.rows)):
        bottom, bound = model.denominator[i], float(model.bound[i])
        weight = np.full(len(points), float(model.constant[i]))
        if bottom is not None:
            weight += points @ bottom.floats
        top = points @ model.numerator[i].floats
        way = 1 if model.rows[i].sense is Sense.AT_LEAST else -1
        missed = way * (top - bound * weight) < -1e-9
        level = np.full(len(points), np.inf)
        np.divide(top, weight, out=level, where=weight > 0)
        total += np.where(missed, abs(level - bound) / float(sizes(model)[i]), 0)
    return float(total.min())


def large_impossible_model(n: int, m: int, seed: int) -> LinearModel:
    """A formula of n shares and m limits drawn in, all alike, until scipy finds no point."""
    rng = random.Random(seed)
    point = [0.0] * n
    for j in rng.sample(range(n), n // 4):
        point[j] = 100 / (n // 4)
    figures = [
        [round(rng.uniform(0, 100), 1) if rng.random() < 0.5 else 0.0 for _ in range(n)]
        for _ in range(m)
    ]
    ways = [rng.choice([1, -1]) for _ in range(m)]
    levels = [sum(map(mul, line, point)) / 100 for line in figures]
    for tighter in itertools.count():
        stated: list[Limit] = [((1,) * n, "=", 100, None, 1)]
        for line, way, level in zip(figures, ways, levels, strict=True):
            bound = Decimal(f"{level + way * (0.5 * tighter - 2):.2f}")
            side = ">=" if way > 0 else "<="
            stated.append((tuple(Decimal(repr(a)) for a in line), side, bound, None, 100))
        made = model_of([rng.randint(2, 40) for _ in range(n)], stated, upper=(100,) * n)
        made = marked(made, [GIVEN, *[SAID] * m])
        if not is_possible_for_scipy(made):
            return made
    raise AssertionError


def is_possible_for_scipy(model: LinearModel) -> bool:
    """Whether HiGHS in scipy finds a point."""
    within, right, equal, level = [], [], [], []
    for numbers, sense, side in plain_rows(model):
        line = [float(number) for number in numbers]
        if sense == "=":
            equal.append(line)
            level.append(float(side))
        else:
            turn = -1 if sense == ">=" else 1
            within.append([turn * number for number in line])
            right.append(turn * float(side))
    found = linprog(
        [0.0] * len(model.columns),
        A_ub=within or None,
        b_ub=right or None,
        A_eq=equal or None,
        b_eq=level or None,
        bounds=[
            (float(a), None if b is None else float(b))
            for a, b in zip(model.lower, model.upper, strict=True)
        ],
    )
    assert found.status in (0, 2)
    return bool(found.status == 0)
