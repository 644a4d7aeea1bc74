"""What a formula brings to the skin, in words."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any

from optimiser.answers.measures import Measures
from optimiser.answers.on_skin import SkinLevel
from optimiser.brief import Brief
from optimiser.present.answer_json import number
from optimiser.present.numbers import significant
from optimiser.present.page import Paragraph, Section, Table
from optimiser.provenance import plain_number

MOST_SHOWN = 6
"""So many limits are shown, the fullest; the others are only counted."""

RECALLED = " *"
"""Stands behind a rule that was not read anywhere."""

COUNTED = (
    "Counted at the highest content of the scents on file, much of it from memory; a supplier's "
    "certificate takes its place ([shelf] certificates). Rules are copied second-hand. To be "
    "within them is not to be safe or lawful."
)


def skin_section(measures: Measures, brief: Brief) -> Section | None:
    """The levels of the limits on skin; None where the formula adds to none."""
    levels = measures.on_skin
    if not levels:
        return None
    rows = [(_short(one), *_amounts(one), _rule(one)) for one in levels[:MOST_SHOWN]]
    parts: list[Paragraph | Table] = [
        Table(("limit", "level", "at most", "rule"), rows, right=(1, 2))
    ]
    more = levels[MOST_SHOWN:]
    if more:
        most = significant(max(one.part for one in more) * 100, 2)
        many = "another limit is" if len(more) == 1 else f"{len(more)} other limits are"
        parts.append(Paragraph(f"{many[:1].upper()}{many[1:]} taken up to {most} % or less."))
    if any(row[-1].endswith(RECALLED) for row in rows):
        parts.append(Paragraph(f"{RECALLED.strip()} a rule from memory."))
    title = f"On skin ({'; '.join(brief.uses)})" if brief.uses else "On skin"
    return Section(title, [*parts, Paragraph(COUNTED)])


def _amounts(one: SkinLevel) -> tuple[str, str]:
    bound = f"{plain_number(one.limit.value)} {one.unit}".strip()
    return f"{significant(one.level)} {one.unit}".strip(), bound


def _short(one: SkinLevel) -> str:
    """What is limited, in a word or two."""
    return one.title.partition(" from ")[0].partition(",")[0]


def _rule(one: SkinLevel) -> str:
    """The rule without the place in it."""
    if one.rule is None:
        return one.limit.origin.file
    mark = RECALLED if one.rule.status == "recalled" else ""
    return re.split("[,;]", one.rule.locator)[0] + mark


def skin_document(measures: Measures) -> list[dict[str, Any]]:
    """The same for JSON."""
    return [
        {
            "limit": one.limit.key,
            "title": one.title,
            "level": number(one.level),
            "bound": number(Fraction(one.limit.value)),
            "unit": one.unit,
            "rule": None if one.rule is None else one.rule.locator,
            "status": "own" if one.rule is None else one.rule.status,
        }
        for one in measures.on_skin
    ]
