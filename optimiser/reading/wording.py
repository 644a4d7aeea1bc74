"""How names, keys and lists are written inside a message."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from unicodedata import category

from optimiser.provenance import printable

LONGEST_QUOTE = 60
"""Longer pieces of the maker's text are cut in messages, in characters."""

_BARE = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-")


def quoted(text: str) -> str:
    r"""The text in double quotes as TOML would write it, cut where it is very long.

    Example:
        >>> quoted('6" jar')
        '"6\\" jar"'
    """
    short = text if len(text) <= LONGEST_QUOTE else text[: LONGEST_QUOTE - 3] + "..."
    escaped = short.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{printable(escaped)}"'


def key_path(parts: Iterable[str]) -> str:
    """The key path as TOML writes it: bare keys plain, others quoted, joined by dots.

    Example:
        >>> key_path(["ratios", "butter:oil", "min"])
        'ratios."butter:oil".min'
    """
    return ".".join(part if part and _BARE.issuperset(part) else quoted(part) for part in parts)


def listed(names: Sequence[str], last: str = "or") -> str:
    """The names as a list in a sentence.

    Example:
        >>> listed(["min", "max", "firm"])
        'min, max or firm'
    """
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {last} {names[-1]}"


def unseen(text: str) -> str:
    r"""The first sign of a text that cannot be seen, as its code, or nothing; blanks may stand.

    Example:
        >>> unseen("bees\u200bwax"), unseen("mango\u00a0butter")
        ('U+200B', '')
    """
    for letter in text if not text.isprintable() else "":
        if not letter.isprintable() and letter not in "\t\r\n" and category(letter) != "Zs":
            return f"U+{ord(letter):04X}"
    return ""
