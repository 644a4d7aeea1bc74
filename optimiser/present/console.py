"""Answers as plain text for a terminal: 80 columns, legible without colour."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from optimiser.answers.cheapest import Cheapest
from optimiser.answers.measures import Level, Measures
from optimiser.brief import Brief
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

if TYPE_CHECKING:
    from optimiser.answers.impossible import Explanation

WIDTH = 80

LONGEST_NAME = 30
"""A longer name is cut in tables, so that they stay within the width."""

TOGETHER = "\u00a0"
"""Stands for a blank at which no line is broken."""


def one_line(text: str) -> str:
    """Text without line breaks or signs that a terminal would act on."""
    return "".join(sign if sign.isprintable() else " " for sign in " ".join(text.split()))


def short(name: str) -> str:
    """A name as a table shows it."""
    name = one_line(name)
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 2]}.."


def wrapped(text: str, indent: str = "", hanging: str | None = None) -> list[str]:
    """A paragraph in lines of at most `WIDTH` columns; numbers stay with their units."""
    text = one_line(text)
    for sign in ("%", ": 1", "points", "point"):
        text = text.replace(f" {sign}", f"{TOGETHER}{sign.replace(' ', TOGETHER)}")
    lines = textwrap.wrap(
        text,
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent if hanging is None else hanging,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [line.replace(TOGETHER, " ") for line in lines]


def heading(text: str) -> list[str]:
    """An underlined title."""
    title = one_line(text)
    return [title, "=" * len(title), ""]


def columns(rows: Iterable[Sequence[str]], right: Sequence[int], indent: str = "  ") -> list[str]:
    """Rows as aligned columns; the columns in `right` are flush right."""
    table = [tuple(one_line(cell) for cell in row) for row in rows]
    widths = [max(len(cell) for cell in column) for column in zip(*table, strict=True)]
    lines = []
    for row in table:
        cells = [
            cell.rjust(width) if i in right else cell.ljust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append((indent + "  ".join(cells)).rstrip())
    return lines


def cheapest_text(answer: Cheapest) -> str:
    """The answer of `formulate`."""
    brief = answer.request.brief
    lines = heading(brief.name)
    if answer.measures is None:
        lines += wrapped(no_formula_said(answer))
        lines += wrapped(proof_said(answer))
        if answer.weighed is not None:
            for said in failing_lines(answer.weighed):
                lines += wrapped(said, "  ", "    ")
        if answer.explanation is not None:
            lines += impossible_lines(answer.explanation, brief.currency, brief.style)
            if answer.weighed is not None:
                said = "All of this for shares of any size; whole steps may ask a little more."
                lines += ["", *wrapped(said)]
        lines += _left_out(answer) + _remarks(answer)
        return "\n".join(lines) + "\n"
    cost = f"{money(answer.measures.cost_per_kg)} {brief.currency}".rstrip()
    lines += wrapped(f"{opening_said(answer)} of {brief.file}: {cost} per kg.")
    lines += wrapped(proof_said(answer))
    lines += ["", *formula_lines(answer.measures, brief.currency), *_ties(answer)]
    lines += ["", *measure_lines(answer.measures)]
    lines += _skin_lines(answer.measures, brief)
    lines += ["", *_active_lines(answer)]
    if answer.weighed is None:
        lines += ["", *_price_lines(answer)]
    lines += _left_out(answer) + _remarks(answer) + caution_lines(answer.measures)
    return "\n".join(lines) + "\n"


def impossible_lines(explanation: Explanation, currency: str, style: str | None) -> list[str]:
    """Why no formula exists, and what would have to give."""
    # Most briefs can be met; these words are loaded where one cannot.
    from optimiser.present.impossible_words import (
        MORE_CONFLICTS,
        cause_said,
        clash_said,
        compromise_cost,
        move_said,
        way_out_said,
    )

    lines: list[str] = []
    if explanation.causes:
        lines += ["", "Plain arithmetic shows"]
        for cause in explanation.causes:
            lines += wrapped(cause_said(cause), "  ", "    ")
    for number, conflict in enumerate(explanation.conflicts, start=1):
        several = len(explanation.conflicts) > 1
        head = f"Conflict {number} of {len(explanation.conflicts)}: " if several else ""
        head += "these cannot be met together, though without any one the others of this list can"
        if len(conflict) == 1:
            head = "This alone cannot be met"
        lines += ["", *wrapped(head[0].upper() + head[1:])]
        for clash in conflict:
            place = place_said(clash.row, style)
            lines += wrapped(f"{clash_said(clash)}  [{place}]", "  ", "    ")
    if not explanation.is_all:
        lines += ["", *wrapped(MORE_CONFLICTS)]
    lines += ["", "Easing one alone, the others as they are"]
    enough = [way for way in explanation.ways_out if way.reachable is not None]
    for way in enough:
        lines += wrapped(way_out_said(way, currency), "  ", "    ")
    if not explanation.ways_out:
        lines += wrapped("Every statement of the conflict is firm.", "  ")
    elif len(enough) < len(explanation.ways_out):
        rest = "of these" if not enough else "of the others"
        lines += wrapped(f"None {rest} is enough by itself, however far it is eased.", "  ")
    lines += ["", "The smallest changes that make it possible, each against its own bound"]
    for move in explanation.compromise:
        lines += wrapped(move_said(move), "  ", "    ")
    if explanation.compromise:
        lines += wrapped(compromise_cost(explanation, currency), "  ", "    ")
    else:
        lines += wrapped("There are none: what may be eased is not enough.", "  ")
    return lines


def formula_lines(measures: Measures, currency: str) -> list[str]:
    """The formula, and its totals by kind."""
    rows = [(short(name), *cells) for name, *cells in formula_rows(measures, currency)]
    lines = columns(rows, right=(1, 2, 3), indent="")
    return [*lines, "", *wrapped(f"Together: {totals_said(measures)}.", hanging="  ")]


def formula_rows(measures: Measures, currency: str) -> list[tuple[str, str, str, str]]:
    """The headings, the ingredients with percent, price and part of the cost, and the sums."""
    percents = printed_shares([share.percent for share in measures.formula])
    rows = [("Formula", "percent", f"{currency} per kg".strip(), "of the cost")]
    rows += [
        (share.name, percent, money(share.price_per_kg), share_of_cost(share.cost_share))
        for share, percent in zip(measures.formula, percents, strict=True)
    ]
    whole = sum((share.percent for share in measures.formula), Fraction(0))
    return [*rows, ("together", rounded(whole, 2), money(measures.cost_per_kg), "100 %")]


def _ties(answer: Cheapest) -> list[str]:
    said = ties_said(answer)
    return wrapped(said, hanging="  ") if said else []


def measure_lines(measures: Measures) -> list[str]:
    """What the formula measures, the limited properties first."""
    lines = columns(measure_rows(measures), right=(1,), indent="")
    if any(level.is_limited for level in measures.properties):
        lines.append(HAS_LIMIT)
    for said in unmeasured_said(measures):
        lines += wrapped(said, hanging="  ")
    return lines


HAS_LIMIT = "* has a limit in this brief"


def measure_rows(measures: Measures, unmarked: str = "- ") -> list[tuple[str, str, str, str, str]]:
    """The headings, and each property with value, range, unit and how it adds up.

    Args:
        measures: The formula.
        unmarked: What stands before a property that the brief does not limit.
    """
    printed = [v for v in measures.properties if v.is_limited or v.quantity.always_printed]
    head = ("What it measures", "value", "low to high", "unit", "adds up")
    return [head, *(_measure_row(level, unmarked) for level in printed)]


def _measure_row(level: Level, unmarked: str) -> tuple[str, str, str, str, str]:
    quantity = level.quantity
    mark = "* " if level.is_limited else unmarked
    if level.value is None or level.low is None or level.high is None:
        return mark + quantity.title, "-", "no fat phase", quantity.spoken_unit, ""
    span = (
        "no range known"
        if level.low == level.high
        else f"{significant(level.low)} to {significant(level.high)}"
    )
    return (
        mark + quantity.title,
        significant(level.value),
        span,
        quantity.spoken_unit,
        ADDS_UP[quantity.trust],
    )


def _skin_lines(measures: Measures, brief: Brief) -> list[str]:
    """The levels of limits on skin; nothing where the formula adds to none."""
    if not measures.on_skin:
        return []
    # Loaded only where there is a scent.
    from optimiser.present.skin_words import HEAD, RIGHT, skin_notes, skin_rows, skin_title

    lines = ["", skin_title(brief), *columns([HEAD, *skin_rows(measures)], RIGHT), ""]
    return lines + [line for note in skin_notes(measures) for line in wrapped(note, "  ")]


def _active_lines(answer: Cheapest) -> list[str]:
    currency = answer.request.brief.currency
    lines = wrapped(limits_heading(answer))
    if not answer.active_limits:
        lines += wrapped("No limit but the sum to 100 %; the cheapest ingredients win.", "  ")
    for active in answer.active_limits:
        if is_idle(active):
            continue
        place = place_said(active.row, answer.request.brief.style)
        lines += wrapped(f"{limit_said(active)}  [{place}]", "  ", "    ")
        if active.is_absent:
            said = "There is nothing of what it concerns; this limit keeps it out."
            lines += wrapped(said, "    ")
        lines += wrapped(limit_priced(active, currency), "    ")
        eased = limit_eased(active, answer)
        lines += wrapped(eased, "    ") if eased else []
    idle = idle_said(answer)
    return lines + (wrapped(idle, "  ") if idle else [])


def _price_lines(answer: Cheapest) -> list[str]:
    names = {i.id: short(i.common_name) for i in answer.formulation.ingredients}
    unit = f"{answer.request.brief.currency} per kg".strip()
    rows = [("Prices: used", unit, "this formula stays the cheapest")]
    rows += [(names[u.ingredient], money(u.price_per_kg), stays(u)) for u in answer.used]
    lines = columns(rows, right=(1,), indent="")
    if answer.unused:
        rows = [("Prices: not used", unit, "it would come in")]
        rows += [(names[u.ingredient], money(u.price_per_kg), enters(u)) for u in answer.unused]
        lines += ["", *columns(rows, right=(1,), indent="")]
    return [*lines, EACH_ALONE]


def _left_out(answer: Cheapest) -> list[str]:
    said = left_out_said(answer)
    if not said:
        return []
    lines = [line for text in said for line in wrapped(text, "  ", "    ")]
    return ["", left_out_heading(answer), *lines]


def _remarks(answer: Cheapest) -> list[str]:
    remarks = remarks_said(answer)
    if not remarks:
        return []
    lines = [line for text in remarks for line in wrapped(text, "  ", "    ")]
    return ["", "Worth knowing", *lines]


def caution_lines(measures: Measures) -> list[str]:
    """The cautions that apply."""
    if not measures.cautions:
        return []
    lines = [line for text in measures.cautions for line in wrapped(text, "  - ", "    ")]
    return ["", "Cautions", *lines]
