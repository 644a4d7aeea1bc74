"""What the program's files are known by, so that only an earlier answer is replaced.

A file that is there already may be the maker's: notes, a recipe, last year's prices. It is
replaced only where it is empty, or shows what every answer in its form has:

- `.md`: a last line, `.lp` and `.mps`: a first line, `.html`: a `meta` of the head, all of
  which say that the program wrote it;
- `.csv`: the first heading in quotes that it does not need, and everything else as `csv_text`
  writes it, as no other program does; a formula whose percent still add up to exactly 100;
- `.xlsx`: the program as its author, and nobody who saved it later;
- `.json`: the names with which each command's answer begins, in their order.
"""

from __future__ import annotations

import csv
import re
import zipfile
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from decimal import Decimal, InvalidOperation
from pathlib import Path

from optimiser.present.csv_text import csv_text

WRITTEN = "written by optimiser"

LOOKED_AT = 4096
"""Bytes at the beginning and at the end of a file that are looked at."""

ROWS_LOOKED_AT = 65536
"""Likewise at the beginning of a table."""

_LAST_LINE = f"<!-- {WRITTEN} -->\n"
_FIRST_LINES = {".lp": f"\\ {WRITTEN}\n", ".mps": f"* {WRITTEN}\n"}
_FIRST_LABELS = {".lp": r"\\ c0+ = ", ".mps": r"\* c0+ = "}
"""How a model began before it said who wrote it: with the legend of its first column."""

_PAGE = '<meta name="generator" content="optimiser">'
_EARLY_PAGE = """\
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>"""
"""What stood at that place of a page before it said who wrote it."""
_STYLE = "</title>\n<style>\n:root {\n  --paper:"

_OPENINGS = {
    tuple(names.split())
    for names in (
        "brief status currency",
        "brief recipe currency meets",
        "gone currency reference",
        "brief currency today",
        "brief one other best",
        "brief currency formulas",
        "product formula_of version",
        "batches product formula_of version",
        "name region use ingredients lines",
        "ingredients ingredient common_name inci_name",
        "ingredient common_name inci_name cas kind",
        "folder files",
    )
}
"""The first names of each command's JSON, in the order in which they stand in the file."""

_NAME_ON_ITS_LINE = re.compile(r'^ {2,6}"([a-z_]+)": ', re.MULTILINE)

_PROPERTIES = "docProps/core.xml"
_AUTHOR = "<dc:creator>optimiser</dc:creator>"
_TIME = re.compile(r"<dcterms:(created|modified)[^>]*>([^<]*)</dcterms:\1>")
AT_ONCE = timedelta(minutes=1)
"""The two times of a workbook of ours are one; once they were as far apart as its writing took."""


def marked(content: str | bytes, form: str) -> str | bytes:
    r"""An answer with the line that says who wrote it, in the forms that take one.

    Args:
        content: The answer.
        form: The ending of its file, in lower case.

    >>> marked("# Hand butter", ".md")
    '# Hand butter\n\n<!-- written by optimiser -->\n'
    """
    if isinstance(content, bytes):
        return content
    if form in _FIRST_LINES:
        return _FIRST_LINES[form] + content
    if form == ".md":
        return content.rstrip("\n") + "\n\n" + _LAST_LINE
    return content


def may_be_replaced(path: Path, form: str) -> bool:
    """Whether a file that is there is empty or an earlier answer in a form.

    Args:
        path: The file.
        form: The ending that was asked for, in lower case; a link may lead to another.

    Raises:
        OSError: It cannot be read.
    """
    size = path.stat().st_size
    if not size:
        return True
    if form == ".xlsx":
        return _is_our_workbook(path)
    with path.open("rb") as file:
        begin = file.read(ROWS_LOOKED_AT if form == ".csv" else LOOKED_AT)
        file.seek(max(0, size - LOOKED_AT))
        end = file.read(LOOKED_AT)
    known = _KNOWN_BY.get(form)
    # Half a sign may stand where the part that is looked at begins or ends.
    texts = begin.decode("utf-8", "replace"), end.decode("utf-8", "replace")
    return known is not None and known(*texts, len(begin) == size)


def _is_our_page(begin: str, _: str, __: bool) -> bool:
    head, _, rest = begin.partition("<title>")
    return _PAGE in head or (f"{head}<title>".endswith(_EARLY_PAGE) and _STYLE in rest)


def _is_our_json(begin: str, _: str, __: bool) -> bool:
    names = tuple(_NAME_ON_ITS_LINE.findall(begin))
    return begin.startswith('{\n  "') and any(names[: len(one)] == one for one in _OPENINGS)


def _is_our_markdown(_: str, end: str, __: bool) -> bool:
    return end.endswith(f"\n{_LAST_LINE}")


def _is_our_model(form: str) -> Callable[[str, str, bool], bool]:
    def known(begin: str, _: str, __: bool) -> bool:
        is_marked = begin.startswith(_FIRST_LINES[form])
        return is_marked or re.match(_FIRST_LABELS[form], begin) is not None

    return known


def _is_our_table(begin: str, _: str, is_whole: bool) -> bool:
    """Whether rows are as `csv_text` writes them, down to the quotes of the first heading."""
    whole_lines = begin if is_whole else begin[: begin.rfind("\n") + 1]
    try:
        rows = list(csv.reader(whole_lines.splitlines(keepends=True)))
    except csv.Error:
        return False
    if not rows or not rows[0] or csv_text(rows) != whole_lines:
        return False
    heading = rows[0][0]
    if any(sign in heading for sign in ',"') or not heading:
        return False  # it needs its quotes, whoever wrote it
    return rows[0] != ["ingredient", "percent"] or not is_whole or _adds_up(rows[1:])


def _adds_up(rows: list[list[str]]) -> bool:
    try:
        return sum(Decimal(percent) for _, percent in rows) == 100
    except (ValueError, InvalidOperation):
        return False


def _is_our_workbook(path: Path) -> bool:
    try:
        with zipfile.ZipFile(path) as book, book.open(_PROPERTIES) as file:
            text = file.read(LOOKED_AT).decode("utf-8", "replace")
    except OSError:
        raise
    except Exception:
        # zipfile raises BadZipFile, struct.error, KeyError and others on what is no workbook.
        return False
    if _AUTHOR not in text or "lastModifiedBy" in text:
        return False
    said = dict(_TIME.findall(text))
    created, modified = (_time(said.get(name, "")) for name in ("created", "modified"))
    return created is not None and modified is not None and modified - created <= AT_ONCE


def _time(said: str) -> datetime | None:
    try:
        return datetime.strptime(said, "%Y-%m-%dT%H:%M:%SZ")
    except ValueError:
        return None


_KNOWN_BY: Mapping[str, Callable[[str, str, bool], bool]] = {
    ".html": _is_our_page,
    ".json": _is_our_json,
    ".md": _is_our_markdown,
    ".csv": _is_our_table,
    ".lp": _is_our_model(".lp"),
    ".mps": _is_our_model(".mps"),
}
"""What is asked of the beginning and the end of a file, and whether the beginning is all."""
