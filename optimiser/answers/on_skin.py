"""What a formula brings to the skin, held against the limits of its use."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from optimiser.brief import Family, Limit, Request
from optimiser.ingredient import Ingredient
from optimiser.skin import Counted, RuleKind, SkinLimit
from optimiser.skin_content import categories, counted, rows_of
from optimiser.statements import skin_subject


@dataclass(frozen=True, slots=True)
class SkinLevel:
    """How much of what a limit on skin counts is in a formula.

    Attributes:
        limit: The limit.
        title: What it is about.
        level: How much there is: percent of the product, or parts of a whole.
        unit: `%` or empty.
        rule: The row of the shipped table behind it, or None where the maker, or a
            certificate, set the bound.
    """

    limit: Limit
    title: str
    level: Fraction
    unit: str
    rule: SkinLimit | None

    @property
    def part(self) -> Fraction:
        """Which part of the bound is taken up; 1 where the bound is 0."""
        return self.level / Fraction(self.limit.value) if self.limit.value else Fraction(1)


def on_skin(
    request: Request, ingredients: tuple[Ingredient, ...], x: Iterable[Fraction]
) -> tuple[SkinLevel, ...]:
    """The level of every limit on skin that the formula adds to, the fullest first.

    Args:
        request: The brief and the book.
        ingredients: The ingredients of the formula, (n,).
        x: Percent of each, (n,).
    """
    shares = tuple(x)
    found = []
    for limit in request.brief.limits:
        if limit.family is not Family.SKIN:
            continue
        level = _level(request, limit.of, ingredients, shares)
        rows = rows_of(request.book, limit.of)
        if level:
            found.append(
                SkinLevel(
                    limit=limit,
                    title=skin_subject(request, limit),
                    level=level,
                    unit="%" if rows and rows[0].of is Counted.CONSTITUENTS else "",
                    rule=next((row for row in rows if row.origin == limit.origin), None),
                )
            )
    return tuple(sorted(found, key=lambda one: (-one.part, one.limit.of)))


def skin_advice(
    request: Request, ingredients: tuple[Ingredient, ...], x: Iterable[Fraction]
) -> list[str]:
    """What is advised of the formula beyond limits, in sentences.

    Handbook maxima that it exceeds, and what is to be known of a constituent besides its limit.
    """
    shares = tuple(x)
    wanted = categories(request.brief.uses)
    said = []
    for row in request.book.skin_limits:
        if row.categories.isdisjoint(wanted):
            continue
        level = _level(request, row.id, ingredients, shares)
        if row.rule is RuleKind.ADVICE and level > row.value:
            names = [one.common_name for one in ingredients if one.id in row.parts]
            most = min(row.parts.values())
            said.append(
                f"{' and '.join(names)}: more than the {most} % that {row.locator} advises at most "
                f"({row.note}; {row.status})."
            )
        elif level and row.caution:
            said.append(row.caution)
    return list(dict.fromkeys(said))


def _level(
    request: Request, of: str, ingredients: tuple[Ingredient, ...], shares: tuple[Fraction, ...]
) -> Fraction:
    content = counted(request.book, of, ingredients)
    parts = (share * a for share, a in zip(shares, content, strict=True) if share and a)
    return sum(parts, Fraction(0))
