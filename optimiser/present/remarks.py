"""The sentences around a formula that the terminal and Markdown share."""

from __future__ import annotations

from fractions import Fraction

from optimiser.answers.cheapest import ActiveLimit, Cheapest
from optimiser.answers.measures import Measures
from optimiser.ingredient import Kind, Trust
from optimiser.linear_model import Row
from optimiser.present.numbers import money, rounded
from optimiser.present.sentences import limit_said
from optimiser.provenance import plain_number
from optimiser.statements import PLURALS

EACH_ALONE = "Each price alone, the others as they are today."

LEFT_OUT = "Left out for want of a figure"

CERTIFIED = "; [shelf] certificates can give this"
"""What is told of scents, whose figures a sheet of one's own cannot give."""

FEW = 3

HARD_TO_WEIGH = Fraction(1, 20)
"""A share below this many percent is pointed out where the brief has no whole steps."""


ADDS_UP = {
    Trust.EXACT: "exactly",
    Trust.APPROXIMATE: "roughly",
    Trust.FITTED: "as in your trials",
}
"""How a property of the blend follows from its parts."""


def opening_said(answer: Cheapest) -> str:
    """What the formula is the cheapest of."""
    brief = answer.request.brief
    if answer.weighed is None:
        return "The cheapest formula within every limit"
    found = "" if answer.weighed.is_best or answer.weighed.is_proven else " found"
    has_steps = brief.weighing is not None and (brief.weighing.step or brief.weighing.steps)
    if has_steps:
        return f"The cheapest formula{found} that can be weighed within every limit"
    return f"The cheapest formula{found} within every limit and rule"


def no_formula_said(answer: Cheapest) -> str:
    """That there is no formula, or that none was found."""
    file = answer.request.brief.file
    if answer.status == "unsettled":
        return f"No formula was found within every limit of {file}."
    return f"No formula meets every limit of {file}."


def place_said(row: Row, style: str | None) -> str:
    """Where a limit was said: file and line, or the style that brought it."""
    if row.is_customary:
        return f"style {style}"
    where = row.statement.origin
    return where.file if where.line is None else f"{where.file}:{where.line}"


def totals_said(measures: Measures) -> str:
    """Totals by kind and group, and ratios."""
    totals = [
        f"{PLURALS[Kind(name)] if name in set(Kind) else name} {rounded(total, 2)} %"
        for name, total in measures.totals.items()
        if total
    ]
    totals += [
        f"{pair.replace(':', ' to ')} {rounded(ratio, 2)} : 1"
        for pair, ratio in measures.ratios.items()
        if ratio is not None
    ]
    return ", ".join(totals)


def ties_said(answer: Cheapest) -> str:
    """Whether other formulas cost the same, and what can move between them."""
    if answer.is_unique is None:
        return ""
    if answer.is_unique:
        return "No other formula costs as little."
    names = {i.id: i.common_name for i in answer.formulation.ingredients}
    ranges = [
        f"{names[label]} {rounded(low, 2)} to {rounded(high, 2)} %"
        for label, (low, high) in (answer.equal_cost or {}).items()
    ]
    text = "Other formulas cost the same; between them these shares can move: "
    return text + "; ".join(ranges) + "."


def unmeasured_said(measures: Measures) -> list[str]:
    """What could not be measured, and whose figures are missing."""
    unmeasured = {
        quantity.title: lacking
        for quantity, lacking in measures.unmeasured.items()
        if quantity.always_printed
    }
    names = {share.ingredient: share.name for share in measures.formula}
    said = []
    for lacking in dict.fromkeys(unmeasured.values()):
        titles = [title for title, without in unmeasured.items() if without == lacking]
        of = "; ".join(names[name] for name in lacking)
        said.append(f"Not measured, for want of figures of {of}: {', '.join(titles)}.")
    return said


def limits_heading(answer: Cheapest) -> str:
    """What the list of active limits is."""
    if answer.weighed is None:
        return "What holds it there: the limits it just meets"
    least = f"{money(answer.certificate.cost)} {answer.request.brief.currency}".strip()
    return (
        "What the limits cost with these ingredients in shares of any size, at "
        f"{least} per kg, each kept at its least dose (whole steps have no such prices, nor "
        "price ranges):"
    )


def is_idle(active: ActiveLimit) -> bool:
    """Whether a limit is just met, and easing it alone saves nothing."""
    return not active.is_felt


def idle_said(answer: Cheapest) -> str:
    """Limits that are just met and cost nothing; not those of a style that allow nothing."""
    told = [
        limit_said(active)
        for active in answer.active_limits
        if is_idle(active) and (active.bound or not active.is_from_style)
    ]
    if not told:
        return ""
    return f"Just met as well, and easing it alone saves nothing: {'; '.join(told)}."


def left_out_heading(answer: Cheapest) -> str:
    """What the list of ingredients left out is, and who can give the figures."""
    if all(out.is_certified for out in answer.left_out):
        return LEFT_OUT
    return f"{LEFT_OUT}; a sheet of your own can give it"


def left_out_said(answer: Cheapest) -> list[str]:
    """Ingredients left out, by the figure that is missing."""
    together: dict[tuple[str, str, bool], list[str]] = {}
    for out in answer.left_out:
        key = (out.missing, out.needed_by, out.is_certified)
        together.setdefault(key, []).append(out.ingredient)
    return [
        f"{missing} (needed by {needed_by}{CERTIFIED if is_certified else ''}): {', '.join(names)}"
        for (missing, needed_by, is_certified), names in together.items()
    ]


def remarks_said(answer: Cheapest) -> list[str]:
    """What else is worth knowing of how the brief was taken and the formula."""
    remarks = list(answer.formulation.remarks)
    measures = answer.measures
    if measures is None:
        return remarks
    if measures.own_figures:
        told = [_own_said(answer, name, of) for name, of in measures.own_figures.items()]
        remarks.append(f"figures of your own are used: {'; '.join(told)}")
    tiny = [s.name for s in measures.formula if s.percent < HARD_TO_WEIGH]
    if tiny and answer.weighed is None:
        remarks.append(
            f"hard to weigh: {'; '.join(tiny)}; the table [weighing] of a brief asks for whole "
            "steps and smallest doses"
        )
    return remarks


def _own_said(answer: Cheapest, name: str, of: tuple[str, ...]) -> str:
    """Own figures of one property: a few with their numbers, else how many."""
    known = {i.id: i for i in answer.formulation.ingredients}
    if len(of) > FEW:
        return f"{name} of {len(of)} ingredients"
    values = [f"{known[i].common_name} {plain_number(known[i].figures[name].typical)}" for i in of]
    return f"{name} of {', '.join(values)}"
