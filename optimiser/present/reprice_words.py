"""What price changes do, in words and tables."""

from __future__ import annotations

from enum import StrEnum

from optimiser.answers.repricing import Repricing
from optimiser.present.changed_words import changed_section
from optimiser.present.numbers import (
    money,
)
from optimiser.present.page import Items, Page, Paragraph, Section
from optimiser.present.price_words import per_kg
from optimiser.present.scenario_words import scenario_section, uncertain_section
from optimiser.present.sentences import proof_said
from optimiser.present.sweep_words import limit_section, sweep_section

ANY_SHARES = (
    "Shares of any size in sweeps, scenarios and for uncertain prices: whole steps, counts and "
    "either-or of the brief are not regarded there. To weigh an outcome, put the price into the "
    "list and run formulate."
)

DRAFT = (
    "Formulas from here are drafts: formulate prints the cautions that apply to one, and local "
    "law and, where it asks for one, a qualified safety assessor decide."
)


class Topic(StrEnum):
    """The parts that an answer of `reprice` can have, in their order."""

    TODAY = "today"
    CHANGED = "changed"
    PRICE_SWEPT = "sweep"
    LIMIT_SWEPT = "limit"
    UNCERTAIN = "uncertain"
    SCENARIOS = "scenarios"
    NOTES = "notes"


def repricing_page(answer: Repricing) -> Page:
    """The answer of `reprice`."""
    return Page(repricing_title(answer), list(repricing_sections(answer).values()))


def repricing_title(answer: Repricing) -> str:
    """What stands above the answer."""
    return f"{answer.request.brief.name}: what prices do"


def repricing_sections(answer: Repricing) -> dict[Topic, Section]:
    """The sections of the answer; only those that were asked for."""
    sections = {Topic.TODAY: Section("", [Paragraph(_today_said(answer))])}
    if answer.changed is not None:
        sections[Topic.CHANGED] = changed_section(answer, answer.changed)
    if answer.questions.sweep is not None:
        sections[Topic.PRICE_SWEPT] = sweep_section(answer, answer.sweep)
    if answer.limit_sweep is not None:
        sections[Topic.LIMIT_SWEPT] = limit_section(answer, answer.limit_sweep)
    if answer.questions.at_most is not None:
        sections[Topic.UNCERTAIN] = uncertain_section(answer)
    if answer.questions.source is not None:
        sections[Topic.SCENARIOS] = scenario_section(answer)
    notes = [*_proofs(answer), *([ANY_SHARES] if answer.has_shares_of_any_size else [])]
    worth = Section("Worth knowing", [Items([*notes, *answer.remarks, DRAFT])])
    return sections | {Topic.NOTES: worth}


def _proofs(answer: Repricing) -> list[str]:
    """What is proven of all this, and what is not."""
    exact_parts = []
    if answer.changed is not None and answer.today.weighed is None:
        exact_parts.append(
            "that there is no formula at the other prices"
            if answer.changed.answer.measures is None
            else "that no formula is cheaper at the other prices"
        )
    for sweep in (answer.sweep, answer.limit_sweep):
        if sweep is not None:
            exact_parts.append("every piece of the sweep" if sweep.pieces else "that none exists")
    if answer.uncertain is not None:
        exact_parts.append("that no formula costs less at the worst")
    said = []
    if exact_parts:
        said.append(f"Proven in exact arithmetic: {'; '.join(exact_parts)}.")
    if answer.changed is not None and answer.changed.answer.weighed is not None:
        said.append(f"At the other prices: {proof_said(answer.changed.answer)}")
    if answer.scenarios is not None:
        said.append(
            "Each scenario is settled by itself, by the optimality test of the simplex method in "
            "floating arithmetic; none is a guess."
        )
    return said


def _today_said(answer: Repricing) -> str:
    measures, unit, file = answer.in_use, per_kg(answer), answer.request.brief.file
    least = None if answer.today.measures is None else answer.today.measures.cost_per_kg
    if not answer.is_recipe or measures is None:
        if least is None:
            return f"At today's prices no formula meets every limit of {file}; formulate says why."
        return f"Today's cheapest formula of {file} costs {money(least)} {unit}."
    text = f"The recipe in use costs {money(measures.cost_per_kg)} {unit} today."
    if measures.cost_per_kg is None:
        text = "What the recipe in use costs is not known, for want of a price."
    if answer.in_use_missed:
        count = len(answer.in_use_missed)
        limits = "1 limit" if count == 1 else f"{count} limits"
        text += (
            f" It misses {limits} of the brief, which assess lists, so its cost does not compare "
            "like with like."
        )
    if least is None:
        return f"{text} No formula meets every limit of {file} today."
    return f"{text} The cheapest formula of {file} costs {money(least)}."
