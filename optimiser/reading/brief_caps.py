"""What is refused in a brief before or after the standard reader has it, by the caps."""

from __future__ import annotations

import re
from collections.abc import Mapping

from optimiser.reading.caps import MOST_DIGITS_IN_A_ROW, MOST_KEY_PARTS, MOST_KEYS
from optimiser.reading.findings import Problem

_PIECE = r"""(?:"[^"\n]*+"|'[^'\n]*+'|[A-Za-z0-9_-]++)[ \t]*+"""
_LONG_KEY = re.compile(
    r"(?:^|[\[{,])[ \t]*+" + _PIECE + r"(?:\.[ \t]*+" + _PIECE + f"){{{MOST_KEY_PARTS}}}", re.M
)
_LONG_NUMBER = re.compile(f"[0-9A-Fa-f_]{{{MOST_DIGITS_IN_A_ROW + 1}}}")


def refuse_long_pieces(text: str) -> None:
    """Refuse what would keep the standard reader busy.

    Args:
        text: The brief.

    Raises:
        LineProblem: Saying what it is.
    """
    for pattern, problem in (
        (_LONG_KEY, f"a name of more than {MOST_KEY_PARTS} parts with dots between; write [table]"),
        (_LONG_NUMBER, f"a number of more than {MOST_DIGITS_IN_A_ROW:,} digits; write fewer"),
    ):
        found = pattern.search(text)
        if found is not None:
            raise LineProblem(problem, text.count("\n", 0, found.end()) + 1)


class LineProblem(Problem):
    """A problem that knows its line, from 1."""

    def __init__(self, problem: str, line: int) -> None:
        super().__init__(problem)
        self.line = line


def refuse_many_keys(root: Mapping[str, object]) -> None:
    """Refuse a brief of more keys and list items than anybody writes.

    Raises:
        Problem: Saying how many may be.
    """
    count = 0
    waiting: list[object] = [root]
    while waiting:
        value = waiting.pop()
        inner = list(value.values()) if isinstance(value, Mapping) else value
        if isinstance(inner, list):
            count += len(inner)
            waiting.extend(inner)
        if count > MOST_KEYS:
            raise Problem(
                f"more than {MOST_KEYS:,} names and list items; keep only those that are needed"
            )
