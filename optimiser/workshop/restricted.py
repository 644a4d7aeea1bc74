"""Ingredients that are never weighed above the formula's own share."""

from __future__ import annotations

from optimiser.brief import End, Family, Request
from optimiser.ingredient import Ingredient, Kind
from optimiser.skin_content import counted


def restricted(request: Request, ingredients: tuple[Ingredient, ...]) -> frozenset[str]:
    """Ids of scents, and of everything that counts towards a limit on skin.

    A scent counts even where the brief names no use, as its limits are then not known.
    """
    found = {one.id for one in ingredients if one.kind is Kind.FRAGRANCE}
    for limit in request.brief.limits:
        if limit.family is Family.SKIN and limit.end is not End.MIN:
            content = counted(request.book, limit.of, ingredients)
            found |= {one.id for one, a in zip(ingredients, content, strict=True) if a}
    return frozenset(found)
