"""A formulation with whole steps, smallest doses, counts and either-or: whole numbers.

Beside the shares there is a column for each ingredient that is either used or not, 0 or 1.
A smallest dose is then a ratio like any other, share / used >= bound, and so are the
limits of an ingredient that may also be left out; a count is a sum of these columns.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from optimiser.brief import Either, End, Family
from optimiser.formulation import WHOLE, Formulation
from optimiser.linear_model import Coefficients, LinearModel, Row, Sense
from optimiser.provenance import Exact, Origin, Statement, plain_number

TRACE = Fraction(1, 100)
"""Percent from which an ingredient without a step counts as used where one has to be."""

STEP_KEY = "weighing.step"
SMALLEST_KEY = "weighing.smallest"
COUNT_KEY = "weighing.max_ingredients"


@dataclass(frozen=True, eq=False)
class WeighableModel:
    """A mixed-integer model of a formulation.

    Attributes:
        formulation: What it is made from.
        model: Columns: the ingredients, in steps or in percent; then 0 or 1 for each that
            is used or not.
        step: Percent of one unit of each ingredient's column, (n,).
        is_counted: True for ingredients that have a step, (n,).
        switch: Position of the 0-or-1 column of each ingredient that has one.
    """

    formulation: Formulation
    model: LinearModel
    step: tuple[Fraction, ...]
    is_counted: tuple[bool, ...]
    switch: Mapping[int, int]

    @property
    def relaxed(self) -> LinearModel:
        """The same without whole numbers: its least cost is a lower bound."""
        return replace(self.model, is_integer=(False,) * len(self.model.columns))

    def shares(self, values: Sequence[Exact]) -> tuple[Fraction, ...]:
        """Percent of each ingredient, from values of all columns."""
        return tuple(Fraction(v) * s for v, s in zip(values, self.step, strict=False))


def weighable(
    formulation: Formulation, without: frozenset[str] = frozenset(), is_tight: bool = True
) -> WeighableModel:
    """State a formulation with the choices of its brief.

    Args:
        formulation: The continuous model.
        without: Keys of rules to leave out, to see which of them a brief fails on.
        is_tight: Whether to tie share and switch by the maker's own maximum, which gives
            better bounds but hides that statement from an explanation.
    """
    base = formulation.model
    step, is_counted = _steps(formulation, without)
    switched = _switched(formulation, without)
    switch = {j: len(base.columns) + k for k, j in enumerate(switched)}
    stack = _Stack(base.columns, step, is_counted, len(base.columns) + len(switched))
    stack.add_base(formulation, switch, without)
    most = _most(formulation) if is_tight else {}
    for j, k in switch.items():
        said = Statement("used", f"{base.columns[j]} only when used", Origin("optimiser"))
        row = Row(said, Sense.AT_MOST, "", may_be_eased=False, is_said=False)
        stack.add(row, {j: step[j], k: -most.get(base.columns[j], WHOLE)}, None, 0)
    _add_rules(stack, formulation, switch, without)
    upper = [
        Fraction(WHOLE) / s if counted else WHOLE
        for s, counted in zip(step, is_counted, strict=True)
    ]
    model = LinearModel(
        columns=(*base.columns, *(f"{base.columns[j]} used" for j in switched)),
        rows=tuple(stack.rows),
        numerator=tuple(stack.numerator),
        denominator=tuple(stack.denominator),
        constant=tuple(stack.constant),
        bound=tuple(stack.bound),
        cost=stack.scaled(base.cost),
        lower=(0,) * stack.width,
        upper=(*upper, *(1,) * len(switched)),
        is_integer=(*is_counted, *(True,) * len(switched)),
    )
    return WeighableModel(formulation, model, step, is_counted, switch)


class _Stack:
    """Rows of the mixed model as they are put together."""

    def __init__(
        self,
        columns: tuple[str, ...],
        step: tuple[Fraction, ...],
        is_counted: tuple[bool, ...],
        width: int,
    ) -> None:
        self.columns = columns
        self.step = step
        self.is_counted = is_counted
        self.width = width
        self.rows: list[Row] = []
        self.numerator: list[Coefficients] = []
        self.denominator: list[Coefficients | None] = []
        self.constant: list[Exact] = []
        self.bound: list[Exact] = []

    def scaled(self, part: Coefficients) -> Coefficients:
        """Coefficients of percent as coefficients of steps, with nothing on the switches."""
        numbers = [Fraction(a) * s for a, s in zip(part.numbers, self.step, strict=True)]
        return Coefficients((*numbers, *(0,) * (self.width - len(self.step))))

    def add_base(
        self, formulation: Formulation, switch: Mapping[int, int], without: frozenset[str]
    ) -> None:
        """The rows of the continuous model; limits of what may be absent hold when used."""
        brief, base = formulation.request.brief, formulation.model
        position = {ingredient.id: j for j, ingredient in enumerate(formulation.ingredients)}
        self.rows = list(base.rows)
        self.numerator = [self.scaled(part) for part in base.numerator]
        self.denominator = [
            None if part is None else self.scaled(part) for part in base.denominator
        ]
        self.constant, self.bound = list(base.constant), list(base.bound)
        for i, limit in enumerate(formulation.limits):
            if limit is None or limit.family is not Family.AMOUNTS:
                continue
            if limit.of not in brief.or_none:
                continue
            j = position.get(limit.of)
            if j is None or (limit.end is not End.MAX and or_none_key(limit.of) in without):
                self.bound[i] = 0 if limit.end is not End.MAX else limit.value
            if j is not None:
                # share / used is the share where it is used, and says nothing elsewhere.
                self.numerator[i] = self._sparse({j: self.step[j]})
                self.denominator[i] = self._sparse({switch[j]: 1})
                self.constant[i] = 0

    def add(
        self, row: Row, top: Mapping[int, Exact], bottom: Mapping[int, Exact] | None, bound: Exact
    ) -> None:
        """One more row."""
        self.rows.append(row)
        self.numerator.append(self._sparse(top))
        self.denominator.append(None if bottom is None else self._sparse(bottom))
        self.constant.append(1 if bottom is None else 0)
        self.bound.append(bound)

    def _sparse(self, entries: Mapping[int, Exact]) -> Coefficients:
        return Coefficients(tuple(entries.get(j, 0) for j in range(self.width)))


def _add_rules(
    stack: _Stack, formulation: Formulation, switch: Mapping[int, int], without: frozenset[str]
) -> None:
    """Smallest doses, the count and either-or."""
    brief = formulation.request.brief
    weighing = brief.weighing
    if weighing is not None and weighing.smallest is not None and SMALLEST_KEY not in without:
        for j, k in switch.items():
            if formulation.ingredients[j].id in weighing.steps:
                continue  # weighed on a finer scale
            name = formulation.ingredients[j].common_name
            name = name.replace("{", "{{").replace("}", "}}")
            template = f"{name}, if used, at least {{bound}} %"
            row = _rule(weighing.origins, SMALLEST_KEY, template)
            stack.add(row, {j: stack.step[j]}, {k: 1}, weighing.smallest)
    if weighing is not None and weighing.max_ingredients is not None and COUNT_KEY not in without:
        template = "ingredients used: at most {bound}"
        row = _rule(weighing.origins, COUNT_KEY, template, Sense.AT_MOST)
        stack.add(row, dict.fromkeys(switch.values(), 1), None, weighing.max_ingredients)
    position = {ingredient.id: j for j, ingredient in enumerate(formulation.ingredients)}
    for either in brief.either:
        if either.key in without:
            continue
        chosen = [position[name] for name in either.of if name in position]
        stack.add(_either_row(either), dict.fromkeys((switch[j] for j in chosen), 1), None, 1)
        for j in chosen if either.is_needed else ():
            # To be the one that is used it has to be there at all.
            said = Statement("used", f"some {stack.columns[j]} when used", Origin("optimiser"))
            row = Row(said, Sense.AT_LEAST, "", may_be_eased=False, is_said=False)
            least = stack.step[j] if stack.is_counted[j] else TRACE
            stack.add(row, {j: stack.step[j], switch[j]: -least}, None, 0)


def rules(formulation: Formulation) -> tuple[tuple[str, str], ...]:
    """The choices that a brief asks for: key and how it is said, for telling which fails."""
    brief = formulation.request.brief
    found: list[tuple[str, str]] = []
    weighing = brief.weighing
    if weighing is not None:
        if weighing.step is not None or weighing.steps:
            found.append((STEP_KEY, "whole steps"))
        if weighing.smallest is not None:
            found.append((SMALLEST_KEY, f"no ingredient below {weighing.smallest} %"))
        if weighing.max_ingredients is not None:
            found.append((COUNT_KEY, f"ingredients used: at most {weighing.max_ingredients}"))
    found += [(either.key, either_said(either)) for either in brief.either]
    found += [
        (or_none_key(limit.of), f"at least {plain_number(limit.value)} % of {limit.of} if used")
        for limit in brief.limits
        if limit.family is Family.AMOUNTS and limit.of in brief.or_none and limit.end is End.MIN
    ]
    return tuple(found)


def or_none_key(ingredient: str) -> str:
    """The key path of the least amount of an ingredient that may be absent."""
    return f"amounts.{ingredient}.min"


def least_doses(formulation: Formulation) -> tuple[Fraction, ...]:
    """The least percent at which each ingredient counts as used, (n,)."""
    weighing = formulation.request.brief.weighing
    step, is_counted = _steps(formulation, frozenset())
    found = []
    for ingredient, size, counted in zip(formulation.ingredients, step, is_counted, strict=True):
        least = size if counted else TRACE
        smallest = None if weighing is None else weighing.smallest
        if weighing is not None and smallest is not None and ingredient.id not in weighing.steps:
            least = max(least, Fraction(smallest))
        found.append(least)
    return tuple(found)


def _most(formulation: Formulation) -> dict[str, Exact]:
    """The most of each ingredient that its own limit allows, to tie share and switch closely."""
    return {
        limit.of: limit.value
        for limit in formulation.request.brief.limits
        if limit.family is Family.AMOUNTS and limit.end is not End.MIN
    }


def _steps(
    formulation: Formulation, without: frozenset[str]
) -> tuple[tuple[Fraction, ...], tuple[bool, ...]]:
    """Percent of one unit of each column, and whether it is a whole number of them."""
    weighing = formulation.request.brief.weighing
    steps: list[Fraction] = []
    counted: list[bool] = []
    for ingredient in formulation.ingredients:
        said = None
        if weighing is not None and STEP_KEY not in without:
            said = weighing.steps.get(ingredient.id, weighing.step)
        steps.append(Fraction(1) if said is None else Fraction(said))
        counted.append(said is not None)
    return tuple(steps), tuple(counted)


def _switched(formulation: Formulation, without: frozenset[str]) -> list[int]:
    """Ingredients of which it matters whether they are used at all."""
    brief = formulation.request.brief
    weighing = brief.weighing
    everyone = weighing is not None and (
        (weighing.smallest is not None and SMALLEST_KEY not in without)
        or (weighing.max_ingredients is not None and COUNT_KEY not in without)
    )
    named = set(brief.or_none).union(*(either.of for either in brief.either))
    return [j for j, i in enumerate(formulation.ingredients) if everyone or i.id in named]


def _rule(
    origins: Mapping[str, Origin], key: str, template: str, sense: Sense = Sense.AT_LEAST
) -> Row:
    unit = "%" if sense is Sense.AT_LEAST else "ingredients"
    said = Statement(key, template, origins[key.rpartition(".")[2]])
    return Row(said, sense, unit, may_be_eased=True)


def _either_row(either: Either) -> Row:
    said = Statement(either.key, either_said(either), either.origin)
    sense = Sense.EQUAL if either.is_needed else Sense.AT_MOST
    return Row(said, sense, "", may_be_eased=False)


def either_said(either: Either) -> str:
    """What an either-or asks for."""
    word = "exactly one" if either.is_needed else "at most one"
    return f"{word} of {', '.join(either.of)}"
