"""Tables as CSV that a spreadsheet opens without taking a name for a formula."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

from optimiser.present.console import one_line

FORMULA = ("=", "+", "-", "@")
"""What a spreadsheet takes for the beginning of a formula."""


def csv_text(rows: Iterable[Sequence[object]]) -> str:
    """Rows as CSV with a line feed after each.

    The first heading is in quotes even where it needs none: readers take it alike, no other
    program writes it so, and by it a table of ours is known again (`earlier_answers`).
    Names stand on one line without control signs; one that a spreadsheet would take for a
    formula has an apostrophe before it, as it would be typed there.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows([_cell(cell) for cell in row] for row in rows)
    text = out.getvalue()
    if text.startswith(('"', ",", "\n")) or not text:
        return text
    heading = re.split("[,\n]", text, maxsplit=1)[0]
    return f'"{heading}"{text[len(heading) :]}'


def _cell(cell: object) -> object:
    if not isinstance(cell, str):
        return cell
    text = one_line(cell).strip()
    return f"'{text}" if text.startswith(FORMULA) and not _is_number(text) else text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
