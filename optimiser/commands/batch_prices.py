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
from optimiser.reading.price_list import same_currency

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
    found: dict[tuple[Path, int | None], Priced] = {}
    for request, offers in requests:
        folder = Path(request.brief.file).parent
        for offer in offers:
            place = (folder / offer.origin.file).resolve()
            found.setdefault((place, offer.origin.line), offer)
    return tuple(found.values())


def named_as_planned(
    packaging: Iterable[PackagingOffer], items: Iterable[str]
) -> tuple[PackagingOffer, ...]:
    """The rows of the packaging that is asked for, named as briefs name it."""
    planned = {fold(item): item for item in items}
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
