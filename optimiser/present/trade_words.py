"""How much of one quantity buys how much of another, in words, tables and JSON."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from optimiser.answers.measures import Measures
from optimiser.answers.trade_off import Stretch, TradeOff
from optimiser.linear_model import Row
from optimiser.present.abreast import rows_abreast
from optimiser.present.answer_json import exact, number
from optimiser.present.moves import shares_of
from optimiser.present.numbers import money, significant, small_money
from optimiser.present.page import Items, Page, Paragraph, Part, Section, Table
from optimiser.present.reprice_words import DRAFT
from optimiser.present.stretches import is_short, runs, span_said
from optimiser.provenance import plain_number
from optimiser.statements import TIMES

JUMP = 2
"""A price of a step that grows by this factor at a corner is pointed out."""

ABREAST = 5
"""So many formulas stand side by side in a table."""


def trade_page(answer: TradeOff) -> Page:
    """The answer of `tradeoff`."""
    brief = answer.request.brief
    sections = [
        Section("", [Paragraph(_opening(answer))]),
        Section(_heading(answer), _stretch_parts(answer)),
        Section("The formulas at the corners (percent)", _corner_tables(answer)),
        Section("Worth knowing", [Items(_notes(answer))]),
    ]
    return Page(f"{brief.name}: {answer.one} against {answer.other}", sections)


def _opening(answer: TradeOff) -> str:
    best = "most" if answer.is_most else "least"
    file = answer.request.brief.file
    text = f"The {best} {answer.one} at every level of {answer.other}, within {file}."
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
    rows = []
    for run in found:
        start, end = run[0], run[-1]
        ends = (_value(one, start.one_at_start), _value(one, end.one_at_end))
        rows.append(
            (
                _span(other, start.start, end.end),
                ends[0] if ends[0] == ends[1] else " to ".join(ends),
                _each(answer, run),
            )
        )
    in_unit = f"{answer.one} in {_unit(one)}; a step" if _unit(one) else "a step"
    said = f"{in_unit} of {answer.other} is {step}."
    parts: list[Part] = [Table(head, rows), Paragraph(f"{said[:1].upper()}{said[1:]}")]
    parts += [Paragraph(text) for text in (_best_said(answer), _jump_said(answer)) if text]
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
    """Where the one is best of all."""
    pick = max if answer.is_most else min
    best = pick(value for s in answer.stretches for value in (s.one_at_start, s.one_at_end))
    places = [
        place
        for s in answer.stretches
        for place, value in ((s.start, s.one_at_start), (s.end, s.one_at_end))
        if value == best
    ]
    one, other = answer.rows
    low, high = min(places), max(places)
    where = _with_unit(other, low)
    if low != high:
        where = f"{_span(other, low, high)} {_unit(other)}"
    word = "most" if answer.is_most else "least"
    return f"The {word} of all, {_with_unit(one, best)}, is at {where.rstrip()}."


def _jump_said(answer: TradeOff) -> str:
    """The corner at which the price of a step grows most, where it grows much."""
    one, other = answer.rows
    found = [
        run
        for run in runs(answer.stretches, other.step)
        if not is_short(run[0].start, run[-1].end, other.step)
    ]
    worst: tuple[Fraction, str] | None = None
    for left, right in zip(found, found[1:], strict=False):
        # The nearer to the best, the cheaper a step; the corner parts a cheap from a dear one.
        slopes = [
            (run[-1].one_at_end - run[0].one_at_start) / (run[-1].end - run[0].start)
            for run in (left, right)
        ]
        if slopes[0] * slopes[1] <= 0:  # across the best a saving turns into a cost
            continue
        prices = [abs(slope) for slope in slopes]
        cheap, dear = sorted(prices)
        if left[-1].end != right[0].start or not cheap or dear < JUMP * cheap:
            continue
        if worst is None or dear / cheap > worst[0]:
            above = prices[1] > prices[0]
            place = _with_unit(other, left[-1].end)
            step = f"{plain_number(other.step)} {_unit(other)}".rstrip()
            worst = (
                dear / cheap,
                f"The price jumps at {place}: {'above' if above else 'below'} it each {step} "
                f"costs {_amount(one, dear * other.step)} in place of "
                f"{_amount(one, cheap * other.step)}.",
            )
    return "" if worst is None else worst[1]


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
    if answer.request.brief.has_choices:
        notes.append(
            "Shares of any size: whole steps, counts and either-or of the brief are not regarded."
        )
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
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*reversed(answer.keys), *names])
    for corner in document["corners"]:
        shares = {share["ingredient"]: share["percent"] for share in corner["formula"]}
        row = [corner["other"], corner["one"], *(shares.get(name, 0.0) for name in names)]
        writer.writerow(row)
    return out.getvalue()
