"""A table of a maker's own: headings and rows, as a spreadsheet would show them."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

from optimiser.provenance import Origin
from optimiser.reading.caps import ROWS_ABOVE_HEADINGS
from optimiser.reading.cells import Cell, NumberedRow, cell_text, is_blank
from optimiser.reading.files import is_folder, other_kind_of_file, read_bytes, without_sheet
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import Names, fold, is_total
from optimiser.reading.separated_text import read_separated
from optimiser.reading.wording import listed, quoted
from optimiser.reading.workbook import read_workbook

_WORD = re.compile(r"[^\W_]+")
_BEFORE_COMMA = re.compile(r"[£€$¥]? ?-?[0-9]{1,6}")
_AFTER_COMMA = re.compile(r"[0-9]{1,3}(?: ?(?:[£€$¥%]|[^\W\d_]{1,3}))?")


@dataclass(frozen=True, slots=True)
class Row:
    """One row that is not blank.

    Attributes:
        number: The row as a spreadsheet counts it, from 1.
        cells: As many as there are headings.
    """

    number: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """Headings and rows.

    Attributes:
        file: What the maker calls the file.
        headings: As written, blanks around them removed.
        heading_row: The row the headings stand in.
        rows: The rows below that are not blank and fit the headings.
        is_empty: True where nothing at all stands below the headings.
        places: The column of each heading, folded; looked up for every mistake and figure.
    """

    file: str
    headings: tuple[str, ...]
    heading_row: int
    rows: tuple[Row, ...]
    is_empty: bool = False
    places: dict[str, int] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        places: dict[str, int] = {}
        for place, heading in enumerate(self.headings):
            places.setdefault(fold(heading), place)
        object.__setattr__(self, "places", places)

    def position(self, heading: str) -> int | None:
        """Which column has this heading, written in any way, or None."""
        return self.places.get(fold(heading))

    def column(self, heading: str) -> list[tuple[Row, Cell]]:
        """The cells under a heading that are not blank; none where there is no such column."""
        place = self.position(heading)
        if place is None:
            return []
        return [(row, row.cells[place]) for row in self.rows if not is_blank(row.cells[place])]

    def texts(self, heading: str) -> dict[int, str]:
        """The cells under a heading as text, by row number, blank ones left out."""
        return {row.number: cell_text(cell) for row, cell in self.column(heading)}

    def at(self, row: int, heading: str) -> Origin:
        """The place of a cell."""
        place = self.position(heading)
        return Origin(self.file, row, heading if place is None else self.headings[place])


def read_sheet(
    path: Path,
    file: str,
    named_at: Origin,
    required: Sequence[str],
    optional: Collection[str],
    findings: Findings,
    what: str = "a table",
    names: Names | None = None,
) -> Sheet | None:
    """A CSV file, or a sheet of an XLSX workbook.

    Args:
        path: Where the file is.
        file: What the maker calls it.
        named_at: Where the maker named it; a file that cannot be read is a mistake there.
        required: The headings it must have.
        optional: Other headings it is known to have, by which the right sheet of a workbook
            and the separator of a CSV are recognised.
        findings: Where mistakes and remarks are noted.
        what: What belongs here, as a message calls it.
        names: What rows may be called, which tells them from notes; None where anything may
            stand alone in a row.

    Returns:
        The table; rows whose cells do not fit the headings are left out, as mistakes. None
        where the file as a whole cannot be used.
    """
    known = {fold(heading) for heading in (*required, *optional)}
    path, sheet_name = without_sheet(path)
    ending = path.suffix.casefold()
    try:
        if ending not in {".csv", ".tsv", ".txt", ".xlsx"} and not is_folder(path):
            if ending == ".toml":
                where = f"{what} belongs here, a file ending in .csv or .xlsx"
                raise Problem(f"{quoted(file)} is a brief; {where}")
            kind = f"a file ending in {quoted(ending)}" if ending else "a file without an ending"
            raise Problem(f"{quoted(file)} is {kind}; save it as .csv or .xlsx")
        data = read_bytes(path, file)
    except Problem as problem:
        findings.wrong(named_at, problem)
        return None
    try:
        table: list[NumberedRow]
        if ending == ".xlsx":
            table, habits = read_workbook(data, known, sheet_name)
        else:
            kind = other_kind_of_file(data)
            if kind:
                raise Problem(f"this is {kind}, not a CSV; save it as CSV or as .xlsx")
            table, habits = read_separated(data, known)
        for habit in habits:
            findings.remark(file, habit)
        return _with_headings(file, table, required, ending == ".xlsx", findings, names)
    except Problem as problem:
        findings.wrong(Origin(file), problem)
        return None


def _with_headings(
    file: str,
    table: list[NumberedRow],
    required: Sequence[str],
    fill_up: bool,
    findings: Findings,
    names: Names | None,
) -> Sheet:
    """Tell the headings from the rows, and the rows that fit from those that do not.

    A workbook stores no cells beyond the last filled one, so its short rows are filled up; in
    a CSV a short row has lost a separator, and nobody knows which.

    Raises:
        Problem: A heading is missing or stands twice, or there is nothing at all.
    """
    table = [(number, cells) for number, cells in table if not all(map(is_blank, cells))]
    if not table:
        columns = listed(required, "and") or "the columns"
        raise Problem(f"nothing stands in it; the first row must name {columns}")
    start = _heading_place(table, required)
    heading_row, first = table[start]
    if start:
        above = quoted(next(cell_text(cell) for cell in table[0][1] if not is_blank(cell)))
        findings.remark(
            file, f"the headings stand in row {heading_row}; what is above, {above}, is not used"
        )
    headings = [cell_text(cell) for cell in first]
    width = len(headings)
    while headings and not headings[-1]:
        headings.pop()
    _check_headings(headings, required)
    folded = [fold(heading) for heading in headings]
    rows = []
    unnamed: dict[int, int] = {}
    below = table[start + 1 :]
    # Where most rows end in an empty cell too many, that is a habit and has moved no cell.
    has_habit = 2 * sum(len(cells) > width for _, cells in below) > len(below)
    for number, cells in below:
        joined = "" if fill_up or len(cells) != width + 1 or has_habit else _joined(cells)
        if joined:
            problem = f"one cell more than the headings; is {quoted(joined)} one number? put it "
            findings.wrong(Origin(file, number), f"{problem}in quotes")
            continue
        note = _note(cells, len(required), names)
        if note:
            problem = f"{quoted(note)} looks like a note; delete this row"
            findings.wrong(Origin(file, number), problem)
            continue
        while len(cells) > len(headings) and is_blank(cells[-1]):
            cells.pop()
        if len(headings) > 1 and [fold(cell_text(cell)) for cell in cells] == folded:
            findings.wrong(Origin(file, number), "the headings once more; delete this row")
            continue
        if fill_up:
            cells.extend([""] * (len(headings) - len(cells)))
        for place, cell in enumerate(cells if fill_up else cells[:width]):
            if not is_blank(cell) and (place >= len(headings) or not headings[place]):
                unnamed.setdefault(place, number)
        if len(cells) == len(headings):
            rows.append(Row(number, tuple(cells)))
        elif not len(headings) < len(cells) <= width and not fill_up:
            findings.wrong(Origin(file, number), _misfit(len(cells), len(headings)))
    for place, number in unnamed.items():
        problem = f"column {place + 1} has no heading; name it or clear it"
        findings.wrong(Origin(file, number), problem)
    return Sheet(file, tuple(headings), heading_row, tuple(rows), is_empty=start + 1 == len(table))


def _heading_place(table: Sequence[NumberedRow], required: Sequence[str]) -> int:
    """Where the headings stand among the rows: the first with all that are required, else 0."""
    needed = {fold(heading) for heading in required}
    for place, (_, cells) in enumerate(table[:ROWS_ABOVE_HEADINGS]):
        if needed and needed.issubset(fold(cell_text(cell)) for cell in cells):
            return place
    return 0


def _check_headings(headings: Sequence[str], required: Sequence[str]) -> None:
    """Refuse missing and repeated headings.

    Raises:
        Problem: Naming them.
    """
    folded = [fold(heading) for heading in headings]
    missing = [heading for heading in required if fold(heading) not in folded]
    if missing:
        named = " and ".join(f"`{heading}`" for heading in missing)
        found = ", ".join(quoted(heading) for heading in headings[:12] if heading)
        advice = f"add it to the headings, which are {found}"
        rename = [_renamed(heading, headings) for heading in missing]
        if all(rename):
            advice = listed(rename, "and")
        raise Problem(f"no column {named}; {advice}")
    twice = [one for place, one in enumerate(folded) if one and one in folded[:place]]
    if twice:
        heading = headings[folded.index(twice[0])]
        raise Problem(f"two columns are headed {quoted(heading)}; rename or delete one")


def _renamed(needed: str, headings: Sequence[str]) -> str:
    """Which heading to rename, where just one begins with the word that is missing, or nothing."""
    found = []
    for heading in headings:
        words = _WORD.findall(fold(heading))
        # A price per kg is no price of a pack.
        if words[:1] in ([needed], [f"{needed}s"]) and not {"per", "kg", "g"} & set(words):
            found.append(heading)
    return f"rename {quoted(found[0])} to {needed}" if len(found) == 1 else ""


def _joined(cells: Sequence[Cell]) -> str:
    """The one number that two neighbouring cells of a row would be with a comma, or nothing."""
    found = [
        f"{before.strip()},{after.strip()}"
        for before, after in pairwise(cells)
        if isinstance(before, str) and isinstance(after, str)
        if _BEFORE_COMMA.fullmatch(before.strip()) and _AFTER_COMMA.fullmatch(after.strip())
    ]
    return found[0] if len(found) == 1 else ""


def _note(cells: Sequence[Cell], required: int, names: Names | None) -> str:
    """The text of a row that holds nothing else and names nothing, or nothing."""
    filled = [cell for cell in cells if not is_blank(cell)]
    # A comma in a note makes two cells of it, in a row that needs more.
    is_alone = len(filled) == 1 or len(filled) == len(cells) < required
    if names is None or not is_alone or not all(isinstance(cell, str) for cell in filled):
        return ""
    text = ", ".join(cell_text(cell) for cell in filled)
    is_sentence = len(text.split()) > 1 and any(letter.isalpha() for letter in text)
    first = cell_text(filled[0])
    if not is_sentence or is_total(first, names):
        return ""
    return "" if names.known(first) or names.nearest(first) else text


def _misfit(cells: int, headings: int) -> str:
    """What is wrong with a row of another length than the headings."""
    counted = f"{cells} cell{'s' if cells != 1 else ''} under {headings} headings"
    if cells > headings:
        return f"{counted}; put a cell with a separator inside, such as 8,50, in quotes"
    return f"{counted}; add the separators of the empty cells"
