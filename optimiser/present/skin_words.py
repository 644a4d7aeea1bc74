"""What a formula brings to the skin, in words."""

from __future__ import annotations

import re

from optimiser.answers.measures import Measures
from optimiser.answers.on_skin import SkinLevel
from optimiser.brief import Brief
from optimiser.present.numbers import significant
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

HEAD = ("limit", "level", "at most", "rule")
RIGHT = (1, 2)


def skin_title(brief: Brief) -> str:
    """The title of the levels."""
    return f"On skin ({'; '.join(brief.uses)})" if brief.uses else "On skin"


def skin_rows(measures: Measures) -> list[tuple[str, str, str, str]]:
    """The fullest limits on skin, below `HEAD`."""
    return [(_short(one), *_amounts(one), _rule(one)) for one in measures.on_skin[:MOST_SHOWN]]


def skin_notes(measures: Measures) -> list[str]:
    """What is to be known of these rows."""
    notes = []
    if any(row[-1].endswith(RECALLED) for row in skin_rows(measures)):
        notes.append(f"{RECALLED.strip()} a rule from memory.")
    more = measures.on_skin[MOST_SHOWN:]
    if more:
        most = significant(max(one.part for one in more) * 100, 2)
        many = "Another limit is" if len(more) == 1 else f"{len(more)} other limits are"
        notes.append(f"{many} taken up to {most} % or less.")
    return [*notes, COUNTED]


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
