"""Weighable briefs made up for the tests, and every formula of a small shelf, one by one.

Nothing here uses the model of the tool: limits and rules are read straight from the brief.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from formulation_support import ingredient, small_request
from scipy.optimize import linprog

from optimiser.brief import Either, End, Family, Limit, Request, Weighing
from optimiser.ingredient import Kind, Over
from optimiser.provenance import Origin

WHERE = Origin("brief.toml", 20)
RULES = ("step", "smallest", "max_ingredients", "steps")
FAT = (Kind.BUTTER, Kind.OIL, Kind.WAX)
EVERYTHING = 10**6

Formula = dict[str, Fraction]


def weighing(
    step: str | None = None,
    smallest: str | None = None,
    most: int | None = None,
    steps: Mapping[str, str] | None = None,
) -> Weighing:
    """What a brief says under `[weighing]`."""
    return Weighing(
        None if step is None else Decimal(step),
        None if smallest is None else Decimal(smallest),
        most,
        dict.fromkeys(RULES, WHERE),
        {name: Decimal(text) for name, text in (steps or {}).items()},
    )


def with_choices(
    request: Request,
    weighed: Weighing | None = None,
    or_none: Collection[str] = (),
    either: Sequence[tuple[tuple[str, ...], bool]] = (),
) -> Request:
    """A request with rules of weighing; `either` has the ingredients and if one is needed."""
    brief = replace(
        request.brief,
        weighing=weighed,
        or_none=dict.fromkeys(or_none, WHERE),
        either=tuple(
            Either(of, needed, f"either[{k}]", WHERE) for k, (of, needed) in enumerate(either)
        ),
    )
    return replace(request, brief=brief)


def random_request(rng: random.Random, in_steps: bool = True) -> Request:
    """A brief of three to five ingredients with limits and rules of every kind."""
    n = rng.randint(3, 5)
    ids = [f"part-{k}" for k in range(n)]
    shelf = tuple(
        ingredient(
            name,
            rng.choice([Kind.BUTTER, Kind.OIL, Kind.WAX, Kind.POWDER]),
            {"grip": str(rng.randint(0, 50)), "solid_fat_20C": str(rng.randint(0, 100))},
        )
        for name in ids
    )
    said: list[tuple[str, str]] = []
    or_none = []
    for name in ids:
        drawn = rng.random()
        if drawn < 0.3:
            said.append((f"amounts.{name}.max", rng.choice(["0", "15", "20", "30", "40", "60"])))
        elif drawn < 0.5:
            said.append((f"amounts.{name}.min", rng.choice(["5", "10", "12", "20", "25"])))
            if rng.random() < 0.5:
                said.append((f"amounts.{name}.max", rng.choice(["30", "40", "55"])))
            or_none += [name] if rng.random() < 0.6 else []
        elif drawn < 0.56:
            said.append((f"amounts.{name}", rng.choice(["5", "10", "12", "20", "2.5"])))
    kinds = list(dict.fromkeys(part.kind.value for part in shelf))
    for kind in kinds:
        if rng.random() < 0.35:
            end = rng.choice(["min", "max"])
            said.append((f"totals.{kind}.{end}", rng.choice(["10", "20", "30", "45", "50"])))
    if len(kinds) > 1 and rng.random() < 0.4:
        one, other = rng.sample(kinds, 2)
        end = rng.choice(["min", "max"])
        said.append((f"ratios.{one}:{other}.{end}", rng.choice(["0.5", "1", "1.5", "2", "3"])))
    for figure in ("grip", "solid_fat_20C"):
        if rng.random() < 0.5:
            end = rng.choice(["min", "max"])
            said.append((f"properties.{figure}.{end}", str(rng.randint(10, 45))))
    either = []
    if rng.random() < 0.3:
        either.append((tuple(rng.sample(ids, 2)), in_steps and rng.random() < 0.5))
    smallest, most = rng.choice([None, None, "15", "20", "12"]), rng.choice([None, None, 1, 2, 3])
    steps = {}
    if in_steps and rng.random() < 0.3:
        steps[rng.choice(ids)] = rng.choice(["2", "3", "5", "15"])
    step = rng.choice(["5", "10", "20"] if n < 5 else ["10", "20"]) if in_steps else None
    has_rules = in_steps or smallest is not None or most is not None
    prices = {name: str(rng.randint(1, 20)) for name in ids}
    return with_choices(
        small_request(*said, ingredients=shelf, prices=prices),
        weighing(step, smallest, most, steps) if has_rules else None,
        or_none,
        either,
    )


def price(request: Request, x: Formula) -> Fraction:
    """What a formula costs, per kg."""
    per_kg = {offer.ingredient: offer.price_per_kg for offer in request.offers}
    return sum((share * per_kg[name] for name, share in x.items()), Fraction(0)) / 100


def keeps(request: Request, x: Formula, without: Collection[str] = ()) -> bool:
    """Whether a formula keeps every limit and rule of its brief, but for some rules."""
    brief = request.brief
    used = {name for name, share in x.items() if share}
    if sum(x.values()) != 100 or min(x.values()) < 0:
        return False
    if not all(_is_met(request, limit, x, used, without) for limit in brief.limits):
        return False
    rules = brief.weighing
    if rules is not None:
        for name in used:
            step = rules.steps.get(name, rules.step)
            if step is not None and "weighing.step" not in without and x[name] % Fraction(step):
                return False
            is_small = rules.smallest is not None and x[name] < rules.smallest
            if is_small and name not in rules.steps and "weighing.smallest" not in without:
                return False
        most = rules.max_ingredients
        if most is not None and "weighing.max_ingredients" not in without and len(used) > most:
            return False
    for either in brief.either:
        count = len(used & set(either.of))
        if either.key not in without and (count > 1 or (either.is_needed and count != 1)):
            return False
    return True


def _is_met(
    request: Request, limit: Limit, x: Formula, used: set[str], without: Collection[str]
) -> bool:
    if limit.family is Family.AMOUNTS and limit.of in request.brief.or_none:
        waived = f"amounts.{limit.of}.or_none" in without and limit.end is End.MIN
        if limit.of not in used or waived:
            return True
    top, weight = (
        sum((part * share for part, share in zip(side, x.values(), strict=True)), Fraction(0))
        for side in _sides(request, limit, list(x))
    )
    over = top - Fraction(limit.value) * weight
    return {End.MIN: over >= 0, End.MAX: over <= 0, End.EXACTLY: over == 0}[limit.end]


def _sides(request: Request, limit: Limit, names: list[str]) -> tuple[list[Fraction], ...]:
    """A level as one weighted sum of shares over another; a plain share is over the whole."""
    parts = [request.book.ingredients[name] for name in names]
    whole = [Fraction(1, 100)] * len(parts)
    if limit.family is Family.AMOUNTS:
        return [Fraction(part.id == limit.of) for part in parts], whole
    if limit.family is Family.TOTALS:
        return [Fraction(part.kind == limit.of) for part in parts], whole
    if limit.family is Family.RATIOS:
        one, other = limit.of.split(":")
        return tuple([Fraction(part.kind == kind) for part in parts] for kind in (one, other))
    counts = [
        Fraction(part.kind in FAT or request.book.properties[limit.of].over is Over.PRODUCT)
        for part in parts
    ]
    figures = [Fraction(part.figures[limit.of].typical) for part in parts]
    return [a * b for a, b in zip(figures, counts, strict=True)], counts


def every_formula(request: Request) -> Iterator[Formula]:
    """Every formula in whole steps, one by one."""
    rules = request.brief.weighing
    assert rules is not None
    names = sorted(request.book.ingredients)
    steps = [Fraction(rules.steps.get(name, rules.step or 0)) for name in names]

    def parts(k: int, left: Fraction) -> Iterator[tuple[Fraction, ...]]:
        if k == len(names) - 1:
            if not left % steps[k]:
                yield (left,)
            return
        for count in range(int(left / steps[k]) + 1):
            share = count * steps[k]
            for rest in parts(k + 1, left - share):
                yield (share, *rest)

    for shares in parts(0, Fraction(100)):
        yield dict(zip(names, shares, strict=True))


def cheapest_by_list(request: Request, without: Collection[str] = ()) -> Fraction | None:
    """The least cost over every formula in whole steps; None where there is none."""
    costs = (price(request, x) for x in every_formula(request) if keeps(request, x, without))
    return min(costs, default=None)


def fewest_by_list(request: Request) -> int | None:
    """The least number of ingredients that keeps everything but the count."""
    return min(
        (
            sum(share > 0 for share in x.values())
            for x in every_formula(request)
            if keeps(request, x, ("weighing.max_ingredients",))
        ),
        default=None,
    )


def cheapest_by_subsets(request: Request) -> float | None:
    """The least cost over shares of any size: a linear programme in scipy for each choice.

    For every set of ingredients that may be used, that every other rule allows. None where
    there is none.
    """
    brief, names = request.brief, sorted(request.book.ingredients)
    rules = brief.weighing
    most = rules.max_ingredients if rules is not None and rules.max_ingredients else EVERYTHING
    found = []
    for count in range(1, min(most, len(names)) + 1):
        for chosen in itertools.combinations(names, count):
            if all(_is_chosen(either, chosen) for either in brief.either):
                found.append(_least_cost(request, list(chosen)))
    return min((cost for cost in found if cost is not None), default=None)


def _is_chosen(either: Either, chosen: Sequence[str]) -> bool:
    count = len(set(chosen) & set(either.of))
    return count == 1 or (count == 0 and not either.is_needed)


def _least_cost(request: Request, chosen: list[str]) -> float | None:
    """The least cost of formulas of some ingredients, each at least at its smallest dose."""
    brief, rules = request.brief, request.brief.weighing
    smallest = {
        name: float(rules.smallest)
        for name in chosen
        if rules is not None and rules.smallest is not None and name not in rules.steps
    }
    within, right, equal, level = [], [], [[1.0] * len(chosen)], [100.0]
    for limit in brief.limits:
        if limit.of in brief.or_none and limit.of not in chosen:
            continue
        top, weight = _sides(request, limit, chosen)
        line = [float(a - Fraction(limit.value) * b) for a, b in zip(top, weight, strict=True)]
        if limit.end is End.EXACTLY:
            equal.append(line)
            level.append(0.0)
        else:
            way = -1 if limit.end is End.MIN else 1
            within.append([way * number for number in line])
            right.append(0.0)
    per_kg = {offer.ingredient: float(offer.price_per_kg) for offer in request.offers}
    answer = linprog(
        [per_kg[name] / 100 for name in chosen],
        A_ub=within or None,
        b_ub=right or None,
        A_eq=equal,
        b_eq=level,
        bounds=[(smallest.get(name, 0.0), 100) for name in chosen],
    )
    assert answer.status in (0, 2)
    return float(answer.fun) if answer.status == 0 else None


def is_possible_by_scipy(request: Request) -> bool:
    """Whether shares of any size meet every limit of a brief without choices."""
    return _least_cost(request, sorted(request.book.ingredients)) is not None


def rows_of(request: Request, names: list[str]) -> Iterator[tuple[End, list[float]]]:
    """Each limit as a side and a row over some ingredients, whose right side is 0."""
    for limit in request.brief.limits:
        top, weight = _sides(request, limit, names)
        line = [a - Fraction(limit.value) * b for a, b in zip(top, weight, strict=True)]
        yield limit.end, [float(number) for number in line]
