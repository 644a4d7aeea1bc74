"""Price scenarios: where they come from, block by block."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from optimiser.formulation import Formulation
from optimiser.linear_model import Floats

FIRST_BLOCK = 5_000
"""The first block is small: it shows the corners at which the others begin."""

BLOCK = 50_000
"""So many scenarios are held in memory at once."""


@dataclass(frozen=True, slots=True)
class Spread:
    """Prices drawn around today's.

    A price is today's times exp(s g), with g from the standard normal distribution and s the
    logarithm of 1 + spread: a log-normal price whose median is today's, and which in two of
    three draws lies between today's divided by and times 1 + spread.

    Attributes:
        percents: The spread of each ingredient in percent, by id; others do not move.
        draws: How many scenarios.
        seed: The same seed gives the same scenarios, for the same version of numpy.
        together: Correlation of the logarithms of prices within a kind, 0 to 1.
    """

    percents: Mapping[str, Decimal]
    draws: int
    seed: int
    together: float = 0.0

    def blocks(self, formulation: Formulation) -> Iterator[Floats]:
        """The prices per kg of the shelf in each scenario, (N, n) a block."""
        today = _today(formulation)
        sizes = np.log1p(
            [float(self.percents.get(name, 0)) / 100 for name in formulation.model.columns]
        )
        kinds = sorted({ingredient.kind for ingredient in formulation.ingredients})
        kind = [kinds.index(ingredient.kind) for ingredient in formulation.ingredients]
        generator = np.random.default_rng(self.seed)
        for size in _sizes(self.draws):
            # One draw a row in one go, so that the scenarios do not depend on the blocks.
            drawn = generator.standard_normal((size, len(kinds) + len(today)))
            steps = drawn[:, len(kinds) :]
            if self.together:
                shared = drawn[:, : len(kinds)][:, kind]
                steps = np.sqrt(1 - self.together) * steps + np.sqrt(self.together) * shared
            yield np.exp(steps * sizes) * today


@dataclass(frozen=True, slots=True)
class PriceTable:
    """Prices given one by one.

    Attributes:
        file: Where they stand.
        labels: What each scenario is called.
        prices: Money per kg of each ingredient by id, one a scenario; others stay as today.
    """

    file: str
    labels: Sequence[str]
    prices: Mapping[str, Sequence[Decimal]]

    @property
    def draws(self) -> int:
        """How many scenarios."""
        return len(self.labels)

    def blocks(self, formulation: Formulation) -> Iterator[Floats]:
        """The prices per kg of the shelf in each scenario, (N, n) a block."""
        today, columns = _today(formulation), formulation.model.columns
        start = 0
        for size in _sizes(self.draws):
            block = np.tile(today, (size, 1))
            for j, name in enumerate(columns):
                if name in self.prices:
                    block[:, j] = [float(p) for p in self.prices[name][start : start + size]]
            start += size
            yield block


def _today(formulation: Formulation) -> Floats:
    return np.array([float(offer.price_per_kg) for offer in formulation.offers])


def _sizes(draws: int) -> Iterator[int]:
    """How many scenarios each block has."""
    done = 0
    while done < draws:
        size = min(BLOCK if done else FIRST_BLOCK, draws - done)
        yield size
        done += size
