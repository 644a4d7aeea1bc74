"""Files that are there whole or not at all, whatever happens while they are written."""

from __future__ import annotations

import os
import signal
import stat
import tempfile
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

Content = str | bytes
"""Text is written as UTF-8."""

PART = ".part-"
"""What the names of files that are not whole yet begin with."""

STOPS = ("SIGINT", "SIGTERM", "SIGHUP")
"""Ctrl-C, a polite end, a terminal that was closed; not every system has all of them."""


class NotWrittenError(Exception):
    """A file that could not be written.

    Attributes:
        path: The file, as it was named.
        failure: What the system said.
    """

    def __init__(self, path: Path, failure: OSError) -> None:
        self.path, self.failure = path, failure
        super().__init__(f"{path}: {failure}")


def place_of(path: Path) -> Path:
    """Where a path leads, links followed; the path itself where it leads nowhere.

    >>> place_of(Path("/no-such-folder/../a.csv")).name
    'a.csv'
    """
    try:
        return path.resolve()
    except (OSError, RuntimeError):
        # A circle of links, or a relative path in a folder that is gone.
        return path


def write_all(contents: Sequence[tuple[Path, Content]]) -> None:
    """Write files: first all of them beside their places, then each into its place.

    A link stays, and what it leads to is written. Where one file cannot be written, or the
    program is asked to stop before all of them are complete, none is.

    Raises:
        NotWrittenError: A file cannot be written.
    """
    parts: list[Path] = []
    with _stops_held() as asked_to_stop:
        try:
            for path, content in contents:
                _write_part(path, content, parts)
            if asked_to_stop:
                return
            for (path, _), part in zip(contents, parts, strict=True):
                try:
                    part.replace(place_of(path))
                except OSError as failure:
                    raise NotWrittenError(path, failure) from None
        finally:
            for part in parts:
                part.unlink(missing_ok=True)


def _write_part(path: Path, content: Content, parts: list[Path]) -> None:
    """Write the content beside its place and note where.

    Raises:
        NotWrittenError: It cannot be written.
    """
    data = content if isinstance(content, bytes) else content.encode("utf-8", "backslashreplace")
    place = place_of(path)
    try:
        folder = place.parent
        with tempfile.NamedTemporaryFile(dir=folder, prefix=PART, delete=False) as file:
            parts.append(Path(file.name))
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        mode = stat.S_IMODE(place.stat().st_mode) if place.exists() else 0o666 & ~_umask()
        parts[-1].chmod(mode)
    except OSError as failure:
        raise NotWrittenError(path, failure) from None


@contextmanager
def _stops_held() -> Iterator[list[int]]:
    """Let requests to stop wait until files are whole; yields those that came meanwhile."""
    came: list[int] = []
    if threading.current_thread() is not threading.main_thread():
        # Requests reach the main thread alone.
        yield came
        return
    numbers = [getattr(signal, name) for name in STOPS if hasattr(signal, name)]
    # None: set by another than Python, which cannot be put back.
    usual = {n: h for n in numbers if (h := signal.getsignal(n)) not in (signal.SIG_IGN, None)}
    try:
        for number in usual:
            signal.signal(number, lambda number, _: came.append(number))
        yield came
    finally:
        for number, handler in usual.items():
            signal.signal(number, handler)
        if came:
            signal.raise_signal(came[0])


def _umask() -> int:
    """The permissions that new files do not get."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
