"""Files to records: the shipped tables, and a maker's brief, price list, sheets and formula.

Every mistake of the input is collected and told in one `InputError`; nothing is guessed.
What is read differently from how it is written (decimal commas, Windows-1252 and the like)
is told in the remarks of the record.
"""

from optimiser.reading.findings import Problem
from optimiser.reading.formula_file import Formula, read_formula
from optimiser.reading.names import Names, ingredient_names, property_names
from optimiser.reading.request import read_request
from optimiser.reading.shipped_tables import read_book

__all__ = [
    "Formula",
    "Names",
    "Problem",
    "ingredient_names",
    "property_names",
    "read_book",
    "read_formula",
    "read_request",
]
