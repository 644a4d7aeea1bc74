"""A recipe in percent or in weights, and the shares of its ingredients."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from optimiser.ingredient import Book
from optimiser.provenance import Exact, Origin, plain_number
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import Names, fold
from optimiser.reading.price_list import DENSITY
from optimiser.reading.recipe_amounts import BARE, GRAMS, Amount, spoken
from optimiser.reading.weights import KG, weight_in_kg
from optimiser.reading.wording import listed, quoted
from optimiser.reading.written_numbers import Written, read_number, spelling

SUM_MAY_BE_OFF = Decimal("0.05")
"""How far the percentages may be from 100 in all, in points, as rounded shares are; and how
far a written total may be from what it is the total of, in percent of it."""

_TOTALS = frozenset(
    {"total", "totals", "sum", "together", "in total", "in all", "grand total", "total weight"}
)


@dataclass(frozen=True, slots=True)
class Entry:
    """An ingredient and its amount, as one row or line has them.

    Attributes:
        number: The row or line, from 1.
        name: The ingredient as written.
        amount: How much of it.
        name_at: Where the name stands.
        amount_at: Where the amount stands.
    """

    number: int
    name: str
    amount: Amount
    name_at: Origin
    amount_at: Origin


@dataclass(frozen=True, slots=True)
class Recipe:
    """The entries of a file.

    Attributes:
        entries: All that could be read.
        total: The entry that says what they sum to, or None.
        noun: `row` or `line`.
        told_as: What its habits of writing are told of, with its verb: `percent has`.
        origin: The place that a mistake of the whole is told at.
    """

    entries: Sequence[Entry]
    total: Entry | None
    noun: str
    told_as: str
    origin: Origin


def is_total(name: str, names: Names) -> bool:
    """Whether a name announces a total and belongs to no ingredient."""
    return fold(name.strip(" :=")) in _TOTALS and not names.known(name)


def shares_of(
    recipe: Recipe, names: Names, book: Book, findings: Findings
) -> Mapping[str, Exact] | None:
    """Percent by ingredient id: percentages as typed, weights divided by their sum.

    An ingredient that is weighed twice counts with both, which is told; one whose percentage
    is given twice is a mistake, because percentages describe the finished formula.

    Args:
        recipe: What was read.
        names: How the ingredients may be called.
        book: Their densities turn volumes into weights.
        findings: Where mistakes and remarks are noted.

    Returns:
        The shares, or None where anything is wrong.
    """
    before = len(findings.mistakes)
    ids = _identified(recipe, names, findings)
    values = _values(recipe, findings) if _one_sort(recipe, findings) else {}
    weighed = any(entry.amount.unit.weighs for entry in recipe.entries)
    if weighed:
        kg = _kilograms(recipe, ids, values, book, findings)
        sums = _added_up(recipe, ids, kg, findings) if len(findings.mistakes) == before else {}
    else:
        sums = _percentages(recipe, ids, values, findings)
    if len(findings.mistakes) == before:
        _check_sums(recipe, weighed, sums, values, findings)
    if len(findings.mistakes) > before:
        return None
    if not weighed:
        return sums
    total = sum(map(Fraction, sums.values()))
    units = {entry.amount.unit for entry in recipe.entries}
    unit = units.pop() if len(units) == 1 else GRAMS
    unit = unit if unit.measure == KG else GRAMS
    together = f"{plain_number(total / unit.factor)} {spoken(unit)}"
    findings.remark(recipe.origin.file, f"weights, {together} together, are taken as percent")
    return {identifier: 100 * Fraction(one) / total for identifier, one in sums.items()}


def _identified(recipe: Recipe, names: Names, findings: Findings) -> dict[int, str]:
    """The ids of the ingredients by row; unknown names are noted."""
    ids = {}
    for entry in recipe.entries:
        try:
            ids[entry.number] = names.find(entry.name)
        except Problem as problem:
            findings.wrong(entry.name_at, f"{quoted(entry.name)}: {problem}")
    return ids


def _one_sort(recipe: Recipe, findings: Findings) -> bool:
    """Whether all amounts are percentages, or all are weights; else a mistake is noted."""
    if not recipe.entries:
        return True
    first = recipe.entries[0]
    further = [*recipe.entries[1:], *([recipe.total] if recipe.total else [])]
    for entry in further:
        if entry.amount.unit.weighs == first.amount.unit.weighs:
            continue
        where = f"{recipe.noun} {first.number}"
        bare = [one.amount for one in (first, entry) if one.amount.unit.measure == BARE]
        if bare:
            clash = f"without a unit, where the other has one; write {bare[0].text} g"
            clash = f"{quoted(bare[0].text)} is {clash} or the like, or all in percent"
            clash += f" ({where} has {quoted(first.amount.text)})" if entry is not first else ""
            findings.wrong(entry.amount_at, clash)
            return False
        sorts = ("a weight", "a percentage")
        here, there = sorts if entry.amount.unit.weighs else sorts[::-1]
        findings.wrong(
            entry.amount_at,
            f"{quoted(entry.amount.text)} is {here}, and {quoted(first.amount.text)} in {where} "
            f"is {there}; write all in percent or all as weights",
        )
        return False
    return True
