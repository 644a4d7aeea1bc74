"""Answers as plain text for a terminal: 80 columns, legible without colour."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from fractions import Fraction

from optimiser.answers.cheapest import Cheapest
from optimiser.answers.impossible import Explanation
from optimiser.answers.measures import Level, Measures
from optimiser.ingredient import Kind
from optimiser.present.impossible_words import (
    cause_said,
    clash_said,
    compromise_cost,
    move_said,
    way_out_said,
)
from optimiser.present.numbers import money, printed_shares, rounded, significant
from optimiser.present.sentences import (
    enters,
    failing_said,
    limit_eased,
    limit_priced,
    limit_said,
    proof_said,
    stays,
)
from optimiser.statements import PLURALS

WIDTH = 80


def wrapped(text: str, indent: str = "", hanging: str | None = None) -> list[str]:
    """A paragraph in lines of at most `WIDTH` columns."""
    rest = indent if hanging is None else hanging
    return textwrap.wrap(
        text, WIDTH, initial_indent=indent, subsequent_indent=rest, break_long_words=False
    )


def columns(rows: Iterable[Sequence[str]], right: Sequence[int], indent: str = "  ") -> list[str]:
    """Rows as aligned columns; the columns in `right` are flush right."""
    table = [tuple(row) for row in rows]
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
    lines = [brief.name, "=" * len(brief.name), ""]
    if answer.measures is None:
        lines += wrapped(f"No formula meets every limit of {brief.file}.")
        lines += wrapped(proof_said(answer))
        if answer.weighed is not None:
            rules = answer.weighed.failing
            lines += [line for rule in rules for line in wrapped(failing_said(rule), "  ", "    ")]
        if answer.explanation is not None:
            lines += impossible_lines(answer.explanation, brief.currency)
            if answer.weighed is not None:
                said = "All of this for shares of any size; whole steps may ask a little more."
                lines += ["", *wrapped(said)]
        lines += _left_out(answer) + _remarks(answer)
        return "\n".join(lines) + "\n"
    cost = f"{money(answer.measures.cost_per_kg)} {brief.currency}".rstrip()
    weighable = " that can be weighed" if answer.weighed is not None else ""
    lines += wrapped(
        f"The cheapest formula{weighable} within every limit of {brief.file}: {cost} per kg."
    )
    lines += wrapped(proof_said(answer))
    lines += ["", *formula_lines(answer.measures, brief.currency), *_ties(answer)]
    lines += ["", *measure_lines(answer.measures)]
    lines += ["", *_active_lines(answer)]
    if answer.weighed is None:
        lines += ["", *_price_lines(answer)]
    lines += _left_out(answer) + _remarks(answer) + caution_lines(answer.measures)
    return "\n".join(lines) + "\n"


def impossible_lines(explanation: Explanation, currency: str) -> list[str]:
    """Why no formula exists, and what would have to give."""
    lines: list[str] = []
    if explanation.causes:
        lines += ["", "Plain arithmetic shows"]
        for cause in explanation.causes:
            lines += wrapped(cause_said(cause), "  ", "    ")
    for number, conflict in enumerate(explanation.conflicts, start=1):
        several = len(explanation.conflicts) > 1
        head = f"Conflict {number} of {len(explanation.conflicts)}: " if several else ""
        head += "these cannot be met together; without any one of them the others can"
        if len(conflict) == 1:
            head = "This alone cannot be met"
        lines += ["", *wrapped(head[0].upper() + head[1:])]
        for clash in conflict:
            where = clash.row.statement.origin
            place = where.file if where.line is None else f"{where.file}:{where.line}"
            lines += wrapped(f"{clash_said(clash)}  [{place}]", "  ", "    ")
    lines += ["", "Easing one alone, the others as they are"]
    enough = [way for way in explanation.ways_out if way.reachable is not None]
    for way in enough:
        lines += wrapped(way_out_said(way, currency), "  ", "    ")
    if not explanation.ways_out:
        lines += wrapped("Every statement of the conflict is firm.", "  ")
    elif len(enough) < len(explanation.ways_out):
        rest = "of these" if not enough else "of the others"
        lines += wrapped(f"None {rest} is enough by itself, however far it is eased.", "  ")
    lines += ["", "Smallest compromise, each change measured against its own bound"]
    for move in explanation.compromise:
        lines += wrapped(move_said(move), "  ", "    ")
    if explanation.compromise:
        lines += wrapped(compromise_cost(explanation, currency), "  ", "    ")
    else:
        lines += wrapped("None: what may be eased is not enough.", "  ")
    return lines


def formula_lines(measures: Measures, currency: str) -> list[str]:
    """The formula, and its totals by kind."""
    percents = printed_shares([share.percent for share in measures.formula])
    rows = [("Formula", "percent", f"{currency} per kg".strip(), "of the cost")]
    rows += [
        (
            share.name,
            percent,
            money(share.price_per_kg),
            "" if share.cost_share is None else f"{rounded(share.cost_share * 100, 0)} %",
        )
        for share, percent in zip(measures.formula, percents, strict=True)
    ]
    whole = sum((share.percent for share in measures.formula), Fraction(0))
    rows.append(("", rounded(whole, 2), money(measures.cost_per_kg), "100 %"))
    lines = columns(rows, right=(1, 2, 3), indent="")
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
    return [*lines, "", *wrapped("Together: " + ", ".join(totals) + ".", hanging="  ")]


def _ties(answer: Cheapest) -> list[str]:
    if answer.is_unique is None:
        return []
    if answer.is_unique:
        return wrapped("No other formula costs as little.")
    ranges = [
        f"{label} {rounded(low, 2)} to {rounded(high, 2)}"
        for label, (low, high) in (answer.equal_cost or {}).items()
    ]
    text = "Other formulas cost the same; between them these shares can move: "
    return wrapped(text + ", ".join(ranges) + " %.", hanging="  ")


def measure_lines(measures: Measures) -> list[str]:
    """What the formula measures, the limited properties first."""
    rows = [("What it measures", "value", "by its figures", "unit", "trust")]
    printed = [v for v in measures.properties if v.is_limited or v.quantity.always_printed]
    rows += [_measure_row(level) for level in printed]
    lines = columns(rows, right=(1,), indent="")
    if any(level.is_limited for level in measures.properties):
        lines.append("* has a limit in this brief")
    unmeasured = {
        quantity.title: lacking
        for quantity, lacking in measures.unmeasured.items()
        if quantity.always_printed
    }
    for lacking in dict.fromkeys(unmeasured.values()):
        names = [title for title, without in unmeasured.items() if without == lacking]
        text = f"Not measured, for want of figures of {', '.join(lacking)}: {', '.join(names)}."
        lines += wrapped(text, hanging="  ")
    return lines


def _measure_row(level: Level) -> tuple[str, str, str, str, str]:
    quantity = level.quantity
    mark = "* " if level.is_limited else "  "
    if level.value is None or level.low is None or level.high is None:
        return mark + quantity.title, "-", "no fat phase", quantity.spoken_unit, ""
    span = (
        "one figure each"
        if level.low == level.high
        else f"{significant(level.low)} to {significant(level.high)}"
    )
    return (
        mark + quantity.title,
        significant(level.value),
        span,
        quantity.spoken_unit,
        str(quantity.trust),
    )


def _active_lines(answer: Cheapest) -> list[str]:
    currency = answer.request.brief.currency
    lines = ["What holds it there: the limits it just meets"]
    if answer.weighed is not None:
        lines = wrapped("What the limits cost, with these ingredients kept and shares of any size:")
    if not answer.active_limits:
        lines += wrapped("No limit but the sum to 100 %; the cheapest ingredients win.", "  ")
    idle = [a for a in answer.active_limits if a.is_free and not a.is_absent]
    for active in answer.active_limits:
        if active in idle:
            continue
        where = active.row.statement.origin
        place = where.file if where.line is None else f"{where.file}:{where.line}"
        lines += wrapped(f"{limit_said(active)}  [{place}]", "  ", "    ")
        if active.is_absent:
            lines += wrapped(
                "There is nothing of what it concerns; this limit keeps it out.", "    "
            )
        lines += wrapped(limit_priced(active, currency), "    ")
        eased = limit_eased(active, answer)
        lines += wrapped(eased, "    ") if eased else []
    if idle:
        said = "; ".join(limit_said(active) for active in idle)
        lines += wrapped(f"Just met as well, and easing it alone saves nothing: {said}.", "  ")
    return lines


def _price_lines(answer: Cheapest) -> list[str]:
    names = {i.id: i.common_name for i in answer.formulation.ingredients}
    unit = f"{answer.request.brief.currency} per kg".strip()
    rows = [("Prices: used", unit, "this formula stays the cheapest")]
    rows += [(names[u.ingredient], money(u.price_per_kg), stays(u)) for u in answer.used]
    lines = columns(rows, right=(1,), indent="")
    if answer.unused:
        rows = [("Prices: not used", unit, "it would come in")]
        rows += [(names[u.ingredient], money(u.price_per_kg), enters(u)) for u in answer.unused]
        lines += ["", *columns(rows, right=(1,), indent="")]
    return [*lines, "Each price alone, the others as they are today."]


def _left_out(answer: Cheapest) -> list[str]:
    if not answer.left_out:
        return []
    lines = ["", "Left out for want of a figure; a sheet of your own can give it"]
    for missing, needed_by in dict.fromkeys((o.missing, o.needed_by) for o in answer.left_out):
        names = [o.ingredient for o in answer.left_out if o.missing == missing]
        text = f"{missing} (needed by {needed_by}): {', '.join(names)}"
        lines += wrapped(text, "  ", "    ")
    return lines


def _remarks(answer: Cheapest) -> list[str]:
    own = answer.measures.own_figures if answer.measures else {}
    told = [f"{name} of {', '.join(of)}" for name, of in own.items()]
    remarks = [*answer.formulation.remarks]
    remarks += [f"your own figures are used: {'; '.join(told)}"] if told else []
    if not remarks:
        return []
    return [
        "",
        "Worth knowing",
        *(line for text in remarks for line in wrapped(text, "  ", "    ")),
    ]


def caution_lines(measures: Measures) -> list[str]:
    """The cautions that apply."""
    if not measures.cautions:
        return []
    lines = [line for text in measures.cautions for line in wrapped(text, "  - ", "    ")]
    return ["", "Cautions", *lines]
