"""A first look at the XML in a workbook: whether it is sound and small, and what it hides.

The library that reads the cells takes up memory for every element, and tells nothing of hidden
rows or of formulas whose values were not stored.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from xml.parsers import expat

from optimiser.reading.caps import DEEPEST_ELEMENT, MOST_ELEMENTS, MOST_UNPACKED_BYTES
from optimiser.reading.findings import Problem

_PIECE = 1 << 16
"""So many bytes are unpacked at a time."""

_NO_WORKBOOK = "this is not an XLSX workbook; save it as .xlsx or .csv"
_LOCKED = "this is a workbook with a password, or an old one (.xls); save it without, as .xlsx"
_TOO_LARGE = "this workbook is too large when unpacked; save the sheet as CSV"
_DAMAGED = "this is not a workbook that can be read; save it again"
_OUT_OF_ORDER = "rows or cells are out of order in it; open it in a spreadsheet and save it again"

_LONGEST_FORMULA = 60
_FALSE = frozenset({"", "0", "false"})


@dataclass(slots=True)
class Part:
    """What a sheet hides, and where formulas stand without a value.

    Attributes:
        hidden_rows: From 1.
        hidden_columns: From 1, the first and last of each stretch.
        formulas: The formula of each cell without a stored value, by row and column from 1.
    """

    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: list[tuple[int, int]] = field(default_factory=list)
    formulas: dict[tuple[int, int], str] = field(default_factory=dict)


def checked_parts(data: bytes) -> Mapping[str, Part]:
    """Every part of the workbook by name.

    Args:
        data: The file.

    Raises:
        Problem: It is no zip file, it unpacks beyond all measure, or its XML is nothing that a
            spreadsheet writes.
    """
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise Problem(_LOCKED)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            parts = packed.infolist()
    except Exception:
        # zipfile raises BadZipFile, struct.error, NotImplementedError and others on damage.
        raise Problem(_NO_WORKBOOK) from None
    if sum(part.file_size for part in parts) > MOST_UNPACKED_BYTES:
        raise Problem(_TOO_LARGE)
    walk = _Walk()
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            return {part.filename: walk.part(packed, part) for part in parts}
    except Problem:
        raise
    except Exception:
        # Damage within a part is told by as many exceptions.
        raise Problem(_DAMAGED) from None


class _Walk:
    """One walk through all parts, counting their elements."""

    def __init__(self) -> None:
        self.elements = 0

    def part(self, packed: zipfile.ZipFile, part: zipfile.ZipInfo) -> Part:
        """What one part tells; nothing where it is no XML, as pictures are none."""
        sheet = _Sheet(self)
        with packed.open(part) as stream:
            try:
                while piece := stream.read(_PIECE):
                    sheet.parser.Parse(piece, False)
            except expat.ExpatError:
                # No XML, or damaged: reading the cells stops at the same place.
                pass
        return sheet.found


class _Sheet:
    """The walk through one part."""

    def __init__(self, walk: _Walk) -> None:
        self.walk = walk
        self.found = Part()
        self.depth = 0
        self.row = 0
        self.column = 0
        self.is_sheet = False
        self.formula: list[str] | None = None
        self.has_value = False
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.StartDoctypeDeclHandler = self.doctype
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end

    def doctype(self, *_: object) -> None:
        """A declaration of entities, which no workbook has (ECMA-376 part 2; from memory)."""
        raise Problem(_DAMAGED)

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """The beginning of an element."""
        self.depth += 1
        if self.depth == 1:
            self.is_sheet = name.endswith(" worksheet")
        self.walk.elements += 1
        if self.walk.elements > MOST_ELEMENTS:
            raise Problem(_TOO_LARGE)
        if self.depth > DEEPEST_ELEMENT:
            raise Problem(_DAMAGED)
        local = name.rpartition(" ")[2] if self.is_sheet else ""
        if local == "c":
            self.cell(attributes)
        elif local == "row":
            self.new_row(attributes)
        elif local == "f":
            self.formula = []
            self.parser.CharacterDataHandler = self.text
        elif local == "v":
            # An empty value is one only where it is text, as that of `=""` is.
            self.parser.CharacterDataHandler = self.value
        elif local == "col" and attributes.get("hidden", "") not in _FALSE:
            stretch = int(attributes["min"]), int(attributes["max"])
            self.found.hidden_columns.append(stretch)

    def new_row(self, attributes: dict[str, str]) -> None:
        """The beginning of a row."""
        row = int(attributes["r"]) if "r" in attributes else self.row + 1
        if row <= self.row:
            raise Problem(_OUT_OF_ORDER)
        self.row, self.column = row, 0
        if attributes.get("hidden", "") not in _FALSE:
            self.found.hidden_rows.add(row)

    def cell(self, attributes: dict[str, str]) -> None:
        """The beginning of a cell."""
        column = _column(attributes["r"]) if "r" in attributes else self.column + 1
        if column <= self.column:
            raise Problem(_OUT_OF_ORDER)
        self.column = column
        self.formula, self.has_value = None, attributes.get("t") == "str"

    def value(self, _: str) -> None:
        """The letters of a value."""
        self.has_value = True

    def text(self, data: str) -> None:
        """The letters of a formula."""
        if self.formula is not None and sum(map(len, self.formula)) < _LONGEST_FORMULA:
            self.formula.append(data)

    def end(self, name: str) -> None:
        """The end of an element."""
        self.depth -= 1
        local = name.rpartition(" ")[2] if self.is_sheet else ""
        if local in {"f", "v"}:
            self.parser.CharacterDataHandler = None
        elif local == "c" and self.formula is not None and not self.has_value:
            written = "".join(self.formula)[:_LONGEST_FORMULA]
            self.found.formulas[self.row, self.column] = f"={written}"


def _column(reference: str) -> int:
    """The column of a reference such as `AB12`, from 1.

    Raises:
        Problem: It is none.
    """
    letters = reference.rstrip("0123456789")
    if not 1 <= len(letters) <= 3 or not (letters.isascii() and letters.isalpha()):
        raise Problem(_DAMAGED)
    column = 0
    for letter in letters.upper():
        column = 26 * column + ord(letter) - 64
    return column
