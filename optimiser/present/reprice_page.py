"""The answer of `reprice` as a page with pictures."""

from __future__ import annotations

from fractions import Fraction

from optimiser.answers.limit_sweep import LimitSweep
from optimiser.answers.measures import Measures
from optimiser.answers.price_scenarios import Distribution, Scenarios
from optimiser.answers.price_sweep import PriceSweep
from optimiser.answers.repricing import Repricing
from optimiser.present.moves import shares_of
from optimiser.present.numbers import money
from optimiser.present.page import Page, Picture, Section
from optimiser.present.pictures.cost_strip import Strip, cost_strip
from optimiser.present.pictures.sweep_curve import Curve, Point, Swept, sweep_curve
from optimiser.present.price_words import in_use_words, per_kg
from optimiser.present.reprice_words import Topic, repricing_sections, repricing_title
from optimiser.present.scenario_words import MANY
from optimiser.present.sentences import bound_text
from optimiser.present.share_pictures import shares_picture
from optimiser.provenance import plain_number
from optimiser.statements import TIMES

CHEAPEST = "the cheapest formula"


def repricing_pictured(answer: Repricing) -> Page:
    """The words and tables of the terminal answer, with pictures."""
    pictures = {
        Topic.CHANGED: _changed(answer),
        Topic.PRICE_SWEPT: _price_swept(answer, answer.sweep),
        Topic.LIMIT_SWEPT: _limit_swept(answer, answer.limit_sweep),
        Topic.SCENARIOS: _spread(answer, answer.scenarios),
    }
    sections = []
    for topic, section in repricing_sections(answer).items():
        picture = pictures.get(topic)
        parts = section.parts if picture is None else [picture, *section.parts]
        sections.append(Section(section.title, parts))
    return Page(repricing_title(answer), sections)


def _changed(answer: Repricing) -> Picture | None:
    """The shares at today's and at the other prices, where they differ."""
    changed = answer.changed
    if changed is None or answer.in_use is None:
        return None
    found: Measures | None = changed.answer.measures
    if found is None and changed.over_cap is not None:
        found = changed.over_cap.measures
    if found is None or shares_of(found) == shares_of(answer.in_use):
        return None
    book = answer.request.book.ingredients
    return shares_picture("changed-prices", shares_of(answer.in_use), shares_of(found), book)


def _price_swept(answer: Repricing, sweep: PriceSweep | None) -> Picture | None:
    if sweep is None or not sweep.pieces:
        return None
    first = sweep.pieces[0]
    least = [_priced(first.start, first.cost_at_start)]
    least += [_priced(piece.end, piece.cost_at_end) for piece in sweep.pieces]
    staying = None
    if first.staying_at_start is not None:
        points = [_priced(first.start, first.staying_at_start)]
        points += [
            _priced(piece.end, piece.staying_at_end)
            for piece in sweep.pieces
            if piece.staying_at_end is not None
        ]
        staying = Curve(in_use_words(answer), points)
    name = answer.request.book.ingredients[sweep.ingredient].common_name
    is_inside = sweep.start <= sweep.today <= sweep.end
    swept = Swept(
        along=f"price of {name} ({per_kg(answer)})",
        cost=f"the formula costs ({per_kg(answer)})",
        start=float(sweep.start),
        end=float(sweep.end),
        here=float(sweep.today) if is_inside else None,
        here_said=f"{'today' if answer.changed is None else 'otherwise'} {money(sweep.today)}",
        least=Curve(CHEAPEST, least),
        staying=staying,
    )
    return _curve("price-sweep", f"The cost as the price of {name} moves", swept)


def _priced(price: Fraction, cost: Fraction) -> Point:
    return Point(float(price), money(price), float(cost), money(cost))


def _limit_swept(answer: Repricing, sweep: LimitSweep | None) -> Picture | None:
    if sweep is None or not sweep.pieces or sweep.pieces[0].start == sweep.pieces[-1].end:
        return None
    unit = "" if sweep.row.unit == TIMES else sweep.row.unit
    first = sweep.pieces[0]
    corners = [(first.start, first.cost_at_start)]
    corners += [(piece.end, piece.cost_at_end) for piece in sweep.pieces]
    least = [
        Point(float(bound), bound_text(bound, sweep.today), float(cost), money(cost))
        for bound, cost in corners
    ]
    is_inside = sweep.start <= sweep.today <= sweep.end
    said = sweep.row.statement.render(sweep.today)
    swept = Swept(
        along=f"bound ({unit})" if unit else "bound",
        cost=f"the formula costs ({per_kg(answer)})",
        start=float(sweep.start),
        end=float(sweep.end),
        here=float(sweep.today) if is_inside else None,
        here_said=f"today {plain_number(sweep.today)}",
        least=Curve(CHEAPEST, least),
    )
    return _curve("limit-sweep", f"The cost as the bound moves: {said} today", swept)


def _curve(name: str, title: str, swept: Swept) -> Picture:
    svg, description = sweep_curve(name, title, swept)
    return Picture(svg, title, description)


def _spread(answer: Repricing, found: Scenarios | None) -> Picture | None:
    if found is None or found.count == 1:
        return None
    strips = [_strip("cheapest each time", found.cost)]
    if found.staying is not None:
        strips.append(_strip(f"staying with {in_use_words(answer)}", found.staying))
    if found.cautious is not None:
        strips.append(_strip("for uncertain prices", found.cautious))
    title = f"What a kg costs over {found.count:,} scenarios"
    svg, description = cost_strip("scenarios", title, per_kg(answer), strips)
    return Picture(svg, title, description)


def _strip(name: str, found: Distribution) -> Strip:
    low, middle, high = (money(Fraction(value)) for value in (found.p05, found.p50, found.p95))
    return Strip(
        name,
        found.least,
        found.p05,
        found.p50,
        found.mean,
        found.p95,
        found.most,
        (low, middle, high),
        found.counts if sum(found.counts) >= MANY else (),
    )
