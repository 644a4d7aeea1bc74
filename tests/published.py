"""Published problems: their numbers, printed answers and sources, read from `cases/`."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

from linear_models import model_of

from optimiser.linear_model import LinearModel

FOLDER = Path(__file__).parent / "cases"
FAR = 1000
"""Where a column without a lower bound is given one; no answer comes near it."""


@cache
def case(name: str) -> dict[str, Any]:
    """One published problem; its numbers are the printed decimals."""
    text = (FOLDER / f"{name}.json").read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text, parse_float=Decimal)
    return found


def names(*parts: str, **wanted: Any) -> list[str]:
    """The cases that have all the parts (`figures.duals`) and the wanted values."""

    def has(found: Any, path: str) -> bool:
        for key in path.split("."):
            if key not in found:
                return False
            found = found[key]
        return True

    return [
        name
        for name in sorted(path.stem for path in FOLDER.glob("*.json"))
        if all(has(case(name), part) for part in parts)
        and all(case(name).get(key) == value for key, value in wanted.items())
    ]


def is_continuous(name: str) -> bool:
    return not any(variable.get("integer") for variable in case(name)["variables"])


def sign(name: str) -> int:
    """-1 where the published problem maximises: the model then has the negated costs."""
    return -1 if case(name)["sense"] == "max" else 1


@cache
def model(name: str) -> LinearModel:
    """The case as a linear model to minimise."""
    found = case(name)
    variables = found["variables"]
    return model_of(
        cost=[sign(name) * v["cost"] for v in variables],
        limits=[
            ([c["coefficients"].get(v["name"], 0) for v in variables], c["sense"], c["rhs"])
            for c in found["constraints"]
        ],
        lower=[-FAR if v["lower"] is None else v["lower"] for v in variables],
        upper=[v["upper"] for v in variables],
        labels=[v["name"] for v in variables],
        keys=[c["name"] for c in found["constraints"]],
        whole=[bool(v.get("integer")) for v in variables],
    )


def column(name: str, label: str) -> int:
    return model(name).columns.index(label)


def row(name: str, key: str) -> int:
    return [r.statement.key for r in model(name).rows].index(key)


def without(name: str, labels: Iterable[str]) -> LinearModel:
    """The case with some columns held at 0."""
    gone = [column(name, label) for label in labels]
    found = model(name)
    upper = [0 if j in gone else high for j, high in enumerate(found.upper)]
    return replace(found, upper=tuple(upper))


def is_printed(value: Fraction, printed: str, slack: Decimal | float | None = None) -> bool:
    """Whether an exact value rounds to a printed figure; `slack` where it was cut instead."""
    figure = Decimal(printed)
    exponent = figure.as_tuple().exponent
    assert isinstance(exponent, int)
    half = Fraction(5) * Fraction(10) ** (exponent - 1)
    return abs(value - Fraction(figure)) <= max(half, Fraction(slack or 0))


def is_figure(value: Fraction | None, figure: Decimal | int | None) -> bool:
    """Whether an exact value is one of the floating figures of another exact solver."""
    if value is None or figure is None:
        return value is None and figure is None
    return abs(value - Fraction(figure)) <= Fraction(1, 10**12) * max(1, abs(value))
