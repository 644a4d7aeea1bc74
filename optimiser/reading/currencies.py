"""The currency that costs are told in, held against those of the price lists."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from optimiser.price import Offer, PackagingOffer
from optimiser.provenance import Origin
from optimiser.reading.findings import Findings
from optimiser.reading.names import MOST_OFFERED
from optimiser.reading.wording import listed, quoted
from optimiser.reading.written_numbers import CURRENCIES_OF_SIGN

_CODE = re.compile(r"[A-Z]{3}")


def same_currency(one: str, other: str) -> bool:
    """Whether two currencies, each a code or a sign, can be the same.

    Example:
        >>> same_currency("£", "GBP"), same_currency("$", "EUR")
        (True, False)
    """
    first, second = one.strip().upper(), other.strip().upper()
    return bool(
        first == second
        or second in CURRENCIES_OF_SIGN.get(first, ())
        or first in CURRENCIES_OF_SIGN.get(second, ())
    )


def costing_currency(
    named: str | None,
    offers: Iterable[Offer | PackagingOffer],
    at: Origin,
    findings: Findings,
) -> str:
    """The currency that costs are told in, held against that of every offer.

    Args:
        named: What `[costing] currency` says, or None.
        offers: Every row of the price lists, packaging too.
        at: Where the brief would say it.
        findings: Where mistakes are noted.

    Returns:
        The one named; else the only one in the lists (its code, where a sign is used
        too); empty where nobody names any.
    """
    offers = list(offers)
    if named is None:
        found = [one for one in dict.fromkeys(offer.currency for offer in offers) if one]
        if any(not same_currency(found[0], one) for one in found):
            some = listed(found[:MOST_OFFERED], "and")
            problem = f"the price list has {some}; name one and price all in it"
            findings.wrong(at, problem)
        return max(found, key=len, default="")
    _check_named(named, [offer for offer in offers if offer.currency], at, findings)
    return named


def _check_named(
    named: str, offers: Sequence[Offer | PackagingOffer], at: Origin, findings: Findings
) -> None:
    """Hold the brief's currency against rows that name one, each other currency told once."""
    others: dict[str, list[Origin]] = {}
    for offer in offers:
        if not same_currency(offer.currency, named):
            others.setdefault(offer.currency, []).append(offer.origin)
    for other, rows in others.items():
        more = len(rows) - 1
        and_more = f" and {more} more row{'s' if more > 1 else ''}" if more else ""
        if len(rows) == len(offers):
            problem = f"{quoted(named)} where the price list has {other}, in {rows[0]}{and_more}"
            is_code = named in CURRENCIES_OF_SIGN or _CODE.fullmatch(named)
            instead = f", or price all in {named}" if is_code else ""
            findings.wrong(at, f"{problem}; write {other}{instead}")
        else:
            place = Origin(rows[0].file, rows[0].line, "currency")
            where = f"{at.file}:{at.line}" if at.line else at.file
            problem = f"{other} where the brief costs in {named} ({where})"
            here = f", here{and_more}" if more else ""
            findings.wrong(place, f"{problem}{here}; price it in {named}")
