"""The line on which each key of a TOML file stands, which the standard reader does not tell."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Iterator, Mapping

KeyPath = tuple[str | int, ...]
"""Keys from the outermost inwards; a position in a list is a number, from 0."""

_BLANKS = re.compile(r"[ \t]*")
_BLANKS_AND_LINES = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^\s,\]}#](?:[^,\]}#\n]*[^\s,\]}#])?")
# Tried in this order: an empty string is also the beginning of a multi-line one.
_STRINGS = tuple(
    re.compile(pattern, re.DOTALL)
    for pattern in (
        r'"""(?:\\.|[^\\"]|"{1,2}(?!"))*+"{3,5}',
        r"'''(?:[^']|'{1,2}(?!'))*+'{3,5}",
        r'"(?:\\.|[^\\"\n])*+"',
        r"'[^'\n]*+'",
    )
)


class _Lost(Exception):
    """The text is not what this reader expects."""


def key_lines(text: str, data: Mapping[str, object]) -> dict[KeyPath, int]:
    """The line of every key and list item of a TOML text.

    The lines are checked against what the standard reader found: where the two disagree
    about which keys exist, no line is given at all, rather than a wrong one.

    Args:
        text: A TOML text that the standard reader accepts.
        data: What the standard reader made of it.

    Returns:
        Lines, counted from 1, by key path. A table that is only implied by the tables
        within it stands where it is first implied.
    """
    try:
        lines = _Lexer(text).document()
        return lines if set(lines) == set(_paths(data, ())) else {}
    except (_Lost, RecursionError):
        return {}


def _paths(value: object, path: KeyPath) -> Iterator[KeyPath]:
    """Every key path within a value."""
    items: Iterator[tuple[str | int, object]] | None = None
    if isinstance(value, Mapping):
        items = iter(value.items())
    elif isinstance(value, list):
        items = enumerate(value)
    for key, inner in items or ():
        yield (*path, key)
        yield from _paths(inner, (*path, key))


class _Lexer:
    """One walk through a TOML text, noting where keys stand."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.newlines = [place for place, letter in enumerate(text) if letter == "\n"]
        self.lines: dict[KeyPath, int] = {}
        self.array_lengths: dict[KeyPath, int] = {}

    def document(self) -> dict[KeyPath, int]:
        """Walk from the first to the last character."""
        table: KeyPath = ()
        self.skip(_BLANKS_AND_LINES)
        while self.at < len(self.text):
            if self.text.startswith("[[", self.at):
                table = self.array_header()
            elif self.text.startswith("[", self.at):
                table = self.header()
            else:
                self.pair(table)
            self.skip(_BLANKS_AND_LINES)
        return self.lines

    def skip(self, pattern: re.Pattern[str]) -> None:
        """Go past blanks (always matches)."""
        found = pattern.match(self.text, self.at)
        if found is not None:
            self.at = found.end()

    def expect(self, mark: str) -> None:
        """Go past a mark that must stand here."""
        if not self.text.startswith(mark, self.at):
            raise _Lost
        self.at += len(mark)

    def note(self, path: KeyPath, place: int) -> None:
        """Remember the line of a key where it is met first."""
        self.lines.setdefault(path, bisect_right(self.newlines, place - 1) + 1)

    def header(self) -> KeyPath:
        """`[one.two]`."""
        start = self.at
        self.expect("[")
        path: KeyPath = ()
        for part in self.dotted_key():
            path = self.within((*path, part), start)
        self.expect("]")
        return path

    def array_header(self) -> KeyPath:
        """`[[one.two]]`."""
        start = self.at
        self.expect("[[")
        *outer, last = self.dotted_key()
        self.expect("]]")
        path: KeyPath = ()
        for part in outer:
            path = self.within((*path, part), start)
        path = (*path, last)
        self.note(path, start)
        position = self.array_lengths.get(path, 0)
        self.array_lengths[path] = position + 1
        self.note((*path, position), start)
        return (*path, position)

    def within(self, path: KeyPath, start: int) -> KeyPath:
        """The path of a table, or of the last table where it is an array of tables."""
        self.note(path, start)
        if path in self.array_lengths:
            return (*path, self.array_lengths[path] - 1)
        return path

    def dotted_key(self) -> list[str]:
        """`one."two words".three`, blanks around it included."""
        parts: list[str] = []
        while True:
            self.skip(_BLANKS)
            parts.append(self.simple_key())
            self.skip(_BLANKS)
            if not self.text.startswith(".", self.at):
                return parts
            self.at += 1

    def simple_key(self) -> str:
        """One bare or quoted key."""
        bare = _BARE_KEY.match(self.text, self.at)
        if bare is not None:
            self.at = bare.end()
            return bare.group()
        start = self.at
        self.string()
        raw = self.text[start : self.at]
        return str(tomllib.loads(f"key = {raw}")["key"]) if "\\" in raw else raw[1:-1]

    def string(self) -> None:
        """Go past a string of any of the four forms."""
        for pattern in _STRINGS:
            found = pattern.match(self.text, self.at)
            if found is not None:
                self.at = found.end()
                return
        raise _Lost

    def pair(self, table: KeyPath) -> None:
        """`key = value`."""
        start = self.at
        path = table
        for part in self.dotted_key():
            path = (*path, part)
            self.note(path, start)
        self.expect("=")
        self.skip(_BLANKS)
        self.value(path)

    def value(self, path: KeyPath) -> None:
        """Go past a value, noting the keys and items inside it."""
        mark = self.text[self.at : self.at + 1]
        if mark in {'"', "'"}:
            self.string()
        elif mark == "[":
            self.array(path)
        elif mark == "{":
            self.inline_table(path)
        else:
            scalar = _SCALAR.match(self.text, self.at)
            if scalar is None:
                raise _Lost
            self.at = scalar.end()

    def array(self, path: KeyPath) -> None:
        """`[one, two]`, over as many lines as it takes."""
        self.expect("[")
        self.skip(_BLANKS_AND_LINES)
        position = 0
        while not self.text.startswith("]", self.at):
            self.note((*path, position), self.at)
            self.value((*path, position))
            position += 1
            self.skip(_BLANKS_AND_LINES)
            if self.text.startswith(",", self.at):
                self.at += 1
                self.skip(_BLANKS_AND_LINES)
            elif not self.text.startswith("]", self.at):
                raise _Lost
        self.at += 1

    def inline_table(self, path: KeyPath) -> None:
        """`{ one = 1, two = 2 }`."""
        self.expect("{")
        # Newlines inside are allowed by later versions of TOML; skipping them does no harm.
        self.skip(_BLANKS_AND_LINES)
        while not self.text.startswith("}", self.at):
            self.pair(path)
            self.skip(_BLANKS_AND_LINES)
            if self.text.startswith(",", self.at):
                self.at += 1
                self.skip(_BLANKS_AND_LINES)
            elif not self.text.startswith("}", self.at):
                raise _Lost
        self.at += 1
