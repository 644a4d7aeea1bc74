"""The same pack of the same thing at the same supplier in several rows of the price lists."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from optimiser.price import Offer, PackagingOffer, Ware
from optimiser.provenance import Origin, plain_number
from optimiser.reading.findings import Findings
from optimiser.reading.names import fold
from optimiser.reading.wording import listed, quoted

MOST_TOLD = 20
"""So many repeated packs are told one by one, and so many rows of each."""


def remark_repeated(offers: Iterable[Offer | PackagingOffer], findings: Findings) -> None:
    """Tell which rows state the same pack, and which of them is used.

    That is the cheapest, delivery included, and of equal ones the first, since costs are
    told at the lowest price.

    Args:
        offers: Every row of the price lists.
        findings: Where remarks are noted.
    """
    rows: dict[tuple[str, str, Fraction], list[Ware]] = {}
    for offer in offers:
        ware = Ware.of(offer)
        rows.setdefault((ware.item, fold(ware.supplier), ware.content), []).append(ware)
    repeated = [wares for wares in rows.values() if len(wares) > 1]
    for wares in repeated[:MOST_TOLD]:
        _remark(wares, findings)
    more = len(repeated) - MOST_TOLD
    if more > 0:
        at = repeated[MOST_TOLD][0].origin.file
        findings.remark(at, f"{more} more packs stand in several rows; the cheapest row is used")


def _remark(wares: list[Ware], findings: Findings) -> None:
    """Tell one pack that several rows state."""
    first = wares[0]
    used = min(wares, key=_money)
    told = wares[:MOST_TOLD]
    more = [f"{len(wares) - MOST_TOLD} more rows"] if len(wares) > MOST_TOLD else []
    supplier = f" from {quoted(first.supplier)}" if first.supplier else ""
    places = listed([*(_place(ware.origin) for ware in told[1:]), *more], "and")
    if len({_money(ware) for ware in wares}) == 1:
        prices, which = "at the same price", "the first"
    else:
        sums = listed([plain_number(_money(ware)) for ware in told], "and")
        prices, which = f"for {sums}", "the cheapest"
    findings.remark(
        _place(first.origin),
        f"{first.item}{supplier}, {first.pack}, stands in {places} too, {prices}; {which}, "
        f"{_place(used.origin)}, is used",
    )


def _money(ware: Ware) -> Fraction:
    """What a pack costs, delivery included."""
    return Fraction(ware.price) + Fraction(ware.delivery)


def _place(origin: Origin) -> str:
    """A row of a file."""
    return f"{origin.file}:{origin.line}"
