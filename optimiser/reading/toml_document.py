"""A brief as TOML: its tables and values, each with the key path and line it stands at."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path

from optimiser.provenance import InputError, Mistake, Origin, plain_number
from optimiser.reading.brief_caps import LineProblem, refuse_long_pieces, refuse_many_keys
from optimiser.reading.caps import MOST_BRIEF_BYTES
from optimiser.reading.exact_numbers import sensible
from optimiser.reading.files import other_kind_of_file, read_bytes
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.key_lines import KeyPath, key_lines
from optimiser.reading.names import Names, UnknownName, one_of
from optimiser.reading.toml_syntax import syntax_mistake
from optimiser.reading.weights import UNITS
from optimiser.reading.wording import key_path, listed, quoted, unseen
from optimiser.reading.written_numbers import read_number, spelling, taken_apart

ENDINGS_OF_TABLES = frozenset({".csv", ".tsv", ".xlsx", ".xls", ".ods"})
"""Files that are no brief, whatever stands in them."""

NO_NUMBER = "a number without quotes or signs"
"""What to write instead of a text that tells no number."""

NOT_PERCENT = UNITS | {"minus"}
"""Words beside a number that is no percentage."""

_NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+")
_WORD = re.compile(r"[^\W\d_]+")
_MINUS = re.compile(r"[-\u2212]\s*[0-9]")


@dataclass(frozen=True, slots=True)
class Entry:
    """A value of the brief, and where it stands."""

    value: object
    path: KeyPath
    origin: Origin


@dataclass(frozen=True, slots=True)
class Document:
    """A brief as TOML.

    Its methods return None, and note a mistake, where a value is not what they ask for.

    Attributes:
        file: The file's name in messages.
        root: The outermost table.
        lines: The line of each key path, where it is known.
        findings: Where mistakes are noted.
    """

    file: str
    root: Entry
    lines: Mapping[KeyPath, int]
    findings: Findings

    def within(self, entry: Entry, key: str | int, value: object) -> Entry:
        """The entry one key, or one list position, further in."""
        path = (*entry.path, key)
        named = key_path(part for part in path if isinstance(part, str))
        return Entry(value, path, Origin(self.file, self.lines.get(path), named))

    def wrong(self, entry: Entry, problem: str | Problem) -> None:
        """Note a mistake at an entry."""
        self.findings.wrong(entry.origin, problem)

    def any_table(self, entry: Entry, example: str) -> dict[str, Entry] | None:
        """The entries of a table whose keys the maker chooses."""
        if not isinstance(entry.value, dict):
            self.unlike(entry, "a table", example)
            return None
        return {key: self.within(entry, key, inner) for key, inner in entry.value.items()}

    def table(self, entry: Entry, known: tuple[str, ...], example: str) -> dict[str, Entry] | None:
        """The entries of a table with fixed keys; any other key is a mistake."""
        entries = self.any_table(entry, example)
        if entries is None:
            return None
        for key in [key for key in entries if key not in known]:
            inner = entries.pop(key)
            near = one_of(known, "key").nearest(key)
            hint = f"write {near[0]}" if near else f"known here: {', '.join(known)}"
            self.wrong(inner, f"unknown key; {hint}")
        return entries

    def text(self, entry: Entry, example: str) -> str | None:
        """A text that is not blank."""
        if not isinstance(entry.value, str):
            self.unlike(entry, "text in quotes", example)
            return None
        if not entry.value.strip():
            self.wrong(entry, f"empty text; write for instance {example}")
            return None
        hidden = unseen(entry.value)
        if hidden:
            self.wrong(entry, f"a sign that cannot be seen, {hidden}; type the text anew")
            return None
        return " ".join(entry.value.strip().splitlines())

    def flag(self, entry: Entry) -> bool | None:
        """True or false."""
        if not isinstance(entry.value, bool):
            self.unlike(entry, "true or false", "true")
            return None
        return entry.value

    def number(self, entry: Entry, example: str) -> Decimal | None:
        """A number as it was typed, within sensible bounds."""
        value = entry.value
        if isinstance(value, str):
            meant = _number_in(value)
            example = f"{meant}, without quotes" if meant else NO_NUMBER
        if isinstance(value, bool) or not isinstance(value, int | Decimal):
            self.unlike(entry, "a number", example)
            return None
        try:
            return sensible(Decimal(value))
        except Problem as beyond:
            self.wrong(entry, beyond)
            return None

    def texts(self, entry: Entry, example: str) -> list[tuple[Entry, str]] | None:
        """A list of texts with the place of each; it may be a single text."""
        if isinstance(entry.value, str):
            single = self.text(entry, example)
            return None if single is None else [(entry, single)]
        if not isinstance(entry.value, list):
            self.unlike(entry, "a list of texts", example)
            return None
        items = [self.within(entry, place, inner) for place, inner in enumerate(entry.value)]
        found = [(item, self.text(item, example)) for item in items]
        return [(item, text) for item, text in found if text is not None]

    def find(self, entry: Entry, name: str, names: Names, repeat: bool = False) -> str | None:
        """The id behind a name.

        Args:
            entry: Where the name stands.
            name: The name.
            names: What may be named.
            repeat: True where the key path alone does not show the name.
        """
        try:
            return names.find(name)
        except Problem as problem:
            # Where a file with more names could not be read, that file is the mistake.
            if names.complete or not isinstance(problem, UnknownName):
                self.wrong(entry, f"{quoted(name)}: {problem}" if repeat else problem)
            return None

    def unlike(self, entry: Entry, needed: str, example: str) -> None:
        """Note that a value is of the wrong sort."""
        self.wrong(entry, f"{described(entry.value)} where {needed} is needed; write {example}")


def _number_in(text: str) -> str:
    """The one number that a text holds, as TOML writes it, or nothing.

    Example:
        >>> _number_in("about 3"), _number_in("5 Prozent"), _number_in("2 or 3")
        ('3', '5', '')
    """
    try:
        written = taken_apart(text)
    except Problem:
        numbers = _NUMBER.findall(text)
        # Of a weight, or of less than nothing, no percentage can be made.
        words = set(_WORD.findall(text.casefold()))
        if len(numbers) != 1 or words & NOT_PERCENT or _MINUS.search(text):
            return ""
        text = numbers[0]
    try:
        written = taken_apart(text)
        value, _ = read_number(written, spelling([(0, written)]).mark)
    except Problem:
        return ""
    return plain_number(value)


def described(value: object) -> str:
    """What sort of value this is, in a sentence."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f"the text {quoted(value)}"
    if isinstance(value, int | Decimal):
        return "a number"
    if isinstance(value, list):
        return "a list"
    return "a table" if isinstance(value, dict) else "a date or time"


def read_document(path: Path, findings: Findings) -> Document:
    """The brief as TOML.

    Args:
        path: The brief.
        findings: Where its mistakes are to be noted.

    Raises:
        InputError: The file cannot be read, is no UTF-8 text or is not TOML.
    """
    file = path.name or str(path)
    try:
        data = read_bytes(path, str(path), MOST_BRIEF_BYTES)
    except Problem as missing:
        raise InputError([Mistake(Origin(file), str(missing))]) from None
    if path.suffix.casefold() in ENDINGS_OF_TABLES:
        problem = "a table where the brief belongs; the brief comes first, a file ending in .toml"
        raise InputError([Mistake(Origin(file), problem)])
    text = _decoded(data, file)
    try:
        refuse_long_pieces(text)
        root = tomllib.loads(text, parse_float=_decimal)
        refuse_many_keys(root)
    except LineProblem as beyond:
        raise InputError([Mistake(Origin(file, beyond.line), str(beyond))]) from None
    except Problem as beyond:
        raise InputError([Mistake(Origin(file), str(beyond))]) from None
    except tomllib.TOMLDecodeError as fault:
        raise InputError([syntax_mistake(file, text, fault)]) from None
    except (ValueError, RecursionError):
        # A whole number of thousands of digits, or thousands of nested brackets.
        problem = "a number is too long or brackets are nested too deep; write plain values"
        raise InputError([Mistake(Origin(file), problem)]) from None
    return Document(file, Entry(root, (), Origin(file)), key_lines(text, root), findings)


def _decoded(data: bytes, file: str) -> str:
    """The text of the brief."""
    kind = other_kind_of_file(data)
    if kind:
        problem = f"this is {kind}, not a brief; a brief is a plain text file ending in .toml"
        raise InputError([Mistake(Origin(file), problem)])
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as fault:
        line = data.count(b"\n", 0, fault.start) + 1
        wide = data.startswith((b"\xff\xfe", b"\xfe\xff"))
        found = "UTF-16 text" if wide else "a letter that is not UTF-8"
        problem = f"{found}; save the brief as plain text in UTF-8"
        raise InputError([Mistake(Origin(file, None if wide else line), problem)]) from None


def _decimal(text: str) -> Decimal:
    """A number of the brief as typed; what even `Decimal` refuses is not finite for us."""
    try:
        return Decimal(text)
    except InvalidOperation:
        return Decimal("Infinity")


def unknown_choice(text: str, known: tuple[str, ...], what: str) -> str:
    """The sentence for a text that is none of the known ones."""
    near = one_of(known, what).nearest(text)
    return f"no such {what}; {'nearest: ' + near[0] if near else 'known: ' + listed(known, 'and')}"
