"""Scent allergens of a formula, summed over everything in it.

Each ingredient counts at the highest content of the allergen that a source, or the maker's
certificate, states: a sum that the jar is not known to exceed, not what it holds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from optimiser.ingredient import Book, Ingredient
from optimiser.label import Region, plain_name
from optimiser.skin import Allergen, Constituent, Use

WHOLE = Fraction(100)

BY_NAME = "listed by name"
"""The status of a material that is itself on the list, so that all of it counts."""


@dataclass(frozen=True, slots=True)
class AllergenShare:
    """What one ingredient adds to an allergen.

    Attributes:
        ingredient: Its id.
        name: Its common name.
        share: Percent of the ingredient in the product.
        content: The most of the allergen that it holds, in percent of the ingredient.
        status: How the content was read, or `BY_NAME`.
        source: The id of the source, or the maker's file.
    """

    ingredient: str
    name: str
    share: Fraction
    content: Fraction
    status: str
    source: str

    @property
    def percent(self) -> Fraction:
        """Percent of the product."""
        return self.share * self.content / WHOLE


@dataclass(frozen=True, slots=True)
class AllergenSum:
    """How much of an allergen a formula holds at most.

    Attributes:
        allergen: The allergen.
        shares: What each ingredient adds, the most first.
        threshold: Percent of the product above which it is declared.
    """

    allergen: Allergen
    shares: tuple[AllergenShare, ...]
    threshold: Decimal

    @property
    def percent(self) -> Fraction:
        """Percent of the product."""
        return sum((share.percent for share in self.shares), Fraction(0))

    @property
    def is_declared(self) -> bool:
        """Whether it stands above its threshold; at the threshold it does not."""
        return self.percent > self.threshold


def allergen_sums(
    book: Book,
    shares: Iterable[tuple[Ingredient, Fraction]],
    uses: Iterable[Use],
    region: Region,
) -> tuple[AllergenSum, ...]:
    """Every allergen that is in a formula, the most first.

    Args:
        book: The allergens, and the constituents of ingredients.
        shares: Each ingredient with its percent of the product.
        uses: Where the product goes; without any it is taken to stay on the skin.
        region: Where it is sold; the list of 2023 is not used in Great Britain.
    """
    parts = list(shares)
    stays = stays_on(uses)
    sums = []
    for allergen in book.allergens:
        if allergen.is_later and region is Region.UK:
            continue
        added = [_share(book, allergen, one, share) for one, share in parts]
        found = [share for share in added if share is not None]
        if found:
            found.sort(key=lambda share: (-share.percent, share.ingredient))
            threshold = allergen.leave_on if stays else allergen.rinse_off
            sums.append(AllergenSum(allergen, tuple(found), threshold))
    return tuple(sorted(sums, key=lambda one: (-one.percent, one.allergen.name)))


def stays_on(uses: Iterable[Use]) -> bool:
    """Whether any of the uses leaves some of it on the skin; so it is where none is named."""
    named = tuple(uses)
    return not named or any(use.stays_on for use in named)


def _share(
    book: Book, allergen: Allergen, ingredient: Ingredient, share: Fraction
) -> AllergenShare | None:
    """What an ingredient adds: as a listed material itself, or by what is stated of it."""
    counted = [
        (_listed(allergen, ingredient), BY_NAME, allergen.source),
        _stated(allergen, book.constituents.get(ingredient.id, {})),
    ]
    content, status, source = max(counted, key=lambda one: one[0])
    if not content or not share:
        return None
    return AllergenShare(
        ingredient.id, ingredient.common_name, share, min(content, WHOLE), status, source
    )


def _listed(allergen: Allergen, ingredient: Ingredient) -> Fraction:
    """Percent of the ingredient that is listed by name; of a blend without proportions all."""
    covered = {plain_name(name) for name in allergen.covers}
    if not ingredient.parts:
        return WHOLE if plain_name(ingredient.inci_name) in covered else Fraction(0)
    parts = [part for part in ingredient.parts if plain_name(part.name) in covered]
    return sum(
        (WHOLE if part.percent is None else Fraction(part.percent) for part in parts), Fraction(0)
    )


def _stated(allergen: Allergen, stated: Mapping[str, Constituent]) -> tuple[Fraction, str, str]:
    """The most that is stated: of the allergen itself, or of the isomers it covers together."""
    own = [stated[allergen.name]] if allergen.name in stated else []
    isomers = [stated[name] for name in allergen.covers if name in stated and name != allergen.name]
    best = max((own, isomers), key=_most)
    status = ", ".join(dict.fromkeys(one.status for one in best))
    return _most(best), status, " ".join(dict.fromkeys(one.source for one in best))


def _most(constituents: Iterable[Constituent]) -> Fraction:
    return sum((Fraction(one.high) for one in constituents), Fraction(0))
