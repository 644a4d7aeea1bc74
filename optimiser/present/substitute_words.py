"""What replacing an ingredient changes in the jar: words, JSON and Markdown."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from optimiser.answers.closeness import Change
from optimiser.answers.likeness import Substitute
from optimiser.answers.substitute import Candidate, Substitution
from optimiser.brief import Family
from optimiser.present.answer_json import impossible_document, measures_document, number
from optimiser.present.console import columns, heading, impossible_lines, short, wrapped
from optimiser.present.markdown import inert, table
from optimiser.present.numbers import money, printed_shares, significant
from optimiser.statements import PLURALS

MANY = 3
"""A change of more than so many tolerances is a large one."""

TOP = 10
"""So many candidates are told in words; all are in the JSON."""


def change_said(answer: Substitution, change: Change) -> str:
    """One trait that differs, in words with its level before and after."""
    trait = change.aim.trait
    after = Fraction(0) if change.after is None else change.after
    word = trait.more if after > change.aim.before else trait.less
    size = "much " if change.difference > MANY else "" if change.is_noticed else "a little "
    title, unit = _named(answer, change)
    levels = f"{significant(change.aim.before)} to {significant(after)} {unit}".strip()
    return f"{size}{word} ({title} {levels})"


def _named(answer: Substitution, change: Change) -> tuple[str, str]:
    trait = change.aim.trait
    if trait.family == Family.PROPERTIES:
        quantity = answer.request.book.properties[trait.of]
        return quantity.title, quantity.spoken_unit
    return next((PLURALS[kind] for kind in PLURALS if kind == trait.of), trait.of), "%"


def told_changes(answer: Substitution, changes: Sequence[Change]) -> list[str]:
    """The changes worth telling, the largest first."""
    ranked = sorted(changes, key=lambda change: -change.difference)
    return [change_said(answer, change) for change in ranked if change.difference >= Fraction(1, 5)]


def like_said(answer: Substitution, found: Substitute) -> str:
    """How like the formula in use a formula is."""
    over = [change for change in found.changes if change.is_noticed]
    if over:
        count = "One change is" if len(over) == 1 else f"{len(over)} changes are"
        text = f"{count} more than would pass unnoticed."
    else:
        text = "No change is more than would pass unnoticed."
    told = told_changes(answer, found.changes)
    return f"{text} In the jar: {'; '.join(told)}." if told else f"{text} It is as before."


def watch_said(answer: Substitution, found: Substitute) -> list[str]:
    """What to watch on the bench and on the label that was not there before."""
    book = answer.request.book
    before = {i.id: i for i in answer.reference.used.ingredients}
    after = {s.ingredient: book.ingredients[s.ingredient] for s in found.measures.formula}
    said = [text for text in found.measures.cautions if text not in answer.reference_cautions]
    for word, these, others in (("newly in", after, before), ("no longer in", before, after)):
        said += [
            f"{word}, {these[name].common_name}: {these[name].allergen_note}"
            for name in sorted(these)
            if name not in others and these[name].allergen_note
        ]
    return said


def substitution_text(answer: Substitution) -> str:
    """The answer of `substitute` for a terminal."""
    brief, currency = answer.request.brief, answer.request.brief.currency
    gone = " and ".join(answer.request.book.ingredients[n].common_name for n in answer.options.gone)
    lines = heading(f"{brief.name} without {gone}")
    lines += wrapped(_opening(answer))
    if answer.explanation is not None:
        lines += impossible_lines(answer.explanation, currency, brief.style)
        return "\n".join(lines) + "\n"
    for title, found in parts(answer):
        lines += ["", title]
        if found is None:
            lines += wrapped("There is none within the limits.", "  ")
            continue
        lines += wrapped(f"{_cost(found, currency)}. {like_said(answer, found)}", "  ")
        lines += columns(_share_rows(answer, found), right=(1, 2))
        if found is answer.closest:
            for text in watch_said(answer, found):
                lines += wrapped(text, "  Watch: ", "    ")
    lines += ["", *_between_lines(answer), "", *_candidate_lines(answer)]
    lines += _notes(answer)
    return "\n".join(lines) + "\n"


def _opening(answer: Substitution) -> str:
    cost = answer.reference.cost_per_kg
    costs = "its cost is not known" if cost is None else f"it costs {money(cost)}"
    text = f"The formula in use: {costs} {answer.request.brief.currency} per kg."
    if answer.explanation is not None:
        return text + " Without what is gone no formula meets every limit of the brief."
    return text


def parts(answer: Substitution) -> list[tuple[str, Substitute | None]]:
    """The formulas of an answer with their titles."""
    within = f"{significant(answer.options.keep_within)} points"
    return [
        ("Most like it", answer.closest),
        (f"Most like it, the rest kept within {within}", answer.closest_rest_kept),
        ("Cheapest within the brief", answer.cheapest),
    ]


def _cost(found: Substitute, currency: str) -> str:
    return f"{money(found.measures.cost_per_kg)} {currency}".strip() + " per kg"


def _share_rows(answer: Substitution, found: Substitute) -> list[tuple[str, ...]]:
    """Shares before and after, what is gone included."""
    before = dict(
        zip((i.id for i in answer.reference.ingredients), answer.reference.x, strict=True)
    )
    after = {share.ingredient: share.percent for share in found.measures.formula}
    ids = sorted({*before, *after}, key=lambda n: (-after.get(n, 0), -before.get(n, 0), n))
    book = answer.request.book
    nothing = Fraction(0)
    old = printed_shares([before.get(n, nothing) for n in ids])
    new = printed_shares([after.get(n, nothing) for n in ids])
    rows: list[tuple[str, ...]] = [("ingredient", "before", "after")]
    rows += [
        (short(book.ingredients[name].common_name), a, b)
        for name, a, b in zip(ids, old, new, strict=True)
    ]
    return rows


def _between_lines(answer: Substitution) -> list[str]:
    rows = [("Between cheapest and most like it", "per kg", "difference")]
    rows += [
        (
            ", ".join(share.ingredient for share in found.measures.formula[:3]) + " ..",
            money(found.measures.cost_per_kg),
            significant(found.difference),
        )
        for found in answer.between
    ]
    said = wrapped("Difference: the sum of all changes, each in the change just noticed.")
    return columns(rows, right=(1, 2), indent="") + said


def _candidate_lines(answer: Substitution) -> list[str]:
    if not answer.candidates:
        return ["No single ingredient can take its place within the limits."]
    rows = [("One ingredient in its place", "percent", "per kg", "difference")]
    rows += [_candidate_row(answer, c) for c in answer.candidates[:TOP]]
    lines = columns(rows, right=(1, 2, 3), indent="")
    best = answer.candidates[0]
    name = answer.request.book.ingredients[best.ingredient].common_name
    return lines + wrapped(f"{name}: {like_said(answer, best.substitute)}")


def _candidate_row(answer: Substitution, candidate: Candidate) -> tuple[str, str, str, str]:
    name = short(answer.request.book.ingredients[candidate.ingredient].common_name)
    mark = " *" if candidate.not_judged else ""
    return (
        name,
        significant(candidate.percent),
        money(candidate.substitute.measures.cost_per_kg),
        significant(candidate.substitute.difference) + mark,
    )


def _notes(answer: Substitution) -> list[str]:
    lines = []
    if answer.request.brief.has_choices:
        lines += wrapped(
            "Shares of any size: whole steps, counts and either-or of the brief are not regarded "
            "here; `optimiser formulate` on a brief without what is gone weighs out the cheapest."
        )
    unknown = [c for c in answer.candidates if c.not_judged]
    if unknown:
        told = "; ".join(f"{c.ingredient}: {', '.join(c.not_judged)}" for c in unknown)
        lines += wrapped(f"* judged without what nobody gives for it ({told})", "", "  ")
    if answer.dropped_traits:
        dropped = ", ".join(answer.dropped_traits)
        lines += wrapped(f"Not compared, for want of figures of the formula in use: {dropped}.")
    if answer.left_out:
        names = ", ".join(sorted({name for name, _ in answer.left_out}))
        text = f"Not in the most like formulas, for want of a figure that is compared: {names}."
        lines += wrapped(text, "", "  ")
    return ["", *lines] if lines else []


def substitution_document(answer: Substitution) -> dict[str, Any]:
    """The answer of `substitute` as JSON."""
    gone = answer.options.gone
    reference = answer.reference
    shares = zip(reference.ingredients, reference.x, strict=True)
    impossible = None
    if answer.explanation is not None:
        impossible = {"status": "infeasible"}
        impossible |= impossible_document(answer.explanation, answer.request.brief.currency)

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
        "not_compared": list(answer.dropped_traits),
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
    currency = answer.request.brief.currency
    gone = " and ".join(answer.request.book.ingredients[n].common_name for n in answer.options.gone)
    lines = [f"# {inert(answer.request.brief.name)} without {inert(gone)}", "", _opening(answer)]
    for title, found in parts(answer):
        lines += ["", f"## {title}", ""]
        if found is None:
            lines.append("There is none within the limits.")
            continue
        head, *rows = _share_rows(answer, found)
        lines += [inert(f"{_cost(found, currency)}. {like_said(answer, found)}"), ""]
        lines += table(head, rows, right=(1, 2))
        if found is answer.closest:
            lines += ["", *(f"- Watch: {inert(text)}" for text in watch_said(answer, found))]
    if answer.candidates:
        lines += ["", "## One ingredient in its place", ""]
        rows = [_candidate_row(answer, c) for c in answer.candidates]
        lines += table(("ingredient", "percent", "per kg", "difference"), rows, right=(1, 2, 3))
    return "\n".join(lines) + "\n"
