"""Rules of weighing held against a recipe: whole steps, doses, counts, either-or."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from optimiser.answers.checked import Checked
from optimiser.answers.measures import Blend
from optimiser.brief import Weighing
from optimiser.linear_model import Row, Sense
from optimiser.provenance import Origin, Statement, plain_number
from optimiser.weighable_model import COUNT_KEY, SMALLEST_KEY, STEP_KEY, either_said


def rules_held(blend: Blend) -> list[Checked]:
    """Each rule of the brief, and which ingredients of a blend do not keep it."""
    brief, used = blend.request.brief, blend.used
    shares = {i.id: share for i, share in zip(used.ingredients, used.x, strict=True)}
    found = [] if brief.weighing is None else list(_weighing_held(brief.weighing, shares))
    for either in brief.either:
        present = tuple(name for name in either.of if name in shares)
        is_met = len(present) == 1 or (not present and not either.is_needed)
        row = _row(either.key, either_said(either), either.origin)
        found.append(Checked(row, None, None, is_met, offending=() if is_met else present))
    return found


def _weighing_held(weighing: Weighing, shares: dict[str, Fraction]) -> Iterator[Checked]:
    if weighing.step is not None or weighing.steps:
        steps = {name: weighing.steps.get(name, weighing.step) for name in shares}
        broken = tuple(
            name
            for name, share in shares.items()
            if (step := steps[name]) is not None and (share / Fraction(step)).denominator > 1
        )
        said = "every share in whole steps"
        if weighing.step is not None:
            said += f" of {plain_number(weighing.step)} %"
        yield _rule(STEP_KEY, said, weighing, broken)
    if weighing.smallest is not None:
        small = tuple(
            name
            for name, share in shares.items()
            if share < Fraction(weighing.smallest) and name not in weighing.steps
        )
        said = f"no ingredient below {plain_number(weighing.smallest)} %"
        yield _rule(SMALLEST_KEY, said, weighing, small)
    if weighing.max_ingredients is not None:
        said = f"ingredients used: at most {weighing.max_ingredients}"
        origin = weighing.origins["max_ingredients"]
        count, most = Fraction(len(shares)), Fraction(weighing.max_ingredients)
        yield Checked(_row(COUNT_KEY, said, origin), most, count, count <= most)


def _rule(key: str, said: str, weighing: Weighing, broken: tuple[str, ...]) -> Checked:
    name = key.rpartition(".")[2]
    origin = weighing.origins.get(name) or next(iter(weighing.origins.values()))
    return Checked(_row(key, said, origin), None, None, not broken, offending=broken)


def _row(key: str, said: str, origin: Origin) -> Row:
    text = said.replace("{", "{{").replace("}", "}}")
    return Row(Statement(key, text, origin), Sense.AT_MOST, "")
