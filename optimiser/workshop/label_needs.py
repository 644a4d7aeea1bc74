"""What a label still needs that neither the formula nor the tables can tell."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from optimiser.ingredient import Book, Ingredient, Kind
from optimiser.label import NO_LABELS, LabelRule, Region, Says
from optimiser.skin import Use
from optimiser.workshop.allergen_sums import AllergenSum
from optimiser.workshop.ingredient_list import colour_names, is_colourant, open_questions

GRAMS_IN_A_POUND = Fraction("453.59237")
OWN = "own"
"""The status of what a maker's certificate states."""

SHEET = "a sheet of your own ([shelf] sheets)"
CERTIFICATE = "[shelf] certificates"
LIKE_A_BLEND = "Tocopherol 70; Helianthus Annuus Seed Oil 30"


def missing(
    book: Book,
    ingredients: Sequence[Ingredient],
    uses: Sequence[Use],
    region: Region,
    net_g: Fraction | None,
) -> tuple[str, ...]:
    """What is still to be found out before the label is whole, in sentences.

    Args:
        book: What is known of colours, constituents and questions.
        ingredients: What the formula uses.
        uses: Where the product goes.
        region: Where it is sold.
        net_g: The net weight in grams, or None.
    """
    said = [*_names(book, ingredients, region), *_scents(book, ingredients)]
    if not uses:
        said.append(
            'the use, such as "body, leave-on" (--use, or use in the brief): until then allergens '
            "are held to the lower threshold of what stays on the skin"
        )
    if net_g is None:
        said.append("the net weight of a jar (--net '120 g')")
    return tuple(dict.fromkeys(said))


def ruled(
    book: Book,
    says: Says,
    region: Region,
    has_scent: bool,
    net_g: Fraction | None,
    allergens: Iterable[AllergenSum],
) -> tuple[LabelRule, ...]:
    """The rules of a region that apply to a product.

    Args:
        book: The rules.
        says: Which sort of them.
        region: Where it is sold.
        has_scent: Whether there is any scent in it.
        net_g: The net weight in grams, or None.
        allergens: The allergens in it, whatever their threshold.
    """
    occasions = {"always", *(one.allergen.name for one in allergens)}
    if has_scent:
        occasions.add("scent")
    if net_g is not None:
        occasions.add("net")
        if net_g >= GRAMS_IN_A_POUND:
            occasions.add("net pound")
    return tuple(
        rule
        for rule in (book.label or NO_LABELS).rules
        if rule.says is says and region in rule.regions and rule.when in occasions
    )


def _names(book: Book, ingredients: Iterable[Ingredient], region: Region) -> Iterator[str]:
    """What is missing of names, numbers and proportions, ingredient by ingredient."""
    for one in ingredients:
        if one.kind is Kind.FRAGRANCE:
            continue
        if is_colourant(one) and region.is_european:
            yield from _colour(book, one)
        if not one.inci_name and not (one.ci_numbers and region.is_european):
            yield f"{one.common_name}: its INCI name; give it in {SHEET}"
        if one.parts and any(part.percent is None for part in one.parts):
            yield (
                f"{one.common_name}: the proportions of its parts ({one.inci_name}), by which they "
                f"are placed; write them like {LIKE_A_BLEND}"
            )
        if not one.parts and _looks_like_several(one.inci_name):
            yield (
                f"{one.common_name}: {one.inci_name} looks like several names; write a blend like "
                f"{LIKE_A_BLEND}"
            )
        yield from (
            f"{one.common_name}: ask the supplier {asked.question} ({asked.status})"
            for asked in open_questions(book, one)
        )


def _looks_like_several(name: str) -> bool:
    return ", " in name or " and " in name.casefold() or "(and)" in name.casefold()


def _colour(book: Book, one: Ingredient) -> Iterator[str]:
    """What is missing or in doubt of a colour's number."""
    names = [part.name for part in one.parts] or [one.inci_name]
    for name in names:
        if colour_names(book, one, name) is None:
            called = one.common_name if name in ("", one.inci_name) else f"{name} in it"
            where = one.common_name if called != one.common_name else ""
            subject = f"{where}: {called}" if where else called
            yield f"{subject}: its CI number; give it as ci_number in {SHEET}"
    if one.ci_numbers:
        return
    for colour in (book.label or NO_LABELS).colours:
        is_it = colour.ingredient == one.id if not one.parts else colour.name in names
        if is_it and (colour.note or colour.status == "recalled"):
            doubt = f"{colour.ci_number or colour.name} ({colour.status})"
            yield f"{one.common_name}: check {doubt}" + (f": {colour.note}" if colour.note else "")


def _scents(book: Book, ingredients: Iterable[Ingredient]) -> Iterator[str]:
    """Scents that nobody describes, and those described by other documents than the supplier's."""
    scents = [one for one in ingredients if one.kind is Kind.FRAGRANCE]
    unknown = [one.common_name for one in scents if not book.constituents.get(one.id)]
    if unknown:
        yield (
            f"the supplier's certificate of {'; '.join(unknown)} ({CERTIFICATE}): nobody states "
            "constituents, so that no allergen of it is counted here but its own name"
        )
    shipped = [
        one.common_name
        for one in scents
        if any(part.status != OWN for part in book.constituents.get(one.id, {}).values())
    ]
    if shipped:
        yield (
            f"the supplier's certificate of {'; '.join(shipped)} ({CERTIFICATE}): figures on file "
            "are counted instead, many of them from memory"
        )
