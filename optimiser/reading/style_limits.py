"""The starting limits that a style brings to a brief, where the brief is silent."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from optimiser.brief import End, Family, Limit
from optimiser.ingredient import Book
from optimiser.provenance import plain_number
from optimiser.reading.findings import Findings
from optimiser.reading.wording import key_path


def with_style(
    style: str, said: Sequence[Limit], book: Book, file: str, findings: Findings
) -> tuple[Limit, ...]:
    """The limits of the brief, then those of its style that the brief leaves standing.

    The brief's value stands key by key, `min` and `max` apart; an exact value in the brief
    displaces both. The brief is the maker's word: where its `min` lies above the style's
    `max`, or its `max` below the style's `min`, the style's bound is dropped, with a remark,
    rather than making the brief impossible.

    Args:
        style: One of the book's styles.
        said: The limits of the brief.
        book: Where the starting limits are.
        file: The brief's name in remarks.
        findings: Where the remarks are noted.
    """
    values: dict[tuple[str, str], dict[End, Decimal]] = {}
    for limit in said:
        values.setdefault((limit.family.value, limit.of), {})[limit.end] = limit.value
    kept: list[Limit] = []
    for start in book.starting_limits:
        if start.style != style:
            continue
        end = End(start.end)
        own = values.get((start.family, start.of), {})
        if end in own or End.EXACTLY in own:
            continue
        key = key_path([start.family, start.of, start.end])
        opposite = own.get(End.MIN if end is End.MAX else End.MAX)
        if opposite is not None and _crossed(end, start.value, opposite):
            other = "min" if end is End.MAX else "max"
            findings.remark(
                file,
                f"the style's {key} {plain_number(start.value)} is dropped, as the brief's "
                f"{other} is {plain_number(opposite)}",
            )
            continue
        kept.append(
            Limit(
                family=Family(start.family),
                of=start.of,
                end=end,
                value=start.value,
                key=key,
                origin=start.origin,
                from_style=True,
            )
        )
    return (*said, *kept)


def _crossed(end: End, bound: Decimal, opposite: Decimal) -> bool:
    """Whether a bound of the style and the opposite one of the brief exclude each other."""
    return opposite > bound if end is End.MAX else opposite < bound
