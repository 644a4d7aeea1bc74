"""What goes into one jar: from the label's weight, or from the jar's volume and its air."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from optimiser.answers.measures import Blend
from optimiser.formulation import in_scope, property_level
from optimiser.production import FillTolerance, JarPlan
from optimiser.provenance import InputError, Mistake, Origin, plain_number
from optimiser.workshop.fill import Fill, fill_for, most_on_label
from optimiser.workshop.jars import fill_of_volume

DENSITY = "density"
"""The property, in g/ml, of the blend before whipping."""

FILLED = Fraction(95)
"""Percent of a jar's volume that is filled, where nobody says it."""

NET, VOLUME = "net", "volume"

WEIGH_ONE = 'weigh one filled jar and write its contents in grams, as in net = "110 g"'


@dataclass(frozen=True, slots=True)
class JarFill:
    """What goes into one jar, and how that was found.

    Attributes:
        fill: The label's weight and the target.
        volume_ml: The jar to the brim where the weight follows from it, else None.
        filled: Percent of the volume that is filled; None without a volume.
        density: Grams per ml before whipping; None without a volume.
        overrun: Percent of air; None without a volume.
        is_poured: True where there is no air because the product is not whipped.
        is_filled_assumed: True where nobody says how far the jar is filled.
    """

    fill: Fill
    volume_ml: Fraction | None = None
    filled: Fraction | None = None
    density: Fraction | None = None
    overrun: Fraction | None = None
    is_poured: bool = False
    is_filled_assumed: bool = False


def jar_fill(
    plan: JarPlan,
    blend: Blend,
    is_whipped: bool | None,
    tolerances: tuple[FillTolerance, ...],
) -> JarFill | None:
    """What goes into one jar; None where the plan names neither weight nor volume.

    Args:
        plan: What is said of the jar.
        blend: The formula.
        is_whipped: Whether it is whipped; None where the style is not known.
        tolerances: How far short a fill may fall.

    Raises:
        InputError: A volume, and the overrun or a density is missing; or the jar is too small
            for a label in whole grams.
    """
    if plan.net_g is not None:
        _check_spread(plan, plan.net_g)
        return JarFill(fill_for(plan.net_g, plan.spread_g, tolerances))
    if plan.volume_ml is None:
        return None
    at = plan.origins.get(VOLUME) or plan.origins.get(NET) or Origin("--net")
    overrun, is_poured = _overrun(plan, is_whipped, at)
    density = _density(blend, at)
    filled = FILLED if plan.filled is None else Fraction(plan.filled)
    filled_g = fill_of_volume(plan.volume_ml, filled / 100, density, overrun / 100)
    _check_spread(plan, filled_g)
    label = most_on_label(filled_g, plan.spread_g, tolerances)
    if not label:
        problem = f"so small a jar leaves no whole gram for the label; {WEIGH_ONE}"
        raise InputError([Mistake(at, problem)])
    stated = fill_for(Fraction(label), plan.spread_g, tolerances)
    # The jar says how much goes in; the label follows.
    fill = Fill(
        label_g=stated.label_g,
        target_g=filled_g,
        spread_g=stated.spread_g,
        shortfalls=stated.shortfalls,
        outside=stated.outside,
    )
    return JarFill(fill, plan.volume_ml, filled, density, overrun, is_poured, plan.filled is None)


def _check_spread(plan: JarPlan, grams: Fraction) -> None:
    """Refuse a spread that no fills have.

    Raises:
        InputError: It is more than a quarter of what is in a jar.
    """
    if plan.spread_g is not None and plan.spread_g > grams / 4:
        problem = (
            f"a spread of {plain_number(plan.spread_g)} g in jars of {plain_number(round(grams))} "
            "g; it is the standard deviation of fills, a gram or so: write it like 0.8 g"
        )
        raise InputError([Mistake(plan.origins.get("spread") or Origin("jar.spread"), problem)])


def _overrun(plan: JarPlan, is_whipped: bool | None, at: Origin) -> tuple[Fraction, bool]:
    """The air in percent, and whether there is none because the product is poured."""
    if plan.overrun is not None:
        return Fraction(plan.overrun), False
    if is_whipped is False:
        return Fraction(0), True
    why = "a whipped product's" if is_whipped else "the"
    problem = (
        f"a volume, and {why} overrun is not stated; {WEIGH_ONE}, or write your measured overrun "
        "under [jar], as in overrun = 40"
    )
    if is_whipped is None:
        problem += ", 0 where nothing is whipped"
    raise InputError([Mistake(at, problem)])


def _density(blend: Blend, at: Origin) -> Fraction:
    used, quantity = blend.used, blend.request.book.properties.get(DENSITY)
    level = None
    lacking: list[str] = []
    if quantity is not None:
        level = property_level(quantity, used.ingredients, used.x, "typical")
        lacking = [
            one.common_name
            for one in used.ingredients
            if in_scope(one, quantity.over) and DENSITY not in one.figures
        ]
    if level is None:
        names = f" of {', '.join(lacking)}" if lacking else ""
        problem = (
            f"a volume, and nobody gives the density{names}; {WEIGH_ONE}, or give density (g/ml) "
            "in a sheet of your own"
        )
        raise InputError([Mistake(at, problem)])
    return level
