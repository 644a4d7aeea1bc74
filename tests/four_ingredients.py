"""Four ingredients under each kind of limit, and models without an answer."""

from __future__ import annotations

from fractions import Fraction

from linear_models import model_of

from optimiser.linear_model import LinearModel

# Shea butter, sunflower oil, beeswax, clay: the fat phase is all but the clay.
LABELS = ("shea butter", "sunflower oil", "beeswax", "clay")
COST = (Fraction(9), Fraction(4), Fraction("7.5"), Fraction("2.25"))
TOTAL = ((1, 1, 1, 1), "=", 100)
WHOLE, FAT = (1, 1, 1, 1), (1, 1, 1, 0)
KINDS = {
    "amount": ((0, 0, 1, 0), "<=", 12),
    "amount_exactly": ((0, 0, 0, 1), "=", Fraction("7.5")),
    "group_total": ((1, 0, 1, 0), ">=", 40),
    "product_average": ((Fraction("0.4"), 60, 3, 0), ">=", Fraction("30.5"), None, 100),
    "fat_phase_average": ((58, 133, 10, 0), "<=", 95, FAT, 0),
    "ratio": ((0, 1, 0, 0), ">=", Fraction("0.4"), (1, 0, 1, 0), 0),
    # Mass over volume: density 0.91, 0.92, 0.96 and 2.5 g/ml, at least 0.95 g/ml.
    "density": (
        WHOLE,
        ">=",
        Fraction("0.95"),
        (Fraction(100, 91), Fraction(100, 92), Fraction(100, 96), Fraction("0.4")),
        0,
    ),
    "cost_cap": (COST, "<=", 8, None, 100),
}


def limited(*kinds: str) -> LinearModel:
    """The four ingredients with a total of 100 and the limits of the named kinds."""
    return model_of(
        COST,
        [TOTAL, *(KINDS[kind] for kind in kinds)],
        upper=(100,) * 4,
        labels=LABELS,
        keys=["total", *kinds],
    )


POSSIBLE = limited("amount", "group_total", "fat_phase_average", "cost_cap")
IMPOSSIBLE = model_of((1, 1), [((1, 1), "=", 100), ((1, 0), ">=", 60), ((0, 1), ">=", 50)])
ENDLESS = model_of((-1, 1), [((1, 1), ">=", 2)])


UNUSED = model_of((1, 0, 0), [((1, 1, 0), "=", 5)], upper=(None, 3, None))
"""A column that is in no limit and costs nothing."""
EMPTY = model_of((2,), [], lower=(3,))
WHOLE_STEPS = model_of((-1, 1), [((2, 0), "<=", 7)], whole=(True, True))
NO_WHOLE_STEPS = model_of((1,), [((2,), "=", 1)], whole=(True,))
