"""Records of making: a batch, its jars, the steps of the work, what a fill may fall short."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from optimiser.provenance import Origin


@dataclass(frozen=True, slots=True)
class BatchPlan:
    """What a brief says of a batch; None where it is silent.

    Attributes:
        size_g: What is weighed in, in grams.
        division_g: The division of the scale, in grams.
        loss: Percent of the batch that stays in bowls and on spatulas.
        hours: Hours of work for one batch.
        hourly_rate: Money for an hour.
        overhead: Money that each batch has to carry beside.
        version: The version of the formula, as the maker calls it.
        shelf_months: Months for which the maker gives the jar, by her own tests.
        origins: Where each of these keys was said.
    """

    size_g: Fraction | None = None
    division_g: Fraction | None = None
    loss: Decimal | None = None
    hours: Decimal | None = None
    hourly_rate: Decimal | None = None
    overhead: Decimal | None = None
    version: str = ""
    shelf_months: int | None = None
    origins: Mapping[str, Origin] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class JarPlan:
    """What a brief says of a jar; None where it is silent.

    Attributes:
        net_g: What the label promises, in grams.
        volume_ml: What the jar holds to the brim, in ml; never beside `net_g`.
        filled: Percent of the volume that is filled.
        overrun: Percent of air that whipping adds to the volume, as the maker measured it.
        spread_g: Standard deviation of the maker's fills, in grams.
        packaging: Pieces for one jar, by item as the maker calls it.
        price: Money for one jar when it is sold.
        margin: Percent of the price that is to stay above the cost.
        origins: Where each of these keys was said.
    """

    net_g: Fraction | None = None
    volume_ml: Fraction | None = None
    filled: Decimal | None = None
    overrun: Decimal | None = None
    spread_g: Fraction | None = None
    packaging: Mapping[str, int] = field(default_factory=dict)
    price: Decimal | None = None
    margin: Decimal | None = None
    origins: Mapping[str, Origin] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the work, as makers do it.

    Attributes:
        style: The style it belongs to; empty for a product of no style.
        phase: The part of the work, such as `melt`.
        adds: The kinds that are added in this step.
        only_with: Kinds or ingredient ids without which there is no such step; empty for always.
        text: What to do.
        temperature: The lowest and the highest in degrees Celsius, None where there is none.
        minutes: The shortest and the longest, None where there is none.
        status: Where it comes from, such as `common practice, no source`.
        note: A remark, or empty.
        origin: The row of the shipped table.
    """

    style: str
    phase: str
    adds: frozenset[str]
    only_with: frozenset[str]
    text: str
    temperature: tuple[Decimal | None, Decimal | None]
    minutes: tuple[Decimal | None, Decimal | None]
    status: str
    note: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class FillTolerance:
    """How far short one jar may fall, for labels from one weight to another.

    Attributes:
        scheme: The rule, such as `eu-uk`.
        title: The rule in words.
        from_g: Where the band of labels begins, in grams.
        to_g: Where it ends, and belongs to it.
        value: How far short.
        is_percent: Whether `value` is percent of the label's weight, and not grams.
        source: The id of the source.
        locator: The place in it.
        status: Where it was read.
        origin: The row of the shipped table.
    """

    scheme: str
    title: str
    from_g: Decimal
    to_g: Decimal
    value: Decimal
    is_percent: bool
    source: str
    locator: str
    status: str
    origin: Origin
