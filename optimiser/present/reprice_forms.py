"""The answer of `reprice` as JSON and as CSV."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any

from optimiser.answers.changed_prices import Changed
from optimiser.answers.cheapest import Cheapest
from optimiser.answers.limit_sweep import LimitSweep
from optimiser.answers.measures import Measures
from optimiser.answers.price_draws import PriceTable
from optimiser.answers.price_scenarios import Distribution, Scenarios
from optimiser.answers.price_sweep import PriceSweep
from optimiser.answers.repricing import Repricing
from optimiser.answers.uncertain_prices import Uncertain
from optimiser.present.answer_json import exact, impossible_document, number
from optimiser.present.csv_text import csv_text
from optimiser.present.formula_csv import formula_text
from optimiser.present.reprice_words import ANY_SHARES
from optimiser.provenance import InputError, Mistake, Origin

Document = dict[str, Any]


def repricing_document(answer: Repricing) -> Document:
    """The answer of `reprice`; only the parts that were asked for."""
    brief = answer.request.brief
    document: Document = {"brief": brief.name, "currency": brief.currency}
    document["today"] = _today(answer)
    changed = answer.changed
    if changed is not None:
        document |= _changed(answer, changed)
    if answer.sweep is not None:
        document["sweep"] = _sweep(answer.sweep)
    if answer.limit_sweep is not None:
        document["sweep_limit"] = _limit_sweep(answer.limit_sweep)
    if answer.questions.source is not None:
        document["scenarios"] = _scenarios(answer.scenarios)
    if answer.questions.at_most is not None:
        document["uncertain"] = _uncertain(answer.uncertain)
    notes = [ANY_SHARES] if answer.has_shares_of_any_size else []
    document["remarks"] = [*notes, *answer.remarks]
    return document


def _formula(measures: Measures) -> list[Document]:
    return [
        {"ingredient": share.ingredient, "percent": number(share.percent)}
        for share in measures.formula
    ]


def _today(answer: Repricing) -> Document:
    if answer.in_use is None:
        return _no_formula(answer.today)
    cost = answer.in_use.cost_per_kg
    return {
        "formula": _formula(answer.in_use),
        "cost_per_kg": number(cost),
        "cost_exact": exact(cost),
        "is_recipe": answer.is_recipe,
        "misses": [check.row.statement.key for check in answer.in_use_missed],
    }


def _no_formula(answer: Cheapest) -> Document:
    document: Document = {"status": answer.status}
    if answer.explanation is not None:
        document |= impossible_document(answer.explanation, answer.request.brief.currency)
    return document


def _changed(answer: Repricing, changed: Changed) -> Document:
    new = changed.answer.measures
    part = _no_formula(changed.answer)
    if new is not None:
        cost = new.cost_per_kg
        part = {"formula": _formula(new), "cost_per_kg": number(cost), "cost_exact": exact(cost)}
    elif changed.over_cap is not None and changed.over_cap.measures is not None:
        beyond = changed.over_cap.measures
        part["without_cost_limit"] = {
            "formula": _formula(beyond),
            "cost_per_kg": number(beyond.cost_per_kg),
        }
    return {
        "changed": part,
        "staying_cost_per_kg": number(changed.staying_cost),
        "saving_per_kg": number(changed.saving),
        "staying_misses": [check.row.statement.key for check in changed.staying_missed],
        "limits_released": [active.row.statement.key for active in changed.released],
        "limits_taken": [active.row.statement.key for active in changed.taken],
    }


def _sweep(sweep: PriceSweep) -> Document:
    return {
        "ingredient": sweep.ingredient,
        "price_today": number(sweep.today),
        "impossible_above": number(sweep.impossible_above),
        "pieces": [
            {
                "from": number(piece.start),
                "to": number(piece.end),
                "from_exact": exact(piece.start),
                "to_exact": exact(piece.end),
                "percent": number(piece.percent),
                "cost_at_from": number(piece.cost_at_start),
                "cost_at_to": number(piece.cost_at_end),
                "staying_cost_at_from": number(piece.staying_at_start),
                "staying_cost_at_to": number(piece.staying_at_end),
                "formula": _formula(piece.measures),
            }
            for piece in sweep.pieces
        ],
    }


def _limit_sweep(sweep: LimitSweep) -> Document:
    return {
        "limit": sweep.row.statement.key,
        "unit": sweep.row.unit,
        "bound_today": number(sweep.today),
        "possible_from": number(sweep.possible_from),
        "possible_to": number(sweep.possible_to),
        "pieces": [
            {
                "from": number(piece.start),
                "to": number(piece.end),
                "from_exact": exact(piece.start),
                "to_exact": exact(piece.end),
                "cost_at_from": number(piece.cost_at_start),
                "cost_at_to": number(piece.cost_at_end),
                "cost_per_unit": number(piece.per_unit),
                "binds": piece.binds,
                "formula_at_from": _formula(piece.at_start),
                "formula_at_to": _formula(piece.at_end),
            }
            for piece in sweep.pieces
        ],
    }


def _distribution(found: Distribution | None) -> Document | None:
    if found is None:
        return None
    names = ("mean", "p05", "p50", "p95")
    return {name: getattr(found, name) for name in names} | {"min": found.least, "max": found.most}


def _scenarios(found: Scenarios | None) -> Document:
    if found is None:
        return {"status": "infeasible"}
    source = found.source
    if isinstance(source, PriceTable):
        origin: Document = {"file": source.file}
    else:
        spreads = {name: float(percent) for name, percent in source.percents.items()}
        origin = {"seed": source.seed, "together": source.together, "spread_percent": spreads}
    return {
        "count": found.count,
        **origin,
        "formulas": found.formulas,
        "cost_per_kg": _distribution(found.cost),
        "staying_cost_per_kg": _distribution(found.staying),
        "regret_per_kg": _distribution(found.regret),
        "stays_cheapest_in": found.stays_cheapest,
        "cautious_cost_per_kg": _distribution(found.cautious),
        "cautious_regret_per_kg": _distribution(found.cautious_regret),
        "cost_limit": number(found.cap),
        "over_cost_limit": found.over_cap,
        "staying_over_cost_limit": found.staying_over_cap,
        "ingredients": [
            {
                "ingredient": usage.ingredient,
                "used_in": usage.used_in,
                "percent_low": usage.percent_low,
                "percent_high": usage.percent_high,
            }
            for usage in found.usage
        ],
        "kept": [
            {
                "formula": _formula(kept.measures),
                "is_today": kept.is_today,
                "cheapest_in": kept.cheapest_in,
                "near_in": kept.near_in,
                "together": kept.together,
            }
            for kept in found.kept
        ],
        "each": [
            {
                "scenario": one.label,
                "cost_per_kg": one.cost,
                "staying_cost_per_kg": one.staying,
                "formula": _formula(one.measures),
            }
            for one in found.each
        ],
        "settled": {
            "by_optimality_test": found.count - found.settled_exactly,
            "in_exact_arithmetic": found.settled_exactly,
        },
    }


def _uncertain(found: Uncertain | None) -> Document:
    if found is None:
        return {"status": "infeasible"}
    return {
        "at_most": found.at_most,
        "formula": _formula(found.measures),
        "cost_per_kg": number(found.measures.cost_per_kg),
        "worst_cost_per_kg": number(found.worst_cost),
        "worst_cost_exact": exact(found.worst_cost),
        "price_of_caution_per_kg": number(found.price_of_caution),
        "cheapest_worst_cost_per_kg": number(found.least_worst_cost),
        "rising": list(found.rising),
    }


def repricing_csv(answer: Repricing) -> str | None:
    """The one part that was asked for as a table; None where there is nothing to write.

    Raises:
        InputError: Several parts were asked for.
    """
    asked = answer.questions
    parts = {
        "the changed prices": answer.changed is not None,
        "the sweep": asked.sweep is not None or asked.limit is not None,
        "the scenarios": asked.source is not None and asked.at_most is None,
        "the formula for uncertain prices": asked.at_most is not None,
    }
    several = [name for name, is_asked in parts.items() if is_asked]
    if len(several) > 1:
        problem = f"a .csv holds one table, and {' and '.join(several)} were asked for"
        advice = "ask for one, or write .json or .md"
        raise InputError([Mistake(Origin("--out"), f"{problem}; {advice}")])
    if answer.changed is not None:
        new = answer.changed.answer.measures
        return None if new is None else formula_text(new)
    if asked.at_most is not None:
        return None if answer.uncertain is None else formula_text(answer.uncertain.measures)
    if answer.sweep is not None:
        return _sweep_csv(answer.sweep)
    if answer.limit_sweep is not None:
        return _limit_csv(answer.limit_sweep)
    return None if answer.scenarios is None else _usage_csv(answer.scenarios)


def _table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    return csv_text([head, *rows])


def _names(formulas: Iterable[Measures]) -> list[str]:
    """Every ingredient of some formulas, in the order of their largest share."""
    largest: dict[str, Fraction] = {}
    for measures in formulas:
        for share in measures.formula:
            known = largest.get(share.ingredient, Fraction(0))
            largest[share.ingredient] = max(known, share.percent)
    return sorted(largest, key=lambda name: (-largest[name], name))


def _percents(measures: Measures, names: Sequence[str]) -> list[float]:
    shares = {share.ingredient: share.percent for share in measures.formula}
    return [float(shares.get(name, 0)) for name in names]


def _sweep_csv(sweep: PriceSweep) -> str:
    names = _names(piece.measures for piece in sweep.pieces)
    head = ["price_from", "price_to", "cost_at_from", "cost_at_to", *names]
    rows = [
        [
            *(float(v) for v in (p.start, p.end, p.cost_at_start, p.cost_at_end)),
            *_percents(p.measures, names),
        ]
        for p in sweep.pieces
    ]
    return _table(head, rows)


def _limit_csv(sweep: LimitSweep) -> str:
    names = _names(m for piece in sweep.pieces for m in (piece.at_start, piece.at_end))
    rows: list[list[float]] = []
    for piece in sweep.pieces:
        for bound, cost, measures in (
            (piece.start, piece.cost_at_start, piece.at_start),
            (piece.end, piece.cost_at_end, piece.at_end),
        ):
            row = [float(bound), float(cost), *_percents(measures, names)]
            if not rows or rows[-1] != row:
                rows.append(row)
    return _table(["bound", "cost_per_kg", *names], rows)


def _usage_csv(found: Scenarios) -> str:
    head = ("ingredient", "used_in", "percent_low", "percent_high")
    rows = [(u.ingredient, u.used_in, u.percent_low, u.percent_high) for u in found.usage]
    return _table(head, rows)
