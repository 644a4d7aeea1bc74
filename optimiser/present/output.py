"""Writing answers to files: whole or not at all, and never over what was read."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from importlib.util import find_spec
from pathlib import Path

from optimiser.present.aside import say_aside, visible
from optimiser.present.earlier_answers import marked, may_be_replaced
from optimiser.present.whole_files import Content, NotWrittenError, place_of, write_all
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

WAS_READ = "this file was read for the answer; name another"

IS_HERS = "this file is there already and is no answer of optimiser; name another"


def check_outputs(paths: Iterable[Path], endings: Iterable[str], inputs: Iterable[Path]) -> None:
    """Refuse endings without a form, places that cannot be written, and files to be kept.

    To be kept is what was read, and whatever the program did not write itself.
    A workbook or a page is refused where what it is made with is not installed.

    Raises:
        InputError: Each problem, before anything is written.
    """
    named = list(paths)
    if not named:
        return
    read = [place_of(without_sheet(path)[0]) for path in inputs]
    seen: set[Path] = set()
    forms = [ending for ending in endings if ending]
    mistakes = []
    books = [path for path in named if path.suffix.lower() == WORKBOOK]
    if books and WORKBOOK in forms and not _can_write_workbooks():
        mistakes.append(_wrong(books[0], NEEDS_OPENPYXL))
    pages = [path for path in named if path.suffix.lower() == PAGE]
    if pages and PAGE in forms and not all(map(find_spec, DRAWN_WITH)):
        mistakes.append(_wrong(pages[0], NOT_INSTALLED))
    for path in named:
        if path.suffix.lower() not in forms:
            mistakes.append(_wrong(path, f"name a file that ends in {', '.join(forms)}"))
            continue
        place = place_of(path)
        problem = _problem(place, path.suffix.lower(), read)
        if not problem and place in seen:
            problem = "named twice; name it once"
        if problem:
            mistakes.append(_wrong(path, problem))
        seen.add(place)
    if mistakes:
        raise InputError(mistakes)


def _problem(place: Path, form: str, read: Iterable[Path]) -> str:
    """What is wrong with a place to write a form to; empty where nothing is."""
    try:
        if place.is_symlink():
            return "this link leads nowhere; name another file"
        if not place.parent.is_dir():
            return "there is no such folder; make it first"
        if place.is_dir():
            return "this is a folder; name a file"
        if not place.exists():
            return WAS_READ if place in read else ""
        if not place.is_file():
            return "this is no plain file; name another"
        if any(_is_same(place, other) for other in read):
            return WAS_READ
        if not os.access(place, os.W_OK):
            return "this file may only be read; name another"
        return "" if may_be_replaced(place, form) else IS_HERS
    except OSError as failure:
        return f"cannot be written: {failure.strerror or failure}"


def _is_same(place: Path, other: Path) -> bool:
    """Whether two paths lead to one file, also by a link or in other capitals."""
    try:
        return place == other or place.samefile(other)
    except OSError:
        return False


def _wrong(path: Path, problem: str) -> Mistake:
    return Mistake(Origin(OPTION, None, str(path)), problem)


def _can_write_workbooks() -> bool:
    try:
        import openpyxl  # noqa: F401  # asked for, so it is needed in a moment anyway
    except ImportError:
        return False
    return True


def write_answers(paths: Iterable[Path], written: Callable[[str], Content | None]) -> None:
    """Write an answer in the form of each file's ending, once all forms are there.

    Args:
        paths: The files.
        written: Gives the content for an ending in lower case; None where there is no formula
            to write.

    Raises:
        InputError: A file cannot be written; then none is.
    """
    contents: list[tuple[Path, Content]] = []
    for path in paths:
        try:
            content = written(path.suffix.lower())
        except OSError as failure:
            # Some forms are made by way of temporary files.
            raise InputError([_wrong(path, _not_written(failure))]) from None
        if content is None:
            say_aside(f"{visible(str(path))} is not written: there is no formula.\n")
        else:
            contents.append((path, marked(content, path.suffix.lower())))
    _check_once_more(path for path, _ in contents)
    write_files(contents)


def _check_once_more(paths: Iterable[Path]) -> None:
    """Refuse what the maker has put there while the answer was computed.

    Raises:
        InputError: With every such file.
    """
    found = [(path, _problem(place_of(path), path.suffix.lower(), ())) for path in paths]
    mistakes = [_wrong(path, problem) for path, problem in found if problem == IS_HERS]
    if mistakes:
        raise InputError(mistakes)


def write_files(contents: Sequence[tuple[Path, Content]]) -> None:
    """Write files so that of each either the old or the new one is there, whole.

    Raises:
        InputError: A file cannot be written; then none is.
    """
    try:
        write_all(contents)
    except NotWrittenError as problem:
        raise InputError([_wrong(problem.path, _not_written(problem.failure))]) from None


def _not_written(failure: OSError) -> str:
    return f"not written: {failure.strerror or failure}"
