"""A formula as parts of a page: its shares, what it measures, its cautions, with pictures."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from optimiser.answers.impossible import Explanation
from optimiser.answers.measures import Level, Measures
from optimiser.brief import End, Family, Request
from optimiser.present.console import HAS_LIMIT, formula_rows, measure_rows
from optimiser.present.impossible_words import (
    MORE_CONFLICTS,
    cause_said,
    clash_said,
    compromise_cost,
    move_said,
    way_out_said,
)
from optimiser.present.numbers import printed_shares, rounded, significant
from optimiser.present.page import Entries, Entry, Items, Paragraph, Part, Picture, Section, Table
from optimiser.present.pictures.formula_bars import Bar, Group, formula_bars
from optimiser.present.pictures.solid_fat_curve import Solid, solid_fat_curve
from optimiser.present.remarks import place_said, totals_said, unmeasured_said
from optimiser.statements import PLURALS

SOLID_FAT: Mapping[str, int] = {
    "solid_fat_10C": 10,
    "solid_fat_20C": 20,
    "solid_fat_25C": 25,
    "solid_fat_30C": 30,
    "solid_fat_32C": 32,
    "solid_fat_35C": 35,
    "solid_fat_40C": 40,
}
"""The properties of the solid fat curve with their temperatures, rising."""


def formula_section(measures: Measures, currency: str, ties: str = "") -> Section:
    """The shares as bars and as a table, and the totals by kind."""
    head, *rows = formula_rows(measures, currency)
    parts: list[Part] = [
        formula_picture(measures),
        Table(head, rows, right=(1, 2, 3)),
        Paragraph(f"Together: {totals_said(measures)}."),
    ]
    return Section("The formula", [*parts, *([Paragraph(ties)] if ties else [])])


def formula_picture(measures: Measures) -> Picture:
    """The shares as bars, by kind; the kind of which there is most first."""
    percents = printed_shares([share.percent for share in measures.formula])
    shares = list(zip(measures.formula, percents, strict=True))
    kinds = dict.fromkeys(share.kind for share in measures.formula)
    totals = {
        kind: sum((s.percent for s in measures.formula if s.kind == kind), Fraction(0))
        for kind in kinds
    }
    groups = [
        Group(
            PLURALS[kind][0].upper() + PLURALS[kind][1:],
            rounded(totals[kind], 2),
            [Bar(s.name, float(s.percent), text) for s, text in shares if s.kind == kind],
        )
        for kind in sorted(kinds, key=lambda kind: -totals[kind])
    ]
    title = "Percent by weight"
    svg, description = formula_bars("formula", title, groups)
    return Picture(svg, title, description)


def measures_section(measures: Measures, request: Request) -> Section:
    """What the formula measures: the curve of its solid fat, and all properties."""
    head, *rows = measure_rows(measures, unmarked="")
    curve = solid_fat_picture(measures, request)
    parts: list[Part] = [] if curve is None else [curve]
    parts.append(Table(head, rows, right=(1,)))
    if any(level.is_limited for level in measures.properties):
        parts.append(Paragraph(HAS_LIMIT))
    parts += [Paragraph(said) for said in unmeasured_said(measures)]
    return Section("What it measures", parts)


def solid_fat_picture(measures: Measures, request: Request) -> Picture | None:
    """Solid fat against temperature; None where too little of it is known."""
    known = {level.quantity.id: level for level in measures.properties}
    levels = [
        solid
        for name, celsius in SOLID_FAT.items()
        if name in known and (solid := _solid(known[name], celsius, request)) is not None
    ]
    if len(levels) < 2:
        return None
    title = "Solid share of the fat from cold to warm"
    svg, description = solid_fat_curve("solid-fat", title, levels)
    return Picture(svg, title, description)


def _solid(level: Level, celsius: int, request: Request) -> Solid | None:
    if level.value is None or level.low is None or level.high is None:
        return None
    bounds = {
        limit.end: float(limit.value)
        for limit in request.brief.limits
        if limit.family is Family.PROPERTIES and limit.of == level.quantity.id
    }
    exact = bounds.get(End.EXACTLY)
    return Solid(
        celsius=celsius,
        low=float(level.low),
        value=float(level.value),
        high=float(level.high),
        printed=significant(level.value),
        least=bounds.get(End.MIN, exact),
        most=bounds.get(End.MAX, exact),
    )


def caution_sections(measures: Measures | None) -> list[Section]:
    """The cautions that apply."""
    if measures is None or not measures.cautions:
        return []
    return [Section("Cautions", [Items(measures.cautions)])]


def impossible_sections(
    explanation: Explanation, currency: str, style: str | None
) -> list[Section]:
    """Why no formula exists, and what would have to give."""
    sections = []
    if explanation.causes:
        said = [cause_said(cause) for cause in explanation.causes]
        sections.append(Section("Plain arithmetic shows", [Items(said)]))
    count = len(explanation.conflicts)
    for number, conflict in enumerate(explanation.conflicts, start=1):
        title = "These cannot be met together, though without any one the others of this list can"
        if len(conflict) == 1:
            title = "This alone cannot be met"
        if count > 1:
            title = f"Conflict {number} of {count}: {title[0].lower()}{title[1:]}"
        entries = [Entry(clash_said(c), [f"[{place_said(c.row, style)}]"]) for c in conflict]
        sections.append(Section(title, [Entries(entries)]))
    if not explanation.is_all:
        sections.append(Section("More conflicts", [Paragraph(MORE_CONFLICTS)]))
    enough = [way for way in explanation.ways_out if way.reachable is not None]
    eased: list[Part] = [Items([way_out_said(way, currency) for way in enough])] if enough else []
    if not explanation.ways_out:
        eased.append(Paragraph("Every statement of the conflict is firm."))
    elif len(enough) < len(explanation.ways_out):
        rest = "of these" if not enough else "of the others"
        eased.append(Paragraph(f"None {rest} is enough by itself, however far it is eased."))
    sections.append(Section("Easing one alone, the others as they are", eased))
    least: list[Part] = [Paragraph("There are none: what may be eased is not enough.")]
    if explanation.compromise:
        least = [
            Items([move_said(move) for move in explanation.compromise]),
            Paragraph(compromise_cost(explanation, currency)),
        ]
    title = "The smallest changes that make it possible, each against its own bound"
    return [*sections, Section(title, least)]
