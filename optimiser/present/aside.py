"""What is said beside an answer, on standard error."""

from __future__ import annotations

import sys
from contextlib import suppress

STEERING = "\n\r"
"""What may steer a terminal: line breaks, and the return of a bar that is drawn again."""


def visible(text: str, kept: str = "") -> str:
    r"""Text whose signs that a terminal would act on are written as their numbers.

    Args:
        text: Any text, such as the name of a file.
        kept: Signs that stay nevertheless.

    >>> visible("a" + chr(27) + "[31m.toml")
    'a\\u001B[31m.toml'
    """
    return "".join(
        sign if sign.isprintable() or sign in kept else f"\\u{ord(sign):04X}" for sign in text
    )


def say_aside(text: str) -> None:
    """Tell something beside the answer; that nobody can hear it changes nothing."""
    # ValueError: the stream was closed.
    with suppress(OSError, ValueError):
        sys.stderr.write(visible(text, STEERING))
        sys.stderr.flush()
