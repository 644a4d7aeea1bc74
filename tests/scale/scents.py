"""Scents, what they are made of, their certificates, and limits on skin, at random."""

from __future__ import annotations

import random
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from optimiser.brief import End, Family, Limit, Request
from optimiser.ingredient import Ingredient, Kind
from optimiser.price import Offer
from optimiser.provenance import Origin
from optimiser.skin import (
    CertifiedMaximum,
    Constituent,
    Counted,
    RuleKind,
    SkinLimit,
    Use,
)

RULES = Origin("skin_limits.csv", 2)
SUBSTANCES = ("Citral", "Eugenol", "Coumarin")
BASES = 3
"""So many ingredients a limit on a sum of ingredients names."""


def with_scents(request: Request, rng: random.Random) -> Request:
    """The same request with scents, a use, and limits on skin."""
    uses = tuple(rng.sample(tuple(Use), rng.choice((1, 1, 2))))
    wanted = tuple(dict.fromkeys(c for use in uses for c in use.categories))
    scents = [f"s{k}" for k in range(rng.randint(1, 4))]
    figures = next(iter(request.book.ingredients.values())).figures
    known = {
        name: Ingredient(name, name.upper(), "", "", Kind.FRAGRANCE, figures, "", RULES)
        for name in scents
    }
    constituents = {name: _made_of(rng) for name in scents if rng.random() < 0.7}
    certified = {name: _certificate(rng, wanted) for name in scents if rng.random() < 0.5}
    rows = _rules(rng, scents, wanted)
    limits = [_limit(row.id, row.value) for row in rows]
    for category in wanted:
        if any(category in maxima for maxima in certified.values()):
            limits.append(_limit(f"certificates_{category}", Decimal(1)))
    asked = _asked(rng, scents)
    book = replace(
        request.book,
        ingredients={**request.book.ingredients, **known},
        constituents=constituents,
        certified=certified,
        skin_limits=rows,
    )
    brief = replace(request.brief, uses=uses, limits=(*request.brief.limits, *limits, *asked))
    offers = [_offer(rng, name) for name in scents]
    return replace(request, brief=brief, book=book, offers=(*request.offers, *offers))


def _made_of(rng: random.Random) -> dict[str, Constituent]:
    names = rng.sample(SUBSTANCES, rng.randint(0, len(SUBSTANCES)))
    return {
        name: Constituent(
            name, None, None, Decimal(rng.randint(1, 900)) / 10, "published", "x", RULES
        )
        for name in names
    }


def _certificate(rng: random.Random, wanted: tuple[str, ...]) -> dict[str, CertifiedMaximum]:
    covered = wanted if rng.random() < 0.8 else wanted[:1]
    return {
        category: CertifiedMaximum(category, Decimal(rng.choice(("0", "0.4", "1.7", "3"))), RULES)
        for category in covered
    }


def _rules(rng: random.Random, scents: list[str], wanted: tuple[str, ...]) -> tuple[SkinLimit, ...]:
    """A limit for some substances and one for a sum of scents, each over its own."""
    rows = [
        _rule(rng, name.lower(), Counted.CONSTITUENTS, {name: _weight(rng)}, scents, wanted)
        for name in SUBSTANCES
        if rng.random() < 0.8
    ]
    some = rng.sample(scents, min(BASES, len(scents)))
    own = {name: Decimal(rng.randint(1, 30)) / 10 for name in some}
    rows.append(_rule(rng, "phototoxic", Counted.INGREDIENTS, own, scents, wanted))
    return tuple(rows)


def _weight(rng: random.Random) -> Decimal:
    return Decimal(rng.choice(("1", "1", "0.546")))


def _rule(
    rng: random.Random,
    name: str,
    of: Counted,
    parts: dict[str, Decimal],
    scents: list[str],
    wanted: tuple[str, ...],
) -> SkinLimit:
    value = Decimal(1) if of is Counted.INGREDIENTS else Decimal(rng.randint(1, 150)) / 100
    but_not = frozenset(rng.sample(scents, 1)) if rng.random() < 0.15 else frozenset()
    rule = rng.choice((RuleKind.IFRA, RuleKind.IFRA, RuleKind.LAW))
    return SkinLimit(
        name,
        name,
        of,
        parts,
        but_not,
        frozenset(wanted),
        value,
        rule,
        "x",
        "a rule",
        "transcription",
        "",
        "",
        RULES,
    )


def _limit(of: str, value: Decimal) -> Limit:
    key = f"skin.{of}.max"
    return Limit(Family.SKIN, of, End.MAX, value, key, Origin("skin_limits.csv", 2), firm=True)


def _asked(rng: random.Random, scents: list[str]) -> list[Limit]:
    """A least total of scents, so that there is a reason to use any."""
    key = "totals.fragrance.min"
    least = Decimal(rng.choice((0, 1, 2, 5, 5, 20))) / 10
    found = [Limit(Family.TOTALS, "fragrance", End.MIN, least, key, Origin("brief.toml", 5))]
    if rng.random() < 0.3:
        name = rng.choice(scents)
        key = f"amounts.{name}.max"
        found.append(Limit(Family.AMOUNTS, name, End.MAX, Decimal("0.5"), key, Origin("b", 6)))
    return found


def _offer(rng: random.Random, name: str) -> Offer:
    price = Decimal(rng.randint(300, 9000)) / 100
    where = Origin("prices.csv", 2)
    return Offer(name, "", "100 g", Fraction(1, 10), price, Decimal(0), "", None, "", where)
