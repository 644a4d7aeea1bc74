"""Files to records: the shipped tables, and a maker's brief, price list, sheets and formula.

Every mistake of the input is collected and told in one `InputError`; nothing is guessed.
What is read differently from how it is written (decimal commas, Windows-1252 and the like)
is told in the remarks of the record. Each name below is imported when it is first used, so
that a command loads no reader that it does not need.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from optimiser.reading.findings import Problem
    from optimiser.reading.formula_file import Formula, read_formula
    from optimiser.reading.names import Names, fold, ingredient_names, property_names
    from optimiser.reading.price_changes import read_price_changes
    from optimiser.reading.quantities import read_quantity
    from optimiser.reading.request import read_request
    from optimiser.reading.scenario_table import read_scenarios
    from optimiser.reading.shipped_tables import read_book
    from optimiser.reading.uses import use_named, with_uses
    from optimiser.reading.weighed_amounts import read_grams, read_size
    from optimiser.reading.workshop_tables import read_fill_tolerances, read_method
    from optimiser.reading.written_numbers import read_plain_number

__all__ = [
    "Formula",
    "Names",
    "Problem",
    "fold",
    "ingredient_names",
    "property_names",
    "read_book",
    "read_fill_tolerances",
    "read_formula",
    "read_grams",
    "read_method",
    "read_plain_number",
    "read_price_changes",
    "read_quantity",
    "read_request",
    "read_scenarios",
    "read_size",
    "use_named",
    "with_uses",
]

_HOMES = {
    "Formula": "formula_file",
    "Names": "names",
    "Problem": "findings",
    "fold": "names",
    "ingredient_names": "names",
    "property_names": "names",
    "read_book": "shipped_tables",
    "read_fill_tolerances": "workshop_tables",
    "read_formula": "formula_file",
    "read_grams": "weighed_amounts",
    "read_method": "workshop_tables",
    "read_plain_number": "written_numbers",
    "read_price_changes": "price_changes",
    "read_quantity": "quantities",
    "read_request": "request",
    "read_scenarios": "scenario_table",
    "read_size": "weighed_amounts",
    "use_named": "uses",
    "with_uses": "uses",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
