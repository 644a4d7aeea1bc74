"""A recipe pasted as lines: an ingredient and its amount each, in either order, no headings.

Which digits belong to the name is settled by the names of the book: every way of taking the
line apart whose name is known counts, and the longest such name wins.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from optimiser.provenance import Origin
from optimiser.reading.cells import MOST_ROWS
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import Names, fold
from optimiser.reading.recipe import Entry, Recipe, is_total
from optimiser.reading.recipe_amounts import Amount, amount_taken_apart
from optimiser.reading.wording import quoted

LONGEST_LINE = 300
"""Longer lines are no ingredient with its amount, in characters."""

_LINE_END = re.compile(r"\r\n|\r|\n")
_BULLET = re.compile(r"(?:[-*+•·–—](?:\s+|(?=[^\W\d]))|[0-9]{1,2}[.)]\s+)(?:\[[ xX]?\]\s+)?")
_RULE = re.compile(r"[-=_*:|\s]+")
_JOINTS = " \t:=,;|–—-."
_BEFORE_AMOUNT = re.compile(r"(?<=[\s:=,;|–—.\"])(?=[-+\u2212.,0-9])")
_AFTER_AMOUNT = re.compile(r"(?<=[^\s:=,;|–—])(?=[\s:=,;|–—])")
_SHAPE = re.compile(r"[-+\u2212]?[.,]?[0-9](?:[0-9.,'’\s]|\s*[x×*]\s*(?=[0-9]))*[^0-9]*")


@dataclass(frozen=True, slots=True)
class _Reading:
    """One way of taking a line apart.

    Attributes:
        name: The part that would be the name.
        amount: The part that would be the amount, or why it is none.
        is_last: Whether the amount stands at the end.
    """

    name: str
    amount: Amount | Problem
    is_last: bool


def recipe_of_lines(text: str, file: str, names: Names, findings: Findings) -> Recipe:
    """The entries of a pasted recipe.

    Blank lines, lines that begin with #, and rules of dashes are skipped. A last line such as
    `total 100` is kept apart.

    Args:
        text: The lines.
        file: What the maker calls the file.
        names: How the ingredients may be called.
        findings: Where mistakes and remarks are noted.
    """
    lines = []
    for number, line in enumerate(_LINE_END.split(text), start=1):
        stripped = line.strip().strip(",;|").strip()
        if stripped and not stripped.startswith("#") and not _RULE.fullmatch(stripped):
            lines.append((number, stripped))
    entries: list[Entry] = []
    total = None
    if not lines:
        findings.wrong(Origin(file), "nothing stands in it; write an ingredient a line")
    elif len(lines) > MOST_ROWS:
        findings.wrong(Origin(file), f"more than {MOST_ROWS:,} lines; keep only the recipe")
        lines = []
    for number, line in lines:
        at = Origin(file, number)
        try:
            reading = _read(_BULLET.sub("", line, count=1) if _BULLET.match(line) else line, names)
            if isinstance(reading.amount, Problem):
                raise reading.amount
            entry = Entry(number, reading.name, reading.amount, at, at)
        except Problem as problem:
            findings.wrong(at, problem)
            continue
        if not is_total(reading.name, names):
            entries.append(entry)
        elif number == lines[-1][0]:
            total = entry
        else:
            findings.wrong(at, "a total before the last line; begin it with # to skip it")
    findings.remark(file, "no headings; each line is taken as an ingredient and its amount")
    return Recipe(entries, total, "line", "amounts have", Origin(file))


def _read(line: str, names: Names) -> _Reading:
    """The one way of taking a line apart that the known names allow.

    Raises:
        Problem: There is none, or there are several.
    """
    if len(line) > LONGEST_LINE:
        raise Problem(f"over {LONGEST_LINE} letters; write one ingredient and its amount a line")
    readings = list(_readings(line))
    known = [one for one in readings if names.known(one.name)]
    if names.known(_unquoted(line)):
        _refuse_amount_in_name(_unquoted(line), known, names)
    if not known:
        known = [one for one in readings if is_total(one.name, names)]
    if not known:
        return _unknown(line, readings, names)
    length = max(len(fold(one.name)) for one in known)
    longest = [one for one in known if len(fold(one.name)) == length]
    if len({fold(one.name) for one in longest}) > 1:
        ways = " or ".join(quoted(_written_out(one)) for one in longest)
        raise Problem(f"{quoted(line)} can be read in two ways; write {ways}")
    # The same name at the end with a longer amount: `12 g` leaves less over than `g`.
    return longest[0]


def _readings(line: str) -> Iterator[_Reading]:
    """Every way of taking a line apart into a name and an amount beside it."""
    parts = [(line[: cut.start()], line[cut.start() :], True) for cut in _cuts_before(line)]
    parts += [(line[cut.start() :], line[: cut.start()], False) for cut in _cuts_after(line)]
    for rest, amount, is_last in parts:
        if not _SHAPE.fullmatch(amount):
            continue
        plain = _unquoted(rest)
        if not is_last:
            plain = re.sub(r"^of\s+", "", plain)
        name = plain if is_total_free(plain) else plain
        try:
            yield _Reading(name, amount_taken_apart(amount.strip().strip('"')), is_last)
        except Problem as problem:
            yield _Reading(name, problem, is_last)
