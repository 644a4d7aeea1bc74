"""The bytes of a maker's file, or a plain sentence on why there are none."""

from __future__ import annotations

from pathlib import Path

from optimiser.reading.caps import MOST_BYTES
from optimiser.reading.findings import Problem
from optimiser.reading.wording import LONGEST_QUOTE, quoted

_MARKS_OF_OTHER_FILES = (
    (b"PK\x03\x04", "a workbook or another zip file"),
    (b"\xd0\xcf\x11\xe0", "an old Excel workbook (.xls)"),
    (b"%PDF", "a PDF"),
)


def without_sheet(path: Path) -> tuple[Path, str]:
    """A workbook's file and the sheet named with it, as in `book.xlsx#Prices`; else no sheet.

    Example:
        >>> without_sheet(Path("stock/book.xlsx#Prices"))[1], without_sheet(Path("a#b.csv"))[1]
        ('Prices', '')
    """
    name, sign, sheet = path.name.partition(".xlsx#")
    if not sign or not sheet or is_there(path):
        return path, ""
    return path.with_name(f"{name}.xlsx"), sheet


def is_there(path: Path) -> bool:
    """Whether something has this name; not where the system will not even look for it."""
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def is_folder(path: Path) -> bool:
    """Whether this is a folder; not where the system will not even look for it."""
    try:
        return path.is_dir()
    except (OSError, ValueError):
        return False


def read_bytes(path: Path, name: str, most: int = MOST_BYTES) -> bytes:
    """Everything in the file.

    Args:
        path: Where it is.
        name: What the maker calls it.
        most: So many bytes at most.

    Raises:
        Problem: There is no such file, it is a folder, it cannot be read, or it is too large.
    """
    # Of a long path the end tells more than the beginning.
    shown = quoted(name if len(name) <= LONGEST_QUOTE else f"...{name[3 - LONGEST_QUOTE :]}")
    try:
        if path.is_dir():
            raise Problem(f"{shown} is a folder; name a file in it")
        if not path.exists():
            raise Problem(f"there is no file {shown}; check its name and folder")
        if not path.is_file():
            raise Problem(f"{shown} is not a file that can be read; name a plain file")
        with path.open("rb") as stream:
            data = stream.read(most + 1)
    except (OSError, ValueError) as fault:
        # ValueError: a name with a NUL in it.
        reason = fault.strerror if isinstance(fault, OSError) and fault.strerror else "bad name"
        raise Problem(f"{shown} cannot be read ({reason.lower()})") from None
    if len(data) > most:
        size = f"{most // 1_000_000} MB" if most >= 1_000_000 else f"{most // 1_000} kB"
        raise Problem(f"{shown} is larger than {size}; keep only what is needed")
    return data


def other_kind_of_file(data: bytes) -> str:
    """What the bytes are when they are a well-known kind of file but no text, or nothing."""
    for mark, kind in _MARKS_OF_OTHER_FILES:
        if data.startswith(mark):
            return kind
    return ""
