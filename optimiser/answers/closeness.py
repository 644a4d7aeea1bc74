"""How like two formulas are, and the model of the formula most like a given one.

A formula's character is a list of traits, each with the change that is just noticed. The
difference of two formulas is the sum over the traits of |after - before| / tolerance.

For traits that are sums or means over the product this is linear, and a least absolute
deviation problem. A mean over the fat phase is compared as

    |numerator - before * denominator| / (tolerance * weight)

with the weight (the fat in the formula) of the formula found before, settled in a few
rounds; the difference reported is always the true one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from optimiser.answers.measures import Blend
from optimiser.brief import End, Family, Limit, Request
from optimiser.formulation import WHOLE, in_scope, limit_row
from optimiser.ingredient import Ingredient, Trait
from optimiser.linear_model import Coefficients, LinearModel, ModelRow, Sense

MOST_ROUNDS = 4


@dataclass(frozen=True, slots=True)
class Aim:
    """A trait with the level that is to be kept.

    Attributes:
        trait: The trait.
        before: The reference's level, exactly.
    """

    trait: Trait
    before: Fraction


@dataclass(frozen=True, slots=True)
class Change:
    """How one trait of a formula differs from the reference.

    Attributes:
        aim: The trait and its level before.
        after: The level now; None where there is nothing to average over.
    """

    aim: Aim
    after: Fraction | None

    @property
    def difference(self) -> Fraction:
        """The change in tolerances."""
        if self.after is None:
            return abs(self.aim.before) / Fraction(self.aim.trait.tolerance)
        return abs(self.after - self.aim.before) / Fraction(self.aim.trait.tolerance)

    @property
    def is_noticed(self) -> bool:
        """Whether it is more than the tolerance."""
        return self.difference > 1


def as_limit(trait: Trait) -> Limit:
    """A trait as a limit, so that its level is computed as any limit's."""
    family = Family(trait.family)
    return Limit(family, trait.of, End.MIN, trait.tolerance, f"character.{trait.of}", trait.origin)


def lacks(trait: Trait, ingredient: Ingredient, request: Request) -> bool:
    """Whether an ingredient has no figure that a trait needs."""
    if trait.family != Family.PROPERTIES:
        return False
    over = request.book.properties[trait.of].over
    return in_scope(ingredient, over) and trait.of not in ingredient.figures


def level_of(trait: Trait, blend: Blend) -> Fraction | None:
    """A blend's level of a trait, from typical figures; None where there is none."""
    used = blend.used
    row = limit_row(_plain(used.request), as_limit(trait), used.ingredients, ())
    weight = Fraction(row.constant)
    if row.denominator is not None:
        weight += row.denominator.level(used.x)
    return row.numerator.level(used.x) / weight if weight else None


def _plain(request: Request) -> Request:
    """The request without caution: character is compared at typical figures."""
    if not request.brief.cautious:
        return request
    return replace(request, brief=replace(request.brief, cautious={}))


def changes(aims: Sequence[Aim], blend: Blend) -> tuple[Change, ...]:
    """How each trait of a blend differs from the reference."""
    return tuple(Change(aim, level_of(aim.trait, blend)) for aim in aims)


def difference(found: Sequence[Change]) -> Fraction:
    """The sum of all changes, in tolerances."""
    return sum((change.difference for change in found), Fraction(0))


@dataclass(frozen=True, eq=False)
class Closeness:
    """A model widened by the deviation of each trait from its aim.

    Attributes:
        model: The widened model, whose cost is the difference.
        money: The cost in money over the widened columns.
        n: How many columns are those of the plain model.
    """

    model: LinearModel
    money: Coefficients
    n: int


def closeness(
    plain: LinearModel,
    ingredients: Sequence[Ingredient],
    request: Request,
    aims: Sequence[Aim],
    weights: Sequence[Fraction],
) -> Closeness:
    """The model in which the difference from a reference is the cost.

    Args:
        plain: The model of the brief without what is gone.
        ingredients: The ingredient of each column, (n,); each has the traits' figures.
        request: The brief.
        aims: The traits and their levels in the reference.
        weights: For each aim the weight of a mean over the fat phase; not used for others.
    """
    n, more = len(plain.columns), len(aims)
    nothing = (0,) * more
    rows = []
    for k, (aim, weight) in enumerate(zip(aims, weights, strict=True)):
        part = limit_row(_plain(request), as_limit(aim.trait), ingredients, ())
        reach = Fraction(aim.trait.tolerance) * (Fraction(part.constant) or weight)
        for sense, sign in ((Sense.AT_LEAST, 1), (Sense.AT_MOST, -1)):
            helping = ModelRow.helping("like", sense, {n + k: sign * reach}, aim.before, n + more)
            own = helping.numerator.numbers[n:]
            bottom = None if part.denominator is None else part.denominator.followed_by(nothing)
            rows.append(
                replace(
                    helping,
                    numerator=part.numerator.followed_by(own),
                    denominator=bottom,
                    constant=part.constant,
                )
            )
    free = plain.costing(Coefficients((0,) * n))
    wide = free.with_columns([f"change of {aim.trait.of}" for aim in aims], (1,) * more)
    return Closeness(wide.with_rows(rows), plain.cost.followed_by(nothing), n)


def fat_weights(aims: Sequence[Aim], blend: Blend) -> list[Fraction]:
    """What each trait of a blend is an average over; the whole where there is nothing."""
    used = blend.used
    found = []
    for aim in aims:
        row = limit_row(_plain(used.request), as_limit(aim.trait), used.ingredients, ())
        part = row.denominator
        found.append((Fraction(WHOLE) if part is None else part.level(used.x)) or Fraction(WHOLE))
    return found
