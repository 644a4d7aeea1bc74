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


@dataclass(frozen=True, slots=True)
class SkinLimit:
    """A limit on what touches skin, as a table of rules states it.

    Attributes:
        id: The name in a brief, such as `citral`.
        title: What is limited, in a sentence.
        parts: Each substance or ingredient that counts, with its weight in the sum.
        of: `constituents` (percent of the product, summed over all sources) or `ingredients`
            (percent of each over its own limit, so that the bound is 1).
        categories: The IFRA categories it holds for.
        value: The bound.
        source: The id of the source.
        status: Where it was read.
        note: What else the rule says.
        origin: The row of the shipped table.
    """

    id: str
    title: str
    parts: Mapping[str, Decimal]
    of: str
    categories: tuple[str, ...]
    value: Decimal
    source: str
    status: str
    note: str
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
