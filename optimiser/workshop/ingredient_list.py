"""The list of ingredients of a label: names, merged and in the order that a region asks for.

EU and UK (Regulation (EC) 1223/2009, Article 19): falling weight as it was added; below 1 % in
any order; colourants last by CI number. US (21 CFR 701.3): falling predominance; at 1 % or
less in any order; colour additives last by name. Scents are one word.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from optimiser.ingredient import Book, Ingredient, Kind
from optimiser.label import NO_LABELS, LabelQuestion, Region, folded_name
from optimiser.skin import Use
from optimiser.workshop.allergen_sums import AllergenSum

ONE_PERCENT = Fraction(1)


class Place(StrEnum):
    """Which part of the list a name stands in."""

    ORDERED = "ordered by weight"
    FREE = "any order"
    ALLERGEN = "allergen of the scent"
    COLOUR = "colour, any order"


@dataclass(frozen=True, slots=True)
class Line:
    """One name of the list.

    Attributes:
        name: As it is printed.
        place: The part of the list.
        percent: Percent of the product; of an allergen the most that it can be.
        sources: What brings it: ingredient ids with percent of the product.
        is_settled: False where a name or a proportion is still missing.
    """

    name: str
    place: Place
    percent: Fraction
    sources: tuple[tuple[str, Fraction], ...]
    is_settled: bool = True


def scent_word(region: Region, uses: Iterable[Use]) -> str:
    """What stands for all scents together; on lips they are a flavour."""
    named = tuple(uses)
    on_lips = bool(named) and all(use is Use.LIPS for use in named)
    if region.is_european:
        return "Aroma" if on_lips else "Parfum"
    return "Flavor" if on_lips else "Fragrance"


def ingredient_lines(
    book: Book,
    shares: Iterable[tuple[Ingredient, Fraction]],
    uses: Iterable[Use],
    region: Region,
    allergens: Iterable[AllergenSum],
) -> tuple[Line, ...]:
    """The names of a label in their order.

    Args:
        book: The colourants.
        shares: Each ingredient with its percent of the product, above 0.
        uses: Where the product goes.
        region: Where it is sold.
        allergens: Those to be named; none where the region asks for none.
    """
    scent = scent_word(region, uses)
    merged: dict[tuple[bool, str], Line] = {}
    for ingredient, share in shares:
        for line in named_parts(book, ingredient, share, region, scent):
            if open_questions(book, ingredient):
                line = replace(line, is_settled=False)
            key = (line.place is Place.COLOUR, folded_name(line.name))
            before = merged.get(key)
            merged[key] = line if before is None else _together(before, line)
    lines = [_placed(line, region) for line in merged.values()]
    known = {folded_name(line.name) for line in lines}
    lines += [
        Line(
            one.allergen.name,
            Place.ALLERGEN,
            one.percent,
            tuple((share.ingredient, share.percent) for share in one.shares),
        )
        for one in allergens
        if folded_name(one.allergen.name) not in known
    ]
    order = list(Place)
    return tuple(
        sorted(lines, key=lambda x: (order.index(x.place), -x.percent, folded_name(x.name)))
    )


def list_text(lines: Iterable[Line]) -> str:
    """The list as it stands on the label, below or behind its heading word."""
    return f"Ingredients: {', '.join(line.name for line in lines)}"


def is_colourant(ingredient: Ingredient) -> bool:
    """Whether an ingredient stands among the colours."""
    return ingredient.kind is Kind.COLOUR or bool(ingredient.ci_numbers)


def open_questions(book: Book, ingredient: Ingredient) -> list[LabelQuestion]:
    """What the supplier has to be asked of its names; nothing where the maker states them."""
    if ingredient.kind is Kind.FRAGRANCE or ingredient.parts or ingredient.ci_numbers:
        return []
    return [
        asked for asked in (book.label or NO_LABELS).questions if asked.ingredient == ingredient.id
    ]


def colour_names(book: Book, ingredient: Ingredient, name: str) -> tuple[str, ...] | None:
    """The CI numbers of a colourant or of one of its parts.

    Args:
        book: The colourants that are known.
        ingredient: The ingredient.
        name: The INCI name of it, or of a part.

    Returns:
        The numbers; none where the material is known to have no number, and `None` where
        nobody tells, or where the name stands for several.
    """
    if ingredient.ci_numbers:
        return ingredient.ci_numbers
    if not ingredient.parts:
        own = [
            colour
            for colour in (book.label or NO_LABELS).colours
            if colour.ingredient == ingredient.id
        ]
        if own:
            return tuple(colour.ci_number for colour in own if colour.ci_number)
    if folded_name(name).startswith("ci "):
        return (name,)
    numbers = {
        one.ci_number
        for one in (book.label or NO_LABELS).colours
        if folded_name(one.name) == folded_name(name)
    }
    if len(numbers) != 1:
        return None
    return tuple(number for number in numbers if number)


def named_parts(
    book: Book, ingredient: Ingredient, share: Fraction, region: Region, scent: str
) -> list[Line]:
    """What an ingredient is called, a blend part by part; not merged and not yet placed."""
    if ingredient.kind is Kind.FRAGRANCE:
        return [_line(scent, share, ingredient)]
    if is_colourant(ingredient):
        return _colour_lines(book, ingredient, share, region)
    if not ingredient.inci_name:
        return [_line(f"[INCI name of {ingredient.common_name}]", share, ingredient, False)]
    return [_line(name, part, ingredient, known) for name, part, known in _parts(ingredient, share)]


def _parts(
    ingredient: Ingredient, share: Fraction, in_any_order: bool = False
) -> list[tuple[str, Fraction, bool]]:
    """Name and percent of the product of each part, and whether the percent is known.

    A blend without proportions below 1 % is listed part by part, as the order is free there;
    above, nothing tells where its parts belong.
    """
    parts = ingredient.parts
    if not parts:
        return [(ingredient.inci_name, share, True)]
    stated = [part.percent for part in parts if part.percent is not None]
    if stated:
        whole = sum(map(Fraction, stated), Fraction(0))
        return [(p.name, share * Fraction(p.percent or 0) / whole, True) for p in parts]
    if in_any_order or share < ONE_PERCENT:
        return [(part.name, share / len(parts), False) for part in parts]
    names = " and ".join(part.name for part in parts)
    return [(f"[{names}: in which proportion?]", share, False)]


def _colour_lines(
    book: Book, ingredient: Ingredient, share: Fraction, region: Region
) -> list[Line]:
    """The names of a colourant; a part that is known to have no CI number is no colour."""
    parts = _parts(ingredient, share, in_any_order=True) if ingredient.inci_name else []
    if not region.is_european:
        name = f"[name of {ingredient.common_name}]"
        parts = parts or [(name, share, False)]
        return [replace(_line(*x[:2], ingredient, x[2]), place=Place.COLOUR) for x in parts]
    if ingredient.ci_numbers:
        several = len(ingredient.ci_numbers) > 1
        parts = [(number, share, not several) for number in ingredient.ci_numbers]
    lines: list[Line] = []
    for name, part, known in parts or [("", share, False)]:
        numbers = (name,) if ingredient.ci_numbers else colour_names(book, ingredient, name)
        if numbers is None:
            called = f"[CI number of {name or ingredient.common_name}]"
            lines.append(replace(_line(called, part, ingredient, False), place=Place.COLOUR))
        elif not numbers:
            lines.append(_line(name, part, ingredient, known))
        for number in numbers or ():
            lines.append(replace(_line(number, part, ingredient, known), place=Place.COLOUR))
    return lines


def _line(name: str, percent: Fraction, ingredient: Ingredient, is_settled: bool = True) -> Line:
    return Line(name, Place.FREE, percent, ((ingredient.id, percent),), is_settled)


def _together(one: Line, other: Line) -> Line:
    """Two lines of one name as one."""
    sources = dict(one.sources)
    for ingredient, percent in other.sources:
        sources[ingredient] = sources.get(ingredient, Fraction(0)) + percent
    return replace(
        one,
        percent=one.percent + other.percent,
        sources=tuple(sources.items()),
        is_settled=one.is_settled and other.is_settled,
    )


def _placed(line: Line, region: Region) -> Line:
    """A line in its part of the list: exactly 1 % is ordered in Europe and free in the US."""
    if line.place is Place.COLOUR:
        return line
    is_ordered = line.percent >= ONE_PERCENT if region.is_european else line.percent > ONE_PERCENT
    return replace(line, place=Place.ORDERED if is_ordered else Place.FREE)
