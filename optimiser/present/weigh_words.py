"""What to weigh in, in words: weights, limits on them, the scale, the steps."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from optimiser.ingredient import Ingredient, Kind
from optimiser.linear_model import Sense
from optimiser.present.console import short
from optimiser.present.numbers import printed_shares, significant
from optimiser.present.page import Items, Paragraph, Part, Section, Table
from optimiser.present.weight_numbers import on_scale, weight_text
from optimiser.production import Step
from optimiser.provenance import plain_number
from optimiser.workshop.batch import Batch, Line
from optimiser.workshop.scale import FINE_DIVISIONS, LEAST_DIVISIONS
from optimiser.workshop.weights import Missed

TOGETHER = "together"

MOST_DILUTION = 20
"""A premix of more parts than that is not even by stirring."""


def batch_title(batch: Batch) -> str:
    """The product and the size."""
    return f"{product(batch)}: a batch of {weight_text(batch.weights.size_g)}"


def product(batch: Batch) -> str:
    """What is made."""
    return batch.request.brief.name or batch.asked.formula


def opening(batch: Batch) -> list[str]:
    """Where the weights come from and what holds for them."""
    weights = batch.weights
    said = [
        f"Weights for {batch.asked.formula}, in whole divisions of a scale that shows "
        f"{plain_number(weights.division_g)} g; together exactly {weight_text(weights.size_g)}."
    ]
    broken = [one for one in weights.missed if not one.is_as_near]
    if not weights.held and not weights.missed:
        return said
    limits = f"{weights.held} limit{'s' if weights.held != 1 else ''}"
    if not broken:
        said.append(f"As weighed it keeps {limits} of brief and style, checked exactly.")
    else:
        why = (
            "the fewest found among weights near the formula"
            if any(one.was_met for one in broken)
            else "as the formula itself does"
        )
        said.append(
            f"As weighed it keeps {limits} of brief and style and misses {len(broken)}, {why}."
        )
    return said


def missed_said(batch: Batch) -> list[str]:
    """Each limit that the weights miss, and by how much."""
    said = [_missed(one) for one in batch.weights.missed]
    for check in batch.weights.unknown:
        names = ", ".join(check.lacking)
        statement = check.row.statement.render(check.bound or Fraction(0))
        said.append(f"Not known: {statement}; nobody gives the figure of {names}.")
    return said


def _missed(one: Missed) -> str:
    check = one.check
    statement = check.row.statement.render(check.bound or Fraction(0))
    value = "not defined" if check.value is None else significant(check.value, 5)
    if one.is_as_near:
        down = "" if check.row.sense is Sense.EQUAL else " without rounding a scent up"
        return f"{statement}: {value} on the scale, as near as it shows{down}."
    said = f"Missed: {statement}; it is {value}"
    if one.by is not None:
        said += f", off by {significant(one.by, 2)}"
    return said + (" through rounding." if one.was_met else ", as in the formula.")


def weigh_table(batch: Batch) -> Table:
    """The weights in the order of the work."""
    division = batch.weights.division_g
    percents = printed_shares([line.percent for line in batch.lines])
    rows = [
        (
            f"{line.step} {line.phase}",
            short(line.ingredient.common_name),
            percent,
            on_scale(line.grams, division),
        )
        for line, percent in zip(batch.lines, percents, strict=True)
    ]
    rows.append(("", TOGETHER, "100.00", on_scale(batch.weights.size_g, division)))
    return Table(("step", "ingredient", "percent", "g"), rows, right=(2, 3))


def scale_said(batch: Batch) -> list[str]:
    """What is too small for the scale, and what to do."""
    return [said for line in batch.lines if (said := line_warning(batch, line))]


def line_warning(batch: Batch, line: Line) -> str:
    """The warning of one line, or nothing."""
    warning = line.warning
    if warning is None:
        return ""
    division = batch.weights.division_g
    name = line.ingredient.common_name
    target = significant(line.percent * batch.weights.size_g / 100, 3)
    finer = plain_number(warning.finer_g)
    ways = f"use a scale that shows {finer} g, or make {weight_text(warning.size_g)} or more"
    carrier = _carrier(batch, line)
    if carrier is not None and 1 < warning.dilution <= MOST_DILUTION:
        ways = (
            f"use a scale that shows {finer} g, make {weight_text(warning.size_g)} or more, or "
            f"premix 1 part of it with {warning.dilution - 1} of {carrier.common_name} and weigh "
            f"{warning.dilution} times as much of that, with so much less {carrier.common_name}"
        )
    if warning.is_lost:
        return (
            f"{name}, {target} g: less than half a division of {plain_number(division)} g, so the "
            f"scale does not show it; {ways}."
        )
    few = significant(warning.divisions, 3)
    limit = (
        f"under {LEAST_DIVISIONS}"
        if warning.is_too_small
        else f"under {FINE_DIVISIONS}, where half a division is over 2 %"
    )
    few += " division" if warning.divisions == 1 else " divisions"
    return f"{name}, {target} g: {few} of the scale, {limit}; {ways}."


def _carrier(batch: Batch, line: Line) -> Ingredient | None:
    """What a premix can be made with: of the formula, of the right sort, and enough of it."""
    kind = line.ingredient.kind
    needed = line.grams * line.warning.dilution if line.warning is not None else line.grams
    if kind in (Kind.BUTTER, Kind.WAX):
        return None
    wanted = Kind.POWDER if kind in (Kind.POWDER, Kind.COLOUR, Kind.EXFOLIANT) else Kind.OIL
    found = [
        other
        for other in batch.lines
        if other is not line and other.ingredient.kind is wanted and other.grams > needed
    ]
    return max(found, key=lambda other: other.grams).ingredient if found else None


def step_lines(batch: Batch) -> list[str]:
    """The steps, numbered, with customary temperatures and times."""
    return [
        f"{number} {step.phase}: {step_said(step)}"
        for number, step in enumerate(batch.method.steps, start=1)
    ]


def step_said(step: Step) -> str:
    """A step with its customary temperature, time and note."""
    customary = customary_said(step)
    more = "; ".join(filter(None, (customary, step.note)))
    return f"{step.text} ({more})" if more else step.text


def customary_said(step: Step) -> str:
    """Customary temperature and time, or nothing."""
    return " for ".join(filter(None, (temperature_said(step), minutes_said(step))))


def temperature_said(step: Step) -> str:
    """A customary temperature, or nothing."""
    return _span(step.temperature, "C", "below", "from")


def minutes_said(step: Step) -> str:
    """A customary time, or nothing."""
    return _span(step.minutes, "minutes", "up to", "at least")


def _span(ends: tuple[Decimal | None, Decimal | None], unit: str, most: str, least: str) -> str:
    low, high = ends
    if low is not None and high is not None:
        return f"{plain_number(low)} to {plain_number(high)} {unit}"
    if high is not None:
        return f"{most} {plain_number(high)} {unit}"
    return "" if low is None else f"{least} {plain_number(low)} {unit}"


def method_status(batch: Batch) -> str:
    """Where the steps come from."""
    statuses = " and ".join(dict.fromkeys(step.status for step in batch.method.steps))
    return f"Steps, temperatures and times: {statuses}."


def weigh_sections(batch: Batch) -> list[Section]:
    """Weights, scale and steps."""
    parts: list[Part] = [weigh_table(batch)]
    missed = missed_said(batch)
    if missed:
        parts.append(Items(missed))
    sections = [Section("Weigh", parts)]
    warnings = scale_said(batch)
    if warnings:
        sections.append(Section("Too little for this scale", [Items(warnings)]))
    sections.append(Section("Steps", [Items(step_lines(batch)), Paragraph(method_status(batch))]))
    return sections
