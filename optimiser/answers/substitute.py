"""An ingredient is gone: what instead, what changes in the jar, and what it costs.

Beside the formula most like the one in use stand the same with the rest of it kept, the
cheapest, the corners of the trade-off between the two, and each ingredient that could take
its place alone, closest first.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from optimiser.answers.cheapest import cheapest
from optimiser.answers.checked import Checked, held
from optimiser.answers.closeness import Aim, lacks, level_of
from optimiser.answers.impossible import Explanation, explained
from optimiser.answers.kept_rest import least_within, moving_at_most
from optimiser.answers.likeness import Shelf, Substitute, undominated
from optimiser.answers.measures import Blend, measured
from optimiser.brief import COST, Brief, End, Family, Limit, Request
from optimiser.exact.dictionary import Ending
from optimiser.formulation import formulated
from optimiser.ingredient import Trait
from optimiser.price import cheapest_offers
from optimiser.provenance import InputError, Mistake, Origin
from optimiser.solve import settle

SEARCH_SECONDS = 5.0

KEEP_WITHIN = Fraction(2)
"""Points by which the rest of the formula may move where it is to be kept."""


@dataclass(frozen=True, slots=True)
class Options:
    """What a maker may say beside what is gone.

    Attributes:
        gone: Ingredient ids that are no longer to be had.
        only: Ingredient ids that may newly come in, or None for the whole shelf.
        keep_within: Points by which the rest may move in `closest_rest_kept`.
        cost_cap: The most a kg of the formula may cost, or None.
        max_changes: How many ingredients may move beside what is gone, or None.
    """

    gone: tuple[str, ...]
    only: tuple[str, ...] | None = None
    keep_within: Fraction = KEEP_WITHIN
    cost_cap: Decimal | None = None
    max_changes: int | None = None


@dataclass(frozen=True, eq=False)
class Candidate:
    """One ingredient in the place of what is gone.

    Attributes:
        ingredient: Its id.
        percent: Its share in the closest formula.
        substitute: That formula.
        not_judged: Traits that lack a figure for it and were left out of the comparison.
    """

    ingredient: str
    percent: Fraction
    substitute: Substitute
    not_judged: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Substitution:
    """The answer of `substitute`.

    Attributes:
        request: The brief, without what is gone.
        options: What was said.
        reference: The formula in use.
        reference_cautions: The cautions that applied to it.
        reference_missed: Limits of the brief that it does not meet itself.
        aims: The traits compared, with the reference's levels.
        dropped_traits: Traits that the reference's own figures do not allow.
        unknown_traits: Traits that lack a figure for an ingredient the brief demands.
        closest: The formula most like it, or why there is none.
        closest_rest_kept: The same with the rest kept; None where impossible.
        cheapest: The brief's cheapest formula, or why there is none.
        between: Corners of the trade-off of cost and difference, cheapest first.
        candidates: Each ingredient that could take the place alone, closest first.
        left_out: Shelf ingredients without a trait's figure, and the trait; they are
            judged among the candidates only.
        explanation: Why no formula exists, where none does.
        least_within: Points within which the rest can at best be kept, where it cannot be
            kept within those asked for; None where not known.
    """

    request: Request
    options: Options
    reference: Blend
    reference_cautions: tuple[str, ...]
    reference_missed: tuple[Checked, ...]
    aims: tuple[Aim, ...]
    dropped_traits: tuple[str, ...]
    unknown_traits: tuple[str, ...]
    closest: Substitute | None
    closest_rest_kept: Substitute | None
    cheapest: Substitute | None
    between: tuple[Substitute, ...]
    candidates: tuple[Candidate, ...]
    left_out: tuple[tuple[str, str], ...]
    explanation: Explanation | None
    least_within: Fraction | None = None


def substituted(
    request: Request, options: Options, recipe: Mapping[str, Fraction] | None
) -> Substitution:
    """Replace what is gone.

    Args:
        request: The brief and all it refers to.
        options: What is gone, and what else was said.
        recipe: Percent by ingredient id of the formula in use; None takes the brief's
            cheapest formula.

    Raises:
        InputError: The brief cannot be stated, is impossible as it is and no recipe is
            given, or nothing that is gone is in the formula in use.
    """
    reference = _reference(request, options, recipe)
    named = request.brief.character
    traits = request.book.character if named is None else named
    aims, dropped = _aims(traits, reference)
    narrowed = _without(request, options, reference)
    formulation = formulated(narrowed)
    _, outcome = settle(formulation.model)
    explanation = explained(formulation) if outcome.ending is Ending.INFEASIBLE else None
    needed = _demanded(narrowed.brief)
    lacking = [
        (i.id, aim.trait.of)
        for i in formulation.ingredients
        for aim in aims
        if lacks(aim.trait, i, request)
    ]
    # What every formula must have cannot be left out; the trait is not compared then.
    unknown = tuple(dict.fromkeys(trait for name, trait in lacking if name in needed))
    left_out = tuple(lack for lack in lacking if lack[1] not in unknown)
    aims = tuple(aim for aim in aims if aim.trait.of not in unknown)
    shelf = Shelf(formulation, reference, aims)
    judged = shelf.without(name for name, _ in left_out)
    if options.max_changes is not None:
        judged = moving_at_most(judged, options.max_changes, SEARCH_SECONDS) or judged.impossible()
    kept = judged.kept_within(options.keep_within)
    between = judged.corners()
    closest = judged.closest(is_thorough=True)
    if closest is not None:
        between = undominated([*between, closest])
        closest = min([closest, *between], key=lambda found: (found.difference, found.cost))
    rest_kept = kept.closest()
    least = None if outcome.x is None else shelf.substitute(outcome.x)
    if least is not None and between and between[0].cost == least.cost:
        least = between[0]  # of all cheapest ones the most like
    return Substitution(
        request=narrowed,
        options=options,
        reference=reference,
        reference_cautions=measured(reference).cautions,
        reference_missed=tuple(
            check
            for limit in request.brief.limits
            if (check := held(reference, limit)).is_met is False
        ),
        aims=aims,
        dropped_traits=dropped,
        unknown_traits=unknown,
        closest=closest,
        closest_rest_kept=rest_kept,
        cheapest=least,
        between=between,
        candidates=_candidates(shelf),
        left_out=left_out,
        explanation=explanation,
        least_within=least_within(judged) if rest_kept is None else None,
    )


def _reference(request: Request, options: Options, recipe: Mapping[str, Fraction] | None) -> Blend:
    """The formula in use: the recipe given, or the brief's cheapest."""
    if recipe is None:
        answer = cheapest(request)
        if answer.measures is None:
            problem = (
                "this brief has no formula to replace an ingredient in, formulate says why; give "
                "one with --from"
            )
            raise InputError([Mistake(Origin(request.brief.file), problem)])
        recipe = {share.ingredient: share.percent for share in answer.measures.formula}
    if not any(recipe.get(name) for name in options.gone):
        using = ", ".join(sorted(name for name, share in recipe.items() if share))
        where = Origin("--gone", None, options.gone[0])
        raise InputError([Mistake(where, f"the formula in use has none of it; it has {using}")])
    offers = cheapest_offers(request.offers)
    ids = tuple(sorted(name for name, share in recipe.items() if share))
    return Blend(
        request,
        tuple(request.book.ingredients[name] for name in ids),
        tuple(offers[name].price_per_kg if name in offers else None for name in ids),
        tuple(recipe[name] for name in ids),
    )


def _aims(traits: Iterable[Trait], reference: Blend) -> tuple[tuple[Aim, ...], tuple[str, ...]]:
    """The traits that the reference's figures allow with their levels, and the others."""
    aims, dropped = [], []
    for trait in traits:
        lacking = any(lacks(trait, i, reference.request) for i in reference.ingredients)
        level = None if lacking else level_of(trait, reference)
        if level is None:
            dropped.append(trait.of)
        else:
            aims.append(Aim(trait, level))
    return tuple(aims), tuple(dropped)


def _without(request: Request, options: Options, reference: Blend) -> Request:
    """The request without what is gone, and with what else was said."""
    brief = request.brief
    priced = cheapest_offers(request.offers)
    allowed = set(priced if brief.use is None else brief.use) - set(brief.leave_out)
    if options.only is not None:
        missing = [name for name in options.only if name not in allowed or name not in priced]
        if missing:
            problem = "it has no price or is not on the shelf of the brief"
            places = [Origin("--only", None, name) for name in missing]
            raise InputError([Mistake(place, problem) for place in places])
        allowed &= {i.id for i in reference.ingredients} | set(options.only) | _demanded(brief)
    allowed -= set(options.gone)
    limits = brief.limits
    if options.cost_cap is not None:
        where = Origin("--cost-cap")
        cap = Limit(Family.PROPERTIES, COST, End.MAX, options.cost_cap, "--cost-cap", where)
        limits = (*limits, cap)
    # What may be absent is not asked for here, where choices are not regarded.
    optional = {*options.gone, *brief.or_none}
    limits = tuple(
        limit
        for limit in limits
        if limit.family is not Family.AMOUNTS
        or limit.of not in optional
        or (limit.end is End.MAX and limit.of not in options.gone)
    )
    shelf = tuple(name for name in priced if name in allowed)
    return replace(request, brief=replace(brief, use=shelf, leave_out=(), limits=limits))


def _demanded(brief: Brief) -> set[str]:
    """Ingredients that a brief asks for some of."""
    return {
        limit.of
        for limit in brief.limits
        if limit.family is Family.AMOUNTS and limit.end is not End.MAX and limit.value > 0
    }


def _candidates(shelf: Shelf) -> tuple[Candidate, ...]:
    """Each ingredient that could take the place alone, closest first."""
    columns = shelf.formulation.model.columns
    rest = {i.id for i in shelf.reference.ingredients}
    found = []
    for ingredient in shelf.formulation.ingredients:
        if ingredient.id in rest:
            continue
        request = shelf.formulation.request
        unknown = [a for a in shelf.aims if lacks(a.trait, ingredient, request)]
        judged = tuple(aim for aim in shelf.aims if aim not in unknown)
        others = set(columns) - rest - {ingredient.id}
        closest = replace(shelf, aims=judged).without(others).closest()
        if closest is None:
            continue
        shares = {share.ingredient: share.percent for share in closest.measures.formula}
        if ingredient.id in shares:
            names = tuple(aim.trait.of for aim in unknown)
            found.append(Candidate(ingredient.id, shares[ingredient.id], closest, names))
    # What is not known of a candidate counts as a change that is just noticed.
    return tuple(
        sorted(found, key=lambda c: (c.substitute.difference + len(c.not_judged), c.ingredient))
    )
