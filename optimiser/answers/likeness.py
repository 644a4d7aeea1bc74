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
)
from optimiser.answers.measures import Blend, Measures, measured
from optimiser.formulation import WHOLE, Formulation
from optimiser.linear_model import Coefficients, Row, Sense
from optimiser.provenance import Origin, Statement
from optimiser.solve import settle, settle_in_turn, solve

MOST_CORNERS = 40

HALF = 0.5
"""A 0-or-1 column below this counts as 0."""


@dataclass(frozen=True, eq=False)
class Substitute:
    """A formula without what is gone.

    Attributes:
        measures: What it is and measures.
        changes: How each trait differs from the reference.
    """

    measures: Measures
    changes: tuple[Change, ...]

    @property
    def difference(self) -> Fraction:
        """The sum of all changes, in tolerances."""
        return difference(self.changes)


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

    def moving_at_most(self, count: int, seconds: float) -> Shelf | None:
        """The same with all but so many shares left as they are in the reference.

        Which ones move is chosen for likeness by the solver; None where it finds no choice.

        Args:
            count: How many ingredients may move, beside what is gone.
            seconds: Time limit of the search.
        """
        wide = self.widened(fat_weights(self.aims, self.reference))
        model, n = wide.model, len(self.formulation.ingredients)
        width = len(model.columns)
        shares = self.reference_shares
        aims = [shares.get(name, Fraction(0)) for name in self.formulation.model.columns]

        def widened(part: Coefficients) -> Coefficients:
            return Coefficients((*part.numbers, *(0,) * n))

        def sparse(entries: Mapping[int, Fraction | int]) -> Coefficients:
            return Coefficients(tuple(entries.get(j, 0) for j in range(width + n)))

        said = Statement("moves", "moves: {bound}", Origin("optimiser"))
        rows, numerator, bound = list(model.rows), [], list(model.bound)
        for j, aim in enumerate(aims):
            for sense, sign in ((Sense.AT_MOST, -1), (Sense.AT_LEAST, 1)):
                rows.append(Row(said, sense, "%", may_be_eased=False, is_said=False))
                numerator.append(sparse({j: 1, width + j: sign * WHOLE}))
                bound.append(aim)
        rows.append(Row(said, Sense.AT_MOST, "", may_be_eased=False, is_said=False))
        numerator.append(sparse(dict.fromkeys(range(width, width + n), 1)))
        bound.append(count)
        more = len(numerator)
        mixed = replace(
            model,
            columns=(*model.columns, *(f"{name} moves" for name in model.columns[:n])),
            rows=tuple(rows),
            numerator=(*map(widened, model.numerator), *numerator),
            denominator=(
                *(None if part is None else widened(part) for part in model.denominator),
                *(None,) * more,
            ),
            constant=(*model.constant, *(1,) * more),
            bound=tuple(bound),
            cost=widened(model.cost),
            lower=(*model.lower, *(0,) * n),
            upper=(*model.upper, *(1,) * n),
            is_integer=(*model.is_integer, *(True,) * n),
        )
        found = solve(mixed, seconds)
        if found.x is None:
            return None
        still = {
            name: aim
            for name, aim, moves in zip(model.columns[:n], aims, found.x[width:], strict=True)
            if moves < HALF
        }
        return self.limited(still, still)

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
        """A point as an answer."""
        blend = self.blend(x)
        return Substitute(measured(blend), changes(self.aims, blend))

    def closest(self) -> Substitute | None:
        """The formula most like the reference, and of those the cheapest; None without any."""
        weights = fat_weights(self.aims, self.reference)
        best: Substitute | None = None
        for _ in range(MOST_ROUNDS):
            wide = self.widened(weights)
            found = settle_in_turn(wide.model, wide.money)
            if found.x is None:
                return best
            here = self.substitute(found.x)
            if best is not None and here.difference >= best.difference:
                return best
            best, again = here, fat_weights(self.aims, self.blend(found.x))
            if again == weights:
                return best
            weights = again
        return best

    def widened(self, weights: Sequence[Fraction]) -> Closeness:
        """The model in which the difference is the cost."""
        formulation = self.formulation
        return closeness(
            formulation.model,
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
