"""Bounds that look like fractions where percent is meant: 0.35 for 35 %."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from optimiser.brief import End, Family, Limit
from optimiser.ingredient import Book, Kind
from optimiser.provenance import plain_number
from optimiser.reading.findings import Findings

LARGE_PARTS = frozenset({Kind.BUTTER, Kind.OIL, Kind.WAX})
"""Kinds of which a formula has percents; of scents, vitamins and colours it has parts of one."""

LARGE_TOTALS = LARGE_PARTS | {Kind.POWDER}
"""Kinds whose totals are percents; of a single powder a pinch may be meant."""


def remark_likely_fractions(
    limits: Iterable[Limit],
    groups: Mapping[str, tuple[str, ...]],
    book: Book,
    file: str,
    findings: Findings,
) -> None:
    """Tell bounds above 0 and below 1 % of what formulas have percents of.

    Args:
        limits: What the brief itself says.
        groups: The maker's own groups.
        book: The ingredients, whose kinds tell.
        file: The brief's name in remarks.
        findings: Where remarks are noted.
    """
    for limit in limits:
        if not 0 < limit.value < 1 or not _is_large(limit, groups, book):
            continue
        end = "" if limit.end is End.EXACTLY else f" {limit.end.value}"
        shown, percent = plain_number(limit.value), plain_number(limit.value * 100)
        line = limit.origin.line
        findings.remark(
            file if line is None else f"{file}:{line}",
            f"{limit.of}{end} {shown} is {shown} %; write {percent} if {percent} % is meant",
        )


def _is_large(limit: Limit, groups: Mapping[str, tuple[str, ...]], book: Book) -> bool:
    """Whether a limit is on a large part of a formula, or on a total of such parts."""
    if limit.family is Family.TOTALS and limit.of in set(Kind):
        return limit.of in LARGE_TOTALS
    if limit.family is Family.TOTALS and limit.of in groups:
        kinds = {book.ingredients[name].kind for name in groups[limit.of]}
        return bool(kinds) and kinds <= LARGE_TOTALS
    if limit.family not in {Family.AMOUNTS, Family.TOTALS} or limit.of not in book.ingredients:
        return False
    return book.ingredients[limit.of].kind in LARGE_PARTS
