"""The formulas of a shelf that are most like a reference, and cost against likeness."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from optimiser.answers.closeness import (
    MOST_ROUNDS,
    Aim,
    Change,
    Closeness,
    changes,
    closeness,
    difference,
    fat_weights,
    lacks,
)
from optimiser.answers.measures import Blend, Measures, measured
from optimiser.formulation import Formulation, in_scope
from optimiser.ingredient import FAT_PHASE, Over
from optimiser.linear_model import Coefficients, LinearModel, ModelRow, Sense
from optimiser.solve import settle, settle_in_turn, solve

MOST_CORNERS = 40

GRID, FINER_GRIDS = 10, 4
"""A search over fat shares: so many steps, and so often around the best again."""


@dataclass(frozen=True, eq=False)
class Substitute:
    """A formula without what is gone.

    Attributes:
        measures: What it is and measures.
        changes: How each trait differs from the reference.
        not_judged: Traits for which one of its ingredients has no figure.
    """

    measures: Measures
    changes: tuple[Change, ...]
    not_judged: tuple[str, ...] = ()

    @property
    def difference(self) -> Fraction:
        """The sum of all changes, in tolerances."""
        return difference(self.changes)

    @property
    def cost(self) -> Fraction:
        """Money per kg; every ingredient of a shelf has a price."""
        return self.measures.cost_per_kg or Fraction(0)

    @property
    def fat_share(self) -> Fraction:
        """Percent of the formula that is fat."""
        parts = (s.percent for s in self.measures.formula if s.kind in FAT_PHASE)
        return sum(parts, Fraction(0))


@dataclass(frozen=True, eq=False)
class Shelf:
    """What a formula may be made of, and what it is to be like."""

    formulation: Formulation
    reference: Blend
    aims: tuple[Aim, ...]

    def limited(self, most: Mapping[str, Fraction], least: Mapping[str, Fraction]) -> Shelf:
        """The same with other bounds on some shares, within those that hold."""
        model = self.formulation.model
        upper = tuple(
            min(Fraction(bound or 0), most.get(name, Fraction(bound or 0)))
            for name, bound in zip(model.columns, model.upper, strict=True)
        )
        lower = tuple(
            max(Fraction(bound), least.get(name, Fraction(bound)))
            for name, bound in zip(model.columns, model.lower, strict=True)
        )
        model = replace(model, upper=upper, lower=lower)
        return replace(self, formulation=replace(self.formulation, model=model))

    def without(self, names: Iterable[str]) -> Shelf:
        """The same without some ingredients."""
        gone = set(names)
        kept = [j for j, name in enumerate(self.formulation.model.columns) if name not in gone]
        return replace(self, formulation=only_columns(self.formulation, kept))

    def kept_within(self, points: Fraction) -> Shelf:
        """The same with the rest of the reference kept within some points of its shares."""
        on_shelf = set(self.formulation.model.columns)
        rest = {n: share for n, share in self.reference_shares.items() if n in on_shelf}
        most = {name: share + points for name, share in rest.items()}
        least = {name: max(share - points, Fraction(0)) for name, share in rest.items()}
        return self.limited(most, least)

    def impossible(self) -> Shelf:
        """The same with nothing to choose from."""
        nothing = dict.fromkeys(self.formulation.model.columns, Fraction(0))
        return self.limited(nothing, {})

    @property
    def reference_shares(self) -> dict[str, Fraction]:
        """Percent by ingredient id of the reference."""
        parts = zip(self.reference.ingredients, self.reference.x, strict=True)
        return {ingredient.id: share for ingredient, share in parts}

    def blend(self, x: tuple[Fraction, ...]) -> Blend:
        """A point as a blend."""
        return Blend.of(self.formulation, x[: len(self.formulation.ingredients)])

    def substitute(self, x: tuple[Fraction, ...]) -> Substitute:
        """A point as an answer, judged on the traits whose figures are known."""
        blend = self.blend(x)
        request, used = self.reference.request, blend.used.ingredients
        unknown = [aim for aim in self.aims if any(lacks(aim.trait, i, request) for i in used)]
        judged = [aim for aim in self.aims if aim not in unknown]
        names = tuple(aim.trait.of for aim in unknown)
        return Substitute(measured(blend), changes(judged, blend), names)

    def closest(self, is_thorough: bool = False) -> Substitute | None:
        """The formula most like the reference, and of those the cheapest; None without any.

        Args:
            is_thorough: Also try a range of fat shares, each of which makes the comparison
                of means over the fat phase exact.
        """
        weights = fat_weights(self.aims, self.reference)
        best: Substitute | None = None
        for _ in range(MOST_ROUNDS):
            found = self._closest_for(self.formulation.model, weights)
            if found is None:
                return best
            here = self.substitute(found)
            if best is not None and here.difference >= best.difference:
                break
            best, again = here, fat_weights(self.aims, self.blend(found))
            if again == weights:
                break
            weights = again
        return self._closest_by_fat(best) if is_thorough and best is not None else best

    def _closest_for(
        self, model: LinearModel, weights: Sequence[Fraction]
    ) -> tuple[Fraction, ...] | None:
        wide = self.widened(weights, model)
        return settle_in_turn(wide.model, wide.money).x

    def _closest_by_fat(self, best: Substitute) -> Substitute:
        """The best over fixed fat shares: a coarse grid, then finer ones around the best."""
        properties = self.reference.request.book.properties
        if not any(
            aim.trait.of in properties and properties[aim.trait.of].over is Over.FAT
            for aim in self.aims
        ):
            return best
        model = self.formulation.model
        is_fat = [int(in_scope(i, Over.FAT)) for i in self.formulation.ingredients]
        entries = {j: 1 for j, counts in enumerate(is_fat) if counts}
        row = ModelRow.helping("fat", Sense.EQUAL, entries, 0, len(is_fat))
        held = model.with_rows([row])

        def at(share: Fraction) -> LinearModel:
            return held.with_bound(len(model.rows), share)

        def weights_at(share: Fraction) -> list[Fraction]:
            return [share or Fraction(1)] * len(self.aims)

        low, high = (
            sign * (settle(replace(model, cost=_signed(is_fat, sign)))[1].cost or Fraction(0))
            for sign in (1, -1)
        )
        for _ in range(FINER_GRIDS):
            grid = {low + (high - low) * k / GRID for k in range(GRID + 1)}
            # The solver's floating differences choose the share; the proof settles the formula.
            supposed: dict[Fraction, float] = {}
            for share in grid:
                wide = self.widened(weights_at(share), at(share)).model
                point = solve(wide).x
                if point is not None:
                    supposed[share] = float(wide.cost.floats @ point)
            centre = best.fat_share
            if supposed:
                share = min(supposed, key=lambda tried: (supposed[tried], tried))
                x = self._closest_for(at(share), weights_at(share))
                here = None if x is None else self.substitute(x)
                if here is not None and here.difference < best.difference:
                    best, centre = here, share
            reach = (high - low) / GRID
            low, high = max(low, centre - reach), min(high, centre + reach)
        return best

    def widened(self, weights: Sequence[Fraction], model: LinearModel | None = None) -> Closeness:
        """The model in which the difference is the cost."""
        formulation = self.formulation
        return closeness(
            formulation.model if model is None else model,
            formulation.ingredients,
            formulation.request,
            self.aims,
            weights,
        )

    def corners(self) -> tuple[Substitute, ...]:
        """All corners of the trade-off between cost and difference, cheapest first.

        Each is the optimum of some weighting of the two; between two known ones the
        weighting that makes both equal finds the next, until none is left (Aneja and Nair
        1979, "Bicriteria transportation problem", Manag. Sci. 25; cited from memory).
        """
        wide = self.widened(fat_weights(self.aims, self.reference))
        model, money = wide.model, wide.money
        closest = settle_in_turn(model, money).x
        cheapest_ = settle_in_turn(replace(model, cost=money), model.cost).x
        if closest is None or cheapest_ is None:
            return ()

        def place(x: tuple[Fraction, ...]) -> tuple[Fraction, Fraction]:
            return money.level(x), model.cost.level(x)

        found = {place(cheapest_): cheapest_, place(closest): closest}
        waiting = [(place(cheapest_), place(closest))]
        while waiting and len(found) < MOST_CORNERS:
            left, right = waiting.pop()
            if left == right:
                continue
            weight, rest = left[1] - right[1], right[0] - left[0]
            mixed = Coefficients(
                tuple(
                    weight * Fraction(a) + rest * Fraction(b)
                    for a, b in zip(money.numbers, model.cost.numbers, strict=True)
                )
            )
            _, certificate = settle(replace(model, cost=mixed))
            x = certificate.x
            if x is None or certificate.cost == weight * left[0] + rest * left[1]:
                continue
            found[place(x)] = x
            waiting += [(left, place(x)), (place(x), right)]
        return tuple(self.substitute(found[key]) for key in sorted(found))


def _signed(numbers: Sequence[int], sign: int) -> Coefficients:
    return Coefficients(tuple(sign * number for number in numbers))


def undominated(found: Iterable[Substitute]) -> tuple[Substitute, ...]:
    """Cheapest first, only what is more like than everything cheaper."""
    kept: list[Substitute] = []
    for here in sorted(found, key=lambda s: (s.cost, s.difference)):
        if not kept or here.difference < kept[-1].difference:
            kept.append(here)
    return tuple(kept)


def only_columns(formulation: Formulation, kept: Sequence[int]) -> Formulation:
    """A formulation over some of its ingredients."""
    model = formulation.model

    def cut(part: Coefficients) -> Coefficients:
        return Coefficients(tuple(part.numbers[j] for j in kept))

    return replace(
        formulation,
        ingredients=tuple(formulation.ingredients[j] for j in kept),
        offers=tuple(formulation.offers[j] for j in kept),
        model=replace(
            model,
            columns=tuple(model.columns[j] for j in kept),
            numerator=tuple(cut(part) for part in model.numerator),
            denominator=tuple(None if part is None else cut(part) for part in model.denominator),
            cost=cut(model.cost),
            lower=tuple(model.lower[j] for j in kept),
            upper=tuple(model.upper[j] for j in kept),
            is_integer=tuple(model.is_integer[j] for j in kept),
        ),
    )
