"""Formulas and what they measure as tables, whatever question led to them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from optimiser.answers.measures import Measures
from optimiser.brief import Brief
from optimiser.ingredient import Book
from optimiser.price import Offer
from optimiser.statements import TIMES
from optimiser.tables.frame import (
    INGREDIENT,
    NAME,
    PERCENT,
    UNIT,
    Column,
    Holds,
    Table,
    floated,
    per_kg,
    table,
)

Shares = Mapping[str, Fraction]
"""Percent by ingredient id."""


def shares_of(measures: Measures | None) -> dict[str, Fraction]:
    """Percent by ingredient id; nothing without a formula."""
    shares = () if measures is None else measures.formula
    return {share.ingredient: share.percent for share in shares}


def formula_table(title: str, measures: Measures | None, brief: Brief) -> Table:
    """One formula with prices and parts of the cost."""
    return table(
        title,
        [
            INGREDIENT,
            NAME,
            Column("kind", "kind"),
            Column("percent", "percent", Holds.PERCENT, priced_by="price_per_kg"),
            Column("price_per_kg", "price", Holds.MONEY, per_kg(brief)),
            Column("cost_share", "part of the cost when answered", Holds.PART),
        ],
        [
            (
                share.ingredient,
                share.name,
                str(share.kind),
                float(share.percent),
                floated(share.price_per_kg),
                floated(share.cost_share),
            )
            for share in (() if measures is None else measures.formula)
        ],
        adds_up=True,
    )


def totals_table(measures: Measures | None) -> Table:
    """Percent by kind and group, and ratios."""
    totals = {} if measures is None else measures.totals
    ratios = {} if measures is None else measures.ratios
    rows = [(name, float(total), "%") for name, total in totals.items()]
    rows += [(pair, floated(ratio), TIMES) for pair, ratio in ratios.items()]
    columns = [Column("of", "kinds, groups and ratios"), Column("amount", "amount", Holds.FIGURE)]
    return table("Totals", [*columns, UNIT], rows)


def properties_table(measures: Measures | None) -> Table:
    """What a formula measures, with the range that published figures allow."""
    return table(
        "What it measures",
        [
            Column("property", "id", Holds.KEY),
            Column("title", "property"),
            Column("value", "value", Holds.FIGURE),
            Column("low", "low", Holds.FIGURE),
            Column("high", "high", Holds.FIGURE),
            UNIT,
            Column("over", "of the product or the fat"),
            Column("trust", "adding up is"),
            Column("is_limited", "limited in this brief", Holds.YES_NO),
        ],
        [
            (
                level.quantity.id,
                level.quantity.title,
                floated(level.value),
                floated(level.low),
                floated(level.high),
                level.quantity.unit,
                str(level.quantity.over),
                str(level.quantity.trust),
                level.is_limited,
            )
            for level in (() if measures is None else measures.properties)
        ],
    )


def side_by_side(
    title: str,
    book: Book,
    formulas: Iterable[tuple[Column, Shares | None]],
    prices: Sequence[tuple[Column, Mapping[str, Offer]]] = (),
) -> Table:
    """Formulas beside each other, the largest shares first; nan where there is no formula."""
    parts = list(formulas)
    largest: dict[str, Fraction] = {}
    for _, shares in parts:
        for name, share in (shares or {}).items():
            largest[name] = max(share, largest.get(name, Fraction(0)))
    rows = [
        (
            name,
            book.ingredients[name].common_name,
            *(None if not s else float(s.get(name, 0)) for _, s in parts),
            *(floated(o[name].price_per_kg if name in o else None) for _, o in prices),
        )
        for name in sorted(largest, key=lambda name: (-largest[name], name))
    ]
    columns = [INGREDIENT, NAME, *(column for column, _ in (*parts, *prices))]
    return table(title, columns, rows, adds_up=True)


def numbered(what: str, formulas: Iterable[Measures]) -> Table:
    """Formulas in long form: which one, ingredient, percent."""
    rows = [
        (number, share.ingredient, float(share.percent), share.name)
        for number, measures in enumerate(formulas)
        for share in measures.formula
    ]
    columns = [Column(what, what, Holds.COUNT), INGREDIENT, PERCENT, NAME]
    return table("Formulas", columns, rows)
