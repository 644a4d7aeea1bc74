"""Small requests built without files, and the command run in this process."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from optimiser.brief import Brief, End, Family, Limit, Request
from optimiser.cli import main
from optimiser.ingredient import (
    Book,
    Caution,
    Figure,
    Ingredient,
    Kind,
    Over,
    Property,
    Rule,
    SofteningPair,
    Trust,
)
from optimiser.price import Offer
from optimiser.provenance import InputError, Origin

ROOT = Path(__file__).parent.parent
"""The folder of the project."""

EXAMPLES = sorted((ROOT / "examples").glob("*/*.toml"))
"""Every example brief."""

IMPOSSIBLE = [path for path in EXAMPLES if "# An impossible brief" in path.read_text("utf-8")]
"""The examples that show what is said where no formula exists."""

ANSWERED = [path for path in EXAMPLES if path not in IMPOSSIBLE]
"""The examples that have a formula."""

TABLE = Origin("small.csv", 2)

Span = tuple[str, str, str] | str
"""A figure: one number, or low, typical and high."""


def figure(span: Span, status: str = "published") -> Figure:
    low, typical, high = (span, span, span) if isinstance(span, str) else span
    return Figure(Decimal(low), Decimal(typical), Decimal(high), status, "somewhere", TABLE)


def ingredient(
    identifier: str,
    kind: Kind,
    figures: Mapping[str, Span] | None = None,
    name: str = "",
    status: str = "published",
) -> Ingredient:
    found = {of: figure(span, status) for of, span in (figures or {}).items()}
    spoken = name or identifier.replace("-", " ").capitalize()
    return Ingredient(identifier, spoken, "", "", kind, found, "", TABLE)


def quantity(
    identifier: str,
    title: str = "",
    unit: str = "%",
    over: Over = Over.PRODUCT,
    rule: Rule = Rule.MASS,
    step: str = "1",
) -> Property:
    return Property(
        identifier,
        title or identifier,
        unit,
        over,
        rule,
        Trust.EXACT,
        "",
        Decimal(step),
        True,
        TABLE,
    )


PROPERTIES = (
    quantity("vitamin_e", "vitamin E", "mg/100 g"),
    quantity("solid_fat_20C", "solid fat at 20 C", over=Over.FAT),
    quantity("free_oil_32C", "free oil at 32 C"),
    quantity("density", "density", "g/ml", rule=Rule.VOLUME, step="0.01"),
    quantity("grip", "grip", ""),
)

INGREDIENTS = (
    ingredient(
        "hard-butter",
        Kind.BUTTER,
        {"vitamin_e": ("1", "2", "4"), "solid_fat_20C": ("70", "80", "85"), "density": "0.95"},
    ),
    ingredient(
        "soft-butter",
        Kind.BUTTER,
        {"vitamin_e": "5", "solid_fat_20C": ("30", "40", "45"), "density": "0.92"},
    ),
    ingredient(
        "light-oil",
        Kind.OIL,
        {"vitamin_e": ("30", "40", "60"), "solid_fat_20C": "0", "density": "0.9", "grip": "2.5"},
    ),
    ingredient("nut-oil", Kind.OIL, {"vitamin_e": "25", "solid_fat_20C": "0"}),
    ingredient("firm-wax", Kind.WAX, {"vitamin_e": "0", "solid_fat_20C": "100"}),
    ingredient("starch", Kind.POWDER, {"vitamin_e": "0", "density": "1.5", "free_oil_32C": "-50"}),
)

PRICES = {
    "hard-butter": "12",
    "soft-butter": "8",
    "light-oil": "5",
    "nut-oil": "6",
    "firm-wax": "15",
    "starch": "3",
}


def offer(
    of: str, price: str, pack_kg: str = "1", delivery: str = "0", supplier: str = ""
) -> Offer:
    kg = Fraction(pack_kg)
    where = Origin("prices.csv", 2)
    return Offer(
        of, supplier, f"{pack_kg} kg", kg, Decimal(price), Decimal(delivery), "", None, "", where
    )


def limit(said: str, value: str, firm: bool = False, from_style: bool = False) -> Limit:
    """A limit from its key path, such as `totals.butter.min`; without an end it is exact."""
    family, of, *rest = said.split(".")
    end = End(rest[0]) if rest else End.EXACTLY
    where = Origin("brief.toml", 7, said)
    return Limit(Family(family), of, end, Decimal(value), said, where, firm, from_style)


def small_request(
    *limits: tuple[str, str] | Limit,
    use: tuple[str, ...] | None = None,
    leave_out: tuple[str, ...] = (),
    groups: Mapping[str, tuple[str, ...]] | None = None,
    prices: Mapping[str, str] | None = None,
    offers: tuple[Offer, ...] = (),
    cautious: tuple[str, ...] = (),
    style: str | None = None,
    ingredients: tuple[Ingredient, ...] = INGREDIENTS,
    properties: tuple[Property, ...] = PROPERTIES,
    pairs: tuple[SofteningPair, ...] = (),
    cautions: tuple[Caution, ...] = (),
    currency: str = "GBP",
    name: str = "Small butter",
) -> Request:
    """A request over a few invented ingredients."""
    given = PRICES if prices is None else prices
    return Request(
        brief=Brief(
            name=name,
            file="brief.toml",
            style=style,
            currency=currency,
            use=use,
            leave_out=leave_out,
            groups=groups or {},
            limits=tuple(x if isinstance(x, Limit) else limit(*x) for x in limits),
            cautious={of: Origin("brief.toml", 9) for of in cautious},
        ),
        book=Book(
            ingredients={i.id: i for i in ingredients},
            properties={p.id: p for p in properties},
            softening_pairs=pairs,
            cautions=cautions,
        ),
        offers=offers or tuple(offer(of, price) for of, price in given.items()),
    )


def refusal(call: Any, *arguments: Any) -> str:
    """What an input error says; the test fails where there is none."""
    with pytest.raises(InputError) as caught:
        call(*arguments)
    return str(caught.value)


class Command:
    """The command `optimiser`, run in this process."""

    def __init__(self, capsys: pytest.CaptureFixture[str], patch: pytest.MonkeyPatch) -> None:
        self.capsys, self.patch = capsys, patch

    def __call__(self, *words: object) -> tuple[int, str, str]:
        """Status, standard output, standard error."""
        self.patch.setattr(sys, "argv", ["optimiser", *map(str, words)])
        self.capsys.readouterr()
        with pytest.raises(SystemExit) as leaving:
            main()
        printed = self.capsys.readouterr()
        code = leaving.value.code
        assert isinstance(code, int)
        return code, printed.out, printed.err

    def json(self, *words: object, status: int | None = 0) -> Any:
        """The answer with `--json`; nothing else may stand on standard output."""
        code, out, err = self(*words, "--json")
        assert code == status or status is None and code in (0, 1), err
        return json.loads(out)
