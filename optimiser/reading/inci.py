"""INCI names of blends, and the numbers of colourants."""

from __future__ import annotations

import re
from decimal import Decimal

from optimiser.inci import InciPart
from optimiser.provenance import plain_number
from optimiser.reading.findings import Problem
from optimiser.reading.names import fold
from optimiser.reading.wording import quoted

WHOLE = Decimal(100)
OFF = Decimal("0.05")
"""How far the parts of a blend may be off 100 %, as those of a formula."""

EXAMPLE = "Tocopherol 70; Helianthus Annuus Seed Oil 30"

_PART = re.compile(r"(.*\S)\s+([0-9]+(?:[.,][0-9]+)?)\s*(%?)", re.DOTALL)
_COLOUR = re.compile(r"(?:C\.?\s?I\.?)?\s*([0-9]{5})", re.IGNORECASE)

_NUMBERED = ("polysorbate", "ci", "peg", "quaternium", "polyquaternium")
"""Last words of INCI names behind which a number belongs to the name, folded."""


def inci_parts(text: str) -> tuple[InciPart, ...]:
    """The parts of a blend; none where the text is a single name.

    Parts stand between semicolons, each with its percent of the blend, or all without.

    Raises:
        Problem: A part has no letter, some have a percentage and some have none, they do not
            sum to 100, or one stands twice.

    Example:
        >>> [(part.name, str(part.percent)) for part in inci_parts("Tocopherol 70; Squalane 30")]
        [('Tocopherol', '70'), ('Squalane', '30')]
        >>> inci_parts("Cera Alba")
        ()
    """
    written = [part.strip() for part in text.split(";") if part.strip()]
    for name in written or ([text.strip()] if text.strip() else []):
        if not any(map(str.isalpha, name)):
            said = f"{quoted(name)} is no INCI name; write it like Cera Alba or {EXAMPLE}"
            raise Problem(said)
    if ";" not in text and "%" not in text:
        return ()
    parts = tuple(_part(part) for part in text.split(";") if part.strip())
    known: set[str] = set()
    for part in parts:
        if fold(part.name) in known:
            raise Problem(f"{quoted(part.name)} stands twice in the blend; add them up")
        known.add(fold(part.name))
    stated = [part.percent for part in parts if part.percent is not None]
    if not stated:
        return parts if len(parts) > 1 else ()
    if len(stated) < len(parts):
        lacking = next(part.name for part in parts if part.percent is None)
        raise Problem(
            f"no percentage behind {quoted(lacking)}; write one behind each part, "
            f"such as {EXAMPLE}, or behind none"
        )
    total = sum(stated, Decimal(0))
    if abs(total - WHOLE) > OFF or not all(stated):
        raise Problem(
            f"the parts of the blend sum to {plain_number(total)} %, each above 0; write "
            f"percentages that sum to 100, such as {EXAMPLE}"
        )
    return parts


def _part(text: str) -> InciPart:
    """`Tocopherol 70`, `Tocopherol 70 %` or `Tocopherol`; the number of a name stays in it."""
    found = _PART.fullmatch(text.strip())
    if found is None:
        return InciPart(text.strip(), None)
    name, digits, sign = found.groups()
    percent = Decimal(digits.replace(",", "."))
    belongs = not sign and (fold(name).rpartition(" ")[2] in _NUMBERED or percent > WHOLE)
    return InciPart(text.strip(), None) if belongs else InciPart(name.rstrip(" :,"), percent)


def ci_numbers(text: str) -> tuple[str, ...]:
    """Numbers of the Colour Index, as `CI 77891`; several stand between semicolons or commas.

    Raises:
        Problem: It is no such number.

    Example:
        >>> ci_numbers("77891, CI 77491")
        ('CI 77891', 'CI 77491')
    """
    found: dict[str, None] = {}
    for part in re.split(r"[;,]", text):
        number = _COLOUR.fullmatch(part.strip())
        if number is None:
            raise Problem(f"{quoted(text)} is no number of the Colour Index; write CI 77891")
        found[f"CI {number[1]}"] = None
    return tuple(found)
