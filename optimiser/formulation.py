"""The only bridge between the trade and the mathematics: a request becomes a linear model.

Columns are the ingredients that may be used, in percent of the formula; rows are the
maker's limits, one side each, with her sentence.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from optimiser.brief import COST, End, Family, Limit, Request
from optimiser.ingredient import FAT_PHASE, Figure, Ingredient, Kind, Over, Property, Rule
from optimiser.linear_model import Coefficients, LinearModel, ModelRow, Row, Sense
from optimiser.price import Offer, cheapest_offers
from optimiser.provenance import InputError, Mistake, Origin, Statement
from optimiser.skin_content import (
    CONSTITUENTS,
    counted,
    is_known_by_certificate_alone,
    is_ruled_out,
    is_unknown,
)
from optimiser.statements import limit_statement

NOTHING = Fraction(0)
USE = "use"
"""The key of a brief that says where the product goes."""

WHOLE = 100
"""A whole formula, in percent."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """An ingredient that may not be used for want of a figure.

    Attributes:
        ingredient: Its id.
        missing: The property nobody gives for it.
        needed_by: The key path of a limit that needs the figure.
    """

    ingredient: str
    missing: str
    needed_by: str

    @property
    def is_certified(self) -> bool:
        """Whether a supplier's certificate gives what is missing."""
        return self.needed_by == USE

    @property
    def said(self) -> str:
        """What is missing and for what, behind the ingredient's name and a colon."""
        lacks = "it lacks " if self.is_certified and self.missing != CONSTITUENTS else ""
        return f"{lacks or 'nobody gives its '}{self.missing}, which {self.needed_by} needs"

    @property
    def advice(self) -> str:
        """Where to give it."""
        if self.is_certified:
            return "copy the supplier's certificate into a sheet under [shelf] certificates"
        return "give the figure in a sheet of your own"


@dataclass(frozen=True, eq=False)
class Formulation:
    """A request as a linear model, with the way back to the trade.

    Attributes:
        request: What was asked.
        model: The model; columns in percent, cost in money per kg of the formula.
        ingredients: The ingredient of each column, (n,).
        offers: The offer each column is costed at, (n,).
        limits: The limit behind each row, None for the sum to 100, (m,).
        left_out: Ingredients without a figure that a limit needs.
        remarks: What is worth telling of how the brief was taken.
    """

    request: Request
    model: LinearModel
    ingredients: tuple[Ingredient, ...]
    offers: tuple[Offer, ...]
    limits: tuple[Limit | None, ...]
    left_out: tuple[LeftOut, ...]
    remarks: tuple[str, ...]


def members(
    name: str, ingredients: Iterable[Ingredient], groups: Mapping[str, tuple[str, ...]]
) -> tuple[bool, ...]:
    """Which ingredients belong to a kind, a group or bear the id themselves."""
    chosen = set(groups.get(name, ()))
    return tuple(i.kind == name or i.id in chosen or i.id == name for i in ingredients)


def in_scope(ingredient: Ingredient, over: Over) -> bool:
    """Whether a property taken over the product or the fat phase counts this ingredient."""
    return over is Over.PRODUCT or ingredient.kind in FAT_PHASE


def formulated(request: Request) -> Formulation:
    """Build the model of a request.

    Raises:
        InputError: The brief asks for an ingredient that has no price or may not be used,
            or nothing is left to choose from.
    """
    book, brief = request.book, request.brief
    offers = cheapest_offers(request.offers)
    mistakes = _unavailable(request, offers)
    allowed = set(offers if brief.use is None else brief.use) - set(brief.leave_out)
    shelf = [book.ingredients[name] for name in sorted(allowed) if name in offers]
    left_out = _without_figures(request, shelf)
    gone = {entry.ingredient: entry for entry in left_out}
    shelf = [ingredient for ingredient in shelf if ingredient.id not in gone]
    mistakes += _asked_in_vain(request, {i.id for i in shelf}, gone)
    if not shelf and not mistakes:
        where = Origin(brief.file, None, "shelf")
        problem = "no ingredient can be used; give prices, or the figures that the limits need"
        mistakes.append(Mistake(where, problem))
    if mistakes:
        raise InputError(mistakes)
    prices: tuple[Fraction, ...] = tuple(offers[i.id].price_per_kg for i in shelf)
    limits = [limit for limit in brief.limits if _concerns(request, limit, shelf)]
    rows = [_sum_row(len(shelf))]
    rows += [limit_row(request, limit, shelf, prices) for limit in limits]
    model = LinearModel(
        columns=tuple(i.id for i in shelf),
        rows=tuple(row.row for row in rows),
        numerator=tuple(row.numerator for row in rows),
        denominator=tuple(row.denominator for row in rows),
        constant=tuple(row.constant for row in rows),
        bound=tuple(row.bound for row in rows),
        cost=Coefficients(tuple(price / WHOLE for price in prices)),
        lower=(0,) * len(shelf),
        upper=(WHOLE,) * len(shelf),
        is_integer=(False,) * len(shelf),
    )
    return Formulation(
        request=request,
        model=model,
        ingredients=tuple(shelf),
        offers=tuple(offers[i.id] for i in shelf),
        limits=(None, *limits),
        left_out=tuple(left_out),
        remarks=(
            *request.remarks,
            *_without_object(request, shelf),
            *scents_said(request, shelf),
        ),
    )


def _unavailable(request: Request, offers: Mapping[str, Offer]) -> list[Mistake]:
    """What the brief says may be used but nobody sells."""
    brief = request.brief
    where = Origin(brief.file, None, "shelf.use")
    return [
        Mistake(where, f"{name} has no row in the price list; add one, or take it off the shelf")
        for name in brief.use or ()
        if name not in offers
    ]


def _concerns(request: Request, limit: Limit, shelf: list[Ingredient]) -> bool:
    """Whether a limit is to be told; one on skin only where something counts towards it."""
    return limit.family is not Family.SKIN or any(counted(request.book, limit.of, shelf))


def _unfit_for_skin(request: Request, shelf: list[Ingredient]) -> Iterator[LeftOut]:
    """Scents that nobody describes, and those whose certificate allows nothing of them."""
    book, brief = request.book, request.brief
    if not any(limit.family is Family.SKIN for limit in brief.limits):
        return
    for ingredient in shelf:
        category = is_ruled_out(book, ingredient, brief.uses)
        if is_unknown(book, ingredient, brief.uses):
            yield LeftOut(ingredient.id, CONSTITUENTS, USE)
        elif category is not None:
            yield LeftOut(ingredient.id, f"a certificate that allows it in {category}", USE)


def scents_said(request: Request, ingredients: Iterable[Ingredient]) -> list[str]:
    """What is worth telling of scents: limits on skin that are not held, or not fully."""
    scents = [one for one in ingredients if one.kind is Kind.FRAGRANCE]
    if scents and not request.brief.uses:
        nobody = "the brief names no use" if request.brief.file else "no brief names a use"
        return [
            f"{nobody}, so limits on skin for scents are not held; write for instance "
            'use = "body, leave-on"'
        ]
    return [
        f"of {one.id} only its certificate's maxima are known: it is counted at the most of each "
        "constituent that they allow, and not at all where IFRA has no limit, as for methyl "
        "eugenol; give its constituents in [shelf] certificates"
        for one in scents
        if is_known_by_certificate_alone(request.book, one)
    ]


def _without_figures(request: Request, shelf: list[Ingredient]) -> list[LeftOut]:
    """Ingredients that lack a figure which a limit needs; none is ever taken as zero."""
    found = {(out.ingredient, out.missing): out for out in _unfit_for_skin(request, shelf)}
    for limit in request.brief.limits:
        if limit.family is not Family.PROPERTIES or limit.of == COST:
            continue
        over = request.book.properties[limit.of].over
        for ingredient in shelf:
            if limit.of not in ingredient.figures and in_scope(ingredient, over):
                key = (ingredient.id, limit.of)
                found.setdefault(key, LeftOut(ingredient.id, limit.of, limit.key))
    return sorted(found.values(), key=lambda entry: (entry.ingredient, entry.missing))


def _asked_in_vain(request: Request, shelf: set[str], gone: Mapping[str, LeftOut]) -> list[Mistake]:
    """Amounts that ask for an ingredient which cannot be used."""
    mistakes = []
    for limit in request.brief.limits:
        asks = limit.family is Family.AMOUNTS and limit.end is not End.MAX and limit.value > 0
        if not asks or limit.of in shelf or limit.of in request.brief.or_none:
            continue
        missing = gone.get(limit.of)
        if missing is not None:
            reason = f"{limit.of} cannot be used: {missing.said}; {missing.advice}"
        elif limit.of in request.brief.leave_out:
            reason = f"{limit.of} is asked for here and left out under shelf.leave_out"
        else:
            reason = f"{limit.of} is asked for but is not on the shelf or has no price"
        mistakes.append(Mistake(limit.origin, reason))
    return mistakes


def _without_object(request: Request, shelf: list[Ingredient]) -> list[str]:
    """Limits of the brief that hold nothing on this shelf."""
    remarks = []
    for limit in request.brief.limits:
        if limit.from_style or limit.family in {Family.PROPERTIES, Family.SKIN}:
            continue
        names = limit.of.split(":") if limit.family is Family.RATIOS else [limit.of]
        for name in names:
            if not any(members(name, shelf, request.brief.groups)):
                remarks.append(f"{limit.key} concerns {name}, of which nothing is on the shelf")
    return remarks


def _sum_row(n: int) -> ModelRow:
    said = Statement("total", "all shares add up to {bound} %", Origin("optimiser"))
    row = Row(said, Sense.EQUAL, "%", may_be_eased=False, is_said=False)
    return ModelRow(row, Coefficients((1,) * n), None, 1, WHOLE)


def limit_row(
    request: Request,
    limit: Limit,
    ingredients: Sequence[Ingredient],
    prices: Sequence[Fraction],
) -> ModelRow:
    """One limit over some ingredients, which have the figures and prices that it needs.

    Args:
        request: The brief and the book.
        limit: The limit.
        ingredients: What the columns stand for, (n,).
        prices: Money per kg of each, (n,).
    """
    row = limit_statement(request, limit)
    if limit.family is Family.RATIOS:
        # one : other >= r is one - r * other >= 0
        one, other = (_indicator(request, name, ingredients) for name in limit.of.split(":"))
        return ModelRow(row, one, other, 0, limit.value)
    if limit.family is Family.SKIN:
        content = Coefficients(counted(request.book, limit.of, ingredients))
        return ModelRow(row, content, None, 1, limit.value)
    if limit.family is not Family.PROPERTIES:
        return ModelRow(row, _indicator(request, limit.of, ingredients), None, 1, limit.value)
    if limit.of == COST:
        return ModelRow(row, Coefficients(tuple(prices)), None, WHOLE, limit.value)
    return _property_row(request, limit, row, ingredients)


def _property_row(
    request: Request, limit: Limit, row: Row, ingredients: Sequence[Ingredient]
) -> ModelRow:
    """A blend's property: a mean over the product or the fat phase, or mass by volume."""
    quantity = request.book.properties[limit.of]
    cautious = limit.of in request.brief.cautious
    scope = [in_scope(ingredient, quantity.over) for ingredient in ingredients]
    numbers = [
        pessimistic(ingredient.figures[limit.of], limit.end, cautious) if counts else Decimal(0)
        for ingredient, counts in zip(ingredients, scope, strict=True)
    ]
    weights = Coefficients(tuple(int(counts) for counts in scope))
    if quantity.rule is Rule.VOLUME:
        volumes = tuple(1 / Fraction(number) if number else Fraction(0) for number in numbers)
        return ModelRow(row, weights, Coefficients(volumes), 0, limit.value)
    values = Coefficients(tuple(numbers))
    if quantity.over is Over.PRODUCT:
        return ModelRow(row, values, None, WHOLE, limit.value)
    return ModelRow(row, values, weights, 0, limit.value)


def pessimistic(figure: Figure, end: End, cautious: bool) -> Decimal:
    """The figure a limit counts: the bad end of its range where the maker is cautious."""
    if not cautious or end is End.EXACTLY:
        return figure.typical
    return figure.low if end is End.MIN else figure.high


def _indicator(request: Request, name: str, ingredients: Sequence[Ingredient]) -> Coefficients:
    chosen = members(name, ingredients, request.brief.groups)
    return Coefficients(tuple(int(is_member) for is_member in chosen))


def property_level(
    quantity: Property, ingredients: tuple[Ingredient, ...], x: tuple[Fraction, ...], end: str
) -> Fraction | None:
    """What a formula measures, exactly, at one end of its figures.

    Args:
        quantity: The property.
        ingredients: The ingredient of each share.
        x: Shares in percent.
        end: `low`, `typical` or `high`.

    Returns:
        The level in the property's unit; None where a used ingredient lacks the figure or
        there is nothing to average over.
    """
    top, bottom = Fraction(0), Fraction(0)
    for ingredient, share in zip(ingredients, x, strict=True):
        if not share or not in_scope(ingredient, quantity.over):
            continue
        figure = ingredient.figures.get(quantity.id)
        if figure is None:
            return None
        number = Fraction(getattr(figure, end))
        if quantity.rule is Rule.VOLUME:
            top, bottom = top + share, bottom + share / number
        else:
            top, bottom = top + share * number, bottom + share
    if quantity.over is Over.PRODUCT and quantity.rule is Rule.MASS:
        bottom = Fraction(WHOLE)
    return top / bottom if bottom else None
