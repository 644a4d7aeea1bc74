"""What replacing an ingredient changes in the jar: words, JSON and Markdown."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from optimiser.answers.closeness import Change
from optimiser.answers.likeness import Substitute
from optimiser.answers.measures import measured
from optimiser.answers.substitute import Candidate, Substitution
from optimiser.present.change_words import changes_in_words
from optimiser.present.console import columns, heading, impossible_lines, short, wrapped
from optimiser.present.moves import watch_said as watched
from optimiser.present.numbers import money, printed_shares, rounded_towards, significant

STEP_IN_COST = Fraction(101, 100)
STEP_IN_DIFFERENCE = Fraction(1, 10)
MOST_TOLD = 6
"""Corners nearer to one another than this, or more of them, are left to the JSON."""

WIDTH_OF_FORMULA = 50

TOP = 10
"""So many candidates are told in words; all are in the JSON."""


def told_changes(answer: Substitution, changes: Sequence[Change]) -> list[str]:
    """The changes worth telling, the largest first."""
    return changes_in_words(answer.request.book, changes)


def like_said(answer: Substitution, found: Substitute) -> str:
    """How like the formula in use a formula is."""
    over = [change for change in found.changes if change.is_noticed]
    if over:
        text = f"{len(over)} change{'s' if len(over) > 1 else ''} that would be noticed."
    else:
        text = "No change that would be noticed."
    told = told_changes(answer, found.changes)
    text = f"{text} In the jar: {'; '.join(told)}." if told else f"{text} Nearly as before."
    if found.not_judged:
        text += f" Not judged, for want of figures: {', '.join(found.not_judged)}."
    return text


def watch_said(answer: Substitution, found: Substitute) -> list[str]:
    """What to watch on the bench and on the label that was not there before."""
    before = measured(answer.reference)
    return watched(before, found.measures, answer.request.book)


def substitution_text(answer: Substitution) -> str:
    """The answer of `substitute` for a terminal."""
    brief, currency = answer.request.brief, answer.request.brief.currency
    gone = " and ".join(answer.request.book.ingredients[n].common_name for n in answer.options.gone)
    lines = heading(f"{brief.name} without {gone}")
    lines += wrapped(opening(answer))
    if answer.explanation is not None:
        lines += impossible_lines(answer.explanation, currency, brief.style)
        return "\n".join(lines) + "\n"
    for title, found in parts(answer):
        lines += ["", title]
        if found is None:
            lines += wrapped(none_said(answer, title), "  ")
            continue
        lines += wrapped(f"{cost_said(answer, found)}. {like_said(answer, found)}", "  ")
        lines += columns(share_rows(answer, found), right=(1, 2))
        if found is answer.closest:
            for text in watch_said(answer, found):
                lines += wrapped(text, "  Watch: ", "    ")
    lines += [*_between_lines(answer), "", *_candidate_lines(answer)]
    lines += _notes(answer)
    return "\n".join(lines) + "\n"


def opening(answer: Substitution) -> str:
    """What the formula in use costs and misses, and what is not regarded."""
    cost, currency = answer.reference.cost_per_kg, answer.request.brief.currency
    text = "The cost of the formula in use is not known."
    if cost is not None:
        text = f"The formula in use costs {money(cost)} {currency}".rstrip() + " per kg."
    if answer.reference_missed:
        missed = "; ".join(
            check.row.statement.render(check.bound or 0) for check in answer.reference_missed
        )
        text += f" It does not meet the brief itself: {missed}. What follows does."
    if answer.request.brief.has_choices:
        text += f" {UNWEIGHED}"
    if answer.explanation is not None:
        return text + " Without what is gone no formula meets every limit of the brief."
    return text


UNWEIGHED = (
    "Shares of any size below: whole steps, counts and either-or of the brief are not regarded "
    "here. To weigh one, leave out what is gone under [shelf] and run formulate."
)


def none_said(answer: Substitution, title: str) -> str:
    """Why a part of the answer does not exist."""
    if answer.options.max_changes is not None and title != CHEAPEST:
        return f"There is none with at most {answer.options.max_changes} other shares moved."
    if title.startswith(REST_KEPT) and answer.least_within is not None:
        least = significant(rounded_towards(answer.least_within, upwards=True), 4)
        return f"There is none; within {least} points there would be."
    if title != CHEAPEST and answer.explanation is None and answer.left_out:
        return "There is none without ingredients that lack a figure that is compared."
    return "There is none within the limits."


def parts(answer: Substitution) -> list[tuple[str, Substitute | None]]:
    """The formulas of an answer with their titles."""
    within = f"{significant(answer.options.keep_within)} points"
    return [
        ("Most like it", answer.closest),
        (f"{REST_KEPT} {within}", answer.closest_rest_kept),
        (CHEAPEST, answer.cheapest),
    ]


REST_KEPT = "Most like it, the rest kept within"
CHEAPEST = "Cheapest within the brief"


def cost_said(answer: Substitution, found: Substitute) -> str:
    """The cost of a formula, and by how much it differs from the one in use."""
    text = f"{money(found.cost)} {answer.request.brief.currency}".strip() + " per kg"
    now = answer.reference.cost_per_kg
    if now is None or found.cost == now:
        return text
    word = "more" if found.cost > now else "less"
    return f"{text}, {money(abs(found.cost - now))} {word} than now"


def share_rows(answer: Substitution, found: Substitute) -> list[tuple[str, ...]]:
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
    if not answer.between:
        return []
    rows = [BETWEEN_HEAD, *between_rows(answer)]
    return ["", *columns(rows, right=(0, 1), indent=""), *wrapped(DIFFERENCE)]


DIFFERENCE = "Difference: the sum of all changes, each in the change just noticed."

BETWEEN_HEAD = ("per kg", "difference", "between cheapest and most like it")


def between_rows(answer: Substitution) -> list[tuple[str, str, str]]:
    """The corners worth telling: a step in cost and in likeness apart, the last always."""
    told: list[Substitute] = []
    for found in answer.between[:-1]:
        is_apart = not told or (
            found.cost >= told[-1].cost * STEP_IN_COST
            and found.difference <= told[-1].difference - STEP_IN_DIFFERENCE
        )
        if is_apart and len(told) < MOST_TOLD:
            told.append(found)
    told += answer.between[-1:]
    return [(money(found.cost), significant(found.difference, 2), _mostly(found)) for found in told]


def _mostly(found: Substitute) -> str:
    parts = [f"{short(s.name)} {significant(s.percent)}" for s in found.measures.formula]
    text = ""
    for part in parts:
        longer = f"{text}; {part}" if text else part
        if len(longer) > WIDTH_OF_FORMULA:
            return f"{text}; .." if text else part
        text = longer
    return text


def _candidate_lines(answer: Substitution) -> list[str]:
    if not answer.candidates:
        return [NO_CANDIDATE]
    rows = [CANDIDATE_HEAD]
    rows += [candidate_row(answer, c) for c in answer.candidates[:TOP]]
    lines = columns(rows, right=(1, 2, 3), indent="")
    return [*lines, *wrapped(OTHERS_MOVE), *wrapped(best_candidate_said(answer))]


NO_CANDIDATE = "No single ingredient can take its place within the limits."
CANDIDATE_HEAD = ("One ingredient in its place", "percent", "per kg", "difference")
OTHERS_MOVE = "The shares of the others move with it."


def best_candidate_said(answer: Substitution) -> str:
    """How like the formula in use the closest with one ingredient in its place is."""
    best = answer.candidates[0]
    name = answer.request.book.ingredients[best.ingredient].common_name
    return f"{name}: {like_said(answer, best.substitute)}"


def candidate_row(answer: Substitution, candidate: Candidate) -> tuple[str, str, str, str]:
    """A candidate as a row: name, percent, cost, difference."""
    name = short(answer.request.book.ingredients[candidate.ingredient].common_name)
    mark = " *" if candidate.not_judged else ""
    return (
        name,
        significant(candidate.percent),
        money(candidate.substitute.measures.cost_per_kg),
        significant(candidate.substitute.difference) + mark,
    )


def _notes(answer: Substitution) -> list[str]:
    notes = notes_said(answer)
    return ["", *(line for note in notes for line in wrapped(note, "", "  "))] if notes else []


def notes_said(answer: Substitution) -> list[str]:
    """What was not compared or not regarded."""
    notes = []
    book = answer.request.book
    unknown = [c for c in answer.candidates if c.not_judged]
    if unknown:
        told = "; ".join(
            f"{book.ingredients[c.ingredient].common_name}: {', '.join(c.not_judged)}"
            for c in unknown
        )
        notes.append(
            f"* judged without what nobody gives for it ({told}); in the order each of these "
            "counts as a change that is just noticed."
        )
    if answer.dropped_traits:
        dropped = ", ".join(answer.dropped_traits)
        notes.append(f"Not compared, for want of figures of the formula in use: {dropped}.")
    if answer.unknown_traits:
        traits = ", ".join(answer.unknown_traits)
        notes.append(
            f"Not compared, for want of figures of an ingredient that the brief demands: {traits}."
        )
    if answer.left_out:
        ids = sorted({name for name, _ in answer.left_out})
        names = "; ".join(book.ingredients[name].common_name for name in ids)
        notes.append(
            f"Not in the most like formulas, for want of a figure that is compared: {names}."
        )
    if answer.options.max_changes is not None:
        notes.append("The cheapest and the single candidates do not regard --max-changes.")
    return notes
