"""The answer of `assess` as tables."""

from __future__ import annotations

from fractions import Fraction

from optimiser.answers.recipe import Assessment, Nearest
from optimiser.ingredient import Book
from optimiser.tables.formulas import formula_table, properties_table, shares_of, totals_table
from optimiser.tables.frame import (
    INGREDIENT,
    LIMIT,
    NAME,
    SAID,
    UNIT,
    Column,
    Holds,
    Table,
    floated,
    table,
)
from optimiser.tables.impossible import why_none


def assessment_tables(answer: Assessment) -> dict[str, Table]:
    """All tables of an answer by name.

    Returns:
        `formula` (the recipe), `limits`, `totals`, `properties`, `changes`, `nearest` (the
        formula to move to), `cheapest`; where the brief has no formula also why.
    """
    brief, nearest = answer.request.brief, answer.nearest
    return {
        "formula": formula_table("Recipe", answer.measures, brief),
        "limits": _limits(answer),
        "totals": totals_table(answer.measures),
        "properties": properties_table(answer.measures),
        "changes": _changes(answer, nearest, answer.request.book),
        "nearest": formula_table(
            "Formula to move to", None if nearest is None else nearest.measures, brief
        ),
        "cheapest": formula_table("Cheapest formula", answer.cheapest.measures, brief),
        **why_none(answer.cheapest),
    }


def _limits(answer: Assessment) -> Table:
    return table(
        "Limits",
        [
            SAID,
            Column("met", "met", Holds.YES_NO),
            Column("bound", "bound", Holds.BOUND),
            Column("value", "the recipe has", Holds.FIGURE),
            Column("over", "above the bound by", Holds.FIGURE),
            UNIT,
            Column("missing_for", "figure or price missing for"),
            LIMIT,
        ],
        [
            (
                check.row.statement.render(0 if check.bound is None else check.bound),
                check.is_met,
                floated(check.bound),
                floated(check.value),
                floated(_over(check.value, check.bound)),
                check.row.unit,
                ", ".join(check.lacking),
                check.row.statement.key,
            )
            for check in answer.checked
        ],
    )


def _over(value: Fraction | None, bound: Fraction | None) -> Fraction | None:
    return None if value is None or bound is None else value - bound


def _changes(answer: Assessment, nearest: Nearest | None, book: Book) -> Table:
    before = shares_of(answer.measures)
    after = shares_of(None if nearest is None else nearest.measures)
    moves = {} if nearest is None else nearest.changes
    ranked = sorted(moves.items(), key=lambda move: (-abs(move[1]), move[0]))
    none = Fraction(0)
    return table(
        "Least change",
        [
            INGREDIENT,
            NAME,
            Column("before", "from", Holds.PERCENT, "%"),
            Column("after", "to", Holds.PERCENT, "%"),
            Column("change", "change", Holds.PERCENT, "points"),
        ],
        [
            (
                name,
                book.ingredients[name].common_name,
                float(before.get(name, none)),
                float(after.get(name, none)),
                float(move),
            )
            for name, move in ranked
        ],
    )
