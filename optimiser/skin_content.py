"""How much an ingredient counts towards a limit on skin.

A constituent is counted at the highest content that a source, or the maker's certificate,
states. A scent whose constituents nobody states, but whose certificate says how much of it a
category allows, is counted at the most that the certificate can mean: that much of it holds
no more of a constituent than the limit of the same category.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from optimiser.ingredient import Book, Ingredient, Kind
from optimiser.skin import Counted, RuleKind, SkinLimit, Use

CERTIFICATES = "certificates_"
"""How the id of the sum over certificate maxima begins; the category follows."""

CONSTITUENTS = "constituents"
"""What is missing of a scent that nobody describes."""

NOTHING = Fraction(0)


def categories(uses: Iterable[Use]) -> tuple[str, ...]:
    """The product categories of some uses, each once."""
    return tuple(dict.fromkeys(category for use in uses for category in use.categories))


def certificate_limit(category: str) -> str:
    """The id of the sum of scents, each over its certificate's maximum in a category."""
    return f"{CERTIFICATES}{category}"


def certified_category(identifier: str) -> str | None:
    """The category of such a sum, or None where the id is another limit's."""
    category = identifier.removeprefix(CERTIFICATES)
    return None if category == identifier else category


def rows_of(book: Book, identifier: str) -> tuple[SkinLimit, ...]:
    """The rows of a limit, of every category."""
    return tuple(limit for limit in book.skin_limits if limit.id == identifier)


def is_unknown(book: Book, ingredient: Ingredient, uses: Iterable[Use]) -> bool:
    """Whether this is a scent of which nobody says enough to hold any limit on skin."""
    if ingredient.kind is not Kind.FRAGRANCE or ingredient.id in book.constituents:
        return False
    certified = book.certified.get(ingredient.id, {})
    wanted = categories(uses)
    return not wanted or not all(category in certified for category in wanted)


def is_known_by_certificate_alone(book: Book, ingredient: Ingredient) -> bool:
    """Whether only certificate maxima are known of a scent, so that rules of law are not."""
    is_scent = ingredient.kind is Kind.FRAGRANCE
    return is_scent and ingredient.id not in book.constituents and ingredient.id in book.certified


def is_ruled_out(book: Book, ingredient: Ingredient, uses: Iterable[Use]) -> str | None:
    """The category in which a certificate allows nothing of it, or None."""
    certified = book.certified.get(ingredient.id, {})
    for category in categories(uses):
        if category in certified and not certified[category].percent:
            return category
    return None


def counted(book: Book, identifier: str, ingredients: Iterable[Ingredient]) -> tuple[Fraction, ...]:
    """What one percent of each ingredient in the product adds to a limit on skin.

    Args:
        book: The limits, constituents and certificates.
        identifier: A limit's id, or that of a sum over certificate maxima.
        ingredients: The ingredients; of one that `is_unknown` nothing is counted.

    Returns:
        Percent of the product, for constituents; else a part of the whole, 1.
    """
    category = certified_category(identifier)
    if category is not None:
        return tuple(_over_certificate(book, one, category) for one in ingredients)
    rows = rows_of(book, identifier)
    return tuple(_over_limit(book, rows, one) for one in ingredients)


def _over_certificate(book: Book, ingredient: Ingredient, category: str) -> Fraction:
    maximum = book.certified.get(ingredient.id, {}).get(category)
    return 1 / Fraction(maximum.percent) if maximum and maximum.percent else NOTHING


def _over_limit(book: Book, rows: tuple[SkinLimit, ...], ingredient: Ingredient) -> Fraction:
    first = rows[0]
    if first.of is Counted.INGREDIENTS:
        own = first.parts.get(ingredient.id)
        if own is None and is_known_by_certificate_alone(book, ingredient):
            return _most_certified(book, rows, ingredient)
        return 1 / Fraction(own) if own else NOTHING
    if ingredient.id in first.but_not:
        return NOTHING
    stated = book.constituents.get(ingredient.id)
    if stated is None:
        return _most_certified(book, rows, ingredient)
    parts = (
        Fraction(weight) * Fraction(stated[name].high)
        for name, weight in first.parts.items()
        if name in stated
    )
    return sum(parts, NOTHING) / 100


def _most_certified(book: Book, rows: tuple[SkinLimit, ...], ingredient: Ingredient) -> Fraction:
    """The most of a constituent that one percent can hold without breaking its certificate.

    Certificates are worked out from the limits of IFRA alone, so that other rules say nothing.
    """
    certified = book.certified.get(ingredient.id, {})
    most = [
        Fraction(row.value) / Fraction(certified[category].percent)
        for row in rows
        if row.rule is RuleKind.IFRA
        for category in row.categories
        if category in certified and certified[category].percent
    ]
    return min(most, default=NOTHING)
