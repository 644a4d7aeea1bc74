"""A recipe pasted as lines: an ingredient and its amount each, in either order, no headings.

Which digits belong to the name is settled by the names of the book: every way of taking the
line apart whose name is known counts, and the longest such name wins.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from optimiser.provenance import Origin
from optimiser.reading.caps import LONGEST_LINE, MOST_LINES, MOST_ROWS
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import Names, fold, is_total
from optimiser.reading.recipe import Entry, Recipe
from optimiser.reading.recipe_amounts import Amount, amount_taken_apart
from optimiser.reading.wording import quoted
from optimiser.reading.written_numbers import Written, read_number

LONGEST_AMOUNT = 60
"""Longer pieces of a line are no amount, in characters."""

MOST_TRIED = 2
"""So many readings of a line with an unknown name are searched for a second amount."""

_LINE_END = re.compile(r"\r\n|\r|\n")
_SEPARATOR = re.compile(r"sep=.?", re.IGNORECASE)
_RULE = re.compile(r"[-=_*:|\s]+")
_BULLET = re.compile(r"(?:[-*+•·–—](?:\s+|(?=[^\W\d]))|[0-9]{1,2}[.)]\s+)(?:\[[ xX]?\]\s+)?")
_LEADERS = re.compile(r"\.{2,}|…+")
_AROUND_NAMES = ' \t\u00a0:=,;|–—-."'
_BEFORE_AMOUNT = re.compile(r"(?<=[\s:=,;|–—])(?=\"?[-+\u2212.,0-9])")
_AFTER_AMOUNT = re.compile(r"(?<=[^\s:=,;|–—])(?=[\s:=,;|–—])")
_BEFORE_UNIT = re.compile(r"\s*[,;|]\s*(?=[A-Za-z%])")
_SHAPE = re.compile(r"[-+\u2212]?[.,]?[0-9](?:[0-9.,'’\s]|[x×*](?=\s*[0-9]))*[^0-9]*")


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

    Blank lines, lines that begin with #, rules of dashes and `sep=;` are skipped. A last line
    such as `total 100` is kept apart.

    Args:
        text: The lines.
        file: What the maker calls the file.
        names: How the ingredients may be called.
        findings: Where mistakes and remarks are noted.
    """
    lines: list[tuple[int, str]] = []
    for number, line in enumerate(_LINE_END.split(text, MOST_ROWS), start=1):
        if len(lines) > MOST_LINES or number > MOST_ROWS:
            break
        stripped = line.strip().strip(",;|").strip()
        says_nothing = _RULE.fullmatch(stripped) or _SEPARATOR.fullmatch(stripped)
        if stripped and not stripped.startswith("#") and not says_nothing:
            lines.append((number, stripped))
    if number > MOST_ROWS or len(lines) > MOST_LINES:
        most = MOST_LINES if len(lines) > MOST_LINES else MOST_ROWS
        findings.wrong(Origin(file), f"more than {most:,} lines; keep only the recipe")
        lines = []
    elif not lines:
        problem = "nothing stands in it; write an ingredient and its amount on each line"
        findings.wrong(Origin(file), problem)
    entries: list[Entry] = []
    total = None
    is_whole = bool(lines)
    for number, line in lines:
        at = Origin(file, number)
        try:
            name, amount = name_and_amount(line, names)
            if is_total(name, names) and number != lines[-1][0]:
                raise Problem("a total before the last line; begin the line with # to skip it")
        except Problem as problem:
            findings.wrong(at, problem)
            is_whole = False
            continue
        entry = Entry(number, name, amount, at, at)
        if is_total(name, names):
            total = entry
        else:
            entries.append(entry)
    findings.remark(file, "no headings; each line is taken as an ingredient and its amount")
    return Recipe(entries, total, "line", "amounts have", Origin(file), is_whole)


def name_and_amount(line: str, names: Names) -> tuple[str, Amount]:
    """The name, which may be unknown, and the amount of one line.

    Raises:
        Problem: There is no amount, or the known names allow several readings.
    """
    if len(line) > LONGEST_LINE:
        raise Problem(f"over {LONGEST_LINE} letters; write one ingredient and its amount a line")
    bullet = _BULLET.match(line)
    bare = line[bullet.end() :] if bullet else line
    readings = list(_readings(_LEADERS.sub(" ", bare), names))
    known = [one for one in readings if names.known(one.name)]
    readable = [one for one in known if isinstance(one.amount, Amount)] or known
    if names.known(bare):
        _refuse_name_alone(bare, readable)
    if not readable:
        return _unknown(line, readings, names)
    length = max(len(fold(one.name)) for one in readable)
    longest = [one for one in readable if len(fold(one.name)) == length]
    amount = longest[0].amount
    if isinstance(amount, Problem):
        raise amount
    if len(longest) > 1:
        ways = " or ".join(dict.fromkeys(quoted(_spelled_out(one)) for one in longest))
        raise Problem(f"{quoted(line)} can be read in two ways; write {ways}")
    return longest[0].name, amount


def _readings(line: str, names: Names) -> Iterator[_Reading]:
    """Every way of taking a line apart into a name and an amount beside it."""
    cuts = [(cut.start(), True) for cut in _BEFORE_AMOUNT.finditer(line)]
    cuts += [(cut.start(), False) for cut in _AFTER_AMOUNT.finditer(line)]
    for cut, is_last in cuts:
        before, after = line[:cut], line[cut:]
        rest, text = (before, after) if is_last else (after, before)
        if len(text) > LONGEST_AMOUNT:
            continue
        text = _BEFORE_UNIT.sub(" ", text.strip().strip('"').strip())
        if not _SHAPE.fullmatch(text):
            continue
        name = rest.strip(_AROUND_NAMES)
        if names.known(rest) and not names.known(name):
            name = rest.strip()
        if not is_last and not names.known(name):
            name = re.sub(r"^of\s+", "", name)
        if not any(letter.isalpha() for letter in name):
            continue
        try:
            yield _Reading(name, _amount(text), is_last)
        except Problem as problem:
            yield _Reading(name, problem, is_last)


def _amount(text: str) -> Amount:
    """An amount whose number makes sense with a decimal point or a decimal comma.

    Raises:
        Problem: It is none.
    """
    amount = amount_taken_apart(text)
    assert isinstance(amount.number, Written)
    try:
        read_number(amount.number, ".")
    except Problem:
        read_number(amount.number, ",")
    return amount


def _refuse_name_alone(line: str, shorter: list[_Reading]) -> None:
    """Refuse a line that is a known name from end to end.

    Raises:
        Problem: Always; where a part is a name as well, with both ways to write it.
    """
    whole = f"{line.strip()}: 5 %"
    if not shorter:
        raise Problem(f"{quoted(line)} is a name without an amount; write it like {quoted(whole)}")
    ways = " or ".join(quoted(one) for one in (_spelled_out(shorter[0]), whole))
    raise Problem(
        f"{quoted(line)} is a name as a whole, and a shorter name with an amount; write it like "
        f"{ways}"
    )


def _spelled_out(reading: _Reading) -> str:
    """The line that can only be read in this way."""
    text = reading.amount.text if isinstance(reading.amount, Amount) else ""
    return f"{reading.name}: {'0' if text[:1] in {'.', ','} else ''}{text}"


def _unknown(line: str, readings: list[_Reading], names: Names) -> tuple[str, Amount]:
    """A total or the likeliest unknown name, with its amount.

    Raises:
        Problem: There is no amount, or there are two.
    """
    likeliest: tuple[str, Amount] | None = None
    likely = [one for one in readings if isinstance(one.amount, Amount)]
    likely.sort(key=lambda one: (not one.is_last, len(one.name)))
    for one in likely[:MOST_TRIED]:
        assert isinstance(one.amount, Amount)
        if is_total(one.name, names):
            return one.name.strip(" :="), one.amount
        for inner in _readings(one.name, names):
            if names.known(inner.name) and isinstance(inner.amount, Amount):
                raise Problem(
                    f"two amounts, {quoted(inner.amount.text)} and {quoted(one.amount.text)}; "
                    f"keep one, like {quoted(_spelled_out(inner))}"
                )
        likeliest = likeliest or (one.name, one.amount)
    if likeliest is None:
        raise Problem(
            f'{quoted(line)} is no ingredient with its amount; write it like "beeswax 5 %", or '
            "begin the line with # to skip it"
        )
    return likeliest
