"""Answers as workbooks: the words on the first sheet, a table on each of the others."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from optimiser.answers.cheapest import Cheapest
from optimiser.answers.comparison import Comparison
from optimiser.answers.impossible import Explanation
from optimiser.answers.near_recipe import NearRecipe
from optimiser.answers.recipe import Assessment
from optimiser.answers.repricing import Repricing
from optimiser.answers.room import Room
from optimiser.answers.substitute import Substitution
from optimiser.answers.trade_off import TradeOff
from optimiser.present.compare_words import comparison_page
from optimiser.present.markdown import impossible_said
from optimiser.present.numbers import money
from optimiser.present.page import Items, Page, Paragraph, Section
from optimiser.present.recipe_words import UNWEIGHABLE, checked_said, nearest_said, verdict
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
    totals_said,
    unmeasured_said,
)
from optimiser.present.reprice_words import repricing_page
from optimiser.present.room_words import near_section, room_section
from optimiser.present.sentences import (
    failing_lines,
    limit_eased,
    limit_priced,
    limit_said,
    proof_said,
)
from optimiser.present.substitute_words import (
    cost_said,
    like_said,
    none_said,
    notes_said,
    opening,
    parts,
    watch_said,
)
from optimiser.present.trade_words import trade_page
from optimiser.present.workbook import workbook_bytes
from optimiser.tables.room import near_tables
from optimiser.tables.sheets import filled, sheets

Titled = tuple[str, Sequence[str]]
"""A list under a title."""

WORTH_KNOWING = "Worth knowing"
CAUTIONS = "Cautions"


def cheapest_workbook(
    answer: Cheapest, room: Room | None = None, near: NearRecipe | None = None
) -> bytes:
    """The answer of `formulate`, with what else was asked."""
    page, tables = cheapest_page(answer), sheets(answer)
    if near is not None:
        page = replace(page, sections=[*page.sections, near_section(near)])
        tables += filled(near_tables(near).values())
    if room is not None:
        page = replace(page, sections=[*page.sections, room_section(room)])
        tables += sheets(room)
    return workbook_bytes(page, tables)


def trade_off_workbook(answer: TradeOff) -> bytes:
    """The answer of `tradeoff`."""
    return workbook_bytes(trade_page(answer), sheets(answer))


def comparison_workbook(answer: Comparison) -> bytes:
    """The answer of `compare`."""
    return workbook_bytes(comparison_page(answer), sheets(answer))


def assessment_workbook(answer: Assessment) -> bytes:
    """The answer of `assess`."""
    return workbook_bytes(assessment_page(answer), sheets(answer))


def substitution_workbook(answer: Substitution) -> bytes:
    """The answer of `substitute`."""
    return workbook_bytes(substitution_page(answer), sheets(answer))


def repricing_workbook(answer: Repricing) -> bytes:
    """The answer of `reprice`."""
    return workbook_bytes(repricing_page(answer), sheets(answer))


def cheapest_page(answer: Cheapest) -> Page:
    """The answer of `formulate` in words; its numbers stand in tables."""
    brief, measures = answer.request.brief, answer.measures
    listed: list[Titled] = [
        (left_out_heading(answer), left_out_said(answer)),
        (WORTH_KNOWING, remarks_said(answer)),
    ]
    if measures is None:
        said = [no_formula_said(answer), proof_said(answer)]
        return Page(brief.name, [_paragraphs(said), *_why_none(answer), *_listed(listed)])
    cost = f"{money(measures.cost_per_kg)} {brief.currency}".rstrip()
    said = [
        f"{opening_said(answer)} of {brief.file}: {cost} per kg.",
        proof_said(answer),
        f"Together: {totals_said(measures)}.",
        ties_said(answer),
        *unmeasured_said(measures),
    ]
    felt = [
        f"{limit_said(active)} [{place_said(active.row, brief.style)}]: "
        + f"{limit_priced(active, brief.currency)} {limit_eased(active, answer) or ''}".rstrip()
        for active in answer.active_limits
        if not is_idle(active)
    ]
    prices = [EACH_ALONE] if answer.used else []
    listed = [
        (limits_heading(answer), [*felt, *filter(None, [idle_said(answer)])]),
        ("Ranges of prices", prices),
        *listed,
        (CAUTIONS, measures.cautions),
    ]
    return Page(brief.name, [_paragraphs(said), *_listed(listed)])


def assessment_page(answer: Assessment) -> Page:
    """The answer of `assess` in words."""
    brief, nearest = answer.request.brief, answer.nearest
    missed = [checked_said(check) for check in answer.checked if not check.is_met]
    sections = [_paragraphs([verdict(answer)]), *_listed([("Not met or not known", missed)])]
    best = answer.cheapest
    if nearest is None and best.measures is None:
        said = [f"There is no formula to move to. {proof_said(best)}"]
        sections += [_paragraphs(said), *_why_none(best)]
    elif nearest is None:
        sections.append(_paragraphs(["No nearer formula was found in the time of the search."]))
    elif nearest.moved < UNWEIGHABLE:
        sections.append(_paragraphs(["Nothing has to change."]))
    else:
        sections.append(_paragraphs([nearest_said(nearest, brief.currency)]))
    listed = ((WORTH_KNOWING, answer.remarks), (CAUTIONS, answer.measures.cautions))
    title = f"{answer.name} held against {brief.name}"
    return Page(title, [*sections, *_listed(listed)])


def substitution_page(answer: Substitution) -> Page:
    """The answer of `substitute` in words."""
    book, brief = answer.request.book, answer.request.brief
    gone = " and ".join(book.ingredients[name].common_name for name in answer.options.gone)
    sections = [_paragraphs([opening(answer)])]
    if answer.explanation is not None:
        sections += _explained(answer.explanation, brief.currency)
        return Page(f"{brief.name} without {gone}", sections)
    for title, found in parts(answer):
        if found is None:
            sections.append(Section(title, [Paragraph(none_said(answer, title))]))
            continue
        said = f"{cost_said(answer, found)}. {like_said(answer, found)}"
        watch = watch_said(answer, found) if found is answer.closest else []
        items = [Items([f"Watch: {text}" for text in watch])] if watch else []
        sections.append(Section(title, [Paragraph(said), *items]))
    listed: list[Titled] = [(WORTH_KNOWING, notes_said(answer))]
    if answer.closest is not None:
        listed.append((f"{CAUTIONS} for the one most like it", answer.closest.measures.cautions))
    return Page(f"{brief.name} without {gone}", [*sections, *_listed(listed)])


def _why_none(answer: Cheapest) -> list[Section]:
    """Why a brief cannot be met: rules, then limits."""
    rules = [] if answer.weighed is None else failing_lines(answer.weighed)
    sections = [_paragraphs(rules)] if rules else []
    if answer.explanation is None:
        return sections
    sections += _explained(answer.explanation, answer.request.brief.currency)
    if answer.weighed is not None:
        said = "All of this for shares of any size; whole steps may ask a little more."
        sections.append(_paragraphs([said]))
    return sections


def _explained(explanation: Explanation, currency: str) -> list[Section]:
    return _listed(impossible_said(explanation, currency))


def _paragraphs(texts: Iterable[str]) -> Section:
    return Section("", [Paragraph(text) for text in texts if text])


def _listed(parts: Iterable[Titled]) -> list[Section]:
    """Titled lists; those without a line are left out."""
    return [Section(title, [Items(texts)]) for title, texts in parts if texts]
