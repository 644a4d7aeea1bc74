"""Why a brief cannot be met, as tables: conflicts, ways out, the smallest compromise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from optimiser.answers.cheapest import Cheapest
from optimiser.answers.impossible import Explanation
from optimiser.brief import Brief
from optimiser.ingredient import Book
from optimiser.tables.formulas import side_by_side
from optimiser.tables.frame import (
    LIMIT,
    PERCENT,
    SAID,
    UNIT,
    Column,
    Holds,
    Table,
    floated,
    per_kg,
    table,
)

NUMBER = Column("conflict", "conflict", Holds.COUNT)
BOUND = Column("bound", "bound", Holds.BOUND)


def why_none(answer: Cheapest) -> dict[str, Table]:
    """The tables for a brief without a formula; none for one that has a formula."""
    if answer.explanation is not None:
        request = answer.request
        return impossible_tables(answer.explanation, request.brief, request.book)
    if answer.measures is None and answer.weighed is not None:
        return _failing_tables(answer)
    return {}


def impossible_tables(explanation: Explanation, brief: Brief, book: Book) -> dict[str, Table]:
    """The tables of an explanation.

    Returns:
        `conflicts`, `ways_out`, `compromise`, `compromise_formula`.
    """
    found = explanation.compromise_formula
    formula = side_by_side("Compromise formula", book, [(PERCENT, found)])
    return {
        "conflicts": table(
            "Conflicts",
            [NUMBER, SAID, LIMIT, BOUND, UNIT, Column("firm", "firm", Holds.YES_NO)],
            [
                (
                    number,
                    clash.row.statement.render(clash.bound),
                    clash.row.statement.key,
                    float(clash.bound),
                    clash.row.unit,
                    not clash.row.may_be_eased,
                )
                for number, conflict in enumerate(explanation.conflicts, start=1)
                for clash in conflict
            ],
        ),
        "ways_out": _ways_out(
            [
                (
                    way.row.statement.render(way.bound),
                    way.row.statement.key,
                    float(way.bound),
                    floated(way.reachable),
                    way.row.unit,
                    floated(way.cost_per_kg),
                )
                for way in explanation.ways_out
            ],
            brief,
        ),
        "compromise": table(
            "Smallest compromise",
            [
                SAID,
                LIMIT,
                Column("from", "from", Holds.BOUND),
                Column("to", "to", Holds.BOUND),
                UNIT,
                Column("cost_per_kg", "all of it together costs", Holds.MONEY, per_kg(brief)),
            ],
            [
                (
                    move.row.statement.render(move.bound),
                    move.row.statement.key,
                    float(move.bound),
                    float(move.to),
                    move.row.unit,
                    floated(explanation.compromise_cost_per_kg),
                )
                for move in explanation.compromise
            ],
        ),
        "compromise_formula": formula,
    }


def _ways_out(rows: Sequence[tuple[object, ...]], brief: Brief) -> Table:
    columns = [
        replace(SAID, heading="easing this alone"),
        LIMIT,
        BOUND,
        Column("reachable", "possible from", Holds.BOUND),
        UNIT,
        Column("cost_per_kg", "the cheapest then costs", Holds.MONEY, per_kg(brief)),
    ]
    return table("Ways out", columns, rows)


def _failing_tables(answer: Cheapest) -> dict[str, Table]:
    """The rules that make a brief impossible which its limits alone do not."""
    failing = () if answer.weighed is None else answer.weighed.failing
    said = dict(pair for rule in failing for pair in zip(rule.keys, rule.said, strict=True))
    nothing = floated(None)
    ways = [
        (
            "; ".join(rule.said),
            ", ".join(rule.keys),
            nothing,
            floated(rule.possible_from),
            "",
            nothing,
        )
        for rule in failing
    ]
    return {
        "conflicts": table(
            "Conflicts", [NUMBER, SAID, LIMIT], [(1, words, key) for key, words in said.items()]
        ),
        "ways_out": _ways_out(ways, answer.request.brief),
    }
