"""How much of one quantity buys how much of another, in words, tables and JSON."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from optimiser.answers.impossible import Explanation
from optimiser.answers.measures import Measures
from optimiser.answers.trade_off import Stretch, TradeOff
from optimiser.linear_model import Row
from optimiser.present.abreast import rows_abreast
from optimiser.present.answer_json import exact, impossible_document, number
from optimiser.present.csv_text import csv_text
from optimiser.present.impossible_words import MORE_CONFLICTS, clash_said
from optimiser.present.moves import shares_of
from optimiser.present.numbers import money, significant, small_money
from optimiser.present.page import Footnote, Items, Page, Paragraph, Part, Section, Table
from optimiser.present.remarks import place_said
from optimiser.present.reprice_words import DRAFT
from optimiser.present.stretches import is_short, runs, span_said
from optimiser.provenance import plain_number
from optimiser.statements import TIMES

JUMP = 2
"""What a step costs is pointed out where it grows by this factor at a corner."""

MOST_JUMPS = 3
"""So many of these corners are named, those with the largest factors."""

ABREAST = 5
"""So many formulas stand side by side in a table."""


def trade_page(answer: TradeOff) -> Page:
    """The answer of `tradeoff`."""
    brief = answer.request.brief
    title = f"{brief.name}: {answer.one} against {answer.other}"
    if answer.explanation is not None:
        return Page(title, _impossible(answer, answer.explanation))
    sections = [
        Section("", [Paragraph(_opening(answer))]),
        Section(_heading(answer), _stretch_parts(answer)),
        Section("The formulas at the corners (percent)", _corner_tables(answer)),
        Section("Worth knowing", [Items(_notes(answer))]),
    ]
    return Page(title, sections)


def _impossible(answer: TradeOff, explanation: Explanation) -> list[Section]:
    """Why there is no formula at all, whatever the two quantities may be."""
    opening = (
        f"No formula meets the other limits of {answer.request.brief.file}, whatever "
        f"{answer.one} and {answer.other} may be."
    )
    sections, style = [Section("", [Paragraph(opening)])], answer.request.brief.style
    for place, conflict in enumerate(explanation.conflicts, start=1):
        several = len(explanation.conflicts) > 1
        title = f"Conflict {place}: these" if several else "These"
        said = [f"{clash_said(clash)} [{place_said(clash.row, style)}]" for clash in conflict]
        sections.append(Section(f"{title} cannot be met together", [Items(said)]))
    if not explanation.is_all:
        sections.append(Section("More conflicts", [Paragraph(MORE_CONFLICTS)]))
    if answer.request.remarks:
        sections.append(Section("Worth knowing", [Items(list(answer.request.remarks))]))
    return sections


def _opening(answer: TradeOff) -> str:
    best = "most" if answer.is_most else "least"
    file = answer.request.brief.file
    text = f"The {best} {answer.one} at every level of {answer.other}, within {file}"
    if answer.request.brief.has_choices:
        text += ", in shares of any size (whole steps, counts and either-or are not regarded)"
    text += "."
    if answer.aside:
        told = "; ".join(row.statement.render(bound) for row, bound in answer.aside)
        text += f" Its own limits on the two are left aside: {told}."
    if answer.stands_at is not None:
        one, other = (
            _with_unit(row, value) for row, value in zip(answer.rows, answer.stands_at, strict=True)
        )
        text += f" Its cheapest formula stands at {answer.one} {one} and {answer.other} {other}."
    return text


def _value(row: Row, value: Fraction) -> str:
    return money(value) if row.is_money else significant(value, 4)


def _unit(row: Row) -> str:
    return "" if row.unit == TIMES else row.unit


def _with_unit(row: Row, value: Fraction) -> str:
    return f"{_value(row, value)} {_unit(row)}".rstrip()


def _span(row: Row, start: Fraction, end: Fraction) -> str:
    texts = _value(row, start), _value(row, end)
    return span_said(row, start, end) if texts[0] == texts[1] else " to ".join(texts)


def _heading(answer: TradeOff) -> str:
    first, last = answer.stretches[0], answer.stretches[-1]
    row = answer.rows[1]
    return (
        f"{answer.other[:1].upper()}{answer.other[1:]} from {_value(row, first.start)} to "
        f"{_with_unit(row, last.end)}"
    )


def _stretch_parts(answer: TradeOff) -> list[Part]:
    one, other = answer.rows
    found = runs(answer.stretches, other.step)
    step = f"{plain_number(other.step)} {_unit(other)}".rstrip()
    head = (answer.other, answer.one, "each step more")
    is_starred, rows = False, []
    stands = None if answer.stands_at is None else answer.stands_at[1]
    for run in found:
        start, end = run[0], run[-1]
        is_here = stands is not None and start.start <= stands <= end.end and not is_starred
        is_starred = is_starred or is_here
        ends = (_value(one, start.one_at_start), _value(one, end.one_at_end))
        rows.append(
            (
                _span(other, start.start, end.end) + (" *" if is_here else ""),
                ends[0] if ends[0] == ends[1] else " to ".join(ends),
                _each(answer, run),
            )
        )
    in_unit = f"{answer.one} in {_unit(one)}; a step" if _unit(one) else "a step"
    said = f"{in_unit} of {answer.other} is {step}."
    parts: list[Part] = [Table(head, rows), Paragraph(f"{said[:1].upper()}{said[1:]}")]
    if is_starred:
        parts.append(Footnote("* the brief's own cheapest formula stands here."))
    parts.append(Paragraph(_best_said(answer)))
    jumps = _jumps_said(answer)
    parts += [Items(jumps)] if jumps else []
    return parts


def _each(answer: TradeOff, run: Sequence[Stretch]) -> str:
    """What a step of the other costs of the one in a stretch."""
    one, other = answer.rows
    change = run[-1].one_at_end - run[0].one_at_start
    if run[0].start == run[-1].end:
        return ""
    if not change:
        return "changes nothing"
    if _value(one, run[0].one_at_start) == _value(one, run[-1].one_at_end):
        return "next to nothing"
    wide = run[-1].end - run[0].start
    sign = "+" if change > 0 else "-"
    if not wide or is_short(run[0].start, run[-1].end, other.step):
        return f"{sign}{_amount(one, abs(change))} in all"
    average = "" if len(run) == 1 and run[0].per_unit is not None else " on average"
    return f"{sign}{_amount(one, abs(change) * other.step / wide)}{average}"


def _amount(row: Row, value: Fraction) -> str:
    return small_money(value) if row.is_money else significant(value)


def _best_said(answer: TradeOff) -> str:
    """Where the one is best of all, to three digits."""
    one, other = answer.rows
    pick = max if answer.is_most else min
    best = pick(value for s in answer.stretches for value in (s.one_at_start, s.one_at_end))
    told = _coarse(one, best)
    places = [
        place
        for s in answer.stretches
        for place, value in ((s.start, s.one_at_start), (s.end, s.one_at_end))
        if _coarse(one, value) == told
    ]
    low, high = min(places), max(places)
    where = _with_unit(other, low)
    if low != high:
        where = f"{_span(other, low, high)} {_unit(other)}"
    word = "most" if answer.is_most else "least"
    return f"The {word} of all, {told} {_unit(one)}".rstrip() + f", is at {where.rstrip()}."


def _coarse(row: Row, value: Fraction) -> str:
    return money(value) if row.is_money else significant(value)


def _jumps_said(answer: TradeOff) -> list[str]:
    """The corners at which what a step costs grows much, in the order of the other."""
    one, other = answer.rows
    found = [
        run
        for run in runs(answer.stretches, other.step)
        if not is_short(run[0].start, run[-1].end, other.step)
    ]
    said: list[tuple[Fraction, int, str]] = []
    for left, right in zip(found, found[1:], strict=False):
        slopes = [
            (run[-1].one_at_end - run[0].one_at_start) / (run[-1].end - run[0].start)
            for run in (left, right)
        ]
        if slopes[0] * slopes[1] <= 0:  # across the best a saving turns into a cost
            continue
        cheap, dear = sorted(abs(slope) for slope in slopes)
        told = [_amount(one, slope * other.step) for slope in (dear, cheap)]
        if left[-1].end != right[0].start or dear < JUMP * cheap or told[0] == told[1]:
            continue
        above = abs(slopes[1]) > abs(slopes[0])
        steep = right if above else left
        if _value(one, steep[0].one_at_start) == _value(one, steep[-1].one_at_end):
            continue
        step = f"{plain_number(other.step)} {_unit(other)}".rstrip()
        verb = "costs" if one.is_money else "moves it by"
        text = (
            f"A jump at {_with_unit(other, left[-1].end)}: {'above' if above else 'below'} it each "
            f"{step} {verb} {told[0]} in place of {told[1]}."
        )
        said.append((-dear / cheap, len(said), text))
    return [text for _, _, text in sorted(sorted(said)[:MOST_JUMPS], key=lambda jump: jump[1])]


def _corners(answer: TradeOff) -> list[tuple[Fraction, Fraction, Measures]]:
    """The corners worth a column: the ends of runs, each once."""
    found: list[tuple[Fraction, Fraction, Measures]] = []
    for run in runs(answer.stretches, answer.rows[1].step):
        for corner in (
            (run[0].start, run[0].one_at_start, run[0].at_start),
            (run[-1].end, run[-1].one_at_end, run[-1].at_end),
        ):
            # One level may have two formulas: the end of one edge and the start of the next.
            if not found or not _is_same(found[-1], corner):
                found.append(corner)
    return found


def _is_same(
    left: tuple[Fraction, Fraction, Measures], right: tuple[Fraction, Fraction, Measures]
) -> bool:
    return left[:2] == right[:2] and shares_of(left[2]) == shares_of(right[2])


def _corner_tables(answer: TradeOff) -> list[Part]:
    """The formulas at the corners, a few abreast."""
    one, other = answer.rows
    found, book = _corners(answer), answer.request.book
    tables: list[Part] = []
    for begin in range(0, len(found), ABREAST):
        group = found[begin : begin + ABREAST]
        rows = rows_abreast([measures for _, _, measures in group], book)
        rows.append((answer.one, *(_value(one, value) for _, value, _ in group)))
        head = (answer.other, *_told_apart(other, [level for level, _, _ in group]))
        tables.append(Table(head, rows, right=range(1, len(head))))
    return tables


def _told_apart(row: Row, levels: Sequence[Fraction]) -> list[str]:
    """Levels with as many digits as tell neighbours apart."""
    texts: list[str] = []
    for digits in range(4, 10):
        texts = [money(v) if row.is_money else significant(v, digits) for v in levels]
        if row.is_money or len(set(texts)) == len(set(levels)):
            break
    return texts


def _notes(answer: TradeOff) -> list[str]:
    notes = [
        "Proven in exact arithmetic: no formula within the limits lies beyond this line. Along a "
        "stretch the formula is a mixture of those at its ends; stretches too short to tell apart "
        "are told as one."
    ]
    if answer.left_out:
        names = ", ".join(dict.fromkeys(out.ingredient for out in answer.left_out))
        notes.append(f"Left out for want of a figure: {names}.")
    return [*notes, "Levels are those of typical figures.", *answer.request.remarks, DRAFT]


def trade_document(answer: TradeOff) -> dict[str, Any]:
    """The answer of `tradeoff` as JSON."""

    def formula(measures: Measures) -> list[dict[str, Any]]:
        return [
            {"ingredient": s.ingredient, "percent": number(s.percent)} for s in measures.formula
        ]

    corners: list[dict[str, Any]] = []
    for s in answer.stretches:
        for level, value, measures in (
            (s.start, s.one_at_start, s.at_start),
            (s.end, s.one_at_end, s.at_end),
        ):
            corner = {
                "one": number(value),
                "other": number(level),
                "one_exact": exact(value),
                "other_exact": exact(level),
                "formula": formula(measures),
            }
            if not corners or corners[-1] != corner:
                corners.append(corner)
    stands = answer.stands_at
    if answer.explanation is not None:
        currency = answer.request.brief.currency
        impossible = impossible_document(answer.explanation, currency)
        pair = {"one": answer.keys[0], "other": answer.keys[1]}
        told = {**pair, "status": "infeasible", "remarks": list(answer.request.remarks)}
        return {"brief": answer.request.brief.name, **told} | impossible
    return {
        "brief": answer.request.brief.name,
        "one": answer.keys[0],
        "other": answer.keys[1],
        "best": "most" if answer.is_most else "least",
        "units": [row.unit for row in answer.rows],
        "corners": corners,
        "slopes": [
            {"from": number(s.start), "to": number(s.end), "per_unit": number(s.per_unit)}
            for s in answer.stretches
            if s.start != s.end
        ],
        "limits_aside": [row.statement.key for row, _ in answer.aside],
        "stands_at": None
        if stands is None
        else {"one": number(stands[0]), "other": number(stands[1])},
        "left_out": [
            {"ingredient": out.ingredient, "missing": out.missing, "needed_by": out.needed_by}
            for out in answer.left_out
        ],
        "remarks": list(answer.request.remarks),
    }


def trade_csv(answer: TradeOff) -> str:
    """The corners as a table: other, one, and percent by ingredient."""
    document = trade_document(answer)
    largest: dict[str, float] = {}
    for corner in document["corners"]:
        for share in corner["formula"]:
            name = share["ingredient"]
            largest[name] = max(largest.get(name, 0.0), share["percent"])
    names = sorted(largest, key=lambda name: (-largest[name], name))
    rows: list[list[object]] = [[*reversed(answer.keys), *names]]
    for corner in document["corners"]:
        shares = {share["ingredient"]: share["percent"] for share in corner["formula"]}
        rows.append([corner["other"], corner["one"], *(shares.get(n, 0.0) for n in names)])
    return csv_text(rows)
