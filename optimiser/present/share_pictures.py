"""The shares of two formulas side by side, as a picture."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from optimiser.ingredient import Ingredient
from optimiser.present.numbers import printed_shares
from optimiser.present.page import Picture
from optimiser.present.pictures.change_bars import ShareChange, share_changes

BEFORE_AND_AFTER = "Shares before and after"


def shares_picture(
    name: str,
    before: Mapping[str, Fraction],
    after: Mapping[str, Fraction],
    book: Mapping[str, Ingredient],
) -> Picture:
    """The shares of two formulas side by side."""
    ids = sorted({*before, *after}, key=lambda n: (-after.get(n, 0), -before.get(n, 0), n))
    none = Fraction(0)
    old = printed_shares([before.get(n, none) for n in ids])
    new = printed_shares([after.get(n, none) for n in ids])
    rows = [
        ShareChange(
            book[n].common_name,
            float(before.get(n, none)),
            float(after.get(n, none)),
            was if before.get(n) else "none",
            now if after.get(n) else "none",
        )
        for n, was, now in zip(ids, old, new, strict=True)
    ]
    svg, description = share_changes(name, BEFORE_AND_AFTER, rows)
    return Picture(svg, BEFORE_AND_AFTER, description)
