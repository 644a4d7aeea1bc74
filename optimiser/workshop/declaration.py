"""A draft declaration: from a formula to what its label has to say.

What the tables cannot tell is listed as needed and never assumed. A draft defers to local
law, the suppliers' documents and, where the law asks for one, a qualified safety assessor.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from optimiser.answers.measures import Measures
from optimiser.brief import Request
from optimiser.ingredient import Book, Ingredient, Kind
from optimiser.label import NO_LABELS, LabelRule, MadeFrom, Region, Says
from optimiser.provenance import plain_number
from optimiser.skin import Use
from optimiser.workshop.allergen_sums import AllergenSum, allergen_sums, stays_on
from optimiser.workshop.ingredient_list import Line, ingredient_lines, list_text
from optimiser.workshop.label_needs import missing, ruled

ORIGIN = "origin"


@dataclass(frozen=True, slots=True)
class Declaration:
    """What a label has to say, as far as it is known.

    Attributes:
        name: The product's name.
        region: Where it is sold.
        uses: Where it goes; empty where nobody says.
        lines: The names of the list of ingredients in their order.
        allergens: Every scent allergen in it at its highest content, the most first.
        net_g: The net weight in grams, or None.
        label_cautions: Warnings for who uses the jar.
        workshop_cautions: Warnings for who makes it.
        needs: What is still to be found out.
        rules_needed: What the region asks for besides.
        notes: What is to be known of the region's rules.
        made_from: What its ingredients come from, by common name, where people have to know.
        remarks: What was read in a way worth telling.
        names: Common names by ingredient id.
        undescribed: Scents whose allergens nobody states, by common name.
    """

    name: str
    region: Region
    uses: tuple[Use, ...]
    lines: tuple[Line, ...]
    allergens: tuple[AllergenSum, ...]
    net_g: Fraction | None
    label_cautions: tuple[str, ...]
    workshop_cautions: tuple[str, ...]
    needs: tuple[str, ...]
    rules_needed: tuple[LabelRule, ...]
    notes: tuple[LabelRule, ...]
    made_from: tuple[tuple[str, MadeFrom], ...]
    remarks: tuple[str, ...] = ()
    names: Mapping[str, str] = field(default_factory=dict)
    undescribed: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The list of ingredients as it stands on the label, with marks for what is missing."""
        listed = list_text(self.lines)
        if not self.undescribed or not self.region.is_european:
            return listed
        return f"{listed}, [allergens of {' and '.join(self.undescribed)}]"

    @property
    def declared(self) -> tuple[AllergenSum, ...]:
        """The allergens above their threshold."""
        return tuple(one for one in self.allergens if one.is_declared)

    @property
    def stays_on(self) -> bool:
        """Whether the thresholds of what stays on the skin are used."""
        return stays_on(self.uses)

    def called(self, ingredient: str) -> str:
        """The common name of an ingredient in it."""
        return self.names.get(ingredient, ingredient)


def declared(
    request: Request,
    name: str,
    measures: Measures,
    region: Region,
    net_g: Fraction | None = None,
    remarks: tuple[str, ...] = (),
) -> Declaration:
    """Draft the declaration of a formula.

    Args:
        request: The use, and the book with constituents, allergens and label tables.
        name: What the product is called.
        measures: The formula, measured.
        region: Where it is sold.
        net_g: The net weight of a jar in grams, or None.
        remarks: What was read in a way worth telling.
    """
    book, uses = request.book, request.brief.uses
    shares = [(book.ingredients[one.ingredient], one.percent) for one in measures.formula]
    ingredients = [ingredient for ingredient, _ in shares]
    has_scent = any(one.kind is Kind.FRAGRANCE for one in ingredients)
    sums = allergen_sums(book, shares, uses, region)
    named = [one for one in sums if one.is_declared] if region.is_european else []
    on_label, in_workshop = _cautions(request, measures)
    return Declaration(
        name=name,
        region=region,
        uses=uses,
        lines=ingredient_lines(book, shares, uses, region, named),
        allergens=sums,
        net_g=net_g,
        label_cautions=on_label,
        workshop_cautions=in_workshop,
        needs=missing(book, ingredients, uses, region, net_g),
        rules_needed=ruled(book, Says.NEEDS, region, has_scent, net_g, sums),
        notes=ruled(book, Says.NOTE, region, has_scent, net_g, sums),
        made_from=tuple(
            (one.common_name, made) for one in ingredients for made in _origins(book, one, region)
        ),
        remarks=remarks,
        names={one.id: one.common_name for one in ingredients},
        undescribed=tuple(
            one.common_name
            for one in ingredients
            if one.kind is Kind.FRAGRANCE and not book.constituents.get(one.id)
        ),
    )


def _cautions(request: Request, measures: Measures) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The warnings that apply, for the label and for the workshop.

    Origins are told by themselves, and so are the rules of a region, where they hold.
    """
    book = request.book
    for_label = {one.text for one in book.cautions if one.is_for_label}
    for_label |= {row.caution for row in book.skin_limits}
    elsewhere = {one.text for one in book.cautions if one.when == ORIGIN}
    elsewhere |= {rule.text for rule in (book.label or NO_LABELS).rules}
    said = [text for text in measures.cautions if text not in elsewhere]
    on_label = tuple(text for text in said if text in for_label)
    in_workshop = [text for text in said if text not in for_label]
    return on_label, (*_above_limits(measures), *in_workshop)


def _origins(book: Book, ingredient: Ingredient, region: Region) -> list[MadeFrom]:
    """What an ingredient comes from; of several rows for one origin that of the region."""
    own = [made for made in (book.label or NO_LABELS).made_from if made.ingredient == ingredient.id]
    listed = {made.of for made in own if region in made.food_lists}
    return [made for made in own if region in made.food_lists or made.of not in listed]


def _above_limits(measures: Measures) -> list[str]:
    """Limits on skin that the formula is above."""
    return [
        f"{level.title}: {plain_number(level.level)} {level.unit}".rstrip()
        + f" is above the {plain_number(level.limit.value)} {level.unit}".rstrip()
        + f" of {level.rule.locator if level.rule else level.limit.key}."
        for level in measures.on_skin
        if level.level > level.limit.value
    ]
