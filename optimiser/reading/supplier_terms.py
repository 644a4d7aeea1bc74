"""What holds for a supplier as a whole: its minimum order, and from where delivery is free."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import TypeVar

from optimiser.price import Offer, PackagingOffer
from optimiser.provenance import Origin, plain_number
from optimiser.reading.findings import Findings
from optimiser.reading.names import fold
from optimiser.reading.wording import quoted

TERMS = ("minimum_order", "free_delivery_from")
"""The headings."""

Row = TypeVar("Row", Offer, PackagingOffer)


def supplier_terms(
    offers: Sequence[Offer], packaging: Sequence[PackagingOffer], findings: Findings
) -> dict[tuple[str, str], Decimal]:
    """What some row of each supplier states, by heading and folded name.

    A second value for the same is a mistake that names both rows. A row without a supplier
    speaks for itself.
    """
    stated: dict[tuple[str, str], tuple[Decimal, Origin]] = {}
    rows: list[Offer | PackagingOffer] = [*offers, *packaging]
    for row in rows:
        for heading in TERMS:
            value: Decimal | None = getattr(row, heading)
            if value is None or not row.supplier:
                continue
            key = heading, fold(row.supplier)
            known = stated.setdefault(key, (value, row.origin))
            if known[0] != value:
                at = Origin(row.origin.file, row.origin.line, heading)
                problem = (
                    f"{plain_number(value)} where {known[1]} says {plain_number(known[0])} for "
                    f"{quoted(row.supplier)}; make them agree"
                )
                findings.wrong(at, problem)
    return {key: value for key, (value, _) in stated.items()}


def with_terms(rows: Sequence[Row], terms: dict[tuple[str, str], Decimal]) -> tuple[Row, ...]:
    """The rows, each with what holds for its supplier."""
    if not terms:
        return tuple(rows)
    return tuple(
        replace(
            row,
            **{
                heading: terms.get((heading, fold(row.supplier)), getattr(row, heading))
                for heading in TERMS
            },
        )
        for row in rows
    )
