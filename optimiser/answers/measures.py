"""What a formula is and measures: shares, totals, ratios, properties, cautions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from optimiser.brief import COST, Family
from optimiser.formulation import Formulation, in_scope, property_level
from optimiser.ingredient import Caution, Ingredient, Kind, Property

BUTTER_TO_OIL = "butter:oil"


@dataclass(frozen=True, slots=True)
class Share:
    """One ingredient of a formula.

    Attributes:
        ingredient: Its id.
        name: Its common name.
        kind: What it is in the jar.
        percent: Percent by weight of the formula, exactly.
        price_per_kg: Money per kg, delivery included, exactly.
        cost_share: Its part of the formula's cost, 0 to 1; None where the formula is free.
    """

    ingredient: str
    name: str
    kind: Kind
    percent: Fraction
    price_per_kg: Fraction
    cost_share: Fraction | None


@dataclass(frozen=True, slots=True)
class Level:
    """What a formula measures in one property.

    Attributes:
        quantity: The property.
        value: The level from the typical figures; None where the formula has no fat phase.
        low: The level with every figure at its lower end; a percentage not below 0.
        high: The level with every figure at its upper end.
        figures: How many of the figures used have each status.
        is_limited: True where the brief or style limits it.
    """

    quantity: Property
    value: Fraction | None
    low: Fraction | None
    high: Fraction | None
    figures: Mapping[str, int]
    is_limited: bool


@dataclass(frozen=True, slots=True)
class Measures:
    """All that is said of one formula, whatever question led to it.

    Attributes:
        cost_per_kg: Money per kg of the formula, exactly.
        formula: The ingredients used, the largest share first.
        totals: Percent by kind and by the brief's groups.
        ratios: Weight of one to another; None where the other is absent.
        properties: The levels that can be computed, those with a limit first.
        unmeasured: Properties that cannot be computed, with the ingredients at fault.
        own_figures: Ingredients used with figures of the maker's own, by property.
        cautions: Warnings that apply.
    """

    cost_per_kg: Fraction
    formula: tuple[Share, ...]
    totals: Mapping[str, Fraction]
    ratios: Mapping[str, Fraction | None]
    properties: tuple[Level, ...]
    unmeasured: Mapping[Property, tuple[str, ...]]
    own_figures: Mapping[str, tuple[str, ...]]
    cautions: tuple[str, ...]


def measured(formulation: Formulation, x: tuple[Fraction, ...]) -> Measures:
    """Measure a formula.

    Args:
        formulation: The request's model and ingredients.
        x: Percent of each column, exactly, (n,).
    """
    model, limits = formulation.model, formulation.request.brief.limits
    cost = model.cost_of(x)
    shares = [
        Share(
            ingredient=ingredient.id,
            name=ingredient.common_name,
            kind=ingredient.kind,
            percent=percent,
            price_per_kg=offer.price_per_kg,
            cost_share=percent * offer.price_per_kg / 100 / cost if cost else None,
        )
        for ingredient, offer, percent in zip(
            formulation.ingredients, formulation.offers, x, strict=True
        )
        if percent
    ]
    shares.sort(key=lambda share: (-share.percent, share.ingredient))
    used = tuple(i for i, percent in zip(formulation.ingredients, x, strict=True) if percent)
    parts = tuple(percent for percent in x if percent)
    levels, unmeasured = _levels(formulation, used, parts)
    pairs = [limit.of for limit in limits if limit.family is Family.RATIOS]
    return Measures(
        cost_per_kg=cost,
        formula=tuple(shares),
        totals=_totals(formulation, x),
        ratios={pair: _ratio(formulation, pair, x) for pair in (*pairs, BUTTER_TO_OIL)},
        properties=levels,
        unmeasured=unmeasured,
        own_figures=_own_figures(used),
        cautions=cautions(formulation, used, levels),
    )


def _own_figures(used: tuple[Ingredient, ...]) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for ingredient in used:
        for name, figure in ingredient.figures.items():
            if figure.status == "own":
                found[name] = (*found.get(name, ()), ingredient.id)
    return found


def _totals(formulation: Formulation, x: tuple[Fraction, ...]) -> dict[str, Fraction]:
    brief = formulation.request.brief
    limited = {limit.of for limit in brief.limits if limit.family is Family.TOTALS}
    sums = {name: _sum(formulation, name, x) for name in (*Kind, *brief.groups)}
    kept = {str(name): sums[name] for name in sums if sums[name] or name in limited}
    return kept | {name: _sum(formulation, name, x) for name in sorted(limited) if name not in kept}


def _sum(formulation: Formulation, name: str, x: tuple[Fraction, ...]) -> Fraction:
    chosen = formulation.members(name)
    return sum((part for part, inside in zip(x, chosen, strict=True) if inside), Fraction(0))


def _ratio(formulation: Formulation, pair: str, x: tuple[Fraction, ...]) -> Fraction | None:
    one, other = (_sum(formulation, name, x) for name in pair.split(":"))
    return one / other if other else None


def _levels(
    formulation: Formulation, used: tuple[Ingredient, ...], parts: tuple[Fraction, ...]
) -> tuple[tuple[Level, ...], dict[Property, tuple[str, ...]]]:
    """Every property that the used ingredients' figures allow, limited ones first."""
    limits = formulation.request.brief.limits
    limited = {limit.of for limit in limits if limit.family is Family.PROPERTIES} - {COST}
    levels: list[Level] = []
    unmeasured: dict[Property, tuple[str, ...]] = {}
    for quantity in formulation.request.book.properties.values():
        scope = [i for i in used if in_scope(i, quantity.over)]
        lacking = tuple(i.id for i in scope if quantity.id not in i.figures)
        if lacking:
            unmeasured[quantity] = lacking
            continue
        low, value, high = (
            property_level(quantity, used, parts, end) for end in ("low", "typical", "high")
        )
        if low is not None and value is not None and quantity.unit == "%":
            # The low figures of oils count what they dissolve, at most all there is.
            low = max(low, min(value, Fraction(0)))
        figures = Counter(i.figures[quantity.id].status for i in scope)
        levels.append(Level(quantity, value, low, high, figures, quantity.id in limited))
    levels.sort(key=lambda level: not level.is_limited)
    return tuple(levels), unmeasured


def cautions(
    formulation: Formulation, used: tuple[Ingredient, ...], levels: tuple[Level, ...]
) -> tuple[str, ...]:
    """The warnings that apply to a formula: first those of its own, then the general ones."""
    book, style = formulation.request.book, formulation.request.brief.style
    ids = {ingredient.id for ingredient in used}
    found = [
        f"{_listed(ids & pair.first)} with {_listed(ids & pair.second)}: {pair.note}"
        for pair in book.softening_pairs
        if ids & pair.first and ids & pair.second
    ]
    applying = [c for c in book.cautions if _applies(c, used, levels, style)]
    applying.sort(key=lambda caution: caution.when == "always")
    return tuple(dict.fromkeys([*found, *(caution.text for caution in applying)]))


def _applies(
    caution: Caution, used: tuple[Ingredient, ...], levels: tuple[Level, ...], style: str | None
) -> bool:
    if caution.when == "always":
        return True
    if caution.when == "kind":
        return any(i.kind == caution.of for i in used)
    if caution.when == "ingredient":
        return bool({i.id for i in used} & set(caution.of.split()))
    if caution.when == "style":
        return style is not None and style in caution.of.split()
    name, ceiling = caution.of.split()
    return any(
        level.quantity.id == name and level.value is not None and level.value > Fraction(ceiling)
        for level in levels
    )


def _listed(names: set[str] | frozenset[str]) -> str:
    return ", ".join(sorted(names))
