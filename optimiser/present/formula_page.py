"""The answer of `formulate` as a page with pictures."""

from __future__ import annotations

from optimiser.answers.cheapest import Cheapest
from optimiser.answers.measures import Measures
from optimiser.brief import Brief
from optimiser.present.formula_parts import (
    caution_sections,
    formula_section,
    impossible_sections,
    measures_section,
)
from optimiser.present.limit_gauges import Standings, cheapest_standings, gauge_pictures
from optimiser.present.numbers import money
from optimiser.present.page import (
    Entries,
    Entry,
    Footnote,
    Items,
    Page,
    Paragraph,
    Part,
    Section,
    Table,
)
from optimiser.present.remarks import (
    EACH_ALONE,
    idle_said,
    is_idle,
    left_out_heading,
    left_out_said,
    limits_heading,
    no_formula_said,
    opening_said,
    place_said,
    remarks_said,
    ties_said,
)
from optimiser.present.sentences import (
    enters,
    failing_lines,
    limit_eased,
    limit_priced,
    limit_said,
    proof_said,
    stays,
)
from optimiser.present.skin_words import HEAD, RIGHT, skin_notes, skin_rows, skin_title

KEPT_OUT = "There is nothing of what it concerns; this limit keeps it out."


def cheapest_page(answer: Cheapest) -> Page:
    """The words and tables of the terminal answer, with pictures."""
    brief, measures = answer.request.brief, answer.measures
    if measures is None:
        sections = _without_formula(answer)
    else:
        cost = f"{money(measures.cost_per_kg)} {brief.currency}".rstrip()
        opening = Paragraph(f"{opening_said(answer)} of {brief.file}: {cost} per kg.")
        standings = cheapest_standings(answer)
        sections = [
            Section("", [opening, Paragraph(proof_said(answer))]),
            formula_section(measures, brief.currency, ties_said(answer)),
            measures_section(measures, answer.request),
            *_on_skin(measures, brief),
            _limits(answer, standings),
            *room_sections(standings),
            *([_prices(answer)] if answer.weighed is None else []),
        ]
    for title, texts in (
        (left_out_heading(answer), left_out_said(answer)),
        ("Worth knowing", remarks_said(answer)),
    ):
        if texts:
            sections.append(Section(title, [Items(texts)]))
    return Page(brief.name, [*sections, *caution_sections(measures)])


def _on_skin(measures: Measures, brief: Brief) -> list[Section]:
    """The levels of limits on skin; nothing where the formula adds to none."""
    if not measures.on_skin:
        return []
    notes = [Footnote(note) for note in skin_notes(measures)]
    return [Section(skin_title(brief), [Table(HEAD, skin_rows(measures), RIGHT), *notes])]


def _without_formula(answer: Cheapest) -> list[Section]:
    brief = answer.request.brief
    said: list[Part] = [
        Paragraph(no_formula_said(answer)),
        Paragraph(proof_said(answer)),
    ]
    if answer.weighed is not None:
        said += [Items(lines)] if (lines := failing_lines(answer.weighed)) else []
    sections = [Section("", said)]
    if answer.explanation is not None:
        sections += impossible_sections(answer.explanation, brief.currency, brief.style)
        if answer.weighed is not None:
            any_size = "All of this for shares of any size; whole steps may ask a little more."
            sections.append(Section("", [Paragraph(any_size)]))
    return sections


def _limits(answer: Cheapest, standings: Standings) -> Section:
    """The limits that the formula just meets: as gauges, and what each costs in words."""
    brief = answer.request.brief
    parts: list[Part] = [*gauge_pictures("just-met", standings.felt)]
    if not answer.active_limits:
        said = "No limit but the sum to 100 %; the cheapest ingredients win."
        parts.append(Paragraph(said))
    entries = []
    for active in answer.active_limits:
        if is_idle(active):
            continue
        texts = [KEPT_OUT] if active.is_absent else []
        texts.append(limit_priced(active, brief.currency))
        eased = limit_eased(active, answer)
        texts += [eased] if eased else []
        where = place_said(active.row, brief.style)
        entries.append(Entry(f"{limit_said(active)} [{where}]", texts))
    parts += [Entries(entries)] if entries else []
    idle = idle_said(answer)
    parts += [Paragraph(idle)] if idle else []
    if answer.weighed is None:
        return Section(limits_heading(answer), parts)
    return Section("What the limits cost", [Paragraph(limits_heading(answer)), *parts])


def room_sections(standings: Standings) -> list[Section]:
    """The limits that leave room, as gauges."""
    parts: list[Part] = [*gauge_pictures("other-limits", standings.roomy)]
    if standings.nothing:
        said = f"None may be in, and none is: {', '.join(standings.nothing)}."
        parts.append(Paragraph(said))
    return [Section("The other limits", parts)] if parts else []


def _prices(answer: Cheapest) -> Section:
    names = {i.id: i.common_name for i in answer.formulation.ingredients}
    unit = f"{answer.request.brief.currency} per kg".strip()
    used = [(names[u.ingredient], money(u.price_per_kg), stays(u)) for u in answer.used]
    head = ("Prices: used", unit, "this formula stays the cheapest")
    parts: list[Part] = [Table(head, used, right=(1,))]
    if answer.unused:
        unused = [(names[u.ingredient], money(u.price_per_kg), enters(u)) for u in answer.unused]
        parts.append(Table(("Prices: not used", unit, "it would come in"), unused, right=(1,)))
    return Section("Prices", [*parts, Paragraph(EACH_ALONE)])
