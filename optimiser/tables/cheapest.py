"""The answer of `formulate` as DataFrames."""

from __future__ import annotations

from typing import TYPE_CHECKING

from optimiser.answers.cheapest import Cheapest
from optimiser.tables.frame import floated, table

if TYPE_CHECKING:
    import pandas


def cheapest_frames(answer: Cheapest) -> dict[str, pandas.DataFrame]:
    """All tables of an answer by name; those without rows keep their columns.

    Returns:
        `formula`, `properties`, `active_limits`, `used`, `unused`, `left_out`.
    """
    measures = answer.measures
    shares = measures.formula if measures else ()
    levels = measures.properties if measures else ()
    return {
        "formula": table(
            ["ingredient", "name", "kind", "percent", "price_per_kg", "cost_share"],
            [
                (
                    s.ingredient,
                    s.name,
                    str(s.kind),
                    float(s.percent),
                    floated(s.price_per_kg),
                    floated(s.cost_share),
                )
                for s in shares
            ],
        ),
        "properties": table(
            ["property", "value", "low", "high", "unit", "trust"],
            [
                (
                    v.quantity.id,
                    floated(v.value),
                    floated(v.low),
                    floated(v.high),
                    v.quantity.unit,
                    str(v.quantity.trust),
                )
                for v in levels
            ],
        ),
        "active_limits": table(
            [
                "limit",
                "bound",
                "unit",
                "cost_per_unit",
                "cost_per_unit_down",
                "holds_from",
                "holds_to",
            ],
            [
                (
                    a.row.statement.key,
                    float(a.bound),
                    a.row.unit,
                    floated(a.up.per_unit),
                    floated(a.down.per_unit),
                    floated(a.down.until),
                    floated(a.up.until),
                )
                for a in answer.active_limits
            ],
        ),
        "used": table(
            ["ingredient", "price_per_kg", "stays_from", "stays_to"],
            [
                (u.ingredient, float(u.price_per_kg), floated(u.stays_from), floated(u.stays_to))
                for u in answer.used
            ],
        ),
        "unused": table(
            ["ingredient", "price_per_kg", "enters_below"],
            [(u.ingredient, float(u.price_per_kg), floated(u.stays_from)) for u in answer.unused],
        ),
        "left_out": table(
            ["ingredient", "missing", "needed_by"],
            [(out.ingredient, out.missing, out.needed_by) for out in answer.left_out],
        ),
    }
