"""A recipe in percent or in weights, and the shares of its ingredients."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from optimiser.ingredient import Book
from optimiser.provenance import Exact, Origin, plain_number
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import Names
from optimiser.reading.price_list import DENSITY
from optimiser.reading.recipe_amounts import BARE, GRAMS, Amount, Unit, spoken
from optimiser.reading.weights import KG, weight_in_kg
from optimiser.reading.wording import listed, quoted
from optimiser.reading.written_numbers import Written, read_number, spelling

SUM_MAY_BE_OFF = Decimal("0.05")
"""How far the percentages may be from 100 in all, in points, as rounded shares are; and how
far a written total may be from what it is the total of, in percent of it."""


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
        is_whole: False where an entry could not be read, so that no sum proves anything.
    """

    entries: Sequence[Entry]
    total: Entry | None
    noun: str
    told_as: str
    origin: Origin
    is_whole: bool = True

    @property
    def amounts(self) -> list[Entry]:
        """Everything that has an amount: the entries and the total."""
        return [*self.entries, *([] if self.total is None else [self.total])]

    @property
    def weighed(self) -> bool:
        """Whether it gives weights or volumes."""
        return any(entry.amount.unit.weighs for entry in self.entries)


def shares_of(
    recipe: Recipe, names: Names, book: Book, findings: Findings
) -> Mapping[str, Exact] | None:
    """Percent by ingredient id: percentages as typed, weights divided by their sum.

    An ingredient that is weighed twice counts with both, which is told: a recipe says what to
    do, and oil may go in at two steps. One whose percentage is given twice is a mistake:
    percentages describe the finished formula, where each ingredient stands once.

    Args:
        recipe: What was read.
        names: How the ingredients may be called.
        book: Their densities turn volumes into weights.
        findings: Where mistakes and remarks are noted.

    Returns:
        The shares, or None where anything is wrong.
    """
    before = len(findings.mistakes)
    found = {
        entry.number: identified(entry.name, entry.name_at, names, findings)
        for entry in recipe.entries
    }
    ids = {number: one for number, one in found.items() if one is not None}
    values = _values(recipe, findings) if _one_sort(recipe, findings) else None
    if values is None:
        return None
    if recipe.weighed:
        shares = _from_weights(recipe, ids, values, book, findings)
    else:
        shares = _from_percentages(recipe, ids, values, findings)
    return shares if len(findings.mistakes) == before else None


def identified(name: str, at: Origin, names: Names, findings: Findings) -> str | None:
    """The id of an ingredient, or None and a mistake where the name is unknown or shared."""
    try:
        return names.find(name)
    except Problem as problem:
        findings.wrong(at, f"{quoted(name)}: {problem}")
        return None


def _one_sort(recipe: Recipe, findings: Findings) -> bool:
    """Whether all amounts are percentages, or all are weights; else a mistake is noted."""
    amounts = recipe.amounts
    for other in amounts[1:]:
        first = amounts[0]
        if other.amount.unit.weighs == first.amount.unit.weighs:
            continue
        weight, percent = (first, other) if first.amount.unit.weighs else (other, first)
        in_grams, bare = quoted(weight.amount.text), quoted(percent.amount.text)
        if percent.amount.unit.measure == BARE:
            problem = (
                f"{bare} has no unit, and {in_grams} in {recipe.noun} {weight.number} has one; "
                f"write it as {percent.amount.text} g or the like, or write all in percent"
            )
        else:
            problem = (
                f"{bare} is a percentage, and {in_grams} in {recipe.noun} {weight.number} is "
                "a weight; write all in percent or all as weights"
            )
        findings.wrong(percent.amount_at, problem)
        return False
    return True


def _values(recipe: Recipe, findings: Findings) -> dict[int, Decimal] | None:
    """The numbers by row, the decimal mark decided over all of them.

    None where points and commas are both decimal marks; a number that cannot be read is left
    out. Either is a mistake.
    """
    values: dict[int, Decimal] = {}
    written: dict[int, Written] = {}
    places = {entry.number: entry.amount_at for entry in recipe.amounts}
    for entry in recipe.amounts:
        number = entry.amount.number
        if isinstance(number, Decimal):
            values[entry.number] = number
        else:
            written[entry.number] = number
    found = spelling(written.items(), None if recipe.weighed else 100)
    if found.point_row is not None and found.comma_row is not None:
        problem = (
            f"{recipe.noun} {found.point_row} has a decimal point and {recipe.noun} "
            f"{found.comma_row} a decimal comma; write all amounts in one way"
        )
        findings.wrong(places[found.comma_row], problem)
        return None
    habits = set()
    for row, one in written.items():
        try:
            values[row], parted = read_number(one, found.mark)
        except Problem as problem:
            findings.wrong(places[row], problem)
            continue
        if parted:
            habits.add("thousands separators")
        if one.percent:
            habits.add("percent signs")
        if found.mark == "," and "," in one.body:
            habits.add("decimal commas")
    for habit in sorted(habits):
        findings.remark(recipe.origin.file, f"{recipe.told_as} {habit}")
    return values


def _from_percentages(
    recipe: Recipe, ids: Mapping[int, str], values: Mapping[int, Decimal], findings: Findings
) -> dict[str, Exact]:
    """The percentages by id as typed; what is wrong with them is noted."""
    before = len(findings.mistakes)
    shares: dict[str, Decimal] = {}
    row_of: dict[str, int] = {}
    for entry in recipe.entries:
        percent = values.get(entry.number, Decimal(0))
        # Numbers without a unit may turn out to be grams: their sum is what is wrong then.
        if percent < 0 or (percent > 100 and entry.amount.unit.measure != BARE):
            beyond = f"{plain_number(percent)} is no percentage; write 0 to 100"
            findings.wrong(entry.amount_at, beyond)
        if entry.number not in ids:
            continue
        identifier = ids[entry.number]
        if identifier in row_of:
            where = f"{recipe.noun} {row_of[identifier]}"
            twice = f"{quoted(entry.name)} stands in {where} too; add the two up"
            findings.wrong(entry.name_at, twice)
        row_of.setdefault(identifier, entry.number)
        shares[identifier] = percent
    if len(findings.mistakes) > before or not _all_read(recipe, ids, values):
        return {}
    total = sum(shares.values(), Decimal(0))
    off = total - 100
    if abs(off) > SUM_MAY_BE_OFF:
        side = "too much" if off > 0 else "too little"
        sums = f"sum to {plain_number(total)}, {plain_number(abs(off))} {side}"
        problem = f"the percentages {sums}; make them 100"
        if any(entry.amount.unit.measure == BARE for entry in recipe.entries):
            problem = (
                f"the amounts without a unit {sums} for percent; make them 100, or write weights "
                "with their unit, like 40 g"
            )
        findings.wrong(recipe.origin, problem)
    elif recipe.total is not None:
        written = values.get(recipe.total.number, total)
        if abs(written - total) > SUM_MAY_BE_OFF:
            _wrong_total(recipe.total, f"{plain_number(total)} %", findings)
    return dict(shares)


def _from_weights(
    recipe: Recipe,
    ids: Mapping[int, str],
    values: Mapping[int, Decimal],
    book: Book,
    findings: Findings,
) -> dict[str, Exact]:
    """Exact percentages by id; what is wrong with the weights is noted."""
    before = len(findings.mistakes)
    kg: dict[str, Fraction] = {}
    rows: dict[str, list[int]] = {}
    for entry in recipe.entries:
        if entry.number not in values:
            continue
        if values[entry.number] < 0:
            less = f"{entry.amount.text} is less than nothing; write 0 or more"
            findings.wrong(entry.amount_at, less)
        elif entry.number in ids:
            identifier = ids[entry.number]
            weight = _weight(entry, values[entry.number], identifier, book, findings)
            kg[identifier] = kg.get(identifier, Fraction(0)) + weight
            rows.setdefault(identifier, []).append(entry.number)
    if len(findings.mistakes) > before or not _all_read(recipe, ids, values):
        return {}
    total = sum(kg.values(), Fraction(0))
    unit = _unit_of_all(recipe)
    if not total:
        findings.wrong(recipe.origin, "the weights sum to 0; fill them in")
        return {}
    if recipe.total is not None and recipe.total.number in values:
        size = _size(recipe.total.amount, values[recipe.total.number])
        if recipe.total.amount.unit.measure != KG:
            findings.wrong(
                recipe.total.amount_at, "a total as a volume; write its weight or leave it out"
            )
        elif abs(size - total) * 100 > Fraction(SUM_MAY_BE_OFF) * total:
            _wrong_total(recipe.total, _weighing(total, unit), findings)
    for identifier, numbers in rows.items():
        if len(numbers) > 1:
            where = f"{recipe.noun}s {listed([str(one) for one in numbers], 'and')}"
            sentence = f"{identifier} stands in {where} and is added up"
            findings.remark(
                recipe.origin.file, f"{sentence}, {_weighing(kg[identifier], unit)} together"
            )
    sentence = f"weights, {_weighing(total, unit)} together, are taken as percent"
    findings.remark(recipe.origin.file, sentence)
    return {identifier: 100 * one / total for identifier, one in kg.items()}


def _all_read(recipe: Recipe, ids: Mapping[int, str], values: Mapping[int, Decimal]) -> bool:
    """Whether every entry of the file has its ingredient and its number, so that sums tell."""
    found = len(ids) == len(recipe.entries) and len(values) == len(recipe.amounts)
    return found and recipe.is_whole


def _weight(
    entry: Entry, value: Decimal, identifier: str, book: Book, findings: Findings
) -> Fraction:
    """The weight of an entry in kg; that of a volume is told, or a mistake."""
    size, measure = _size(entry.amount, value), entry.amount.unit.measure
    figure = book.ingredients[identifier].figures.get(DENSITY)
    try:
        weight = weight_in_kg(size, measure, None if figure is None else figure.typical)
    except Problem as problem:
        findings.wrong(entry.amount_at, f"{quoted(entry.amount.text)}: {problem}")
        return Fraction(0)
    if measure != KG and figure is not None:
        findings.remark(
            entry.amount_at.file,
            f"{plain_number(size)} ml of {identifier} is taken as {_weighing(weight, GRAMS)}, at "
            f"{plain_number(figure.typical)} g/ml",
        )
    return weight


def _size(amount: Amount, value: Decimal) -> Fraction:
    """An amount in kg or ml."""
    return amount.count * Fraction(value) * amount.unit.factor


def _unit_of_all(recipe: Recipe) -> Unit:
    """The unit that all entries are weighed in, or grams."""
    units = {entry.amount.unit for entry in recipe.entries}
    return units.pop() if len(units) == 1 and all(u.measure == KG for u in units) else GRAMS


def _weighing(kg: Fraction, unit: Unit) -> str:
    """A weight in words."""
    return f"{plain_number(kg / unit.factor)} {spoken(unit)}"


def _wrong_total(total: Entry, found: str, findings: Findings) -> None:
    """Note a total that is not what stands above it."""
    problem = (
        f"the total is written as {quoted(total.amount.text)}, and the amounts sum to {found}; "
        "correct either, or leave the total out"
    )
    findings.wrong(total.amount_at, problem)
