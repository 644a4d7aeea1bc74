"""Small requests to replace an ingredient in, and the answers by bare numbers and SciPy.

Nothing of the programme's models is used here: limits and traits are read from the request
and turned into arrays again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from random import Random

import numpy as np
from formulation_support import TABLE, ingredient, quantity, small_request
from scipy.optimize import linprog

from optimiser.answers.closeness import Aim, level_of
from optimiser.answers.likeness import Shelf, Substitute
from optimiser.answers.measures import Blend
from optimiser.answers.substitute import Options, Substitution, substituted
from optimiser.brief import End, Family, Limit, Request
from optimiser.formulation import formulated
from optimiser.ingredient import FAT_PHASE, Ingredient, Kind, Over, Property, Trait
from optimiser.provenance import InputError

Shares = Mapping[str, float | Fraction]
KINDS = (Kind.BUTTER, Kind.BUTTER, Kind.OIL, Kind.OIL, Kind.POWDER)


def trait(of: str, tolerance: str = "1", family: Family = Family.PROPERTIES) -> Trait:
    """A trait with a tolerance."""
    bound = Decimal(tolerance)
    return Trait(str(family), of, bound, f"more {of}", f"less {of}", "", "own", TABLE)


def with_character(request: Request, *traits: Trait) -> Request:
    return replace(request, brief=replace(request.brief, character=traits))


def with_shelf(request: Request, names: Iterable[str]) -> Request:
    """The request with other ingredients on its shelf."""
    return replace(request, brief=replace(request.brief, use=tuple(names)))


def prices(request: Request) -> dict[str, float]:
    return {offer.ingredient: float(offer.price_per_kg) for offer in request.offers}


def shares(found: Substitute) -> dict[str, Fraction]:
    """Percent by ingredient of an answer's formula."""
    return {share.ingredient: share.percent for share in found.measures.formula}


def cost(found: Substitute) -> float:
    assert found.measures.cost_per_kg is not None
    return float(found.measures.cost_per_kg)


def coefficients(
    request: Request, trait_or_limit: Trait | Limit, one: Ingredient
) -> tuple[float, float, float]:
    """What a percent of an ingredient adds to a level's top and to its variable bottom.

    The third number is the bottom that is there anyway.
    """
    of, family = trait_or_limit.of, str(trait_or_limit.family)
    if family == "ratios":
        first, second = of.split(":")
        return float(_is(request, first, one)), float(_is(request, second, one)), 0
    if family in ("amounts", "totals"):
        return float(_is(request, of, one)), 0, 1
    if family == "skin":
        return _on_skin(request, of, one), 0, 1
    if of == "cost":
        return prices(request)[one.id], 0, 100
    quantity_over = request.book.properties[of].over
    if quantity_over is Over.FAT and one.kind not in FAT_PHASE:
        return 0, 0, 0
    figure = one.figures[of]
    number = figure.typical
    if isinstance(trait_or_limit, Limit) and of in request.brief.cautious:
        number = {End.MIN: figure.low, End.MAX: figure.high}.get(trait_or_limit.end, number)
    return (float(number), 0, 100) if quantity_over is Over.PRODUCT else (float(number), 1, 0)


def _on_skin(request: Request, of: str, one: Ingredient) -> float:
    """A limit on skin by its definition: constituents at their highest, or parts of maxima."""
    book = request.book
    if of.startswith("certificates_"):
        allowed = book.certified.get(one.id, {}).get(of.removeprefix("certificates_"))
        return 1 / float(allowed.percent) if allowed else 0.0
    rule = next(row for row in book.skin_limits if row.id == of)
    if rule.of == "ingredients":
        return 1 / float(rule.parts[one.id]) if one.id in rule.parts else 0.0
    held = {} if one.id in rule.but_not else book.constituents.get(one.id, {})
    return sum(float(w * held[name].high) / 100 for name, w in rule.parts.items() if name in held)


def _is(request: Request, name: str, one: Ingredient) -> bool:
    return name in (one.id, one.kind) or one.id in request.brief.groups.get(name, ())


def level(request: Request, aim: Trait | Limit, formula: Shares) -> float | None:
    """The level of a trait in a formula, from its definition."""
    top, bottom = 0.0, 0.0
    for name, share in formula.items():
        a, b, constant = coefficients(request, aim, request.book.ingredients[name])
        top, bottom = top + a * float(share), bottom + b * float(share)
    return top / (bottom + constant) if bottom + constant else None


def difference(request: Request, before: Shares, after: Shares, traits: Iterable[Trait]) -> float:
    """The sum over the traits of |after - before| / tolerance."""
    total = 0.0
    for one in traits:
        old, new = level(request, one, before), level(request, one, after)
        assert old is not None
        total += abs((new or 0.0) - old) / float(one.tolerance)
    return total


@dataclass(frozen=True)
class Least:
    """An independent optimum: its value, and the shares."""

    value: float
    formula: dict[str, float]


def independent(
    request: Request,
    before: Shares,
    names: Sequence[str],
    traits: Sequence[Trait],
    *,
    money: float = 0.0,
    likeness: float = 1.0,
    weight: float | None = None,
    fat: float | None = None,
    most_cost: float | None = None,
    most_difference: float | None = None,
    low: Shares | None = None,
    high: Shares | None = None,
) -> Least | None:
    """The least of money * cost + likeness * difference, by scipy.optimize.linprog.

    Args:
        request: Its limits are held.
        before: The formula in use.
        names: What the new one may be made of.
        traits: What is compared.
        money: Weight of the cost per kg.
        likeness: Weight of the difference.
        weight: What a mean over the fat phase is divided by; the fat before where None.
        fat: The fat phase of the new formula, in percent, where it is held.
        most_cost: The most a kg may cost.
        most_difference: The largest difference.
        low: Least shares.
        high: Largest shares.
    """
    ingredients = [request.book.ingredients[name] for name in names]
    n, k = len(names), len(traits)
    upper_rows, upper, equal_rows, equal = [], [], [[1.0] * n + [0.0] * k], [100.0]
    for one in request.brief.limits:
        parts = [coefficients(request, one, i) for i in ingredients]
        constant = parts[0][2] if str(one.family) != "properties" or parts[0][2] else 0.0
        bound = float(one.value)
        row = [a - bound * b for a, b, _ in parts] + [0.0] * k
        if one.end is End.EXACTLY:
            equal_rows.append(row)
            equal.append(bound * constant)
        else:
            turned = 1 if one.end is End.MAX else -1
            upper_rows.append([turned * x for x in row])
            upper.append(turned * bound * constant)
    phase = [float(i.kind in FAT_PHASE) for i in ingredients]
    fat_before = sum(float(s) for i, s in before.items() if _in_fat(request, i))
    for j, one in enumerate(traits):
        parts = [coefficients(request, one, i) for i in ingredients]
        aim = level(request, one, before)
        assert aim is not None
        over_fat = str(one.family) == "properties" and (
            request.book.properties[one.of].over is Over.FAT
        )
        constant = 0.0 if over_fat else parts[0][2]
        reach = float(one.tolerance) * (constant or fat or weight or fat_before)
        for turned in (1, -1):
            slack = [0.0] * k
            slack[j] = -reach
            upper_rows.append([turned * (a - aim * b) for a, b, _ in parts] + slack)
            upper.append(turned * aim * constant)
    if fat is not None:
        equal_rows.append(phase + [0.0] * k)
        equal.append(fat)
    costs = [prices(request)[name] / 100 for name in names] + [0.0] * k
    likes = [0.0] * n + [1.0] * k
    for most, row in ((most_cost, costs), (most_difference, likes)):
        if most is not None:
            upper_rows.append(row)
            upper.append(most)
    bounds = [(float((low or {}).get(i, 0)), float((high or {}).get(i, 100))) for i in names]
    found = linprog(
        money * np.array(costs) + likeness * np.array(likes),
        A_ub=np.array(upper_rows) if upper_rows else None,
        b_ub=upper or None,
        A_eq=np.array(equal_rows),
        b_eq=equal,
        bounds=[*bounds, *[(0, None)] * k],
        method="highs",
    )
    if found.status == 2:
        return None
    assert found.status == 0, found.message
    return Least(float(found.fun), dict(zip(names, map(float, found.x[:n]), strict=True)))


def _in_fat(request: Request, name: str) -> bool:
    return request.book.ingredients[name].kind in FAT_PHASE


@dataclass(frozen=True)
class Case:
    """A request with a recipe in use, in whole percent."""

    request: Request
    recipe: dict[str, Fraction]
    gone: str

    @property
    def traits(self) -> tuple[Trait, ...]:
        assert self.request.brief.character is not None
        return self.request.brief.character

    @property
    def shelf(self) -> list[str]:
        """What may be used, without what is gone."""
        priced = sorted(prices(self.request))
        allowed = self.request.brief.use
        return [i for i in priced if i != self.gone and (allowed is None or i in allowed)]

    def answer(self, **options: object) -> Substitution | None:
        """The answer; None where the whole shelf is refused."""
        try:
            return substituted(self.request, Options((self.gone,), **options), self.recipe)
        except InputError:
            return None

    def least(self, names: Sequence[str] | None = None, **rest: object) -> Least | None:
        used = self.shelf if names is None else names
        return independent(self.request, self.recipe, used, self.traits, **rest) if used else None


def random_case(rng: Random, fat: bool = False, count: int = 7, limits: bool = True) -> Case:
    """A shelf of invented ingredients with whole figures, a recipe, and limits around it.

    Args:
        rng: Where the choices come from.
        fat: Whether properties are averaged over the fat phase.
        count: How many ingredients there are.
        limits: Whether there are limits; some may be impossible without what is gone.
    """
    properties: tuple[Property, ...] = tuple(
        quantity(f"p{k}", over=Over.FAT if fat and k < 2 else Over.PRODUCT) for k in range(3)
    )
    made = tuple(
        ingredient(
            f"i{j}",
            KINDS[j] if j < len(KINDS) else rng.choice(KINDS),
            {p.id: str(rng.randint(0, 20)) for p in properties},
        )
        for j in range(count)
    )
    priced = {i.id: str(rng.randint(1, 12)) for i in made}
    used = [made[j].id for j in sorted({0, 2, rng.randrange(count), rng.randrange(count)})]
    cuts = sorted(rng.randint(1, 99) for _ in used[1:])
    parts = [b - a for a, b in zip([0, *cuts], [*cuts, 100], strict=True)]
    recipe = {i: Fraction(p) for i, p in zip(used, parts, strict=True) if p}
    traits = [trait(p.id, rng.choice(["0.5", "1", "2", "3"])) for p in properties]
    traits.append(trait("butter", rng.choice(["1", "5"]), Family.TOTALS))
    request = small_request(ingredients=made, properties=properties, prices=priced)
    said: list[tuple[str, str]] = []
    if limits:
        for one in rng.sample(traits, 2):
            end = rng.choice(["min", "max"])
            here = level(request, one, recipe) or 0.0
            slack = rng.randint(0, 3) * (1 if end == "max" else -1)
            said.append((f"{one.family}.{one.of}.{end}", str(round(here + slack, 2))))
        if rng.random() < 0.3:
            said.append(("ratios.butter:oil.min", rng.choice(["0.2", "0.5", "1"])))
    request = small_request(*said, ingredients=made, properties=properties, prices=priced)
    return Case(with_character(request, *traits), recipe, rng.choice(sorted(recipe)))


def shelf_of(case: Case, names: Sequence[str] | None = None) -> Shelf:
    """The library's shelf of a case, over some ingredients instead of all that are left."""
    formulation = formulated(with_shelf(case.request, case.shelf if names is None else names))
    ids = sorted(case.recipe)
    book, priced = case.request.book.ingredients, prices(case.request)
    reference = Blend(
        case.request,
        tuple(book[i] for i in ids),
        tuple(Fraction(str(priced[i])) for i in ids),
        tuple(case.recipe[i] for i in ids),
    )
    aims = []
    for one in case.traits:
        before = level_of(one, reference)
        assert before is not None
        aims.append(Aim(one, before))
    return Shelf(formulation, reference, tuple(aims))
