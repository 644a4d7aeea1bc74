"""How much of one quantity buys how much of another."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from optimiser.answers.impossible import Explanation, explained
from optimiser.answers.measures import Blend, Measures, measured
from optimiser.answers.price_questions import why_not
from optimiser.brief import COST, End, Family, Limit, Request
from optimiser.formulation import Formulation, LeftOut, formulated
from optimiser.linear_model import LinearModel, ModelRow, Row
from optimiser.postoptimal.frontier import Edge, NoRangeError, frontier
from optimiser.provenance import InputError, Mistake
from optimiser.solve import settle
from optimiser.statements import limit_statement, quantity_said


@dataclass(frozen=True, eq=False)
class Stretch:
    """Between two levels of the other the best formula moves in a straight line.

    Attributes:
        start: The lower level of the other.
        end: The higher level.
        one_at_start: The best of the one at the lower level.
        one_at_end: The best at the higher level.
        per_unit: The one for each unit of the other; None where not the same all along.
        at_start: The formula at the lower level.
        at_end: The formula at the higher level; in between it is a mixture of both.
    """

    start: Fraction
    end: Fraction
    one_at_start: Fraction
    one_at_end: Fraction
    per_unit: Fraction | None
    at_start: Measures
    at_end: Measures


@dataclass(frozen=True, eq=False)
class TradeOff:
    """The answer of `tradeoff`.

    Attributes:
        request: The brief.
        one: The quantity that is best at each level, in a word or two.
        other: The quantity whose level moves.
        keys: What the two were called by who asked.
        rows: Their units and natural steps.
        is_most: Whether the most of the one is best; the least otherwise.
        stretches: In rising order of the other.
        aside: Limits of the brief and its style on the two quantities, left aside here.
        stands_at: The one and the other in the brief's cheapest formula; None without one.
        left_out: Ingredients left out for want of a figure.
        explanation: Why no formula meets the other limits, where none does.
    """

    request: Request
    one: str
    other: str
    keys: tuple[str, str]
    rows: tuple[Row, Row]
    is_most: bool
    stretches: tuple[Stretch, ...]
    aside: tuple[tuple[Row, Fraction], ...]
    stands_at: tuple[Fraction, Fraction] | None
    left_out: tuple[LeftOut, ...]
    explanation: Explanation | None = None


def trade_off(request: Request, one: Limit, other: Limit, most: bool | None = None) -> TradeOff:
    """Find every corner of the trade-off.

    Args:
        request: The brief; whole steps and choices are not regarded.
        one: The quantity to be best, as a limit whose bound does not matter.
        other: The quantity whose level moves, likewise.
        most: Whether the most of the one is best. None takes the least cost; the most of what
            the brief asks for at least, and the least of what it asks for at most.

    Raises:
        InputError: The brief cannot be stated or met, or the two have no range.
        UnsettledError: The exact arithmetic came to no end.
    """
    if _subject(one) == _subject(other):
        problem = "the same quantity twice; name another one"
        raise InputError([Mistake(other.origin, problem)])
    brief = request.brief.in_any_shares
    pair = {_subject(one), _subject(other)}
    aside = [limit for limit in brief.limits if _subject(limit) in pair]
    kept = tuple(limit for limit in brief.limits if _subject(limit) not in pair)
    # Stated as limits, so that an ingredient without the figure is left out and told.
    wide = replace(request, brief=replace(brief, limits=(*kept, one, other)))
    formulation = formulated(wide)
    model = formulation.model
    for limit in (one, other):
        if limit.of in request.book.ingredients and limit.of not in model.columns:
            problem = f"there is none of it in this brief: {why_not(formulation, limit.of)}"
            raise InputError([Mistake(limit.origin, problem)])
    i, j = len(model.rows) - 2, len(model.rows) - 1
    rows = {k: _row(model, k) for k in (i, j)}
    free = model.without_rows([i, j])
    is_most = _is_most(aside, one) if most is None else most
    best = _negated(rows[i]) if is_most else rows[i]
    try:
        edges = frontier(free, best, rows[j])
    except NoRangeError as problem:
        if settle(free)[1].x is None:
            others = replace(request, brief=replace(brief, limits=kept))
            return _without_formula(others, request, one, other, formulation)
        at = other if problem.is_other else one
        said = f"there is no trade-off over all formulas: {problem}; a limit on it may help"
        raise InputError([Mistake(at.origin, said)]) from None
    sign = -1 if is_most else 1
    return TradeOff(
        request=request,
        one=quantity_said(request, one),
        other=quantity_said(request, other),
        keys=(one.of, other.of),
        rows=(model.rows[i], model.rows[j]),
        is_most=is_most,
        stretches=tuple(_stretch(formulation, edge, sign) for edge in edges),
        aside=tuple(_said(request, limit) for limit in aside),
        stands_at=_stands_at(request, one, other),
        left_out=formulation.left_out,
    )


def _without_formula(
    others: Request, request: Request, one: Limit, other: Limit, formulation: Formulation
) -> TradeOff:
    """The answer where the other limits cannot be met.

    Raises:
        InputError: They could, but only with ingredients that lack a figure of the two.
    """
    whole = formulated(others)
    if settle(whole.model)[1].x is not None:
        problem = "no formula of ingredients that have a figure for it meets the other limits"
        raise InputError([Mistake(other.origin, problem)])
    rows = formulation.model.rows
    return TradeOff(
        request=request,
        one=quantity_said(request, one),
        other=quantity_said(request, other),
        keys=(one.of, other.of),
        rows=(rows[-2], rows[-1]),
        is_most=False,
        stretches=(),
        aside=(),
        stands_at=None,
        left_out=formulation.left_out,
        explanation=explained(whole),
    )


def _subject(limit: Limit) -> tuple[Family, str]:
    """What a limit is on; an amount is a total of one ingredient, a ratio has two ways."""
    if limit.family is Family.RATIOS:
        return limit.family, ":".join(sorted(limit.of.split(":")))
    family = Family.TOTALS if limit.family is Family.AMOUNTS else limit.family
    return family, limit.of


def _is_most(aside: list[Limit], one: Limit) -> bool:
    """Whether the most of a quantity is best, as far as the brief tells.

    Raises:
        InputError: It does not tell.
    """
    if one.of == COST:
        return False
    ends = {limit.end for limit in aside if (limit.family, limit.of) == (one.family, one.of)}
    if ends in ({End.MIN}, {End.MAX}):
        return ends == {End.MIN}
    problem = "is the most or the least of it best? Say so with --most or --least"
    raise InputError([Mistake(one.origin, problem)])


def _row(model: LinearModel, i: int) -> ModelRow:
    return ModelRow(
        model.rows[i], model.numerator[i], model.denominator[i], model.constant[i], model.bound[i]
    )


def _negated(row: ModelRow) -> ModelRow:
    numbers = tuple(-Fraction(number) for number in row.numerator.numbers)
    return replace(row, numerator=type(row.numerator)(numbers))


def _stretch(formulation: Formulation, edge: Edge, sign: int) -> Stretch:
    per_unit = edge.per_unit
    return Stretch(
        start=edge.start,
        end=edge.end,
        one_at_start=sign * edge.one_at_start,
        one_at_end=sign * edge.one_at_end,
        per_unit=None if per_unit is None else sign * per_unit,
        at_start=measured(Blend.of(formulation, edge.x_at_start)),
        at_end=measured(Blend.of(formulation, edge.x_at_end)),
    )


def _said(request: Request, limit: Limit) -> tuple[Row, Fraction]:
    return limit_statement(request, limit), Fraction(limit.value)


def _stands_at(request: Request, one: Limit, other: Limit) -> tuple[Fraction, Fraction] | None:
    """Where the brief's own cheapest formula stands, in shares of any size."""
    brief = request.brief.in_any_shares
    formulation = formulated(replace(request, brief=brief))
    x = settle(formulation.model)[1].x
    if x is None:
        return None
    blend = Blend.of(formulation, x).used
    wide = replace(request, brief=replace(brief, limits=(one, other)))
    shelf = replace(wide, brief=replace(wide.brief, use=tuple(blend.shares)))
    held = formulated(shelf)
    if set(held.model.columns) != set(blend.shares):
        return None
    point = [blend.shares[name] for name in held.model.columns]
    levels = [held.model.level(i, point) for i in (1, 2)]
    if levels[0] is None or levels[1] is None:
        return None
    return levels[0], levels[1]
