"""What was typed after `batch`: sizes, jars, the scale, as records of making."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from optimiser.commands.option_numbers import money_of, percent_of
from optimiser.production import BatchPlan, JarPlan
from optimiser.provenance import InputError, Mistake, Origin
from optimiser.reading import Problem, read_grams, read_size
from optimiser.reading.files import is_there
from optimiser.reading.making import LOSS, MARGIN, PRICE, Bounds

_FILE_AND_SIZE = re.compile(r"(\S.*?)[\s,;:]+([0-9][0-9.,]*\s*(?:kg|g|lbs?|oz))")

BRIEF_ENDING = ".toml"


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed; see the help of the command.

    Attributes:
        size: The batch, such as `2 kg`.
        jars: How many jars to fill.
        net: What the label says, such as `120 g`, or the jar's volume.
        scale: The division of the scale.
        loss: Percent of a batch that is lost.
        price: Money for a jar.
        margin: Percent of the price that is to stay.
        brief: The brief whose prices, sheets and jar go with a recipe.
        batches: Several batches, each `FILE=SIZE`.
        time_limit: Seconds to search among weighable formulas.
    """

    size: str | None = None
    jars: int | None = None
    net: str | None = None
    scale: str | None = None
    loss: str | None = None
    price: str | None = None
    margin: str | None = None
    brief: Path | None = None
    batches: Sequence[str] = ()
    time_limit: float = 5.0


@dataclass(frozen=True, slots=True)
class Order:
    """One batch that was asked for: a brief or a recipe, and its size where that was typed."""

    source: Path
    size: str | None
    option: str

    @property
    def is_brief(self) -> bool:
        """Whether it is a brief and not a recipe."""
        return self.source.suffix.lower() == BRIEF_ENDING


def orders(source: Path | None, typed: Typed) -> list[Order]:
    """The batches that were asked for.

    Raises:
        InputError: None, or in two ways at once, or a recipe's brief without a recipe.
    """
    mistakes = []
    found = []
    if source is not None:
        found.append(Order(source, typed.size, "--size"))
    for text in typed.batches:
        path, sign, size = text.rpartition("=")
        if not (path if sign else text).strip():
            problem = f"{text or 'nothing'}: no file; write --batch 'brief.toml=2 kg'"
            mistakes.append(Mistake(Origin("--batch"), problem))
            continue
        apart = _FILE_AND_SIZE.fullmatch(text.strip())
        if apart is not None and not sign and not is_there(Path(text)):
            problem = f"no = between file and size; write --batch '{apart[1]}={apart[2]}'"
            mistakes.append(Mistake(Origin(f"--batch {text}"), problem))
            continue
        named = Path(path if sign else text)
        found.append(Order(named, size.strip() if sign else None, f"--batch {text}"))
    if source is not None and typed.batches:
        problem = f"either {source} or --batch; with several batches write --batch for each"
        mistakes.append(Mistake(Origin("--batch"), problem))
    if not found and not mistakes:
        problem = "of what? Name a brief or a recipe, or several with --batch 'brief.toml=2 kg'"
        mistakes.append(Mistake(Origin("batch"), problem))
    if typed.batches and typed.size is not None:
        problem = "sizes stand behind each file, as in --batch 'brief.toml=2 kg'"
        mistakes.append(Mistake(Origin("--size"), problem))
    if len(found) > 1 and typed.jars is not None:
        problem = "of one batch only; give each batch its size"
        mistakes.append(Mistake(Origin("--jars"), problem))
    if typed.size is not None and typed.jars is not None:
        problem = "a size and a number of jars; give one, the other follows"
        mistakes.append(Mistake(Origin("--jars"), problem))
    if typed.brief is not None and found and all(order.is_brief for order in found):
        problem = f"{found[0].source} is a brief itself; --brief goes with a recipe"
        mistakes.append(Mistake(Origin("--brief"), problem))
    if mistakes:
        raise InputError(mistakes)
    return found


def with_typed(
    plan: BatchPlan, jar: JarPlan, order: Order, typed: Typed, currency: str
) -> tuple[BatchPlan, JarPlan]:
    """What a brief says of batch and jar, the options' word before it.

    Args:
        plan: What the brief says of the batch.
        jar: What it says of the jar.
        order: The batch that was asked for.
        typed: The options.
        currency: The brief's, or nothing.

    Raises:
        InputError: An option cannot be read.
    """
    origins = dict(plan.origins)
    if order.size is not None:
        origins["size"] = Origin(order.option)
        plan = replace(plan, size_g=_grams(order.size, order.option, "2 kg"), origins=origins)
    if typed.scale is not None:
        plan = replace(plan, division_g=_grams(typed.scale, "--scale", "0.1 g"))
    if typed.loss is not None:
        loss = _within(percent_of(typed.loss, "--loss", "3%"), LOSS, "--loss")
        plan = replace(plan, loss=loss)
    if typed.net is not None:
        jar = _with_net(jar, typed.net)
    if typed.price is not None:
        jar = replace(
            jar, price=_within(money_of(typed.price, "--price", currency), PRICE, "--price")
        )
    if typed.margin is not None:
        margin = _within(percent_of(typed.margin, "--margin", "60%"), MARGIN, "--margin")
        jar = replace(jar, margin=margin)
    return plan, jar


def _with_net(jar: JarPlan, text: str) -> JarPlan:
    try:
        size, is_weight = read_size(text, "120 g")
    except Problem as problem:
        raise InputError([Mistake(Origin("--net"), str(problem))]) from None
    origins = {key: at for key, at in jar.origins.items() if key not in ("net", "volume")}
    origins["net" if is_weight else "volume"] = Origin("--net")
    return replace(
        jar,
        net_g=size if is_weight else None,
        volume_ml=None if is_weight else size,
        origins=origins,
    )


def _grams(text: str, option: str, example: str) -> Fraction:
    try:
        return read_grams(text, example)
    except Problem as problem:
        raise InputError([Mistake(Origin(option), str(problem))]) from None


def _within(value: Decimal, bounds: Bounds, option: str) -> Decimal:
    try:
        bounds.check(value)
    except Problem as problem:
        raise InputError([Mistake(Origin(option), str(problem))]) from None
    return value
