"""One batch of one formula: weights, steps, jars, cost.

Answers `batch`: what to weigh in, in whole divisions of the scale that keep the brief's limits;
in which order; how many jars that fills; what a jar costs with the loss inside.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from optimiser.answers.measures import Blend, Measures, measured
from optimiser.brief import Request
from optimiser.ingredient import Ingredient
from optimiser.production import BatchPlan, FillTolerance, JarPlan, Step
from optimiser.provenance import InputError, Mistake, Origin
from optimiser.workshop.jar_cost import BatchCost, Margin, margin_at, price_for
from optimiser.workshop.jar_fill import JarFill, jar_fill
from optimiser.workshop.jars import Jars, batch_for, jars_of
from optimiser.workshop.method import Method, method
from optimiser.workshop.restricted import restricted
from optimiser.workshop.scale import ScaleWarning, scale_warning
from optimiser.workshop.weights import Weights, weighed_out

DIVISION_G = Fraction(1)
"""The division of a kitchen scale, where nobody says it."""

LOSS = Fraction(3)
"""Percent of a batch that is lost where nobody says it: 2 to 5 is customary, without source."""

MOST_G = Fraction(1_000_000)
"""A batch above a tonne is a slip."""

INGREDIENTS, PACKAGING, LABOUR, OVERHEAD = "ingredients", "packaging", "labour", "overhead"
"""The parts of a cost."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be made, the command's word before the brief's.

    Attributes:
        plan: The batch.
        jar: The jar.
        jars: How many jars are to be filled; the batch then follows.
        formula: Where the formula comes from, in words.
        remarks: What is worth telling of how it was read.
    """

    plan: BatchPlan
    jar: JarPlan
    jars: int | None
    formula: str
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Shipped:
    """The shipped tables of the workshop."""

    method: tuple[Step, ...]
    tolerances: tuple[FillTolerance, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a weigh sheet.

    Attributes:
        ingredient: What is weighed.
        percent: Its share of the formula.
        grams: The target.
        phase: The part of the work in which it goes in.
        step: The number of the step.
        warning: Where the target is small for the scale.
        is_rounded_down: Whether it must not be rounded up.
    """

    ingredient: Ingredient
    percent: Fraction
    grams: Fraction
    phase: str
    step: int
    warning: ScaleWarning | None
    is_rounded_down: bool


@dataclass(frozen=True, eq=False)
class Batch:
    """One batch.

    Attributes:
        request: The brief, or one without limits and prices.
        asked: What was asked.
        weights: The formula on the scale.
        lines: In the order of the work.
        method: The steps.
        measures: What the formula as weighed is and measures, with cautions.
        loss: Percent of the batch that is lost.
        assumed: What nobody said: `scale`, `loss`, `filled`.
        fill: What goes into one jar; None where no jar is stated.
        jars: How many it fills; None where no jar is stated.
        cost: What it costs; None where a price is missing.
        known_cost: The parts of it that are known where one is not; else None.
        unpriced: What has no price.
        left_out: Parts of a cost that nobody states: `packaging`, `labour`, `overhead`.
        margin: What is left of the price, where one is stated.
        price: The price of which the stated margin is left.
    """

    request: Request
    asked: Asked
    weights: Weights
    lines: tuple[Line, ...]
    method: Method
    measures: Measures
    loss: Fraction
    assumed: tuple[str, ...]
    fill: JarFill | None
    jars: Jars | None
    cost: BatchCost | None
    known_cost: BatchCost | None
    unpriced: tuple[str, ...]
    left_out: tuple[str, ...]
    margin: Margin | None
    price: Fraction | None

    @property
    def unpriced_packaging(self) -> list[str]:
        """What has no price of the packaging, as the brief names it."""
        return [item for item in self.asked.jar.packaging if item in self.unpriced]

    @property
    def needs_kg(self) -> dict[str, Fraction]:
        """What the batch takes of each ingredient, in kg."""
        return {line.ingredient.id: line.grams / 1000 for line in self.lines}

    def cost_of_goods(self, factor: Fraction, jars: int) -> tuple[Fraction, Fraction]:
        """Money for ingredients, and for packaging, of a batch of another size.

        Args:
            factor: The size, in batches.
            jars: Jars that it fills.
        """
        if self.cost is None or self.jars is None or not self.jars.count:
            return Fraction(0), Fraction(0)
        packaging = self.cost.parts.get(PACKAGING, Fraction(0)) / self.jars.count
        return self.cost.parts[INGREDIENTS] * factor, packaging * jars


def batch(
    request: Request,
    shares: Mapping[str, Fraction],
    asked: Asked,
    shipped: Shipped,
    packaging: Mapping[str, Fraction] | None = None,
) -> Batch:
    """Make a batch of a formula.

    Args:
        request: The brief, or one without limits and prices.
        shares: Percent by ingredient id, 100 together.
        asked: What is to be made.
        shipped: Steps and tolerances.
        packaging: Money for one piece by item of the plan; None where no list has any.

    Raises:
        InputError: No size can be found, the batch cannot be weighed on the scale, or the fill
            of a jar is not known.
    """
    blend = Blend.at(request, {name: share for name, share in shares.items() if share})
    plan = asked.plan
    steps = method(shipped.method, request.brief.style, blend.ingredients)
    fill = jar_fill(asked.jar, blend, steps.is_whipped, shipped.tolerances)
    loss = LOSS if plan.loss is None else Fraction(plan.loss)
    division = DIVISION_G if plan.division_g is None else plan.division_g
    size = _size(asked, fill, loss, division)
    down = restricted(request, blend.ingredients)
    at = plan.origins.get("size") or Origin("--size")
    weights = weighed_out(blend, size, division, down, at)
    jars = None
    if fill is not None:
        jars = jars_of(size, loss / 100, fill.fill.target_g)
    counted, unpriced, left_out = _cost(asked, weights, loss, jars, packaging)
    cost = None if unpriced else counted
    per_jar = None if cost is None else cost.per_jar
    price, margin = asked.jar.price, asked.jar.margin
    return Batch(
        request=request,
        asked=asked,
        weights=weights,
        lines=_lines(blend, weights, steps, down),
        method=steps,
        measures=measured(weights.blend),
        loss=loss,
        assumed=_assumed(plan, fill),
        fill=fill,
        jars=jars,
        cost=cost,
        known_cost=counted if unpriced else None,
        unpriced=unpriced,
        left_out=left_out,
        margin=margin_at(Fraction(price), per_jar) if price and per_jar is not None else None,
        price=price_for(Fraction(margin), per_jar)
        if margin is not None and per_jar is not None
        else None,
    )


def _size(asked: Asked, fill: JarFill | None, loss: Fraction, division: Fraction) -> Fraction:
    """The batch in grams, from its size or back from the jars."""
    if asked.jars is not None:
        if fill is None:
            problem = 'jars of what weight? Add --net "120 g", or net under [jar] in the brief'
            raise InputError([Mistake(Origin("--jars"), problem)])
        size = batch_for(asked.jars, loss / 100, fill.fill.target_g, division)
        if size > MOST_G:
            problem = f"{asked.jars} jars take more than a tonne; make several batches"
            raise InputError([Mistake(Origin("--jars"), problem)])
        return size
    if asked.plan.size_g is None:
        problem = 'how much? Write --size "2 kg", --jars 24, or size under [batch] in the brief'
        raise InputError([Mistake(Origin("batch"), problem)])
    return asked.plan.size_g


def _assumed(plan: BatchPlan, fill: JarFill | None) -> tuple[str, ...]:
    found = [
        name for name, said in (("scale", plan.division_g), ("loss", plan.loss)) if said is None
    ]
    if fill is not None and fill.is_filled_assumed:
        found.append("filled")
    return tuple(found)


def _lines(blend: Blend, weights: Weights, steps: Method, down: frozenset[str]) -> tuple[Line, ...]:
    """The lines in the order of the work, the heaviest of a step first."""
    grams = {
        one.id: weight for one, weight in zip(weights.blend.ingredients, weights.grams, strict=True)
    }
    lines = [
        Line(
            ingredient=one,
            percent=share,
            grams=grams[one.id],
            phase=steps.phase_of(one.id),
            step=steps.step_of[one.id],
            warning=scale_warning(share, weights.size_g, weights.division_g),
            is_rounded_down=one.id in down,
        )
        for one, share in blend_pairs(blend)
    ]
    return tuple(sorted(lines, key=lambda line: (line.step, -line.grams, line.ingredient.id)))


def blend_pairs(blend: Blend) -> list[tuple[Ingredient, Fraction]]:
    """The used ingredients of a blend with their shares."""
    used = blend.used
    return list(zip(used.ingredients, used.x, strict=True))


def _cost(
    asked: Asked,
    weights: Weights,
    loss: Fraction,
    jars: Jars | None,
    packaging: Mapping[str, Fraction] | None,
) -> tuple[BatchCost, tuple[str, ...], tuple[str, ...]]:
    """What the batch costs without parts that lack a price; what lacks one; what nobody states."""
    plan, blend = asked.plan, weights.blend
    unpriced = [
        one.common_name
        for one, price in zip(blend.ingredients, blend.prices, strict=True)
        if price is None
    ]
    are_priced = not unpriced
    wanted = asked.jar.packaging
    known = packaging or {}
    no_price = [] if jars is None else [item for item in wanted if item not in known]
    unpriced += no_price
    left_out = []
    if jars is not None and not wanted:
        left_out.append(PACKAGING)
    if plan.hours is None or plan.hourly_rate is None:
        left_out.append(LABOUR)
    if plan.overhead is None:
        left_out.append(OVERHEAD)
    parts = {}
    if are_priced:
        priced = zip(weights.grams, blend.prices, strict=True)
        parts[INGREDIENTS] = sum((g * (p or 0) / 1000 for g, p in priced), Fraction(0))
    if jars is not None and wanted and not no_price:
        parts[PACKAGING] = sum(
            (jars.count * count * known[item] for item, count in wanted.items()), Fraction(0)
        )
    if LABOUR not in left_out:
        parts[LABOUR] = _money(plan.hours) * _money(plan.hourly_rate)
    if OVERHEAD not in left_out:
        parts[OVERHEAD] = _money(plan.overhead)
    usable = weights.size_g * (1 - loss / 100)
    filled = usable if jars is None else jars.filled_g
    cost = BatchCost(parts, None if jars is None else jars.count, filled / 1000)
    return cost, tuple(unpriced), tuple(left_out)


def _money(value: Decimal | None) -> Fraction:
    return Fraction(value or 0)
