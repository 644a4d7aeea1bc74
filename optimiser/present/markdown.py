"""Answers as Markdown: the same words and tables as the terminal, to keep or to paste."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from optimiser.answers.cheapest import Cheapest
from optimiser.answers.impossible import Explanation
from optimiser.answers.measures import Level, Measures
from optimiser.brief import Brief
from optimiser.present.console import one_line
from optimiser.present.impossible_words import (
    MORE_CONFLICTS,
    cause_said,
    clash_said,
    compromise_cost,
    move_said,
    way_out_said,
)
from optimiser.present.numbers import money, printed_shares, rounded, share_of_cost, significant
from optimiser.present.remarks import (
    ADDS_UP,
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
from optimiser.present.sentences import (
    enters,
    failing_lines,
    limit_eased,
    limit_priced,
    limit_said,
    proof_said,
    stays,
)

ESCAPED = str.maketrans({c: f"\\{c}" for c in "\\`*_[]|#~"} | {"<": "&lt;", "&": "&amp;"})


def inert(text: str) -> str:
    """Text that Markdown shows as it is, on one line."""
    return one_line(text.translate(ESCAPED))


def table(head: Sequence[str], rows: Sequence[Sequence[str]], right: Sequence[int]) -> list[str]:
    """A pipe table; the columns in `right` are flush right."""
    rule = ["---:" if i in right else "---" for i in range(len(head))]
    said = [[inert(cell) for cell in row] for row in (head, *rows)]
    cells = [said[0], rule, *said[1:]]
    return [f"| {' | '.join(row)} |" for row in cells]


def cheapest_markdown(answer: Cheapest) -> str:
    """The answer of `formulate`."""
    brief = answer.request.brief
    lines = [f"# {inert(brief.name)}", ""]
    if answer.measures is None:
        lines += [inert(no_formula_said(answer)), "", proof_said(answer)]
        if answer.weighed is not None:
            lines += ["", *(f"- {inert(said)}" for said in failing_lines(answer.weighed))]
        if answer.explanation is not None:
            lines += impossible_markdown(answer.explanation, brief.currency)
    else:
        cost = f"{money(answer.measures.cost_per_kg)} {inert(brief.currency)}".rstrip()
        lines += [f"{opening_said(answer)} costs **{cost} per kg**.", ""]
        lines += [proof_said(answer), ""]
        lines += _formula(answer.measures, brief.currency)
        lines += ["", inert(f"Together: {totals_said(answer.measures)}."), inert(ties_said(answer))]
        lines += ["", *_properties(answer.measures)]
        lines += _on_skin(answer.measures, brief)
        lines += ["", *_limits(answer)]
        lines += ["", *_prices(answer)] if answer.weighed is None else []
    for title, texts in (
        (left_out_heading(answer), left_out_said(answer)),
        ("Worth knowing", remarks_said(answer)),
    ):
        if texts:
            lines += ["", f"## {title}", "", *(f"- {inert(text)}" for text in texts)]
    if answer.measures is not None and answer.measures.cautions:
        lines += ["", "## Cautions", ""]
        lines += [f"- {inert(text)}" for text in answer.measures.cautions]
    return "\n".join(lines) + "\n"


def impossible_said(explanation: Explanation, currency: str) -> list[tuple[str, list[str]]]:
    """Why a brief cannot be met, and what would have to give: titles with their sentences."""
    parts = [("Plain arithmetic shows", [cause_said(c) for c in explanation.causes])]
    for number, conflict in enumerate(explanation.conflicts, start=1):
        said = [
            f"{clash_said(c)} ({c.row.statement.origin.file}, {c.row.statement.key})"
            for c in conflict
        ]
        parts.append((f"Conflict {number}: these cannot be met together", said))
    if not explanation.is_all:
        parts.append(("More conflicts", [MORE_CONFLICTS]))
    parts.append(
        ("Easing one alone", [way_out_said(way, currency) for way in explanation.ways_out])
    )
    moves = [move_said(move) for move in explanation.compromise]
    if moves:
        moves.append(compromise_cost(explanation, currency))
    parts.append(("Smallest compromise", moves))
    return [(title, texts) for title, texts in parts if texts]


def impossible_markdown(explanation: Explanation, currency: str) -> list[str]:
    """Why a brief cannot be met, and what would have to give."""
    lines = []
    for title, texts in impossible_said(explanation, currency):
        lines += ["", f"## {title}", "", *(f"- {inert(text)}" for text in texts)]
    return lines


def _on_skin(measures: Measures, brief: Brief) -> list[str]:
    """The levels of limits on skin; nothing where the formula adds to none."""
    if not measures.on_skin:
        return []
    # Loaded only where there is a scent.
    from optimiser.present.skin_words import HEAD, RIGHT, skin_notes, skin_rows, skin_title

    lines = [
        "",
        f"## {inert(skin_title(brief))}",
        "",
        *table(list(HEAD), skin_rows(measures), RIGHT),
    ]
    return lines + [part for note in skin_notes(measures) for part in ("", inert(note))]


def _formula(measures: Measures, currency: str) -> list[str]:
    percents = printed_shares([share.percent for share in measures.formula])
    rows = [
        (
            share.name,
            percent,
            money(share.price_per_kg),
            share_of_cost(share.cost_share),
        )
        for share, percent in zip(measures.formula, percents, strict=True)
    ]
    whole = sum((share.percent for share in measures.formula), Fraction(0))
    rows.append(("Together", rounded(whole, 2), money(measures.cost_per_kg), "100 %"))
    price = f"{currency} per kg".strip()
    head = ("Formula", "percent", price, "of the cost")
    return table(head, rows, right=(1, 2, 3))


def _properties(measures: Measures) -> list[str]:
    head = ("It measures", "value", "low to high", "unit", "adds up")
    printed = [v for v in measures.properties if v.is_limited or v.quantity.always_printed]
    lines = table(head, [_property(level) for level in printed], right=(1,))
    unmeasured = unmeasured_said(measures)
    return lines + (["", *(inert(text) for text in unmeasured)] if unmeasured else [])


def _property(level: Level) -> tuple[str, str, str, str, str]:
    quantity = level.quantity
    if level.value is None or level.low is None or level.high is None:
        return quantity.title, "-", "no fat phase", quantity.spoken_unit, ""
    span = f"{significant(level.low)} to {significant(level.high)}"
    title = f"{quantity.title} (limited)" if level.is_limited else quantity.title
    return title, significant(level.value), span, quantity.spoken_unit, ADDS_UP[quantity.trust]


def _limits(answer: Cheapest) -> list[str]:
    lines = [f"## {inert(limits_heading(answer))}", ""]
    if not answer.active_limits:
        lines.append("No limit but the sum to 100 %; the cheapest ingredients win.")
    for active in answer.active_limits:
        if is_idle(active):
            continue
        eased = limit_eased(active, answer) or ""
        priced = limit_priced(active, answer.request.brief.currency)
        where = inert(place_said(active.row, answer.request.brief.style))
        lines.append(f"- **{inert(limit_said(active))}** ({where}): {inert(f'{priced} {eased}')}")
    idle = idle_said(answer)
    return lines + ([f"- {inert(idle)}"] if idle else [])


def _prices(answer: Cheapest) -> list[str]:
    names = {i.id: i.common_name for i in answer.formulation.ingredients}
    unit = f"{answer.request.brief.currency} per kg".strip()
    used = [(names[u.ingredient], money(u.price_per_kg), stays(u)) for u in answer.used]
    lines = ["## Prices", "", *table(("Used", unit, "it stays the cheapest"), used, right=(1,))]
    if answer.unused:
        unused = [(names[u.ingredient], money(u.price_per_kg), enters(u)) for u in answer.unused]
        lines += ["", *table(("Not used", unit, "it would come in"), unused, right=(1,))]
    return [*lines, "", EACH_ALONE]
