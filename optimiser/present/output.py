"""Writing answers to files: whole or not at all, and never over what was read."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Iterable
from importlib.util import find_spec
from pathlib import Path

from optimiser.provenance import InputError, Mistake, Origin

OPTION = "--out"

PAGE = ".html"
DRAWN_WITH = ("jinja2", "matplotlib")
"""What a page is made with; no other form needs it."""

NOT_INSTALLED = (
    "a page is made with Jinja2 and Matplotlib, which are not installed; install them with: pip "
    "install 'optimiser[report]', or pip install jinja2 matplotlib"
)


def check_outputs(paths: Iterable[Path], endings: Iterable[str], inputs: Iterable[Path]) -> None:
    """Refuse endings that have no form, folders that do not exist, and files that were read.

    A page is refused as well where what it is made with is not installed.

    Raises:
        InputError: Each problem, before anything is written.
    """
    read = {path.resolve() for path in inputs}
    forms = [ending for ending in endings if ending]
    mistakes, pages = [], list[Mistake]()
    for path in paths:
        where = Origin(OPTION, None, str(path))
        if path.suffix.lower() not in forms:
            mistakes.append(Mistake(where, f"name a file that ends in {', '.join(forms)}"))
        elif not path.parent.is_dir():
            mistakes.append(Mistake(where, "there is no such folder; make it first"))
        elif path.is_dir():
            mistakes.append(Mistake(where, "this is a folder; name a file"))
        elif path.resolve() in read:
            mistakes.append(Mistake(where, "this file was read for the answer; name another"))
        elif path.suffix.lower() == PAGE and not pages and not all(map(find_spec, DRAWN_WITH)):
            pages.append(Mistake(where, NOT_INSTALLED))
    if mistakes or pages:
        raise InputError([*mistakes, *pages])


def note_unwritten(path: Path) -> None:
    """Say that a file was asked for but there is no formula to write."""
    sys.stderr.write(f"{path} is not written: there is no formula.\n")


def write_whole(path: Path, text: str) -> None:
    """Write a text file so that either the old or the new one is there, whole.

    Raises:
        InputError: The file cannot be written.
    """
    temporary = ""
    try:
        with tempfile.NamedTemporaryFile(
            "w",
            encoding="utf-8",
            errors="backslashreplace",
            newline="\n",
            dir=path.parent,
            prefix=".part-",
            delete=False,
        ) as file:
            temporary = file.name
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        mode = path.stat().st_mode if path.exists() else 0o666 & ~_umask()
        Path(temporary).chmod(mode)
        Path(temporary).replace(path)
    except OSError as problem:
        if temporary:
            Path(temporary).unlink(missing_ok=True)
        reason = problem.strerror or str(problem)
        raise InputError(
            [Mistake(Origin(OPTION, None, str(path)), f"not written: {reason}")]
        ) from None


def _umask() -> int:
    """The permissions that new files do not get."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
