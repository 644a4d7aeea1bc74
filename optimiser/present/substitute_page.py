"""The answer of `substitute` as a page with pictures."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from optimiser.answers.closeness import Change
from optimiser.answers.likeness import Substitute
from optimiser.answers.substitute import Substitution
from optimiser.present.change_words import trait_named
from optimiser.present.formula_parts import impossible_sections
from optimiser.present.moves import shares_of
from optimiser.present.numbers import significant
from optimiser.present.page import Items, Page, Paragraph, Part, Picture, Section, Table
from optimiser.present.pictures.change_bars import TraitChange, trait_changes
from optimiser.present.share_pictures import shares_picture
from optimiser.present.substitute_words import (
    BETWEEN_HEAD,
    CANDIDATE_HEAD,
    DIFFERENCE,
    NO_CANDIDATE,
    OTHERS_MOVE,
    TOP,
    best_candidate_said,
    between_rows,
    candidate_row,
    cost_said,
    like_said,
    none_said,
    notes_said,
    opening,
    parts,
    share_rows,
    watch_said,
)

IN_THE_JAR = "Changes in the jar, in steps of what is just noticed"


SEEN = Fraction(1, 20)
"""A change of fewer steps than this is not drawn."""


def substitution_page(answer: Substitution) -> Page:
    """The words and tables of the terminal answer, with pictures."""
    book, brief = answer.request.book, answer.request.brief
    gone = " and ".join(book.ingredients[name].common_name for name in answer.options.gone)
    title = f"{brief.name} without {gone}"
    lead = Section("", [Paragraph(opening(answer))])
    if answer.explanation is not None:
        why = impossible_sections(answer.explanation, brief.currency, brief.style)
        return Page(title, [lead, *why])
    sections = [lead]
    for number, (heading, found) in enumerate(parts(answer), start=1):
        if found is None:
            sections.append(Section(heading, [Paragraph(none_said(answer, heading))]))
        else:
            sections.append(Section(heading, _formula(answer, found, f"formula-{number}")))
    sections += [*_between(answer), _candidates(answer)]
    notes = notes_said(answer)
    return Page(title, [*sections, *([Section("Worth knowing", [Items(notes)])] if notes else [])])


def _formula(answer: Substitution, found: Substitute, name: str) -> list[Part]:
    head, *rows = share_rows(answer, found)
    told: list[Part] = [Paragraph(f"{cost_said(answer, found)}. {like_said(answer, found)}")]
    book = answer.request.book.ingredients
    told.append(shares_picture(name, _reference(answer), shares_of(found.measures), book))
    told += _character(answer, found, f"{name}-character")
    told.append(Table(head, rows, right=(1, 2)))
    if found is answer.closest:
        watch = [f"Watch: {text}" for text in watch_said(answer, found)]
        told += [Items(watch)] if watch else []
    return told


def _reference(answer: Substitution) -> Mapping[str, Fraction]:
    used = answer.reference.used
    return {i.id: share for i, share in zip(used.ingredients, used.x, strict=True)}


def _character(answer: Substitution, found: Substitute, name: str) -> list[Part]:
    """The traits that differ as a picture, the largest change first; the others by name."""
    ranked = sorted(found.changes, key=lambda change: -change.difference)
    moved = [change for change in ranked if change.difference >= SEEN]
    kept = [
        trait_named(answer.request.book, change)[0] for change in ranked if change.difference < SEEN
    ]
    told: list[Part] = []
    if moved:
        traits = [_trait(answer, change) for change in moved]
        svg, description = trait_changes(name, IN_THE_JAR, traits)
        told.append(Picture(svg, IN_THE_JAR, description))
    return [*told, *([Paragraph(f"As before: {', '.join(kept)}.")] if kept else [])]


def _trait(answer: Substitution, change: Change) -> TraitChange:
    title, unit = trait_named(answer.request.book, change)
    after = Fraction(0) if change.after is None else change.after
    way = 1 if after >= change.aim.before else -1
    steps = way * change.difference
    return TraitChange(
        title,
        f"{significant(change.aim.before)} \u2192 {significant(after)} {unit}".strip(),
        float(steps),
        f"{'+' if steps > 0 else ''}{significant(steps, 2)}",
    )


def _between(answer: Substitution) -> list[Section]:
    if not answer.between:
        return []
    table = Table(BETWEEN_HEAD, between_rows(answer), right=(0, 1))
    return [Section("Between cheapest and most like it", [table, Paragraph(DIFFERENCE)])]


def _candidates(answer: Substitution) -> Section:
    if not answer.candidates:
        return Section("One ingredient in its place", [Paragraph(NO_CANDIDATE)])
    rows = [candidate_row(answer, candidate) for candidate in answer.candidates[:TOP]]
    said = [Paragraph(OTHERS_MOVE), Paragraph(best_candidate_said(answer))]
    table = Table(("ingredient", *CANDIDATE_HEAD[1:]), rows, right=(1, 2, 3))
    return Section(CANDIDATE_HEAD[0], [table, *said])
