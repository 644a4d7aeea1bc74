"""Records of the trade: properties, figures, ingredients, and the book that holds them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING

from optimiser.inci import InciPart
from optimiser.provenance import Origin

if TYPE_CHECKING:
    # Loaded only where scents or labels are asked for.
    from optimiser.label import LabelTables
    from optimiser.skin import Allergen, CertifiedMaximum, Constituent, SkinLimit


class Kind(StrEnum):
    """What an ingredient is in the jar."""

    BUTTER = "butter"
    OIL = "oil"
    WAX = "wax"
    POWDER = "powder"
    ANTIOXIDANT = "antioxidant"
    FRAGRANCE = "fragrance"
    COLOUR = "colour"
    EXFOLIANT = "exfoliant"
    OTHER = "other"


FAT_PHASE = frozenset({Kind.BUTTER, Kind.OIL, Kind.WAX})
"""The kinds that melt together; averages `over = "fat"` are taken over these."""


class Over(StrEnum):
    """What a property is averaged over."""

    PRODUCT = "product"
    FAT = "fat"


class Rule(StrEnum):
    """How a property of the blend follows from those of its parts.

    `MASS`: the mass-weighted mean. `VOLUME`: specific volumes add, so the blend of
    densities is the weighted harmonic mean, 1/rho = sum of w_i / rho_i.
    """

    MASS = "mass"
    VOLUME = "volume"


class Trust(StrEnum):
    """How far the blending rule is to be believed."""

    EXACT = "exact"
    APPROXIMATE = "approximate"
    FITTED = "fitted"


@dataclass(frozen=True, slots=True)
class Property:
    """Something a blend measures.

    Attributes:
        id: The name in a brief, such as `vitamin_e`.
        title: The name in a sentence, such as `vitamin E`.
        unit: The unit of every figure and limit, such as `mg/100 g`.
        over: The whole product or the fat phase only.
        rule: The blending rule.
        trust: How far the rule is to be believed.
        meaning: One sentence on what it means for a jar.
        step: A natural step of the unit, by which a limit is eased to show the effect.
        always_printed: False where an answer prints it only when it is limited.
        origin: The row of the shipped table, or the column of the maker's own sheet.
        is_own: True where a maker's sheet brought it.
    """

    id: str
    title: str
    unit: str
    over: Over
    rule: Rule
    trust: Trust
    meaning: str
    step: Decimal
    always_printed: bool
    origin: Origin
    is_own: bool = False

    @property
    def spoken_unit(self) -> str:
        """The unit as a sentence says it: none where the title says it already."""
        if self.unit == "%" and self.over is Over.FAT:
            return "% of the fat"
        return "" if self.unit and self.title.split()[-1] == self.unit else self.unit


@dataclass(frozen=True, slots=True)
class Figure:
    """One property of one ingredient, in the property's unit.

    Attributes:
        low: The lowest published value; equal to `typical` where no range is known.
        typical: The value that formulas are computed with.
        high: The highest published value; equal to `typical` where no range is known.
        status: `published`, `transcription`, `recalled`, `derived`, `estimate`,
            `definition` or `own` (the maker's).
        source: The id of the source in `sources.csv`, or the maker's sheet.
        origin: Where the figure stands.
        note: A remark on the figure, or empty.
    """

    low: Decimal
    typical: Decimal
    high: Decimal
    status: str
    source: str
    origin: Origin
    note: str = ""


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One material that can be weighed into a formula.

    Attributes:
        id: Kebab-case id, such as `mango-butter`.
        common_name: The name in the trade.
        inci_name: The name on a declaration, or empty; of a blend the names and proportions of
            its parts, as written.
        cas: CAS number, or empty.
        kind: What it is in the jar.
        figures: Known figures by property id; what nobody measured is absent.
        allergen_note: What is known of food-allergen origin, or empty.
        origin: The row it comes from.
        parts: The materials of a blend, in the order written; empty where there is one name.
        ci_numbers: The numbers of a colourant that the maker states, such as `CI 77891`.
    """

    id: str
    common_name: str
    inci_name: str
    cas: str
    kind: Kind
    figures: Mapping[str, Figure]
    allergen_note: str
    origin: Origin
    parts: tuple[InciPart, ...] = ()
    ci_numbers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StartingLimit:
    """A customary limit that a style brings along; a brief may override it key by key.

    Attributes:
        style: The style, such as `whipped-butter`.
        family: `totals`, `ratios` or `properties`.
        of: What is limited: a kind, a `kind:kind` ratio or a property id.
        end: `min` or `max`.
        value: The bound.
        status: `common practice, no source` or the status of the figure.
        note: Why, in a few words.
        origin: The row of the shipped table.
    """

    style: str
    family: str
    of: str
    end: str
    value: Decimal
    status: str
    note: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class Trait:
    """One thing that makes a formula what it is, and how much of a change is noticed.

    Attributes:
        family: `properties` or `totals`.
        of: A property id, or a kind or group.
        tolerance: The change that a maker would just notice, in the unit of the level.
        more: What a jar is with more of it, such as `firmer in the room`.
        less: What a jar is with less of it.
        reason: What she would notice.
        status: Where the tolerance comes from.
        origin: The row of the shipped table, or the key of the brief.
    """

    family: str
    of: str
    tolerance: Decimal
    more: str
    less: str
    reason: str
    status: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class SofteningPair:
    """Two families of fats that are softer together than their average says (a eutectic)."""

    first: frozenset[str]
    second: frozenset[str]
    note: str
    source: str
    status: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class Caution:
    """A warning and when to print it.

    Attributes:
        when: `always`, `kind`, `ingredient`, `origin` (of an ingredient), `style` or
            `property_above`.
        of: The kind, ingredient ids (separated by spaces), style or `property value`.
        text: What to print.
        source: Where the caution comes from.
        status: The status of what it says, as for a figure.
        is_for_label: True where it is for who uses the jar, not for who makes it.
    """

    when: str
    of: str
    text: str
    source: str
    status: str = ""
    is_for_label: bool = False


@dataclass(frozen=True, slots=True)
class Source:
    """A citation behind figures."""

    id: str
    citation: str
    year: str


@dataclass(frozen=True, slots=True)
class Book:
    """All that is known about ingredients: the shipped tables plus the maker's own sheets.

    Attributes:
        ingredients: By id.
        properties: By id.
        starting_limits: The limits of every style.
        character: What a formula is known by, with tolerances.
        softening_pairs: Pairs that are softer than their average.
        cautions: Warnings and when they apply.
        sources: Citations by id.
        other_names: Everyday names, each with the ids of the ingredients it is used for; ids,
            common names and INCI names go before them.
        constituents: What scents are made of: by ingredient id, by name of the substance.
        certified: The most that a supplier's certificate allows: by ingredient id, by category.
        skin_limits: Limits on what touches skin, of every category.
        allergens: Scent allergens that are declared by name.
        label: What else is known of labels, where it was read.
    """

    ingredients: Mapping[str, Ingredient]
    properties: Mapping[str, Property]
    starting_limits: tuple[StartingLimit, ...] = ()
    character: tuple[Trait, ...] = ()
    softening_pairs: tuple[SofteningPair, ...] = ()
    cautions: tuple[Caution, ...] = ()
    sources: Mapping[str, Source] = field(default_factory=dict)
    other_names: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    constituents: Mapping[str, Mapping[str, Constituent]] = field(default_factory=dict)
    certified: Mapping[str, Mapping[str, CertifiedMaximum]] = field(default_factory=dict)
    skin_limits: tuple[SkinLimit, ...] = ()
    allergens: tuple[Allergen, ...] = ()
    label: LabelTables | None = None

    @property
    def styles(self) -> tuple[str, ...]:
        """The known styles, in the order of the table."""
        return tuple(dict.fromkeys(limit.style for limit in self.starting_limits))
