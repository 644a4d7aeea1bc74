"""Writing answers to files: whole or not at all, and never over what was read."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable, Iterable
from importlib.util import find_spec
from pathlib import Path

from optimiser.provenance import InputError, Mistake, Origin
from optimiser.reading.files import without_sheet

OPTION = "--out"

WORKBOOK = ".xlsx"

NEEDS_OPENPYXL = "writing a workbook needs openpyxl; run `pip install openpyxl`, or name a .csv"


PAGE = ".html"
DRAWN_WITH = ("jinja2", "matplotlib")
"""What a page is made with; no other form needs it."""

NOT_INSTALLED = (
    "a page is made with Jinja2 and Matplotlib, which are not installed; install them with: pip "
    "install 'optimiser[report]', or pip install jinja2 matplotlib"
)


def check_outputs(paths: Iterable[Path], endings: Iterable[str], inputs: Iterable[Path]) -> None:
    """Refuse endings without a form, folders that do not exist, and files that were read.

    A workbook or a page is refused where what it is made with is not installed.

    Raises:
        InputError: Each problem, before anything is written.
    """
    read = {without_sheet(path)[0].resolve() for path in inputs}
    seen: set[Path] = set()
    forms = [ending for ending in endings if ending]
    mistakes = []
    named = list(paths)
    books = [path for path in named if path.suffix.lower() == WORKBOOK]
    if books and WORKBOOK in forms and not _can_write_workbooks():
        mistakes.append(Mistake(Origin(OPTION, None, str(books[0])), NEEDS_OPENPYXL))
    pages = [path for path in named if path.suffix.lower() == PAGE]
    if pages and PAGE in forms and not all(map(find_spec, DRAWN_WITH)):
        mistakes.append(Mistake(Origin(OPTION, None, str(pages[0])), NOT_INSTALLED))
    for path in named:
        where = Origin(OPTION, None, str(path))
        if path.suffix.lower() not in forms:
            mistakes.append(Mistake(where, f"name a file that ends in {', '.join(forms)}"))
        elif not path.parent.is_dir():
            mistakes.append(Mistake(where, "there is no such folder; make it first"))
        elif path.is_dir():
            mistakes.append(Mistake(where, "this is a folder; name a file"))
        elif path.resolve() in read:
            mistakes.append(Mistake(where, "this file was read for the answer; name another"))
        elif path.resolve() in seen:
            mistakes.append(Mistake(where, "named twice; name it once"))
        seen.add(path.resolve())
    if mistakes:
        raise InputError(mistakes)


def _can_write_workbooks() -> bool:
    try:
        import openpyxl  # noqa: F401  # asked for, so it is needed in a moment anyway
    except ImportError:
        return False
    return True


def write_answers(paths: Iterable[Path], written: Callable[[str], str | bytes | None]) -> None:
    """Write an answer in the form of each file's ending, once all forms are there.

    Args:
        paths: The files.
        written: Gives the content for an ending in lower case; None where there is no formula
            to write.

    Raises:
        InputError: A file cannot be written.
    """
    contents = [(path, written(path.suffix.lower())) for path in paths]
    for path, content in contents:
        if content is None:
            sys.stderr.write(f"{path} is not written: there is no formula.\n")
        else:
            write_whole(path, content)


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file so that either the old or the new one is there, whole.

    Args:
        path: The file.
        content: Its bytes, or text that is written as UTF-8.

    Raises:
        InputError: The file cannot be written.
    """
    data = content if isinstance(content, bytes) else content.encode("utf-8", "backslashreplace")
    temporary = ""
    try:
        with tempfile.NamedTemporaryFile(dir=path.parent, prefix=".part-", delete=False) as file:
            temporary = file.name
            file.write(data)
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
