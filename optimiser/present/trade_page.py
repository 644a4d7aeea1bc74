"""The answer of `tradeoff` as a page with its curve."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from optimiser.answers.trade_off import TradeOff
from optimiser.linear_model import Row
from optimiser.present.numbers import money, significant
from optimiser.present.page import Page, Picture
from optimiser.present.pictures.sweep_curve import Curve, Point, Swept, sweep_curve
from optimiser.present.trade_words import trade_page
from optimiser.statements import TIMES


def trade_pictured(answer: TradeOff) -> Page:
    """The words and tables of the terminal answer, with the curve of the trade-off."""
    page = trade_page(answer)
    picture = _curve(answer)
    if picture is None:
        return page
    opening, stretches, *rest = page.sections
    drawn = replace(stretches, parts=[picture, *stretches.parts])
    return replace(page, sections=[opening, drawn, *rest])


def _curve(answer: TradeOff) -> Picture | None:
    """The best of the one at every level of the other, with its corners."""
    if answer.explanation is not None:
        return None
    one, other = answer.rows
    first, last = answer.stretches[0], answer.stretches[-1]
    if first.start == last.end:
        return None
    best = "most" if answer.is_most else "least"
    ends = [(first.start, first.one_at_start)]
    ends += [(stretch.end, stretch.one_at_end) for stretch in answer.stretches]
    stands = answer.stands_at
    is_inside = stands is not None and first.start <= stands[1] <= last.end
    swept = Swept(
        along=_named(answer.other, other),
        cost=_named(answer.one, one),
        start=float(first.start),
        end=float(last.end),
        here=float(stands[1]) if stands is not None and is_inside else None,
        here_said="" if stands is None else f"cheapest {_said(other, stands[1])}",
        least=Curve(
            f"the {best} {answer.one}",
            [Point(float(x), _said(other, x), float(y), _said(one, y)) for x, y in ends],
        ),
    )
    title = f"The {best} {answer.one} at every level of {answer.other}"
    svg, description = sweep_curve("trade-off", title, swept)
    return Picture(svg, title, description)


def _said(row: Row, value: Fraction) -> str:
    return money(value) if row.is_money else significant(value)


def _named(name: str, row: Row) -> str:
    unit = "" if row.unit == TIMES else row.unit
    return f"{name} ({unit})" if unit else name
