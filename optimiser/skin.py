"""Records of what may touch skin: uses, constituents of scents, limits, allergens."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from optimiser.provenance import Origin


class Use(StrEnum):
    """Where a product goes and whether it stays, as a brief says it."""

    BODY = "body, leave-on"
    FACE = "face, leave-on"
    HANDS = "hands, leave-on"
    BABY = "baby, leave-on"
    LIPS = "lips, leave-on"
    RINSED = "body, rinse-off"
    RINSED_CLEAN = "body, rinse-off, leaves no film"

    @property
    def categories(self) -> tuple[str, ...]:
        """The IFRA product categories whose limits apply.

        A water-free product that is rinsed off leaves a film of oil, so it is held to the
        category of what stays on as well, unless the maker says that it leaves none.
        """
        return _CATEGORIES[self]

    @property
    def stays_on(self) -> bool:
        """Whether any of it may stay on the skin."""
        return self is not Use.RINSED_CLEAN


CATEGORIES = ("1", "5A", "5B", "5C", "5D", "9")
"""The IFRA product categories that limits are shipped for."""

ALL_CATEGORIES = (
    *("1", "2", "3", "4", "5A", "5B", "5C", "5D", "6", "7A", "7B"),
    *("8", "9", "10A", "10B", "11A", "11B", "12"),
)
"""Every product category of the IFRA Standards since Amendment 49 (from memory)."""

_CATEGORIES: Mapping[Use, tuple[str, ...]] = {
    Use.BODY: ("5A",),
    Use.FACE: ("5B",),
    Use.HANDS: ("5C",),
    Use.BABY: ("5D",),
    Use.LIPS: ("1",),
    Use.RINSED: ("9", "5A"),
    Use.RINSED_CLEAN: ("9",),
}


@dataclass(frozen=True, slots=True)
class Constituent:
    """How much of a substance a material holds, in percent of the material.

    Attributes:
        name: The substance, such as `Linalool`.
        low: The least that a source states, or None.
        typical: The usual content, or None.
        high: The most that a source states; what limits and declarations count.
        status: As of a figure; `own` where a maker's certificate states it.
        source: The id of the source, or the maker's file.
        origin: The row it comes from.
        note: A remark, or empty.
    """

    name: str
    low: Decimal | None
    typical: Decimal | None
    high: Decimal
    status: str
    source: str
    origin: Origin
    note: str = ""


@dataclass(frozen=True, slots=True)
class CertifiedMaximum:
    """The most of a scent that its supplier's certificate allows in one category."""

    category: str
    percent: Decimal
    origin: Origin


class Counted(StrEnum):
    """What a limit on skin adds up."""

    CONSTITUENTS = "constituents"
    INGREDIENTS = "ingredients"


class RuleKind(StrEnum):
    """Whose word a limit on skin is; advice is told and never held."""

    IFRA = "IFRA"
    LAW = "law"
    ADVICE = "advice"


@dataclass(frozen=True, slots=True)
class SkinLimit:
    """A limit on what touches skin, in some categories, as a table of rules states it.

    Attributes:
        id: The name in a brief, such as `citral`; rows for other categories share it.
        title: What is limited, in a sentence.
        of: What is added up. Constituents give percent of the product; ingredients give
            percent of each over its own limit, so that the bound is 1.
        parts: Each constituent with its weight, or each ingredient id with its own limit in
            percent.
        but_not: Ingredients that are not counted.
        categories: The IFRA categories it holds for.
        value: The bound.
        rule: Whose word it is.
        source: The id of the source.
        locator: Where in the source, as a sentence names it.
        status: How it was read, as for a figure.
        note: What else the rule says, or empty.
        caution: What is printed where the product adds to it, or empty.
        origin: The row of the shipped table.
    """

    id: str
    title: str
    of: Counted
    parts: Mapping[str, Decimal]
    but_not: frozenset[str]
    categories: frozenset[str]
    value: Decimal
    rule: RuleKind
    source: str
    locator: str
    status: str
    note: str
    caution: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class Allergen:
    """A scent allergen that is declared by name above a threshold.

    Attributes:
        name: The name to declare.
        covers: The constituents, or the INCI names of whole materials, that count towards it.
        leave_on: Percent of the product above which it is declared where the product stays on.
        rinse_off: The same where it is rinsed off.
        is_later: True for the list of 2023, which not every place has.
        source: The id of the source.
        status: Where it was read.
        origin: The row of the shipped table.
    """

    name: str
    covers: tuple[str, ...]
    leave_on: Decimal
    rinse_off: Decimal
    is_later: bool
    source: str
    status: str
    origin: Origin
