"""Every command with a small workshop to run it on, for what must hold of all of them.

A new command gets a line in `COMMANDS` with the forms it writes; `test_faults` fails until it
has one. Names in the workshop can be replaced, so that they may carry anything.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, fields
from pathlib import Path

from optimiser.reading.own_properties import plain_words


@dataclass(frozen=True, slots=True)
class Called:
    """What the things of a workshop are called."""

    brief: str = "Small balm"
    currency: str = "GBP"
    ingredient: str = "Meadow infusion"
    group: str = "soft ones"
    property: str = "grip"
    unit: str = "points"
    supplier: str = "Larkmoor Oils"
    packaging: str = "tin 60 ml"
    version: str = "3"
    scenario: str = "dry year"
    file: str = "own"
    inci_name: str = "Infusum Pratense"


@dataclass(frozen=True, slots=True)
class Workshop:
    """The files of a workshop."""

    folder: Path
    brief: Path
    weighed: Path
    impossible: Path
    recipe: Path
    other: Path
    scenarios: Path


def toml(text: str) -> str:
    """Any text as a string of a brief."""
    signs = {'"': '\\"', "\\": "\\\\"}
    return '"{}"'.format(
        "".join(signs.get(s, s if s.isprintable() else f"\\U{ord(s):08x}") for s in text)
    )


def workshop(folder: Path, called: Called | None = None) -> Workshop:
    """Write the files of a small workshop: three briefs, prices, a sheet, recipes, scenarios."""
    it = Called() if called is None else called
    made = Workshop(
        folder,
        folder / f"{it.file}.toml",
        folder / f"{it.file} weighed.toml",
        folder / f"{it.file} impossible.toml",
        folder / f"{it.file} recipe.csv",
        folder / f"{it.file} other.csv",
        folder / f"{it.file} scenarios.csv",
    )
    prices, sheet = f"{it.file} prices.csv", f"{it.file} sheet.csv"
    heading = f"{it.property} ({it.unit})" if it.unit else it.property
    _table(
        folder / prices,
        ("ingredient", "supplier", "pack", "price", "in_stock"),
        *((name, it.supplier, "1 kg", price, "100 g") for name, price in PRICES),
        (it.ingredient, it.supplier, "1 kg", "9", ""),
        (it.packaging, it.supplier, "10 pieces", "4", ""),
    )
    _table(
        folder / sheet,
        ("ingredient", "inci_name", "kind", heading, "vitamin_e"),
        (it.ingredient, it.inci_name, "oil", "2", "60"),
        *((name, "", "", grip, "") for name, grip in GRIPS),
    )
    for path, shares in ((made.recipe, (55, 25, 20)), (made.other, (50, 25, 25))):
        names = (it.ingredient, "cocoa-butter", "beeswax")
        _table(path, ("ingredient", "percent"), *zip(names, shares, strict=True))
    _table(
        made.scenarios,
        ("scenario", "cocoa-butter", it.ingredient),
        ("as it is", "18", "9"),
        (it.scenario, "26", "14"),
    )
    head = f"""\
name = {toml(it.brief)}
use = "hands, leave-on"
[costing]
prices = {toml(prices)}
currency = {toml(it.currency)}
[shelf]
sheets = [{toml(sheet)}]
[groups]
{toml(it.group)} = ["sunflower-oil", {toml(it.ingredient)}]
[totals]
{toml(it.group)} = {{ min = 40, max = 70 }}
[ratios]
{toml(f"oil:{it.group}")} = {{ max = 1.5 }}
[properties]
{toml(plain_words(it.property, "_"))} = {{ min = 3, max = 8 }}
vitamin_e = {{ min = 10 }}
[amounts]
{toml(it.ingredient)} = {{ min = 5 }}
"lavender-oil" = 0.5
"""
    tail = f"""
[batch]
size = "1 kg"
version = {toml(it.version)}
[jar]
net = "50 g"
packaging = [{toml(it.packaging)}]
price = 6.00
"""
    weighing = "[weighing]\nstep = 0.5\nmax_ingredients = 5\n"
    made.brief.write_text(f"{head}{tail}", encoding="utf-8")
    made.weighed.write_text(f"{head}{tail}{weighing}", encoding="utf-8")
    impossible = head.replace("[ratios]", "wax = { min = 65 }\n[ratios]")
    made.impossible.write_text(f"{impossible}{tail}", encoding="utf-8")
    return made


PRICES = (
    ("cocoa-butter", "18"),
    ("sunflower-oil", "5"),
    ("beeswax", "17"),
    ("lavender-oil", "120"),
)
GRIPS = (("cocoa-butter", "7"), ("sunflower-oil", "1"), ("beeswax", "9"), ("lavender-oil", "1"))


def _table(path: Path, *rows: tuple[object, ...]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)


@dataclass(frozen=True, slots=True)
class Asking:
    """Words of a command, in which files of the workshop stand in braces, and its forms."""

    words: tuple[str, ...]
    forms: tuple[str, ...]
    status: int = 0

    def on(self, made: Workshop) -> list[str]:
        """The words with the files of a workshop, which may be called anything."""
        names = {f"{{{field.name}}}": str(getattr(made, field.name)) for field in fields(made)}
        return [names.get(word, word) for word in self.words]


PLAIN = (".json", ".csv", ".md", ".html", ".xlsx")
MODEL = (".lp", ".mps")

COMMANDS = {
    "formulate": Asking(("formulate", "{brief}"), (*PLAIN, *MODEL)),
    "formulate weighed": Asking(("formulate", "{weighed}"), (*PLAIN, *MODEL)),
    "formulate impossible": Asking(
        ("formulate", "{impossible}"), (".json", ".md", ".html", ".xlsx", *MODEL), 1
    ),
    "formulate room": Asking(
        ("formulate", "{brief}", "--within", "2%", "--from", "{recipe}", "--points", "90"), PLAIN
    ),
    "assess": Asking(("assess", "{brief}", "{recipe}"), PLAIN),
    "substitute": Asking(("substitute", "{brief}", "--gone", "sunflower-oil"), PLAIN),
    "reprice": Asking(("reprice", "{brief}", "--price", "beeswax=+40%"), PLAIN),
    "reprice sweep": Asking(("reprice", "{brief}", "--sweep", "beeswax"), PLAIN),
    "reprice limit": Asking(
        ("reprice", "{brief}", "--sweep-limit", "properties.vitamin_e.min"), PLAIN
    ),
    "reprice scenarios": Asking(("reprice", "{brief}", "--scenarios", "{scenarios}"), PLAIN),
    "reprice spread": Asking(("reprice", "{brief}", "--spread", "20%", "--draws", "50"), PLAIN),
    "tradeoff": Asking(("tradeoff", "{brief}", "cost", "vitamin_e"), PLAIN),
    "compare": Asking(("compare", "{recipe}", "{other}", "--brief", "{brief}"), PLAIN),
    "batch": Asking(("batch", "{brief}"), PLAIN),
    "declare": Asking(("declare", "{recipe}", "--brief", "{brief}", "--region", "eu"), PLAIN),
    "ingredients": Asking(("ingredients",), PLAIN),
    "ingredients one": Asking(("ingredients", "beeswax"), PLAIN),
    "start": Asking(("start", "{folder}"), (".json", ".md")),
}
