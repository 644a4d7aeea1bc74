"""The answer of `reprice` as DataFrames."""

from __future__ import annotations

from typing import TYPE_CHECKING

from optimiser.answers.measures import Measures
from optimiser.answers.price_scenarios import Scenarios
from optimiser.answers.repricing import Repricing
from optimiser.tables.frame import floated, table

if TYPE_CHECKING:
    import pandas


def repricing_frames(answer: Repricing) -> dict[str, pandas.DataFrame]:
    """All tables of an answer by name, of the parts that were asked for.

    Returns:
        `formula` (percent in use, and at the other prices), and as asked `sweep` and
        `sweep_formulas`, `limit_sweep` and `limit_formulas`, `scenario_costs`,
        `scenario_ingredients` and `kept_formulas`, `uncertain`. In tables of formulas `piece`,
        `bound` or `place` is the row of the table beside.
    """
    changed = None if answer.changed is None else answer.changed.answer.measures
    found = {
        "formula": _beside({"in_use": answer.in_use, "changed": changed}),
    }
    if answer.sweep is not None:
        pieces = answer.sweep.pieces
        found["sweep"] = table(
            ["price_from", "price_to", "percent", "cost_at_from", "cost_at_to"],
            [
                tuple(map(float, (p.start, p.end, p.percent, p.cost_at_start, p.cost_at_end)))
                for p in pieces
            ],
        )
        found["sweep_formulas"] = _numbered("piece", [piece.measures for piece in pieces])
    if answer.limit_sweep is not None:
        ends = [
            (float(bound), float(cost), measures)
            for p in answer.limit_sweep.pieces
            for bound, cost, measures in (
                (p.start, p.cost_at_start, p.at_start),
                (p.end, p.cost_at_end, p.at_end),
            )
        ]
        found["limit_sweep"] = table(["bound", "cost_per_kg"], [end[:2] for end in ends])
        found["limit_formulas"] = _numbered("bound", [measures for _, _, measures in ends])
    if answer.scenarios is not None:
        found |= _scenario_frames(answer.scenarios)
    if answer.uncertain is not None:
        found["uncertain"] = _beside({"percent": answer.uncertain.measures})
    return found


def _scenario_frames(found: Scenarios) -> dict[str, pandas.DataFrame]:
    costs = {
        "cheapest": found.cost,
        "staying": found.staying,
        "regret": found.regret,
        "for uncertain prices": found.cautious,
        "regret of that": found.cautious_regret,
    }
    return {
        "scenario_costs": table(
            ["of", "mean", "p05", "p50", "p95", "min", "max"],
            [
                (name, d.mean, d.p05, d.p50, d.p95, d.least, d.most)
                for name, d in costs.items()
                if d is not None
            ],
        ),
        "scenario_ingredients": table(
            ["ingredient", "used_in", "percent_low", "percent_high"],
            [(u.ingredient, u.used_in, u.percent_low, u.percent_high) for u in found.usage],
        ),
        "kept": table(
            ["cheapest_in", "near_in", "together"],
            [(k.cheapest_in, k.near_in, k.together) for k in found.kept],
        ),
        "kept_formulas": _numbered("place", [kept.measures for kept in found.kept]),
    }


def _shares(measures: Measures | None) -> dict[str, float]:
    shares = () if measures is None else measures.formula
    return {share.ingredient: float(share.percent) for share in shares}


def _beside(formulas: dict[str, Measures | None]) -> pandas.DataFrame:
    """Formulas side by side; nan where there is none, 0 where it has nothing of it."""
    shares = {name: _shares(measures) for name, measures in formulas.items()}
    ids = sorted({i for each in shares.values() for i in each})
    rows = [
        (i, *(floated(each.get(i, 0.0) if each else None) for each in shares.values())) for i in ids
    ]
    return table(["ingredient", *shares], rows)


def _numbered(what: str, formulas: list[Measures]) -> pandas.DataFrame:
    """Formulas in long form: which one, ingredient, percent."""
    rows = [
        (number, name, percent)
        for number, measures in enumerate(formulas)
        for name, percent in _shares(measures).items()
    ]
    return table([what, "ingredient", "percent"], rows)
