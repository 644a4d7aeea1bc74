"""What a limit says: its sentence, side, unit, and the step by which a maker would move it."""

from __future__ import annotations

from fractions import Fraction

from optimiser.brief import COST, End, Family, Limit, Request
from optimiser.ingredient import Kind
from optimiser.linear_model import Row, Sense
from optimiser.provenance import Statement
from optimiser.skin import Counted
from optimiser.skin_content import certified_category, rows_of

NOTHING = Fraction(0)
SENSES = {End.MIN: Sense.AT_LEAST, End.MAX: Sense.AT_MOST, End.EXACTLY: Sense.EQUAL}
WORDS = {End.MIN: "at least", End.MAX: "at most", End.EXACTLY: "exactly"}

STEP_OF_SHARES = Fraction(1)
"""A limit on shares moves by one percentage point, or a tenth where it is small."""
SMALL_SHARE = 4
STEP_OF_RATIOS = Fraction(1, 10)
STEP_OF_COST = Fraction(1, 10)

TIMES = "times"
"""The unit of a ratio."""

PLURALS = {
    Kind.BUTTER: "butters",
    Kind.OIL: "oils",
    Kind.WAX: "waxes",
    Kind.POWDER: "powders",
    Kind.ANTIOXIDANT: "antioxidants",
    Kind.FRAGRANCE: "fragrances",
    Kind.COLOUR: "colours",
    Kind.EXFOLIANT: "exfoliants",
    Kind.OTHER: "other ingredients",
}


def quantity_said(request: Request, limit: Limit) -> str:
    """What a limit is on, in a word or two."""
    if limit.family is Family.RATIOS:
        return " to ".join(_collective(name) for name in limit.of.split(":"))
    if limit.family is Family.PROPERTIES:
        return COST if limit.of == COST else request.book.properties[limit.of].title
    if limit.family is Family.SKIN:
        return skin_subject(request, limit)
    known = request.book.ingredients.get(limit.of)
    is_collective = limit.of in set(Kind) or limit.of in request.brief.groups
    return _collective(limit.of) if is_collective or known is None else known.common_name


def limit_statement(request: Request, limit: Limit) -> Row:
    """A limit as a row says it, apart from its numbers."""
    if limit.family is Family.RATIOS:
        one, other = (_literal(_collective(name)) for name in limit.of.split(":"))
        template = f"{one} {WORDS[limit.end]} {{bound}} times {other} by weight"
        return _said(limit, template, TIMES, STEP_OF_RATIOS)
    if limit.family is Family.SKIN:
        return _skin_row(request, limit)
    if limit.family is not Family.PROPERTIES:
        step = STEP_OF_SHARES if limit.value >= SMALL_SHARE else STEP_OF_SHARES / 10
        if limit.family is Family.TOTALS:
            return _row(limit, f"{_collective(limit.of)} together", "%", step)
        return _row(limit, request.book.ingredients[limit.of].common_name, "%", step)
    if limit.of == COST:
        return _row(limit, "cost", f"{request.brief.currency} per kg".strip(), STEP_OF_COST)
    quantity = request.book.properties[limit.of]
    cautious = limit.of in request.brief.cautious
    return _row(limit, quantity.title, quantity.spoken_unit, Fraction(quantity.step), cautious)


def _skin_row(request: Request, limit: Limit) -> Row:
    """A limit on skin with the rule and how it was read, so that nobody takes it for the law."""
    step = Fraction(limit.value) / 10 or STEP_OF_SHARES / 100
    subject = _literal(skin_subject(request, limit))
    rows = rows_of(request.book, limit.of)
    unit = "%" if rows and rows[0].of is Counted.CONSTITUENTS else ""
    template = f"{subject} at most {{bound}} {unit}".rstrip()
    sources = [row for row in rows if row.origin == limit.origin]
    if sources:
        template += f" ({_literal(sources[0].locator)}, {_literal(sources[0].status)})"
    return _said(limit, template, unit, step)


def skin_subject(request: Request, limit: Limit) -> str:
    """What a limit on skin is about."""
    category = certified_category(limit.of)
    if category is not None:
        return f"scents, each as a part of its certificate's maximum in {category}, together"
    return rows_of(request.book, limit.of)[0].title


def _row(limit: Limit, subject: str, unit: str, step: Fraction, cautious: bool = False) -> Row:
    template = f"{_literal(subject)} {WORDS[limit.end]} {{bound}} {_literal(unit)}".rstrip()
    if cautious and limit.end is not End.EXACTLY:
        template += f", counted at the {'low' if limit.end is End.MIN else 'high'} figures"
    return _said(limit, template, unit, step)


def _said(limit: Limit, template: str, unit: str, step: Fraction) -> Row:
    return Row(
        statement=Statement(limit.key, template, limit.origin),
        sense=SENSES[limit.end],
        unit=unit,
        may_be_eased=not limit.firm,
        step=step,
        least=None if limit.family is Family.PROPERTIES and limit.of != COST else NOTHING,
        is_customary=limit.from_style,
        is_money=limit.family is Family.PROPERTIES and limit.of == COST,
    )


def _literal(text: str) -> str:
    """Text in which braces stand for themselves when a template is filled."""
    return text.replace("{", "{{").replace("}", "}}")


def _collective(name: str) -> str:
    """A kind as the trade says it in the plural; a group by its own name."""
    return PLURALS[Kind(name)] if name in set(Kind) else name
