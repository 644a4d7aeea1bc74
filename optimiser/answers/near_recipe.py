"""The cheapest formula of a brief that stays near a recipe."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from optimiser.answers.measures import Blend, Measures, measured
from optimiser.answers.moving import moving
from optimiser.brief import Request
from optimiser.formulation import formulated
from optimiser.linear_model import ModelRow, Sense
from optimiser.solve import settle, settle_in_turn


@dataclass(frozen=True, eq=False)
class NearRecipe:
    """The answer of `formulate --from`.

    Attributes:
        request: The brief; its whole steps and choices are not regarded.
        recipe: The recipe at the brief's prices.
        points: How far all shares together may move, in percentage points.
        measures: The cheapest formula within that; None where there is none.
        moved: How far it moves.
        least_moved: The least movement that meets the brief at all; None where nothing does.
    """

    request: Request
    recipe: Measures
    points: Fraction
    measures: Measures | None
    moved: Fraction | None
    least_moved: Fraction | None


def near_recipe(request: Request, shares: Mapping[str, Fraction], points: Fraction) -> NearRecipe:
    """Find the cheapest formula that moves a recipe by no more than some points in all.

    Of several that cost the least the one that moves least.

    Args:
        request: The brief; whole steps and choices are not regarded.
        shares: Percent by ingredient id, 100 together.
        points: The most that all shares together may move.

    Raises:
        InputError: The brief cannot be stated as a model.
        UnsettledError: The exact arithmetic came to no end.
    """
    any_shares = replace(request, brief=request.brief.in_any_shares)
    formulation = formulated(any_shares)
    model = formulation.model
    n = len(model.columns)
    aims = [shares.get(name, Fraction(0)) for name in model.columns]
    # What may not be used at all has to go, which is movement too.
    gone = sum((v for name, v in shares.items() if name not in model.columns), Fraction(0))
    recipe = measured(Blend.at(request, {name: v for name, v in shares.items() if v}))
    ways = moving(model, aims, [Fraction(1)] * n)
    _, least = settle(ways)
    none = NearRecipe(request, recipe, points, None, None, None)
    if least.cost is None:
        return none
    none = replace(none, least_moved=least.cost + gone)
    if least.cost + gone > points:
        return none
    width = len(ways.columns)
    entries = dict.fromkeys(range(n, width), 1)
    held = ways.with_rows([ModelRow.helping("moved", Sense.AT_MOST, entries, points - gone, width)])
    money = model.cost.followed_by((0,) * (width - n))
    found = settle_in_turn(held.costing(money), ways.cost)
    if found.x is None or found.cost is None:
        return none
    x = found.x[:n]
    return replace(none, measures=measured(Blend.of(formulation, x)), moved=found.cost + gone)
