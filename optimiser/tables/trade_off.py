"""The answer of `tradeoff` as tables."""

from __future__ import annotations

from optimiser.answers.trade_off import TradeOff
from optimiser.linear_model import Row
from optimiser.statements import TIMES
from optimiser.tables.formulas import numbered
from optimiser.tables.frame import Column, Holds, Table, floated, table


def trade_off_tables(answer: TradeOff) -> dict[str, Table]:
    """All tables of an answer by name.

    Returns:
        `corners` and `corner_formulas` (by the row of `corners`), and `stretches`.
    """
    one, other = answer.rows
    ends = [
        (place, value, measures)
        for s in answer.stretches
        for place, value, measures in (
            (s.start, s.one_at_start, s.at_start),
            (s.end, s.one_at_end, s.at_end),
        )
    ]
    corners = [end for k, end in enumerate(ends) if not k or end[:2] != ends[k - 1][:2]]
    columns = [_level("other", answer.other, other), _level("one", answer.one, one)]
    stretches = table(
        "Stretches",
        [
            _level("other_from", f"{answer.other} from", other),
            _level("other_to", f"{answer.other} to", other),
            _level("one_from", f"{answer.one} from", one),
            _level("one_to", f"{answer.one} to", one),
            Column("per_unit", "for each unit of it", Holds.RATE),
        ],
        [
            (
                *map(float, (s.start, s.end, s.one_at_start, s.one_at_end)),
                floated(s.per_unit),
            )
            for s in answer.stretches
        ],
    )
    return {
        "corners": table("Corners", columns, [(float(a), float(b)) for a, b, _ in corners]),
        "corner_formulas": numbered("corner", [measures for _, _, measures in corners]),
        "stretches": stretches,
    }


def _level(name: str, heading: str, row: Row) -> Column:
    unit = "" if row.unit == TIMES else row.unit
    return Column(name, heading, Holds.MONEY if row.is_money else Holds.FIGURE, unit)
