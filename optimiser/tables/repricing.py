"""The answer of `reprice` as tables."""

from __future__ import annotations

from optimiser.answers.changed_prices import Changed
from optimiser.answers.limit_sweep import LimitSweep
from optimiser.answers.measures import Measures
from optimiser.answers.price_sweep import PriceSweep
from optimiser.answers.repricing import Repricing
from optimiser.answers.uncertain_prices import Uncertain
from optimiser.price import cheapest_offers
from optimiser.statements import TIMES
from optimiser.tables.formulas import numbered, shares_of, side_by_side
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
    per_kg,
    table,
)
from optimiser.tables.impossible import why_none
from optimiser.tables.scenarios import scenario_tables


def repricing_tables(answer: Repricing) -> dict[str, Table]:
    """All tables of an answer by name, of the parts that were asked for.

    Returns:
        `formula` (percent in use, and at the other prices), `costs`, and as asked `properties`
        and `limits_changed`, `sweep` and `sweep_formulas`, `limit_sweep` and `limit_formulas`,
        `scenario_costs`, `scenario_ingredients`, `kept` and `kept_formulas`, `each` and
        `each_formulas`, `uncertain`. In tables of formulas the first column is the row of the
        table beside.
    """
    money = per_kg(answer.request.brief)
    found = {"formula": _formula(answer), "costs": _costs(answer)}
    if answer.changed is not None:
        new = answer.changed.answer.measures or _beyond(answer.changed)
        found["properties"] = _levels(answer.in_use, new)
        found["limits_changed"] = _limits_changed(answer.changed)
        found |= why_none(answer.changed.answer)
    found = why_none(answer.today) | found
    if answer.sweep is not None:
        pieces = answer.sweep.pieces
        found["sweep"] = _sweep(answer.sweep, money)
        found["sweep_formulas"] = numbered("piece", [piece.measures for piece in pieces])
    if answer.limit_sweep is not None:
        found |= _limit_tables(answer.limit_sweep, money)
    if answer.scenarios is not None:
        found |= scenario_tables(answer.scenarios, answer.request)
    if answer.uncertain is not None:
        found["uncertain"] = _uncertain(answer.uncertain, money)
    return found


def _formula(answer: Repricing) -> Table:
    """Today's formula and the one at other prices, each with its prices."""
    money, book = per_kg(answer.request.brief), answer.request.book
    in_use = "in use" if answer.is_recipe else "today"
    formulas = [
        (
            Column("in_use", in_use, Holds.PERCENT, "%", "price_today"),
            None if answer.in_use is None else shares_of(answer.in_use),
        )
    ]
    prices = [
        (
            Column("price_today", "price today", Holds.MONEY, money),
            cheapest_offers(answer.request.offers),
        )
    ]
    if answer.changed is not None:
        new, beyond = answer.changed.answer.measures, _beyond(answer.changed)
        formulas.append(
            (
                Column("changed", "at the other prices", Holds.PERCENT, "%", "price_then"),
                None if new is None else shares_of(new),
            )
        )
        if beyond is not None:
            words = "without the cost limit"
            column = Column("without_cost_limit", words, Holds.PERCENT, "%", "price_then")
            formulas.append((column, shares_of(beyond)))
        prices.append(
            (
                Column("price_then", "other price", Holds.MONEY, money),
                cheapest_offers(answer.changed.request.offers),
            )
        )
    return side_by_side("Formula", book, formulas, prices)


def _beyond(changed: Changed) -> Measures | None:
    """The formula that only the limit on the cost keeps away."""
    return None if changed.over_cap is None else changed.over_cap.measures


def _costs(answer: Repricing) -> Table:
    """What each formula costs, at which prices."""
    in_use = "the recipe in use" if answer.is_recipe else "today's formula"
    rows = []
    if answer.in_use is not None:
        rows.append((f"{in_use}, today", answer.in_use.cost_per_kg))
    if answer.is_recipe and answer.today.measures is not None:
        rows.append(("the cheapest today", answer.today.measures.cost_per_kg))
    if answer.changed is not None:
        new = answer.changed.answer.measures
        rows += [
            (f"{in_use}, at the other prices", answer.changed.staying_cost),
            ("the cheapest at the other prices", None if new is None else new.cost_per_kg),
            ("saved by changing", answer.changed.saving),
        ]
        beyond = _beyond(answer.changed)
        if beyond is not None:
            rows.append(("the same without the cost limit", beyond.cost_per_kg))
    if answer.uncertain is not None:
        found = answer.uncertain
        rows += [
            ("for uncertain prices, while none rises", found.measures.cost_per_kg),
            ("for uncertain prices, at the worst", found.worst_cost),
            ("the cheapest, while none rises", found.least_cost),
            ("the cheapest, at its worst", found.least_worst_cost),
        ]
    cost = Column("cost_per_kg", "cost", Holds.MONEY, per_kg(answer.request.brief))
    return table("Costs", [Column("of", "what"), cost], [(of, floated(c)) for of, c in rows])


def _levels(before: Measures | None, after: Measures | None) -> Table:
    """The limited properties before and after."""
    old, new = (
        {} if m is None else {v.quantity.id: v for v in m.properties if v.is_limited}
        for m in (before, after)
    )
    nothing = floated(None)
    rows = []
    for name, level in (old | new).items():
        values = [floated(of[name].value) if name in of else nothing for of in (old, new)]
        rows.append((name, level.quantity.title, *values, level.quantity.spoken_unit))
    return table(
        "What it measures",
        [
            Column("property", "id", Holds.KEY),
            Column("title", "property"),
            Column("before", "before", Holds.FIGURE),
            Column("after", "at the other prices", Holds.FIGURE),
            UNIT,
        ],
        rows,
    )


def _limits_changed(changed: Changed) -> Table:
    """The limits that change hands."""
    parts = (("no longer", changed.released), ("newly", changed.taken))
    rows = [
        (row.statement.render(active.bound), row.statement.key, float(active.bound), row.unit, how)
        for how, limits in parts
        for active in limits
        for row in (active.row,)
    ]
    columns = [SAID, LIMIT, Column("bound", "bound", Holds.BOUND), UNIT]
    return table("Limits that change hands", [*columns, Column("holds", "holds it")], rows)


def _sweep(sweep: PriceSweep, money: str) -> Table:
    columns = [
        Column("price_from", "price from", Holds.MONEY, money),
        Column("price_to", "price to", Holds.MONEY, money),
        Column("percent", "its share", Holds.PERCENT, "%"),
        Column("cost_at_from", "cost at the lower price", Holds.MONEY, money),
        Column("cost_at_to", "cost at the higher price", Holds.MONEY, money),
        Column("staying_at_from", "staying, at the lower", Holds.MONEY, money),
        Column("staying_at_to", "staying, at the higher", Holds.MONEY, money),
    ]
    rows = [
        (
            *map(float, (p.start, p.end, p.percent, p.cost_at_start, p.cost_at_end)),
            floated(p.staying_at_start),
            floated(p.staying_at_end),
        )
        for p in sweep.pieces
    ]
    return table("Price sweep", columns, rows)


def _limit_tables(sweep: LimitSweep, money: str) -> dict[str, Table]:
    """A row for each bound at which the formula turns, each once."""
    nothing = floated(None)
    rows: list[tuple[float, float, float]] = []
    formulas: list[Measures] = []
    for piece in sweep.pieces:
        start = float(piece.start), float(piece.cost_at_start), floated(piece.per_unit)
        if (
            rows
            and rows[-1][:2] == start[:2]
            and shares_of(formulas[-1]) == shares_of(piece.at_start)
        ):
            rows[-1] = start
        else:
            rows.append(start)
            formulas.append(piece.at_start)
        if piece.end != piece.start:
            rows.append((float(piece.end), float(piece.cost_at_end), nothing))
            formulas.append(piece.at_end)
    unit = "" if sweep.row.unit == TIMES else sweep.row.unit
    columns = [
        Column("bound", "bound", Holds.BOUND, unit),
        Column("cost_per_kg", "the formula costs", Holds.MONEY, money),
        Column("cost_per_unit", "each unit more costs, from here on", Holds.RATE, money),
    ]
    return {
        "limit_sweep": table("Limit sweep", columns, rows),
        "limit_formulas": numbered("bound", formulas),
    }


def _uncertain(found: Uncertain, money: str) -> Table:
    """The formula for uncertain prices, and how far each price may rise."""
    return table(
        "For uncertain prices",
        [
            INGREDIENT,
            NAME,
            Column("percent", "percent", Holds.PERCENT, priced_by="price_per_kg"),
            Column("price_per_kg", "price", Holds.MONEY, money),
            Column("may_rise", "may rise by", Holds.FIGURE, "%"),
            Column("rises", "rises at the worst", Holds.YES_NO),
        ],
        [
            (
                share.ingredient,
                share.name,
                float(share.percent),
                floated(share.price_per_kg),
                float(found.spreads.get(share.ingredient, 0)),
                share.ingredient in found.rising,
            )
            for share in found.measures.formula
        ],
        adds_up=True,
    )
