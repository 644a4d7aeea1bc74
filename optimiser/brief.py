"""Records of the brief: what the maker wants of a formula."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from enum import StrEnum
from pathlib import Path

from optimiser.ingredient import Book, Over, Trait
from optimiser.price import Offer, PackagingOffer
from optimiser.production import BatchPlan, JarPlan
from optimiser.provenance import Origin
from optimiser.skin import Use


class Family(StrEnum):
    """The table of the brief in which a limit stands."""

    AMOUNTS = "amounts"
    TOTALS = "totals"
    RATIOS = "ratios"
    PROPERTIES = "properties"
    SKIN = "skin"


class End(StrEnum):
    """Which side a limit holds."""

    MIN = "min"
    MAX = "max"
    EXACTLY = "exactly"


COST = "cost"
"""The one property that comes from the price list: money per kg of the formula."""


@dataclass(frozen=True, slots=True)
class Limit:
    """One side of one limit.

    Attributes:
        family: The table it stands in.
        of: What is limited: an ingredient id (amounts), a kind, group or ingredient id
            (totals), `one:other` with the same (ratios), a property id or `cost` (properties),
            the id of a limit on skin (skin).
        end: The side.
        value: The bound: percent of the formula, a plain ratio, or the property's unit.
        key: The key path as the maker wrote it, such as `properties.vitamin_e.min`.
        origin: The file and line; for a starting limit the row of the shipped table.
        firm: True where the maker will not see it eased.
        from_style: True where the style brought it, not the brief.
    """

    family: Family
    of: str
    end: End
    value: Decimal
    key: str
    origin: Origin
    firm: bool = False
    from_style: bool = False


@dataclass(frozen=True, slots=True)
class Weighing:
    """How finely the formula can be weighed, in percent of it.

    Attributes:
        step: Every share is a whole number of these steps, or None.
        smallest: No share below this unless absent, or None.
        max_ingredients: At most so many ingredients, or None.
        origins: Where each of these keys was said.
        steps: Other steps for single ingredients, by id; `smallest` does not hold for these.
    """

    step: Decimal | None
    smallest: Decimal | None
    max_ingredients: int | None
    origins: Mapping[str, Origin]
    steps: Mapping[str, Decimal] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Either:
    """A list of ingredients of which at most one, or exactly one, is used.

    Attributes:
        of: Ingredient ids.
        is_needed: True for exactly one, False for at most one.
        key: The key path in the brief, such as `either[0]`.
        origin: The table in the brief.
    """

    of: tuple[str, ...]
    is_needed: bool
    key: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class Definition:
    """What the brief says of a property that an own sheet brings."""

    unit: str | None
    over: Over | None
    origin: Origin


@dataclass(frozen=True, slots=True)
class Brief:
    """What the maker wants.

    Attributes:
        name: The product's name.
        file: The brief's file as given.
        style: The style whose starting limits apply, or None.
        currency: The currency of costs.
        use: Ingredient ids that may be used, or None for all that is priced.
        leave_out: Ingredient ids that may not be used.
        groups: The maker's own groups: ingredient ids by name.
        limits: Every limit, those of the style included where the brief is silent.
        or_none: Ingredients whose limits hold only when they are used at all.
        weighing: How finely it can be weighed, or None.
        either: Ingredients that exclude each other.
        cautious: Property ids whose limits hold at the worst end of the range, with
            where that was said.
        definitions: What the brief says of own properties, by property id.
        character: What the formula is to be known by when an ingredient is replaced, or
            None for the customary traits.
        price_spreads: How far prices may move, in percent, by ingredient id.
        uses: Where the product goes; empty where the brief does not say.
        batch: What it says of a batch.
        jar: What it says of a jar.
    """

    name: str
    file: str
    style: str | None
    currency: str
    use: tuple[str, ...] | None
    leave_out: tuple[str, ...]
    groups: Mapping[str, tuple[str, ...]]
    limits: tuple[Limit, ...]
    or_none: Mapping[str, Origin] = field(default_factory=dict)
    weighing: Weighing | None = None
    either: tuple[Either, ...] = ()
    cautious: Mapping[str, Origin] = field(default_factory=dict)
    definitions: Mapping[str, Definition] = field(default_factory=dict)
    character: tuple[Trait, ...] | None = None
    price_spreads: Mapping[str, Decimal] = field(default_factory=dict)
    uses: tuple[Use, ...] = ()
    batch: BatchPlan = field(default_factory=BatchPlan)
    jar: JarPlan = field(default_factory=JarPlan)

    @property
    def has_choices(self) -> bool:
        """Whether it asks for whole steps, counts or either-or, which need whole numbers."""
        return self.weighing is not None or bool(self.or_none) or bool(self.either)

    @property
    def in_any_shares(self) -> Brief:
        """The same without choices: what may be absent is not asked for, shares are free."""
        limits = tuple(
            limit
            for limit in self.limits
            if limit.family is not Family.AMOUNTS
            or limit.of not in self.or_none
            or limit.end is End.MAX
        )
        return replace(self, limits=limits, or_none={}, weighing=None, either=())


@dataclass(frozen=True, slots=True)
class Request:
    """A brief with everything it refers to, read and checked.

    Attributes:
        brief: What the maker wants.
        book: The ingredient data, the maker's own sheets included.
        offers: Every row of the price list.
        remarks: What was read in a way worth telling, such as `prices.csv: decimal comma`.
        files: Every file that was read, so that no answer is written over one.
        packaging: Every row of packaging in the price list.
    """

    brief: Brief
    book: Book
    offers: tuple[Offer, ...]
    remarks: tuple[str, ...] = ()
    files: tuple[Path, ...] = ()
    packaging: tuple[PackagingOffer, ...] = ()
