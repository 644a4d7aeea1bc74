"""The limits of a brief: its tables `amounts`, `totals`, `ratios` and `properties`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from optimiser.brief import COST, End, Family, Limit
from optimiser.provenance import Origin, plain_number
from optimiser.reading.names import Names
from optimiser.reading.toml_document import Document, Entry
from optimiser.reading.wording import quoted

EXAMPLES = {
    Family.AMOUNTS: ("{ max = 30 }", "30"),
    Family.TOTALS: ("{ min = 3, max = 6 }", "6"),
    Family.RATIOS: ("{ min = 2.0, max = 3.5 }", "2.5"),
    Family.PROPERTIES: ("{ min = 30 }", "30"),
}
"""For each family a limit and a plain number, as a message shows them."""


@dataclass(slots=True)
class Limits:
    """What the limit tables of a brief say.

    Attributes:
        limits: One for each side of each limit, in the order of the lines.
        or_none: The ingredients whose limits hold only when they are used, and where that
            is said.
    """

    limits: list[Limit] = field(default_factory=list)
    or_none: dict[str, Origin] = field(default_factory=dict)


def read_limits(
    document: Document,
    tables: dict[str, Entry],
    ingredients: Names,
    subjects: Names,
    properties: Names,
) -> Limits:
    """Every limit of a brief.

    Args:
        document: The brief.
        tables: Its outermost tables by name; some may be missing.
        ingredients: What `amounts` may name.
        subjects: What `totals` and either side of `ratios` may name: kinds, groups and
            ingredients.
        properties: What `properties` may name.
    """
    said = Limits()
    for family, names in (
        (Family.AMOUNTS, ingredients),
        (Family.TOTALS, subjects),
        (Family.RATIOS, subjects),
        (Family.PROPERTIES, properties),
    ):
        if family.value in tables:
            _read_family(document, tables[family.value], family, names, said)
    # Stable: limits whose line is not known stay in the order of the tables.
    said.limits.sort(key=lambda limit: limit.origin.line or 0)
    return said


def _read_family(
    document: Document, table: Entry, family: Family, names: Names, said: Limits
) -> None:
    """The limits of one table."""
    example, _ = EXAMPLES[family]
    entries = document.any_table(table, f"[{family}] and lines such as name = {example}")
    named: dict[str, str] = {}
    for key, entry in (entries or {}).items():
        of = _subject(document, entry, key, family, names)
        if of in named:
            document.wrong(entry, f"the same as {quoted(named[of])}; put both limits in one table")
            continue
        if of is not None:
            named[of] = key
        limits = _sides(document, entry, family, of or "", said.or_none)
        if of is not None:
            said.limits.extend(limits)


def _subject(
    document: Document, entry: Entry, key: str, family: Family, names: Names
) -> str | None:
    """The id of what a key limits, or None where it is not known."""
    if family is not Family.RATIOS:
        return document.find(entry, key, names)
    sides = key.split(":")
    if len(sides) != 2 or not all(side.strip() for side in sides):
        document.wrong(entry, 'not a ratio of two; write "one:other", as in "butter:oil"')
        return None
    found = [document.find(entry, side.strip(), names, repeat=True) for side in sides]
    if None in found:
        return None
    if found[0] == found[1]:
        document.wrong(entry, f"a ratio of {found[0]} to itself; name two different ones")
        return None
    return f"{found[0]}:{found[1]}"


def _sides(
    document: Document, entry: Entry, family: Family, of: str, or_none: dict[str, Origin]
) -> list[Limit]:
    """The one or two limits of a key: a plain number is exact, a table has `min` and `max`."""
    example, number_example = EXAMPLES[family]
    if not isinstance(entry.value, dict):
        value = document.number(entry, f"{number_example} or {example}")
        if value is None or not _in_range(document, entry, family, of, value):
            return []
        return [_limit(family, of, End.EXACTLY, value, entry, firm=False)]
    keys = ("min", "max", "firm", *(("or_none",) if family is Family.AMOUNTS else ()))
    entries = document.table(entry, keys, example) or {}
    firm = "firm" in entries and bool(document.flag(entries["firm"]))
    if "or_none" in entries and document.flag(entries["or_none"]) and of:
        or_none[of] = entries["or_none"].origin
    if not entries.keys() & {"min", "max"}:
        if len(entries) == len(entry.value):
            document.wrong(entry, f"neither min nor max; write {example}")
        return []
    limits = []
    for end in (End.MIN, End.MAX):
        if end.value in entries:
            side = entries[end.value]
            value = document.number(side, number_example)
            if value is not None and _in_range(document, side, family, of, value):
                limits.append(_limit(family, of, end, value, side, firm))
    if len(limits) == 2 and limits[0].value > limits[1].value:
        low, high = (plain_number(limit.value) for limit in limits)
        document.wrong(entry, f"min {low} is above max {high}; swap them or change one")
        return []
    return limits


def _limit(family: Family, of: str, end: End, value: Decimal, entry: Entry, firm: bool) -> Limit:
    """One side of a limit."""
    return Limit(family, of, end, value, entry.origin.key or "", entry.origin, firm)


def _in_range(document: Document, entry: Entry, family: Family, of: str, value: Decimal) -> bool:
    """Whether a bound is one that the family can have; a mistake is noted where not."""
    shown = plain_number(value)
    if family in {Family.AMOUNTS, Family.TOTALS} and not 0 <= value <= 100:
        document.wrong(entry, f"{shown} is no percentage of the formula; write 0 to 100")
        return False
    if (family is Family.RATIOS or of == COST) and value < 0:
        document.wrong(entry, f"{shown} is below 0; write 0 or more")
        return False
    return True


def limited(limits: Iterable[Limit], family: Family) -> set[str]:
    """What a family limits."""
    return {limit.of for limit in limits if limit.family is family}
