"""Every limit of a brief as a gauge: where a formula stands between its bounds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from optimiser.answers.cheapest import Cheapest
from optimiser.answers.recipe import Assessment
from optimiser.brief import COST, End, Family, Limit, Request
from optimiser.ingredient import Kind
from optimiser.present.numbers import money
from optimiser.present.page import Picture
from optimiser.present.pictures.gauges import Gauge, Standing, gauges
from optimiser.present.sentences import bound_text, easing_said
from optimiser.provenance import plain_number
from optimiser.statements import PLURALS, TIMES, skin_subject

MOST_IN_A_PICTURE = 12
"""More gauges would not fit on a sheet of paper together."""


@dataclass(frozen=True, slots=True)
class Side:
    """One side of one limit, and how a formula stands to it.

    Attributes:
        limit: The limit.
        unit: Its unit.
        level: The formula's level; None where there is none.
        is_met: Whether it is met.
        note: What a step of it costs, or nothing.
        rank: Its place in the order to be shown in.
    """

    limit: Limit
    unit: str
    level: Fraction | None
    is_met: bool
    note: str = ""
    rank: int = 0

    @property
    def bound(self) -> Fraction:
        """Its bound."""
        return Fraction(self.limit.value)


@dataclass(frozen=True, slots=True)
class Standings:
    """The gauges of a formula.

    Attributes:
        missed: Quantities with a limit that is not met.
        felt: Those with a limit that is just met and costs something.
        roomy: The others.
        nothing: What may not be in and is not, in words.
    """

    missed: tuple[Gauge, ...]
    felt: tuple[Gauge, ...]
    roomy: tuple[Gauge, ...]
    nothing: tuple[str, ...]


def cheapest_standings(answer: Cheapest) -> Standings:
    """How the formula of `formulate` stands to the limits."""
    model, request = answer.formulation.model, answer.request
    x = answer.certificate.x if answer.weighed is None else answer.weighed.x
    assert x is not None
    felt = [active for active in answer.active_limits if active.is_felt and not answer.weighed]
    notes = {
        active.row.statement.key: (easing_said(active, request.brief.currency), rank)
        for rank, active in enumerate(felt)
    }
    last = ("", len(felt))
    sides = [
        Side(limit, row.unit, model.level(i, x), True, *notes.get(row.statement.key, last))
        for i, (row, limit) in enumerate(zip(model.rows, answer.formulation.limits, strict=True))
        if limit is not None
    ]
    return _standings(request, sides)


def recipe_standings(answer: Assessment) -> Standings:
    """How a recipe stands to the limits of a brief; rules without a number have no gauge."""
    by_key = {limit.key: limit for limit in answer.request.brief.limits}
    sides = [
        Side(by_key[check.row.statement.key], check.row.unit, check.value, bool(check.is_met))
        for check in answer.checked
        if check.is_met is not None and check.row.statement.key in by_key
    ]
    return _standings(answer.request, sides)


LEGEND = {
    Standing.WITHIN: "round: with room to spare",
    Standing.JUST_MET: "diamond: just met",
    Standing.MISSED: "cross: not met",
}


def gauge_pictures(name: str, shown: Sequence[Gauge]) -> list[Picture]:
    """Gauges in as many pictures as they need."""
    pictures = []
    there = {gauge.standing for gauge in shown}
    marks = "; ".join(text for standing, text in LEGEND.items() if standing in there)
    title = f"Where it stands (band: allowed; {marks})"
    for start in range(0, len(shown), MOST_IN_A_PICTURE):
        part = shown[start : start + MOST_IN_A_PICTURE]
        svg, description = gauges(f"{name}-{start // MOST_IN_A_PICTURE + 1}", title, part)
        pictures.append(Picture(svg, title, description))
    return pictures


def _standings(request: Request, sides: Iterable[Side]) -> Standings:
    by_subject: dict[tuple[Family, str], list[Side]] = {}
    for side in sorted(sides, key=lambda side: side.rank):
        by_subject.setdefault((side.limit.family, side.limit.of), []).append(side)
    missed, felt, roomy = list[Gauge](), list[Gauge](), list[Gauge]()
    nothing: list[str] = []
    for together in by_subject.values():
        name = subject_said(request, together[0].limit)
        is_felt = any(side.note for side in together)
        if not is_felt and all(
            side.is_met and not side.bound and not side.level for side in together
        ):
            nothing.append(name)
            continue
        gauge = _gauge(request, name, together)
        if gauge is None:
            continue
        is_on_skin = together[0].limit.family is Family.SKIN
        if is_on_skin and gauge.standing is Standing.WITHIN and not is_felt:
            continue  # they have a table of their own
        kept = missed if gauge.standing is Standing.MISSED else felt if is_felt else roomy
        kept.append(gauge)
    return Standings(tuple(missed), tuple(felt), tuple(roomy), tuple(nothing))


def _gauge(request: Request, name: str, sides: Sequence[Side]) -> Gauge | None:
    """One quantity with all its bounds; None where it has no level."""
    levels = [side.level for side in sides if side.level is not None]
    if not levels:
        return None
    unit = sides[0].unit
    bounds: Mapping[End, Fraction] = {side.limit.end: side.bound for side in sides}
    exact = bounds.get(End.EXACTLY)
    least, most = bounds.get(End.MIN, exact), bounds.get(End.MAX, exact)
    standing = Standing.WITHIN
    if any(side.level == side.bound for side in sides):
        standing = Standing.JUST_MET
    if not all(side.is_met for side in sides):
        standing = Standing.MISSED
    is_money = sides[0].limit.of == COST
    nearest = {
        level: min((abs(side.bound - level), side.bound) for side in sides)[1]
        for level in (min(levels), max(levels))
    }
    said = " to ".join(
        money(level) if is_money else bound_text(level, bound) for level, bound in nearest.items()
    )
    return Gauge(
        name=name,
        said=_with_unit(said, unit),
        level=float(min(levels)),
        level_to=float(max(levels)),
        least=None if least is None else float(least),
        most=None if most is None else float(most),
        least_said="" if least is None else plain_number(least),
        most_said="" if most is None else plain_number(most),
        standing=standing,
        note="; ".join(side.note for side in sides if side.note),
    )


def _with_unit(said: str, unit: str) -> str:
    return f"{said} : 1" if unit == TIMES else f"{said} {unit}".strip()


def subject_said(request: Request, limit: Limit) -> str:
    """What a limit is about."""
    if limit.family is Family.RATIOS:
        return " to ".join(_collective(name) for name in limit.of.split(":"))
    if limit.family is Family.TOTALS:
        return f"{_collective(limit.of)} together"
    if limit.family is Family.AMOUNTS:
        return request.book.ingredients[limit.of].common_name
    if limit.family is Family.SKIN:
        return skin_subject(request, limit)
    return limit.of if limit.of == COST else request.book.properties[limit.of].title


def _collective(name: str) -> str:
    return PLURALS[Kind(name)] if name in set(Kind) else name
