"""The answer of `substitute` as JSON and as Markdown."""

from __future__ import annotations

from typing import Any

from optimiser.answers.likeness import Substitute
from optimiser.answers.substitute import Substitution
from optimiser.present.answer_json import impossible_document, measures_document, number
from optimiser.present.markdown import impossible_markdown, inert, table
from optimiser.present.substitute_words import (
    BETWEEN_HEAD,
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


def substitution_document(answer: Substitution) -> dict[str, Any]:
    """The answer of `substitute` as JSON."""
    gone = answer.options.gone
    reference = answer.reference
    shares = zip(reference.ingredients, reference.x, strict=True)
    impossible: dict[str, Any] | None = None
    if answer.explanation is not None:
        impossible = {"status": "infeasible"}
        impossible |= impossible_document(answer.explanation, answer.request.brief.currency)

    if impossible is None and answer.closest is None:
        said = none_said(answer, "")
        limit = "character" if answer.options.max_changes is None else "--max-changes"
        conflict = [{"limit": limit, "sentence": said}]
        impossible = {"status": "infeasible", "conflict": conflict}

    def part(found: Substitute | None) -> dict[str, Any] | None:
        return impossible if found is None else _substitute(found)

    rest_kept = answer.closest_rest_kept
    return {
        "gone": gone[0] if len(gone) == 1 else list(gone),
        "currency": answer.request.brief.currency,
        "reference": {
            "formula": [{"ingredient": i.id, "percent": number(share)} for i, share in shares],
            "cost_per_kg": number(reference.cost_per_kg),
        },
        "closest": part(answer.closest),
        "closest_rest_kept": None if rest_kept is None else _substitute(rest_kept),
        "cheapest": part(answer.cheapest),
        "between": [_substitute(found) for found in answer.between],
        "candidates": [
            {
                "ingredient": candidate.ingredient,
                "percent": number(candidate.percent),
                **_substitute(candidate.substitute),
                "not_judged": list(candidate.not_judged),
            }
            for candidate in answer.candidates
        ],
        "not_compared": [*answer.dropped_traits, *answer.unknown_traits],
        "left_out": [
            {"ingredient": name, "missing": trait, "needed_by": f"character.{trait}"}
            for name, trait in answer.left_out
        ],
    }


def _substitute(found: Substitute) -> dict[str, Any]:
    document = measures_document(found.measures)
    return {
        "formula": document["formula"],
        "cost_per_kg": document["cost_per_kg"],
        "difference": number(found.difference),
        "not_judged": list(found.not_judged),
        "changes": [
            {
                "property": change.aim.trait.of,
                "before": number(change.aim.before),
                "after": number(change.after),
                "tolerance": float(change.aim.trait.tolerance),
            }
            for change in found.changes
        ],
    }


def substitution_markdown(answer: Substitution) -> str:
    """The answer of `substitute` as Markdown."""
    gone = " and ".join(answer.request.book.ingredients[n].common_name for n in answer.options.gone)
    lines = [
        f"# {inert(answer.request.brief.name)} without {inert(gone)}",
        "",
        inert(opening(answer)),
    ]
    if answer.explanation is not None:
        currency = answer.request.brief.currency
        return "\n".join(lines + impossible_markdown(answer.explanation, currency)) + "\n"
    for title, found in parts(answer):
        lines += ["", f"## {title}", ""]
        if found is None:
            lines.append(inert(none_said(answer, title)))
            continue
        head, *rows = share_rows(answer, found)
        lines += [inert(f"{cost_said(answer, found)}. {like_said(answer, found)}"), ""]
        lines += table(head, rows, right=(1, 2))
        if found is answer.closest:
            lines += ["", *(f"- Watch: {inert(text)}" for text in watch_said(answer, found))]
    if answer.between:
        lines += ["", "## Between cheapest and most like it", ""]
        lines += table((*BETWEEN_HEAD[:2], "formula"), between_rows(answer), right=(0, 1))
    if answer.candidates:
        lines += ["", "## One ingredient in its place", ""]
        candidates = [candidate_row(answer, c) for c in answer.candidates]
        head = ("ingredient", "percent", "per kg", "difference")
        lines += table(head, candidates, right=(1, 2, 3))
    lines += ["", *(f"- {inert(note)}" for note in notes_said(answer))]
    return "\n".join(lines) + "\n"
