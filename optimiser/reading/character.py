"""The table `character` of a brief: what the formula is to be known by."""

from __future__ import annotations

from collections.abc import Iterable

from optimiser.brief import COST, Family
from optimiser.ingredient import Kind, Trait
from optimiser.reading.names import Names, fold, one_of
from optimiser.reading.toml_document import Document, Entry


def read_character(
    document: Document, entry: Entry | None, groups: Iterable[str], properties: Names
) -> tuple[Trait, ...] | None:
    """The maker's own traits with their tolerances; None where the brief says nothing.

    Args:
        document: The brief.
        entry: The table, or None.
        groups: The maker's own groups.
        properties: How properties may be called.
    """
    if entry is None:
        return None
    totals = one_of([*Kind, *groups], "").spellings
    known = {name: ids for name, ids in properties.spellings.items() if ids != (COST,)}
    names = Names("property, kind or group", {**totals, **known}, properties.complete)
    example = "[character] and lines such as solid_fat_20C = 3"
    traits: dict[str, Trait] = {}
    for name, inner in (document.any_table(entry, example) or {}).items():
        of = document.find(inner, name, names)
        tolerance = document.number(inner, "3")
        if tolerance is not None and tolerance <= 0:
            document.wrong(inner, "a tolerance is above 0; write how much of a change is noticed")
            continue
        if of is None or tolerance is None:
            continue
        if of in traits:
            document.wrong(inner, f"{of} stands here already; keep one line")
            continue
        family = Family.PROPERTIES if fold(name) in known else Family.TOTALS
        traits[of] = Trait(
            family=family,
            of=of,
            tolerance=tolerance,
            more=f"more {of}",
            less=f"less {of}",
            reason="said in the brief",
            status="own",
            origin=inner.origin,
        )
    if not traits and not document.findings.mistakes:
        document.wrong(entry, f"an empty table; write {example}, or remove it")
    return tuple(traits.values())
