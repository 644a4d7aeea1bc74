"""One price list out of those of several briefs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TypeVar

from optimiser.brief import Request
from optimiser.price import Offer, PackagingOffer
from optimiser.provenance import InputError, Mistake, Origin
from optimiser.reading import fold
from optimiser.reading.currencies import same_currency
from optimiser.reading.files import without_sheet
from optimiser.reading.findings import Findings
from optimiser.reading.supplier_terms import supplier_terms, with_terms

Priced = TypeVar("Priced", Offer, PackagingOffer)


def check_currencies(requests: Sequence[Request]) -> None:
    """Refuse briefs that cost in different money.

    Raises:
        InputError: Two currencies; with both briefs.
    """
    named = [one.brief for one in requests if one.brief.currency]
    for brief in named[1:]:
        if not same_currency(named[0].currency, brief.currency):
            problem = (
                f"{brief.file} costs in {brief.currency} and {named[0].file} in "
                f"{named[0].currency}; shop for them in turn"
            )
            raise InputError([Mistake(Origin("--batch"), problem)])


def merged(requests: Iterable[tuple[Request, Sequence[Priced]]]) -> tuple[Priced, ...]:
    """The rows of all price lists; a file that several briefs name counts once.

    Args:
        requests: Each brief with its rows.
    """
    found: dict[tuple[Path, str, int | None], Priced] = {}
    sheets: dict[Path, tuple[str, str]] = {}
    for request, offers in requests:
        folder = Path(request.brief.file).parent
        for offer in offers:
            path, sheet = without_sheet(folder / offer.origin.file)
            place = path.resolve()
            known = sheets.setdefault(place, (sheet, offer.origin.file))
            if bool(known[0]) != bool(sheet):
                problem = (
                    f"the same workbook as {known[1]}, named with and without a sheet; name it in "
                    "one way, or its stock counts twice"
                )
                raise InputError([Mistake(Origin(offer.origin.file), problem)])
            found.setdefault((place, sheet, offer.origin.line), offer)
    return tuple(found.values())


def agreed(
    offers: Sequence[Offer], packaging: Sequence[PackagingOffer]
) -> tuple[tuple[Offer, ...], tuple[PackagingOffer, ...]]:
    """The rows, each with what some row of any list states for its supplier.

    Raises:
        InputError: Two lists state different terms for a supplier.
    """
    findings = Findings()
    terms = supplier_terms(offers, packaging, findings)
    findings.stop_if_wrong([])
    return with_terms(offers, terms), with_terms(packaging, terms)


def named_as_planned(
    packaging: Iterable[PackagingOffer], items: Iterable[str]
) -> tuple[PackagingOffer, ...]:
    """The rows of the packaging that is asked for, named as a brief names it first."""
    planned: dict[str, str] = {}
    for item in items:
        planned.setdefault(fold(item), item)
    return tuple(
        replace(offer, item=planned[offer.item]) for offer in packaging if offer.item in planned
    )


def piece_prices(packaging: Iterable[PackagingOffer]) -> Mapping[str, Fraction]:
    """The lowest price of a piece of each item, delivery spread over the pack."""
    prices: dict[str, Fraction] = {}
    for offer in packaging:
        known = prices.get(offer.item)
        if known is None or offer.price_per_piece < known:
            prices[offer.item] = offer.price_per_piece
    return prices
