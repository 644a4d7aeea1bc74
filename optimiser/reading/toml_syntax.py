"""What is wrong with a brief that is no TOML, as a sentence that a maker understands."""

from __future__ import annotations

import re
import tomllib

from optimiser.provenance import Mistake, Origin

_PLACE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")

_TEXTS = re.compile(r'"(?:\\.|[^"\\])*"|\'[^\']*\'')
_DECIMAL_COMMA = re.compile(r"[ =][0-9]+,[0-9]")
_PERCENT = re.compile(r"([0-9]+(?:[.,][0-9]+)?) ?%")
_CURLY = re.compile(r"(?:^|[=\[,{.])\s*[\u2018-\u201f\u00ab\u00bb]")
_COLON = re.compile(r"(?:^|[{,])\s*([^\s=:{}\[\],#][^=:{}\[\],#]*):")

LONGEST_LINE = 1_000
"""So much of a line is looked at, in characters."""

_SENTENCES = (
    (
        "Cannot overwrite a value",
        "this name has a value already, further up; keep one of the two",
    ),
    (
        "Cannot declare",
        "this table stands here a second time; move its lines into the first one",
    ),
    (
        "Cannot mutate immutable namespace",
        "this name has a value already, further up; keep one of the two",
    ),
    ("Duplicate inline table key", "a name stands twice in the braces; keep one of the two"),
    (
        "Expected '=' after a key",
        "`=` is missing after the name; a name with blanks or signs needs quotes, "
        'as in "mango butter" = 30',
    ),
    (
        "Expected newline or end of document after a statement",
        "something is left over after the value; write numbers with a point and without "
        "unit, as in max = 2.5",
    ),
    (
        "Invalid value",
        'the value is missing or not one; write a number (2.5), text in quotes ("GBP"), '
        "true, a list or { min = 2 }",
    ),
    (
        "Unclosed inline table",
        "the table in braces is not closed; write numbers with a point, as in "
        "{ min = 2.5, max = 6 }",
    ),
    ("Unclosed array", 'the list is not closed; write ["one", "other"], with commas between'),
    ("Unterminated string", 'the text is not closed; end it with "'),
    (r"Illegal character '\n'", 'the text is not closed; end it with "'),
    ("Invalid initial character for a key part", 'a name is missing; write "name" = value'),
    ("Invalid statement", "not a line of a brief; write name = value or [table]"),
    ("Illegal character", "a sign that may not stand here; write plain text in quotes"),
    ("Expected ']' at the end of a table declaration", "the table's name is not closed with ]"),
    ("Unescaped '\\' in a string", "a backslash in quotes; write / between folders"),
)


def syntax_mistake(file: str, text: str, fault: tomllib.TOMLDecodeError) -> Mistake:
    """What the standard reader stumbled over.

    Args:
        file: The brief's name in messages.
        text: The brief.
        fault: What the standard reader says.
    """
    said = str(fault)
    place = _PLACE.search(said)
    line = None
    if place is not None:
        said = said[: place.start()]
        line = int(place.group(1)) if place.group(1) else text.rstrip().count("\n") + 1
        slip = _slip(text.split("\n")[line - 1][:LONGEST_LINE])
        if slip:
            return Mistake(Origin(file, line), slip)
    for beginning, sentence in _SENTENCES:
        if said.startswith(beginning):
            return Mistake(Origin(file, line), sentence)
    return Mistake(Origin(file, line), f"not TOML ({said}); write name = value or [table]")


def _slip(line: str) -> str:
    """What a line has that TOML has not, outside its texts and notes, or nothing."""
    # As long as the line, so that a name in quotes can be shown.
    bare = _TEXTS.sub(lambda text: '"' * len(text.group()), line).partition("#")[0]
    percent = _PERCENT.search(bare)
    if percent is not None:
        plain = percent.group(1).replace(",", ".")
        return f"a percent sign; write {plain} instead of {percent.group()}"
    if _DECIMAL_COMMA.search(bare):
        return "a decimal comma; write a point, as in max = 2.5"
    if _CURLY.search(bare):
        return 'curly quotes; write straight ones, as in "GBP"'
    colon = _COLON.search(bare)
    if colon is not None:
        return f"a colon after {line[colon.start(1) : colon.end(1)].rstrip()}; write = instead"
    return ""
