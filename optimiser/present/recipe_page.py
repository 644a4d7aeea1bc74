"""The answer of `assess` as a page with pictures."""

from __future__ import annotations

from optimiser.answers.recipe import Assessment
from optimiser.present.formula_parts import (
    caution_sections,
    formula_section,
    impossible_sections,
    measures_section,
)
from optimiser.present.limit_gauges import gauge_pictures, recipe_standings
from optimiser.present.moves import shares_of
from optimiser.present.page import Items, Page, Paragraph, Part, Section, Table
from optimiser.present.recipe_words import (
    AS_IT_IS,
    CHANGE_HEAD,
    NONE_FOUND,
    NOWHERE,
    UNWEIGHABLE,
    change_rows,
    checked_said,
    nearest_said,
    verdict,
)
from optimiser.present.remarks import place_said
from optimiser.present.sentences import failing_lines, proof_said
from optimiser.present.share_pictures import shares_picture

MARKS = {True: "ok", False: "NO", None: "?"}


def assessment_page(answer: Assessment) -> Page:
    """The words and tables of the terminal answer, with pictures."""
    brief = answer.request.brief
    remarks = [Section("Worth knowing", [Items(answer.remarks)])] if answer.remarks else []
    return Page(
        f"{answer.name} held against {brief.name}",
        [
            Section("", [Paragraph(verdict(answer))]),
            formula_section(answer.measures, brief.currency),
            _limits(answer),
            measures_section(answer.measures, answer.request),
            *_nearest(answer),
            *remarks,
            *caution_sections(answer.measures),
        ],
    )


def _limits(answer: Assessment) -> Section:
    """Every limit as a gauge, the missed ones first, and in words."""
    standings = recipe_standings(answer)
    style = answer.request.brief.style
    rows = [
        (MARKS[check.is_met], f"{checked_said(check)} [{place_said(check.row, style)}]")
        for check in answer.checked
    ]
    return Section(
        "Limits",
        [
            *gauge_pictures("missed", standings.missed),
            Table(("met", "limit"), rows),
            *gauge_pictures("met", [*standings.felt, *standings.roomy]),
        ],
    )


def _nearest(answer: Assessment) -> list[Section]:
    """The least change that meets the brief, or why there is none."""
    title = "The least change"
    brief, nearest, best = answer.request.brief, answer.nearest, answer.cheapest
    if nearest is None and best.measures is not None:
        return [Section(title, [Paragraph(NONE_FOUND)])]
    if nearest is None:
        parts: list[Part] = [Paragraph(f"{NOWHERE} {proof_said(best)}")]
        if best.weighed is not None and (lines := failing_lines(best.weighed)):
            parts.append(Items(lines))
        why = best.explanation
        more = [] if why is None else impossible_sections(why, brief.currency, brief.style)
        return [Section(title, parts), *more]
    if nearest.moved < UNWEIGHABLE:
        return [Section(title, [Paragraph(AS_IT_IS)])]
    before, after = shares_of(answer.measures), shares_of(nearest.measures)
    picture = shares_picture("nearest", before, after, answer.request.book.ingredients)
    table = Table(CHANGE_HEAD, change_rows(answer, nearest), right=(1, 2, 3))
    return [Section(title, [Paragraph(nearest_said(nearest, brief.currency)), picture, table])]
