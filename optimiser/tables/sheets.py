"""Which tables of an answer a maker's workbook has, in the order of her questions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from optimiser.answers.cheapest import Cheapest
from optimiser.answers.comparison import Comparison
from optimiser.answers.recipe import Assessment
from optimiser.answers.repricing import Repricing
from optimiser.answers.room import Room
from optimiser.answers.substitute import Substitution
from optimiser.answers.trade_off import TradeOff
from optimiser.price import cheapest_offers
from optimiser.tables.assessment import assessment_tables
from optimiser.tables.cheapest import cheapest_tables
from optimiser.tables.comparison import comparison_tables
from optimiser.tables.declaration import declaration_tables
from optimiser.tables.formulas import shares_of, side_by_side
from optimiser.tables.frame import Column, Holds, Table, per_kg, with_formulas
from optimiser.tables.repricing import repricing_tables
from optimiser.tables.room import room_tables
from optimiser.tables.substitution import substitution_tables
from optimiser.tables.trade_off import trade_off_tables
from optimiser.workshop.declaration import Declaration

Answer = (
    Cheapest | Assessment | Substitution | Repricing | TradeOff | Comparison | Room | Declaration
)

BESIDE = {
    "sweep": "sweep_formulas",
    "limit_sweep": "limit_formulas",
    "each": "each_formulas",
    "between": "between_formulas",
    "corners": "corner_formulas",
}
"""Tables that a sheet shows with the formulas of their rows."""


def tables(answer: Answer) -> dict[str, Table]:
    """All tables of an answer by name."""
    if isinstance(answer, Repricing):
        return repricing_tables(answer)
    if isinstance(answer, Assessment):
        return assessment_tables(answer)
    if isinstance(answer, Substitution):
        return substitution_tables(answer)
    if isinstance(answer, TradeOff):
        return trade_off_tables(answer)
    if isinstance(answer, Comparison):
        return comparison_tables(answer)
    if isinstance(answer, Room):
        return room_tables(answer)
    if isinstance(answer, Declaration):
        return declaration_tables(answer)
    return cheapest_tables(answer)


def sheets(answer: Answer) -> list[Table]:
    """The tables of an answer as a workbook shows them: those with rows, formulas beside."""
    found = tables(answer)
    if isinstance(answer, Repricing) and answer.scenarios is not None:
        found["kept_formulas"] = _kept(answer)
    return filled(_joined(found))


def filled(found: Iterable[Table]) -> list[Table]:
    """The tables that have rows."""
    return [one for one in found if len(one.frame)]


def _joined(found: Mapping[str, Table]) -> Iterable[Table]:
    for name, one in found.items():
        formulas = found.get(BESIDE.get(name, ""))
        if formulas is not None and len(formulas.frame):
            yield with_formulas(one, formulas)
        elif name not in BESIDE.values():
            yield one


def _kept(answer: Repricing) -> Table:
    """The few formulas worth having at hand, side by side to be weighed from."""
    request = answer.request if answer.changed is None else answer.changed.request
    kept = () if answer.scenarios is None else answer.scenarios.kept
    formulas: list[tuple[Column, dict[str, Fraction]]] = [
        (
            Column(f"formula_{k}", f"formula {k}", Holds.PERCENT, "%", "price_per_kg"),
            shares_of(one.measures),
        )
        for k, one in enumerate(kept, start=1)
    ]
    price = Column("price_per_kg", "price", Holds.MONEY, per_kg(request.brief))
    prices = [(price, cheapest_offers(request.offers))]
    return side_by_side("Formulas to keep", request.book, formulas, prices)
