"""A recipe held against a brief.

Which limits it meets and by how much it misses the others, what it measures and costs, the
cheapest formula beside it, and the formula that meets the brief with the least change to
it: least total movement in percentage points, and of those the cheapest.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from optimiser.answers.cheapest import Cheapest, cheapest
from optimiser.answers.checked import Checked, all_held
from optimiser.answers.measures import Blend, Measures, measured
from optimiser.answers.moving import moving
from optimiser.answers.rules_held import rules_held
from optimiser.answers.weighed import search
from optimiser.brief import Request
from optimiser.formulation import (
    Formulation,
)
from optimiser.linear_model import LinearModel
from optimiser.price import cheapest_offers
from optimiser.solve import capped_at, settle_in_turn
from optimiser.weighable_model import WeighableModel, weighable

SEARCH_SECONDS = 5.0
"""Time limit of each search among weighable formulas, unless another is given."""


@dataclass(frozen=True, eq=False)
class Nearest:
    """The formula that meets the brief with the least change.

    Attributes:
        measures: What it is and measures.
        moved: Total movement, percentage points, every ingredient's change counted.
        changes: Percentage points by which each share moves.
        is_exact: False where it is the best that a search among weighable formulas found.
    """

    measures: Measures
    moved: Fraction
    changes: Mapping[str, Fraction]
    is_exact: bool


@dataclass(frozen=True, eq=False)
class Assessment:
    """The answer of `assess`.

    Attributes:
        request: The brief.
        name: The recipe's file.
        measures: What the recipe is and measures.
        checked: Every limit and rule, the missed ones first.
        cheapest: The brief's cheapest formula, or why there is none.
        nearest: None where no formula meets the brief.
        remarks: What is worth telling.
    """

    request: Request
    name: str
    measures: Measures
    checked: tuple[Checked, ...]
    cheapest: Cheapest
    nearest: Nearest | None
    remarks: tuple[str, ...]

    @property
    def meets(self) -> bool:
        """Whether every limit is known to be met."""
        return all(check.is_met for check in self.checked)


def assessed(
    request: Request,
    name: str,
    shares: Mapping[str, Fraction],
    seconds: float = SEARCH_SECONDS,
) -> Assessment:
    """Hold a recipe against a brief.

    Args:
        request: The brief and all it refers to.
        name: The recipe's file.
        shares: Percent by ingredient id, 100 together.
        seconds: Time limit of each search among weighable formulas.

    Raises:
        InputError: The brief cannot be stated as a model.
    """
    offers = cheapest_offers(request.offers)
    ids = tuple(sorted(shares))
    blend = Blend(
        request,
        tuple(request.book.ingredients[name] for name in ids),
        tuple(offers[name].price_per_kg if name in offers else None for name in ids),
        tuple(shares[name] for name in ids),
    )
    checked = [*all_held(blend), *rules_held(blend)]
    checked.sort(key=lambda check: {False: 0, None: 1, True: 2}[check.is_met])
    best = cheapest(request, seconds)
    nearest = None if best.measures is None else _nearest(best.formulation, blend, seconds)
    unpriced = [name for name in ids if name not in offers and shares[name]]
    remarks = [f"{name} has no price, so the recipe's cost is not known" for name in unpriced]
    return Assessment(
        request=request,
        name=name,
        measures=measured(blend),
        checked=tuple(checked),
        cheapest=best,
        nearest=nearest,
        remarks=(*best.formulation.remarks, *remarks),
    )


def _nearest(formulation: Formulation, blend: Blend, seconds: float) -> Nearest | None:
    """The formula of the brief that moves least from a blend, and of those the cheapest."""
    target = dict(zip((i.id for i in blend.ingredients), blend.x, strict=True))
    on_shelf = {ingredient.id for ingredient in formulation.ingredients}
    aims = [target.get(ingredient.id, Fraction(0)) for ingredient in formulation.ingredients]
    if formulation.request.brief.has_choices:
        x, is_exact = _nearest_weighable(weighable(formulation), aims, seconds)
    else:
        x, is_exact = _nearest_point(formulation.model, aims), True
    if x is None:
        return None
    moves = {
        ingredient.id: share - aim
        for ingredient, share, aim in zip(formulation.ingredients, x, aims, strict=True)
    }
    moves |= {name: -share for name, share in target.items() if name not in on_shelf}
    return Nearest(
        measures=measured(Blend.of(formulation, x)),
        moved=sum((abs(move) for move in moves.values()), Fraction(0)),
        changes={name: move for name, move in moves.items() if move},
        is_exact=is_exact,
    )


def _nearest_point(model: LinearModel, aims: list[Fraction]) -> tuple[Fraction, ...] | None:
    """The cheapest of the points that move least."""
    moved = moving(model, aims, [Fraction(1)] * len(aims))
    wide = len(moved.columns) - len(model.columns)
    chosen = settle_in_turn(moved, model.cost.followed_by((0,) * wide))
    return None if chosen.x is None else chosen.x[: len(model.columns)]


def _nearest_weighable(
    stated: WeighableModel, aims: list[Fraction], seconds: float
) -> tuple[tuple[Fraction, ...] | None, bool]:
    """The weighable formula that moves least, and of those the cheapest, as far as found."""
    moved = moving(stated.model, aims, list(stated.step))
    least = search(moved, replace(stated, model=moved), seconds, None).values
    if least is None:
        return None, False
    wide = len(moved.columns) - len(stated.model.columns)
    money = stated.model.cost.followed_by((0,) * wide)
    capped = capped_at(moved, moved.cost_of(least), money)
    cheaper = search(capped, replace(stated, model=capped), seconds, None).values
    return stated.shares(cheaper or least), False
