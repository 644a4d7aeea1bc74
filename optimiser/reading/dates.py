"""Whether a text is a date, in any of the ways that a quote is dated."""

from __future__ import annotations

import re
from datetime import date

_MONTHS = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)

_OTHER_MONTHS = (
    *("januar", "februar", "märz", "mai", "juni", "juli", "oktober", "dezember"),
    *("janvier", "février", "mars", "avril", "juin", "juillet", "août", "septembre", "octobre"),
    *("novembre", "décembre", "enero", "febrero", "marzo", "abril", "mayo", "junio", "julio"),
    *("agosto", "septiembre", "octubre", "noviembre", "diciembre", "januari", "februari"),
    *("maart", "mei", "augustus", "gennaio", "febbraio", "aprile", "maggio", "giugno", "luglio"),
    *("settembre", "ottobre", "dicembre"),
)
"""Months in German, French, Spanish, Dutch and Italian that English does not begin with."""

_DAY_IN_NUMBERS = re.compile(r"([0-9]{1,2})[-/]([0-9]{1,2})")
_DAY_IN_WORDS = re.compile(
    r"[0-9]{1,2}(?:st|nd|rd|th|er|\.)?(?: of| de)?[-/ ]?([^\W\d_]{3,10})\.?"
    r"|([^\W\d_]{3,10})\.?[-/ ]?[0-9]{1,2}(?:st|nd|rd|th|\.)?"
)

_IN_NUMBERS = re.compile(r"([0-9]{1,4})([-/. ])([0-9]{1,4})(?:\2([0-9]{1,4}))?\.?")
_IN_WORDS = re.compile(
    r"(?:([0-9]{1,2})(?:st|nd|rd|th|\.)?(?: of)?[- ])?([a-z]{3,9})\.?[- ]"
    r"(?:([0-9]{1,2})(?:st|nd|rd|th)?,? )?([0-9]{4}|[0-9]{2})"
)
_TIME = re.compile(r"[ t][0-9]{1,2}:[0-9]{2}(:[0-9]{2}(\.[0-9]+)?)?(z|[+-][0-9]{2}:?[0-9]{2})?")


def is_date(text: str) -> bool:
    """Whether a text names a day or a month that there is.

    Years come first or last; where day and month could be either way round, either counts.

    Example:
        >>> is_date("2026-11-02"), is_date("2 Nov 2026"), is_date("31/02/2026")
        (True, True, False)
    """
    folded = " ".join(text.casefold().split())
    time = _TIME.search(folded)
    if time is not None and time.end() == len(folded):
        folded = folded[: time.start()]
    numbers = _IN_NUMBERS.fullmatch(folded)
    if numbers is not None:
        first, _, middle, last = numbers.groups()
        if last is None:
            return any(_is_month(*pair) for pair in ((first, middle), (middle, first)))
        if len(first) > 2:
            return _is_day(first, middle, last)
        return any(_is_day(last, *pair) for pair in ((middle, first), (first, middle)))
    words = _IN_WORDS.fullmatch(folded)
    if words is None:
        return False
    day, month, other_day, year = words.groups()
    places = [place for place, name in enumerate(_MONTHS, start=1) if name.startswith(month)]
    if not places or (day and other_day):
        return False
    return _is_day(year, str(places[0]), day or other_day or "1")


def is_day(text: str) -> bool:
    """Whether a text names a date, or a day of any year, as a spreadsheet makes of `5-1`.

    Example:
        >>> is_day("05/01/2026"), is_day("1. Mai"), is_day("05-Jan"), is_day("5 kg")
        (True, True, True, False)
    """
    folded = " ".join(text.casefold().split())
    numbers = _DAY_IN_NUMBERS.fullmatch(folded)
    if numbers is not None:
        # 2000 was a leap year, so every day that there can be is one of it.
        pair = numbers.groups()
        return _is_day("2000", *pair) or _is_day("2000", *reversed(pair))
    words = _DAY_IN_WORDS.fullmatch(folded)
    if words is not None:
        name = words.group(1) or words.group(2)
        return name in _OTHER_MONTHS or any(
            month == name or month[:3] == name or (name == "sept" and month == "september")
            for month in _MONTHS
        )
    return is_date(text)


def _is_month(year: str, month: str) -> bool:
    """Whether a year of four digits and a month are one."""
    return len(year) == 4 and _is_day(year, month, "1")


def _is_day(year: str, month: str, day: str) -> bool:
    """Whether there is such a day; a year of two digits is one of this century."""
    if len(year) not in (2, 4) or len(day) > 2:
        return False
    try:
        date(int(year) + (2000 if len(year) == 2 else 0), int(month), int(day))
    except ValueError:
        return False
    return True
