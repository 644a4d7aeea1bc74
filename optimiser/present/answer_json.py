"""Answers as JSON, with the names that scripts rely on."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from optimiser.answers.cheapest import ActiveLimit, Cheapest
from optimiser.answers.measures import Measures
from optimiser.present.sentences import failing_said, limit_priced, limit_said

if TYPE_CHECKING:
    from optimiser.answers.impossible import Explanation
    from optimiser.answers.weighed import Weighed


def number(value: Fraction | None) -> float | None:
    """The nearest float, or null; never a negative zero."""
    return None if value is None else float(value) + 0.0


def exact(value: Fraction | None) -> str | None:
    """An exact number as `numerator/denominator`, or null."""
    return None if value is None else str(value)


def as_text(document: Mapping[str, Any]) -> str:
    """A document as indented JSON with a newline at the end.

    Signs that a terminal would act on are written as their numbers, which JSON reads alike.
    """
    text = json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    return OTHER_THAN_PLAIN.sub(_escaped, text)


OTHER_THAN_PLAIN = re.compile(r"[^\n -~]")


def _escaped(found: re.Match[str]) -> str:
    """A sign as it is where it can be printed, else as JSON writes it in ASCII."""
    sign = found.group()
    return sign if sign.isprintable() else json.dumps(sign)[1:-1]


def cheapest_document(answer: Cheapest) -> dict[str, Any]:
    """The answer of `formulate`."""
    brief = answer.request.brief
    document: dict[str, Any] = {
        "brief": brief.name,
        "status": answer.status,
        "currency": brief.currency,
    }
    if answer.measures is not None:
        document |= measures_document(answer.measures)
        document["active_limits"] = [
            _active(active, brief.currency) for active in answer.active_limits
        ]
    if answer.measures is not None and answer.weighed is not None:
        document |= {"used": [], "unused": [], "unique": None}  # not known with whole steps
    elif answer.measures is not None:
        document |= {
            "used": [
                {
                    "ingredient": found.ingredient,
                    "price_per_kg": number(found.price_per_kg),
                    "stays_from": number(found.stays_from),
                    "stays_to": number(found.stays_to),
                }
                for found in answer.used
            ],
            "unused": [
                {
                    "ingredient": found.ingredient,
                    "price_per_kg": number(found.price_per_kg),
                    "enters_below": number(found.stays_from),
                }
                for found in answer.unused
            ],
        }
    if answer.explanation is not None:
        document |= impossible_document(answer.explanation, brief.currency)
    elif answer.weighed is not None and answer.measures is None:
        document |= _failing(answer.weighed)
    document["left_out"] = [
        {"ingredient": out.ingredient, "missing": out.missing, "needed_by": out.needed_by}
        for out in answer.left_out
    ]
    if answer.measures is not None and answer.weighed is None:
        document["unique"] = answer.is_unique
        document["equal_cost"] = [
            {"ingredient": label, "percent_from": number(low), "percent_to": number(high)}
            for label, (low, high) in (answer.equal_cost or {}).items()
        ]
    if answer.weighed is not None and answer.measures is not None:
        document["weighing"] = _weighing(answer, answer.weighed)
    document["proof"] = _proof(answer)
    if answer.measures is not None:
        document["own_figures"] = {
            name: list(of) for name, of in answer.measures.own_figures.items()
        }
        document["on_skin"] = _on_skin(answer.measures)
        document["cautions"] = list(answer.measures.cautions)
    document["remarks"] = list(answer.formulation.remarks)
    return document


def _on_skin(measures: Measures) -> list[dict[str, Any]]:
    """The levels of limits on skin."""
    return [
        {
            "limit": one.limit.key,
            "title": one.title,
            "level": number(one.level),
            "bound": number(Fraction(one.limit.value)),
            "unit": one.unit,
            "rule": None if one.rule is None else one.rule.locator,
            "status": "own" if one.rule is None else one.rule.status,
        }
        for one in measures.on_skin
    ]


def measures_document(measures: Measures) -> dict[str, Any]:
    """What a formula is and measures."""
    return {
        "cost_per_kg": number(measures.cost_per_kg),
        "formula": [
            {
                "ingredient": share.ingredient,
                "percent": number(share.percent),
                "price_per_kg": number(share.price_per_kg),
                "cost_share": number(share.cost_share),
            }
            for share in measures.formula
        ],
        "totals": {name: number(total) for name, total in measures.totals.items()},
        "ratios": {name: number(ratio) for name, ratio in measures.ratios.items()},
        "properties": {
            level.quantity.id: {
                "value": number(level.value),
                "low": number(level.low),
                "high": number(level.high),
                "unit": level.quantity.unit,
                "trust": str(level.quantity.trust),
                "figures": dict(level.figures),
            }
            for level in measures.properties
        },
    }


def impossible_document(explanation: Explanation, currency: str) -> dict[str, Any]:
    """Why a brief cannot be met, and what would have to give."""
    # Most briefs can be met; these words are loaded where one cannot.
    from optimiser.present.impossible_words import cause_said, clash_said, way_out_said

    conflicts = [
        [
            {
                "limit": clash.row.statement.key,
                "origin": clash.row.statement.origin.file,
                "bound": number(clash.bound),
                "firm": not clash.row.may_be_eased,
                "sentence": clash_said(clash),
            }
            for clash in conflict
        ]
        for conflict in explanation.conflicts
    ]
    return {
        "causes": [cause_said(cause) for cause in explanation.causes],
        "conflict": conflicts[0] if conflicts else [],
        "conflicts": conflicts,
        "conflicts_are_all": explanation.is_all,
        "ways_out": [
            {
                "limit": way.row.statement.key,
                "bound": number(way.bound),
                "reachable": number(way.reachable),
                "reachable_exact": exact(way.reachable),
                "cost_per_kg": number(way.cost_per_kg),
                "sentence": way_out_said(way, currency),
            }
            for way in explanation.ways_out
        ],
        "smallest_compromise": [
            {
                "limit": move.row.statement.key,
                "from": number(move.bound),
                "to": number(move.to),
                "to_exact": exact(move.to),
            }
            for move in explanation.compromise
        ],
        "compromise_cost_per_kg": number(explanation.compromise_cost_per_kg),
    }


def _active(active: ActiveLimit, currency: str) -> dict[str, Any]:
    eased = active.eased
    return {
        "limit": active.row.statement.key,
        "origin": active.row.statement.origin.file,
        "bound": number(active.bound),
        "unit": active.row.unit,
        "cost_per_unit": number(active.up.per_unit),
        "cost_per_unit_down": number(active.down.per_unit),
        "holds_from": number(active.down.until),
        "holds_to": number(active.up.until),
        "sentence": f"{limit_said(active)}: {limit_priced(active, currency)}",
        "eased": None
        if eased is None
        else {
            "bound": number(eased.bound),
            "cost_per_kg": number(eased.cost_per_kg),
            "changes": {label: number(points) for label, points in eased.changes.items()},
        },
    }


def _failing(weighed: Weighed) -> dict[str, Any]:
    """The rules that make a brief impossible which its limits alone do not."""
    return {
        "conflict": [
            {"limit": key, "sentence": said}
            for key, said in dict(
                pair for rule in weighed.failing for pair in zip(rule.keys, rule.said, strict=True)
            ).items()
        ],
        "ways_out": [
            {
                "limit": rule.keys[0],
                "limits": list(rule.keys),
                "reachable": number(rule.possible_from),
                "sentence": failing_said(rule),
            }
            for rule in weighed.failing
        ],
        "smallest_compromise": [],
    }


def _weighing(answer: Cheapest, weighed: Weighed) -> dict[str, Any]:
    """What being weighable costs, and how sure it is that nothing weighable is cheaper.

    The active limits of such an answer are those of the same ingredients in shares of any
    size, which cost `kept_cost_per_kg`.
    """
    bound, cost = weighed.relaxed.lower_bound, weighed.cost
    return {
        "continuous_cost_per_kg": number(bound),
        "costs_per_kg": None if bound is None or cost is None else number(cost - bound),
        "kept_cost_per_kg": number(answer.certificate.cost),
        "best_by_the_solver": weighed.is_best,
        "time_ran_out": weighed.ran_out,
        "limits_hold_exactly": True,
    }


def _proof(answer: Cheapest) -> dict[str, Any]:
    certificate = answer.certificate
    if answer.weighed is not None and answer.measures is not None:
        return {
            "status": "proven" if answer.weighed.is_proven else "not proven",
            "arithmetic": "exact",
            "cost_exact": exact(answer.weighed.cost),
            "lower_bound_exact": exact(answer.weighed.relaxed.lower_bound),
        }
    if not certificate.proven or answer.status != certificate.ending:
        # Where the statuses differ, the limits alone are settled and the rules are not.
        return {"status": "not proven", "arithmetic": "exact"}
    if certificate.cost is None:
        return {
            "status": "proven",
            "arithmetic": "exact",
            "multipliers": [
                {
                    "limit": row.statement.key,
                    "sentence": row.statement.render(bound),
                    "multiplier": str(price),
                }
                for row, bound, price in zip(
                    answer.proof_model.rows,
                    answer.proof_model.bound,
                    certificate.prices or (),
                    strict=True,
                )
                if price
            ],
        }
    return {
        "status": "proven",
        "arithmetic": "exact",
        "cost_exact": exact(certificate.cost),
        "lower_bound_exact": exact(certificate.lower_bound),
    }
