"""The tables `batch` and `jar` of a brief: how it is made, and what goes into one jar."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from optimiser.production import BatchPlan, JarPlan
from optimiser.provenance import Origin, plain_number
from optimiser.reading.findings import Problem
from optimiser.reading.names import fold
from optimiser.reading.toml_document import Document, Entry
from optimiser.reading.weighed_amounts import read_grams, read_size

BATCH_KEYS = (
    "size",
    "scale",
    "loss",
    "hours",
    "hourly_rate",
    "overhead",
    "version",
    "shelf_months",
)
JAR_KEYS = (
    "net",
    "volume",
    "filled",
    "overrun",
    "spread",
    "packaging",
    "price",
    "margin",
)

MOST_PIECES = 1000
MOST_MONTHS = 120


@dataclass(frozen=True, slots=True)
class Bounds:
    """Between which numbers a number makes sense, and what to write.

    Attributes:
        least: The least.
        most: The most, or None.
        may_be_least: Whether the least itself will do.
        may_be_most: Whether the most itself will do.
        example: A number that would do.
        unit: What the numbers are, such as `percent`.
    """

    least: int
    most: int | None
    example: str
    unit: str = ""
    may_be_least: bool = True
    may_be_most: bool = True

    def check(self, value: Decimal) -> None:
        """Refuse a number that makes no sense.

        Raises:
            Problem: It is outside; with what to write.
        """
        low = value < self.least or (value == self.least and not self.may_be_least)
        high = self.most is not None and (
            value > self.most or (value == self.most and not self.may_be_most)
        )
        if low or high:
            raise Problem(
                f"{plain_number(value)} is not {self._said()}; write for instance {self.example}"
            )

    def _said(self) -> str:
        unit = f" {self.unit}" if self.unit else ""
        least = f"{self.least} or more" if self.may_be_least else f"above {self.least}"
        if self.most is None:
            return f"{least}{unit}"
        word = "to" if self.may_be_most else "to below"
        start = "from" if self.may_be_least else "above"
        return f"{start} {self.least} {word} {self.most}{unit}"


LOSS = Bounds(0, 100, "3", "percent", may_be_most=False)
FILLED = Bounds(0, 100, "95", "percent", may_be_least=False)
OVERRUN = Bounds(0, 400, "40", "percent")
PRICE = Bounds(0, None, "9.50", may_be_least=False)
MARGIN = Bounds(0, 100, "60", "percent", may_be_most=False)
_NUMBERS = {
    "loss": LOSS,
    "hours": Bounds(0, None, "2.5"),
    "hourly_rate": Bounds(0, None, "15.00"),
    "overhead": Bounds(0, None, "6.00"),
    "filled": FILLED,
    "overrun": OVERRUN,
    "price": PRICE,
    "margin": MARGIN,
}


def read_batch(document: Document, entry: Entry | None) -> BatchPlan:
    """The table `batch`."""
    if entry is None:
        return BatchPlan()
    entries = document.table(entry, BATCH_KEYS, '[batch] and size = "2 kg"') or {}
    numbers = _numbers(document, entries)
    version = document.text(entries["version"], '"3"') if "version" in entries else None
    if {"hours", "hourly_rate"} & entries.keys() and not {"hours", "hourly_rate"} <= entries.keys():
        given, missing = ("hours", "hourly_rate")
        if "hours" not in entries:
            given, missing = missing, given
        document.wrong(entries[given], f"{missing} is missing beside it; labour is hours times it")
    return BatchPlan(
        size_g=_grams(document, entries.get("size"), '"2 kg"'),
        division_g=_grams(document, entries.get("scale"), '"0.1 g"'),
        loss=numbers.get("loss"),
        hours=numbers.get("hours"),
        hourly_rate=numbers.get("hourly_rate"),
        overhead=numbers.get("overhead"),
        version=version or "",
        shelf_months=_months(document, entries.get("shelf_months")),
        origins=_origins(entries),
    )


def read_jar(document: Document, entry: Entry | None) -> JarPlan:
    """The table `jar`."""
    if entry is None:
        return JarPlan()
    entries = document.table(entry, JAR_KEYS, '[jar] and net = "120 g"') or {}
    numbers = _numbers(document, entries)
    if "net" in entries and "volume" in entries:
        document.wrong(entries["volume"], "net stands there too; keep net in g, or volume in ml")
    volume = _millilitres(document, entries.get("volume"))
    return JarPlan(
        net_g=_grams(document, entries.get("net"), '"120 g"'),
        volume_ml=volume,
        filled=numbers.get("filled"),
        overrun=numbers.get("overrun"),
        spread_g=_grams(document, entries.get("spread"), '"0.8 g"'),
        packaging=_packaging(document, entries.get("packaging")),
        price=numbers.get("price"),
        margin=numbers.get("margin"),
        origins=_origins(entries),
    )


def _origins(entries: dict[str, Entry]) -> dict[str, Origin]:
    return {key: inner.origin for key, inner in entries.items()}


def _numbers(document: Document, entries: dict[str, Entry]) -> dict[str, Decimal]:
    """The plain numbers among the keys, each within its bounds."""
    found = {}
    for key in entries.keys() & _NUMBERS.keys():
        value = document.number(entries[key], _NUMBERS[key].example)
        if value is None:
            continue
        try:
            _NUMBERS[key].check(value)
        except Problem as problem:
            document.wrong(entries[key], problem)
            continue
        found[key] = value
    return found


def _grams(document: Document, entry: Entry | None, example: str) -> Fraction | None:
    """A weight in quotes, in grams."""
    text = None if entry is None else document.text(entry, example)
    if entry is None or text is None:
        return None
    try:
        return read_grams(text, example.strip('"'))
    except Problem as problem:
        document.wrong(entry, problem)
        return None


def _millilitres(document: Document, entry: Entry | None) -> Fraction | None:
    """A volume in quotes, in ml."""
    text = None if entry is None else document.text(entry, '"120 ml"')
    if entry is None or text is None:
        return None
    try:
        size, is_weight = read_size(text, "120 ml")
    except Problem as problem:
        document.wrong(entry, problem)
        return None
    if is_weight:
        document.wrong(entry, f'a weight; write volume = "120 ml", or net = {_quoted(text)}')
        return None
    return size


def _quoted(text: str) -> str:
    return f'"{text}"'


def _months(document: Document, entry: Entry | None) -> int | None:
    value = None if entry is None else document.number(entry, "12")
    if entry is None or value is None:
        return None
    if value % 1 or not 1 <= value <= MOST_MONTHS:
        problem = f"{plain_number(value)} is not a whole number of months from 1 to {MOST_MONTHS}"
        document.wrong(entry, f"{problem}; write for instance 12")
        return None
    return int(value)


def _packaging(document: Document, entry: Entry | None) -> dict[str, int]:
    """Pieces for one jar by item: a list of items, or a table of counts."""
    found: dict[str, int] = {}
    if entry is None:
        return found
    example = '["jar 120 ml", "lid", "label"], or [jar.packaging] and label = 2'
    seen: set[str] = set()
    if isinstance(entry.value, dict):
        for item, inner in (document.any_table(entry, example) or {}).items():
            count = _pieces(document, inner)
            if fold(item) in seen:
                document.wrong(inner, f"{item} stands here already; keep one line")
            elif count is not None:
                found[item] = count
            seen.add(fold(item))
        return found
    for inner, item in document.texts(entry, example) or ():
        if fold(item) in seen:
            document.wrong(inner, f"{item} stands twice; write [jar.packaging] and its count")
        else:
            found[item] = 1
        seen.add(fold(item))
    return found


def _pieces(document: Document, entry: Entry) -> int | None:
    value = document.number(entry, "2")
    if value is None:
        return None
    if value % 1 or not 1 <= value <= MOST_PIECES:
        problem = f"{plain_number(value)} is not a whole number from 1 to {MOST_PIECES}"
        document.wrong(entry, f"{problem}; write for instance 2")
        return None
    return int(value)
