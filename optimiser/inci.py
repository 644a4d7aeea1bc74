"""What a blend is made of, by INCI name."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class InciPart:
    """One of the materials that a blend is sold as, such as an antioxidant and its oil.

    Attributes:
        name: Its INCI name.
        percent: Percent of the blend, or None where nobody states the proportions.
    """

    name: str
    percent: Decimal | None
