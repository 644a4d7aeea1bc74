"""The answer of `batch` as JSON and CSV, with the names that scripts rely on."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from optimiser.formulation import scents_said
from optimiser.present.answer_json import exact, number
from optimiser.present.csv_text import csv_text
from optimiser.present.jar_words import fill_said
from optimiser.present.shopping_words import shopping_document
from optimiser.present.weigh_words import line_warning, missed_said, product, step_said
from optimiser.present.weight_numbers import on_scale
from optimiser.provenance import plain_number
from optimiser.workshop.batch import Batch
from optimiser.workshop.batches import Batches


def batches_document(answer: Batches) -> dict[str, Any]:
    """One batch as its own document; several in a list."""
    documents = [batch_document(batch) for batch in answer.batches]
    whole = documents[0] if len(documents) == 1 else {"batches": documents}
    return whole | shopping_document(answer)


def batch_document(batch: Batch) -> dict[str, Any]:
    """One batch without its shopping."""
    weights = batch.weights
    return {
        "product": product(batch),
        "formula_of": batch.asked.formula,
        "version": batch.asked.plan.version,
        "currency": batch.request.brief.currency,
        "size_g": number(weights.size_g),
        "scale_g": number(weights.division_g),
        "loss_percent": number(batch.loss),
        "assumed": list(batch.assumed),
        "lines": [
            {
                "ingredient": line.ingredient.id,
                "percent": number(line.percent),
                "grams": number(line.grams),
                "phase": line.phase,
                "step": line.step,
                "scale_warning": line_warning(batch, line) or None,
                "rounded_down": line.is_rounded_down,
            }
            for line in batch.lines
        ],
        "limits": {
            "kept": weights.held,
            "missed": [
                {
                    "limit": one.check.row.statement.key,
                    "bound": number(one.check.bound),
                    "value": number(one.check.value),
                    "by": number(one.by),
                    "met_by_the_formula": one.was_met,
                    "as_near_as_the_scale_shows": one.is_as_near,
                }
                for one in weights.missed
            ],
            "not_judged": [check.row.statement.key for check in weights.unknown],
            "sentences": missed_said(batch),
        },
        "steps": [
            {
                "step": place,
                "phase": step.phase,
                "text": step_said(step),
                "temperature_c": [number(_known(end)) for end in step.temperature],
                "minutes": [number(_known(end)) for end in step.minutes],
                "status": step.status,
            }
            for place, step in enumerate(batch.method.steps, start=1)
        ],
        "jars": _jars(batch),
        "cost": _cost(batch),
        "cautions": list(batch.measures.cautions),
        "remarks": [
            *scents_said(batch.request, batch.weights.blend.used.ingredients),
            *batch.asked.remarks,
            *batch.request.remarks,
        ],
    }


def _known(end: Any) -> Fraction | None:
    return None if end is None else Fraction(end)


def _jars(batch: Batch) -> dict[str, Any] | None:
    jars, fill = batch.jars, batch.fill
    if jars is None or fill is None:
        return None
    return {
        "net_g": number(fill.fill.label_g),
        "fill_g": number(jars.fill_g),
        "count": jars.count,
        "left_g": number(jars.left_g),
        "lost_g": number(jars.lost_g),
        "volume_ml": number(fill.volume_ml),
        "filled_percent": number(fill.filled),
        "density": number(fill.density),
        "overrun_percent": number(fill.overrun),
        "tolerances": [
            {
                "scheme": one.row.scheme,
                "grams": number(one.grams),
                "source": one.row.locator,
                "status": one.row.status,
            }
            for one in fill.fill.shortfalls
        ],
        "sentences": fill_said(fill),
    }


def _cost(batch: Batch) -> dict[str, Any] | None:
    cost = batch.cost
    if cost is None:
        return None
    margin = batch.margin
    return {
        **{name: number(cost.parts.get(name)) for name in ("ingredients", "packaging")},
        **{name: number(cost.parts.get(name)) for name in ("labour", "overhead")},
        "total": number(cost.total),
        "per_kg": number(cost.per_kg),
        "per_jar": number(cost.per_jar),
        "per_jar_exact": exact(cost.per_jar),
        "left_out": list(batch.left_out),
        "price": None if margin is None else number(margin.price),
        "margin": None if margin is None else number(margin.money),
        "margin_percent": None if margin is None else number(margin.percent),
        "price_at_margin": number(batch.price),
    }


def batches_csv(answer: Batches) -> str:
    """The lines to weigh; with several batches the product stands before each."""
    is_single = len(answer.batches) == 1
    head = ("ingredient", "percent", "grams", "phase", "step")
    rows: list[Sequence[object]] = [head if is_single else ("batch", *head)]
    for batch in answer.batches:
        for line in batch.lines:
            row = (
                line.ingredient.id,
                plain_number(line.percent),
                on_scale(line.grams, batch.weights.division_g),
                line.phase,
                str(line.step),
            )
            rows.append(row if is_single else (product(batch), *row))
    return csv_text(rows)
