"""A recipe held against a brief, in words, as JSON and as Markdown."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from optimiser.answers.checked import Checked
from optimiser.answers.recipe import Assessment, Nearest
from optimiser.present.answer_json import cheapest_document, measures_document, number
from optimiser.present.console import (
    caution_lines,
    columns,
    formula_lines,
    heading,
    impossible_lines,
    measure_lines,
    wrapped,
)
from optimiser.present.markdown import inert, table
from optimiser.present.numbers import money, printed_shares, rounded, significant
from optimiser.present.remarks import place_said
from optimiser.present.sentences import failing_lines, proof_said
from optimiser.statements import TIMES

UNWEIGHABLE = Fraction(1, 1000)
"""A total movement below so many points is the rounding of a written formula."""

NOWHERE = "There is no formula to move to."
NONE_FOUND = "No nearer formula was found in the time of the search."
AS_IT_IS = "Nothing has to change."

STANDS = {True: "met", False: "not met", None: "not known"}


def checked_said(check: Checked) -> str:
    """One limit, what the recipe has, and by how much it misses."""
    bound = check.bound
    said = check.row.statement.render(0 if bound is None else bound)
    if check.is_met is None:
        return f"{said}: not known, for want of a figure or price of {', '.join(check.lacking)}"
    if check.offending:
        return f"{said}: not met by {', '.join(check.offending)}"
    if bound is None:
        return f"{said}: {STANDS[check.is_met]}"
    has = "nothing of the other" if check.value is None else significant(check.value, 4)
    if check.is_met or check.value is None:
        return f"{said}: {STANDS[check.is_met]} ({has})"
    miss = significant(abs(check.value - bound))
    side = "too little" if check.value < bound else "too much"
    unit = check.row.unit
    if unit.startswith("%"):
        unit = "point" if miss == "1" else "points"
    unit = "" if unit == TIMES else unit
    return " ".join(f"{said}: not met, it has {has}: {miss} {unit} {side}".split())


def assessment_text(answer: Assessment) -> str:
    """The answer of `assess` for a terminal."""
    brief = answer.request.brief
    title = f"{answer.name} held against {brief.name}"
    lines = [*heading(title), *wrapped(verdict(answer))]
    lines += ["", *formula_lines(answer.measures, brief.currency)]
    lines += ["", "Limits"]
    for check in answer.checked:
        where = place_said(check.row, brief.style)
        mark = {True: "  ok  ", False: "  NO  ", None: "  ?   "}[check.is_met]
        lines += wrapped(f"{checked_said(check)}  [{where}]", mark, "      ")
    lines += ["", *measure_lines(answer.measures)]
    lines += ["", *_nearest_lines(answer)]
    if answer.remarks:
        lines += ["", "Worth knowing"]
        lines += [line for text in answer.remarks for line in wrapped(text, "  ", "    ")]
    return "\n".join(lines + caution_lines(answer.measures)) + "\n"


def verdict(answer: Assessment) -> str:
    """Whether the recipe meets the brief, what it costs, and what the cheapest costs."""
    currency = answer.request.brief.currency
    missed = [check for check in answer.checked if check.is_met is False]
    unknown = [check for check in answer.checked if check.is_met is None]
    if missed:
        text = f"It misses {_counted(len(missed), 'limit')} of {len(answer.checked)}"
        text += f"; {len(unknown)} cannot be judged." if unknown else "."
    elif unknown:
        text = f"{_counted(len(unknown), 'limit')} of {len(answer.checked)} cannot be judged."
    else:
        text = "It meets every limit."
    cost = answer.measures.cost_per_kg
    text += " Its cost is not known." if cost is None else f" It costs {money(cost)} {currency}"
    text = text if cost is None else text.rstrip() + " per kg."
    best = answer.cheapest.measures
    if best is None:
        return text
    return text + f" The cheapest formula of the brief costs {money(best.cost_per_kg)}."


def _counted(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _nearest_lines(answer: Assessment) -> list[str]:
    currency = answer.request.brief.currency
    nearest = answer.nearest
    if nearest is None:
        best = answer.cheapest
        if best.measures is not None:
            return wrapped(NONE_FOUND)
        lines = wrapped(f"{NOWHERE} {proof_said(best)}")
        if best.weighed is not None:
            lines += [line for said in failing_lines(best.weighed) for line in wrapped(said, "  ")]
        if best.explanation is None:
            return lines
        style = answer.request.brief.style
        return lines + impossible_lines(best.explanation, currency, style)
    if nearest.moved < UNWEIGHABLE:
        return [AS_IT_IS]
    lines = wrapped(nearest_said(nearest, currency))
    rows = [CHANGE_HEAD]
    rows += change_rows(answer, nearest)
    return lines + columns(rows, right=(1, 2, 3))


def nearest_said(nearest: Nearest, currency: str) -> str:
    """How far the nearest formula is, and what it costs."""
    word = "" if nearest.is_exact else " that a search found"
    cost = f"{money(nearest.measures.cost_per_kg)} {currency}".strip()
    return (
        f"The nearest formula{word} that meets the brief moves "
        f"{significant(nearest.moved)} points in all and costs {cost} per kg."
    )


CHANGE_HEAD = ("ingredient", "from", "to", "change")


def change_rows(answer: Assessment, nearest: Nearest) -> list[tuple[str, str, str, str]]:
    """Every share that moves: its name, from, to, and the change; the largest first."""
    before = {share.ingredient: share.percent for share in answer.measures.formula}
    after = {share.ingredient: share.percent for share in nearest.measures.formula}
    names = {name: i.common_name for name, i in answer.request.book.ingredients.items()}
    moves = sorted(nearest.changes.items(), key=lambda change: (-abs(change[1]), change[0]))
    return [
        (
            names[name],
            rounded(before.get(name, Fraction(0)), 2),
            rounded(after.get(name, Fraction(0)), 2),
            ("+" if move > 0 else "") + rounded(move, 2),
        )
        for name, move in moves
    ]


def assessment_document(answer: Assessment) -> dict[str, Any]:
    """The answer of `assess` as JSON."""
    document = {
        "brief": answer.request.brief.name,
        "recipe": answer.name,
        "currency": answer.request.brief.currency,
        "meets": answer.meets,
        "limits": [
            {
                "limit": check.row.statement.key,
                "origin": check.row.statement.origin.file,
                "bound": number(check.bound),
                "value": number(check.value),
                "met": check.is_met,
                "unit": check.row.unit,
                "missing_for": list(check.lacking),
                "sentence": checked_said(check),
            }
            for check in answer.checked
        ],
    }
    document |= measures_document(answer.measures)
    best = answer.cheapest.measures
    document["cheapest_cost_per_kg"] = None if best is None else number(best.cost_per_kg)
    if answer.nearest is None:
        reason = cheapest_document(answer.cheapest)
        document["nearest"] = {
            # The brief can be met, and the search for the nearest found nothing in its time.
            "status": "unsettled" if best is not None else answer.cheapest.status,
            "conflict": reason.get("conflict", []),
        }
    else:
        nearest = answer.nearest
        document["nearest"] = {
            "formula": measures_document(nearest.measures)["formula"],
            "cost_per_kg": number(nearest.measures.cost_per_kg),
            "moved_points": number(nearest.moved),
            "changes": {name: number(move) for name, move in nearest.changes.items()},
            "exact": nearest.is_exact,
        }
    document["cautions"] = list(answer.measures.cautions)
    document["remarks"] = list(answer.remarks)
    return document


def assessment_markdown(answer: Assessment) -> str:
    """The answer of `assess` as Markdown."""
    brief = answer.request.brief
    shares = answer.measures.formula
    percents = printed_shares([share.percent for share in shares])
    lines = [
        f"# {inert(answer.name)} held against {inert(brief.name)}",
        "",
        inert(verdict(answer)),
        "",
    ]
    rows = [
        (share.name, percent, money(share.price_per_kg))
        for share, percent in zip(shares, percents, strict=True)
    ]
    lines += table(("Recipe", "percent", f"{brief.currency} per kg".strip()), rows, (1, 2))
    lines += ["", "## Limits", ""]
    lines += [f"- {inert(checked_said(check))}" for check in answer.checked]
    if answer.nearest is not None and answer.nearest.changes:
        lines += [
            "",
            "## Least change",
            "",
            inert(nearest_said(answer.nearest, brief.currency)),
            "",
        ]
        lines += table(CHANGE_HEAD, change_rows(answer, answer.nearest), (1, 2, 3))
    for title, texts in (("Worth knowing", answer.remarks), ("Cautions", answer.measures.cautions)):
        if texts:
            lines += ["", f"## {title}", "", *(f"- {inert(text)}" for text in texts)]
    return "\n".join(lines) + "\n"
