"""What a formula is and measures: shares, totals, ratios, properties, cautions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from optimiser.answers.on_skin import SkinLevel, on_skin, skin_advice
from optimiser.brief import COST, Family, Request
from optimiser.formulation import WHOLE, Formulation, in_scope, members, property_level
from optimiser.ingredient import Caution, Ingredient, Kind, Property
from optimiser.price import cheapest_offers

BUTTER_TO_OIL = "butter:oil"


@dataclass(frozen=True, slots=True)
class Share:
    """One ingredient of a formula.

    Attributes:
        ingredient: Its id.
        name: Its common name.
        kind: What it is in the jar.
        percent: Percent by weight of the formula, exactly.
        price_per_kg: Money per kg, delivery included, exactly; None where it has no price.
        cost_share: Its part of the formula's cost, 0 to 1; None where that is not known.
    """

    ingredient: str
    name: str
    kind: Kind
    percent: Fraction
    price_per_kg: Fraction | None
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
        cost_per_kg: Money per kg of the formula, exactly; None where a price is missing.
        formula: The ingredients used, the largest share first.
        totals: Percent by kind and by the brief's groups.
        ratios: Weight of one to another; None where the other is absent.
        properties: The levels that can be computed, those with a limit first.
        unmeasured: Properties that cannot be computed, with the ingredients at fault.
        own_figures: Ingredients used with figures of the maker's own, by property.
        cautions: Warnings that apply.
        on_skin: The levels of limits on skin that it adds to, the fullest first.
    """

    cost_per_kg: Fraction | None
    formula: tuple[Share, ...]
    totals: Mapping[str, Fraction]
    ratios: Mapping[str, Fraction | None]
    properties: tuple[Level, ...]
    unmeasured: Mapping[Property, tuple[str, ...]]
    own_figures: Mapping[str, tuple[str, ...]]
    cautions: tuple[str, ...]
    on_skin: tuple[SkinLevel, ...] = ()


@dataclass(frozen=True, slots=True)
class Blend:
    """Ingredients in their shares, with what the brief says of groups and limits.

    Attributes:
        request: What the maker asked.
        ingredients: The ingredients, (n,).
        prices: Money per kg of each, None where there is no price, (n,).
        x: Percent of each, exactly, (n,).
    """

    request: Request
    ingredients: tuple[Ingredient, ...]
    prices: tuple[Fraction | None, ...]
    x: tuple[Fraction, ...]

    @classmethod
    def of(cls, formulation: Formulation, x: tuple[Fraction, ...]) -> Blend:
        """A point of a formulation's model."""
        prices = tuple(offer.price_per_kg for offer in formulation.offers)
        return cls(formulation.request, formulation.ingredients, prices, x)

    @classmethod
    def at(cls, request: Request, shares: Mapping[str, Fraction]) -> Blend:
        """Shares by ingredient id at the prices of a request."""
        offers = cheapest_offers(request.offers)
        return cls(
            request,
            tuple(request.book.ingredients[name] for name in shares),
            tuple(offers[name].price_per_kg if name in offers else None for name in shares),
            tuple(shares.values()),
        )

    @property
    def shares(self) -> dict[str, Fraction]:
        """Percent by ingredient id."""
        return {i.id: share for i, share in zip(self.ingredients, self.x, strict=True)}

    @property
    def used(self) -> Blend:
        """The same without ingredients of which there is nothing."""
        kept = [j for j, share in enumerate(self.x) if share]
        return Blend(
            self.request,
            tuple(self.ingredients[j] for j in kept),
            tuple(self.prices[j] for j in kept),
            tuple(self.x[j] for j in kept),
        )

    @property
    def cost_per_kg(self) -> Fraction | None:
        """Money per kg of the blend, exactly; None where a used ingredient has no price."""
        total = Fraction(0)
        for price, share in zip(self.prices, self.x, strict=True):
            if share and price is None:
                return None
            total += share * (price or 0)
        return total / WHOLE

    def total(self, name: str) -> Fraction:
        """Percent of a kind, a group or a single ingredient."""
        chosen = members(name, self.ingredients, self.request.brief.groups)
        parts = (share for share, inside in zip(self.x, chosen, strict=True) if inside)
        return sum(parts, Fraction(0))

    def ratio(self, pair: str) -> Fraction | None:
        """Weight of one to the other; None where there is nothing of the other."""
        one, other = (self.total(name) for name in pair.split(":"))
        return one / other if other else None


def measured(blend: Blend) -> Measures:
    """Measure a blend."""
    limits = blend.request.brief.limits
    used = blend.used
    cost = used.cost_per_kg
    shares = [
        Share(
            ingredient=ingredient.id,
            name=ingredient.common_name,
            kind=ingredient.kind,
            percent=percent,
            price_per_kg=price,
            cost_share=percent * price / WHOLE / cost if cost and price is not None else None,
        )
        for ingredient, price, percent in zip(used.ingredients, used.prices, used.x, strict=True)
    ]
    shares.sort(key=lambda share: (-share.percent, share.ingredient))
    levels, unmeasured = _levels(used)
    pairs = [limit.of for limit in limits if limit.family is Family.RATIOS]
    return Measures(
        cost_per_kg=cost,
        formula=tuple(shares),
        totals=_totals(used),
        ratios={pair: used.ratio(pair) for pair in (*pairs, BUTTER_TO_OIL)},
        properties=levels,
        unmeasured=unmeasured,
        own_figures=_own_figures(used.ingredients),
        cautions=cautions(used, levels),
        on_skin=on_skin(blend.request, used.ingredients, used.x),
    )


def _own_figures(used: tuple[Ingredient, ...]) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for ingredient in used:
        for name, figure in ingredient.figures.items():
            if figure.status == "own":
                found[name] = (*found.get(name, ()), ingredient.id)
    return found


def _totals(used: Blend) -> dict[str, Fraction]:
    brief = used.request.brief
    limited = {limit.of for limit in brief.limits if limit.family is Family.TOTALS}
    names = [*(str(kind) for kind in Kind), *brief.groups]
    names += sorted(limited.difference(names))
    sums = {name: used.total(name) for name in names}
    return {name: total for name, total in sums.items() if total or name in limited}


def _levels(
    used: Blend,
) -> tuple[tuple[Level, ...], dict[Property, tuple[str, ...]]]:
    """Every property that the used ingredients' figures allow, limited ones first."""
    limits = used.request.brief.limits
    limited = {limit.of for limit in limits if limit.family is Family.PROPERTIES} - {COST}
    levels: list[Level] = []
    unmeasured: dict[Property, tuple[str, ...]] = {}
    for quantity in used.request.book.properties.values():
        scope = [i for i in used.ingredients if in_scope(i, quantity.over)]
        lacking = tuple(i.id for i in scope if quantity.id not in i.figures)
        if lacking:
            # What the maker's own sheet gives for some and no limit needs is no omission.
            if quantity.id in limited or not quantity.is_own:
                unmeasured[quantity] = lacking
            continue
        low, value, high = (
            property_level(quantity, used.ingredients, used.x, end)
            for end in ("low", "typical", "high")
        )
        if low is not None and value is not None and quantity.unit == "%":
            # The low figures of oils count what they dissolve, at most all there is.
            low = max(low, min(value, Fraction(0)))
        figures = Counter(i.figures[quantity.id].status for i in scope)
        levels.append(Level(quantity, value, low, high, figures, quantity.id in limited))
    levels.sort(key=lambda level: not level.is_limited)
    return tuple(levels), unmeasured


def cautions(used: Blend, levels: tuple[Level, ...]) -> tuple[str, ...]:
    """The warnings that apply to a blend: first those of its own, then the general ones."""
    book, style = used.request.book, used.request.brief.style
    ids = {ingredient.id for ingredient in used.ingredients}
    found = [
        f"{_listed(used, pair.first)} with {_listed(used, pair.second)}: {pair.note}"
        for pair in book.softening_pairs
        if ids & pair.first and ids & pair.second
    ]
    found += skin_advice(used.request, used.ingredients, used.x)
    applying = [c for c in book.cautions if _applies(c, used.ingredients, levels, style)]
    applying.sort(key=lambda caution: caution.when == "always")
    return tuple(dict.fromkeys([*found, *(caution.text for caution in applying)]))


def _applies(
    caution: Caution, used: tuple[Ingredient, ...], levels: tuple[Level, ...], style: str | None
) -> bool:
    if caution.when == "always":
        return True
    if caution.when == "kind":
        return any(i.kind == caution.of for i in used)
    if caution.when in ("ingredient", "origin"):
        return bool({i.id for i in used} & set(caution.of.split()))
    if caution.when == "style":
        return style is not None and style in caution.of.split()
    name, ceiling = caution.of.split()
    return any(
        level.quantity.id == name and level.value is not None and level.value > Fraction(ceiling)
        for level in levels
    )


def _listed(used: Blend, names: frozenset[str]) -> str:
    return " and ".join(i.common_name for i in used.ingredients if i.id in names)
