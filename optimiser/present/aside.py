"""What is said beside an answer, on standard error."""

from __future__ import annotations

import sys
from contextlib import suppress


def say_aside(text: str) -> None:
    """Tell something beside the answer; that nobody can hear it changes nothing."""
    # ValueError: the stream was closed.
    with suppress(OSError, ValueError):
        sys.stderr.write(text)
        sys.stderr.flush()
