"""What a brief says of whole steps, doses, counts and either-or."""

from __future__ import annotations

from decimal import Decimal

from optimiser.brief import Either, Weighing
from optimiser.provenance import plain_number
from optimiser.reading.brief_tables import ingredient_list
from optimiser.reading.names import Names
from optimiser.reading.toml_document import Document, Entry
from optimiser.reading.wording import quoted

EXACTLY_ONE, AT_MOST_ONE = "exactly one", "at most one"

FINEST_STEP = Decimal("0.000001")
"""In percent, a microgram in 100 g: with finer ones a solver's counts have too many digits, and
it finds nothing where there is a formula."""


def read_weighing(document: Document, entry: Entry | None, ingredients: Names) -> Weighing | None:
    """How finely the formula can be weighed.

    Args:
        document: The brief.
        entry: The table `weighing`, or None.
        ingredients: How ingredients may be called.
    """
    if entry is None:
        return None
    known = ("step", "smallest", "max_ingredients", "steps")
    entries = document.table(entry, known, "[weighing] and step = 0.5") or {}
    step = _step(document, entries["step"]) if "step" in entries else None
    if step is not None and 100 % step:
        problem = f"100 % is not a whole number of steps of {plain_number(step)}; write 0.5 or 1"
        document.wrong(entries["step"], problem)
    smallest = _share(document, entries["smallest"]) if "smallest" in entries else None
    most = _count(document, entries["max_ingredients"]) if "max_ingredients" in entries else None
    steps = _single_steps(document, entries.get("steps"), ingredients)
    if not entries:
        return None
    origins = {key: inner.origin for key, inner in entries.items()}
    return Weighing(step, smallest, most, origins, steps)


def _share(document: Document, entry: Entry) -> Decimal | None:
    """A percentage above 0."""
    value = document.number(entry, "0.5")
    if value is not None and not 0 < value <= 100:
        problem = f"{plain_number(value)} is not above 0 and up to 100; write 0.5"
        document.wrong(entry, problem)
        return None
    return value


def _step(document: Document, entry: Entry) -> Decimal | None:
    """A percentage above 0 that somebody can weigh."""
    value = _share(document, entry)
    if value is not None and value < FINEST_STEP:
        finest = plain_number(FINEST_STEP)
        problem = f"{plain_number(value)} is finer than {finest} % and no scale; write 0.5"
        document.wrong(entry, problem)
        return None
    return value


def _count(document: Document, entry: Entry) -> int | None:
    """A whole number above 0."""
    value = document.number(entry, "7")
    if value is None:
        return None
    if value < 1 or value % 1:
        problem = f"{plain_number(value)} is not a whole number above 0; write for instance 7"
        document.wrong(entry, problem)
        return None
    return int(value)


def _single_steps(
    document: Document, entry: Entry | None, ingredients: Names
) -> dict[str, Decimal]:
    """Steps of single ingredients, by id."""
    found: dict[str, Decimal] = {}
    if entry is None:
        return found
    example = '[weighing.steps] and "lavender-oil" = 0.05'
    for name, inner in (document.any_table(entry, example) or {}).items():
        identifier = document.find(inner, name, ingredients)
        step = _step(document, inner)
        if identifier in found:
            document.wrong(inner, f"{identifier} has a step already; keep one")
        elif identifier is not None and step is not None:
            found[identifier] = step
    return found


def read_either(document: Document, entry: Entry | None, ingredients: Names) -> tuple[Either, ...]:
    """The tables `[[either]]`: ingredients that exclude each other.

    Args:
        document: The brief.
        entry: The list of tables, or None.
        ingredients: How ingredients may be called.
    """
    if entry is None:
        return ()
    example = '[[either]] with of = ["candelilla-wax", "carnauba-wax"] and use = "at most one"'
    if not isinstance(entry.value, list):
        document.unlike(entry, "a list of tables", example)
        return ()
    found = []
    for place, value in enumerate(entry.value):
        inner = document.within(entry, place, value)
        entries = document.table(inner, ("of", "use"), example)
        if entries is None:
            continue
        missing = [key for key in ("of", "use") if key not in entries]
        if missing:
            document.wrong(inner, f"{missing[0]} is missing; write {example}")
            continue
        of = tuple(ingredient_list(document, entries["of"], ingredients))
        word = document.text(entries["use"], f'"{AT_MOST_ONE}"')
        if word is not None and word not in (AT_MOST_ONE, EXACTLY_ONE):
            choices = f"{quoted(EXACTLY_ONE)} or {quoted(AT_MOST_ONE)}"
            document.wrong(entries["use"], f"no such choice: {quoted(word)}; write {choices}")
            continue
        if len(of) < 2 and not document.findings.mistakes:
            document.wrong(entries["of"], "name at least two ingredients")
            continue
        found.append(Either(of, word == EXACTLY_ONE, f"either[{place}]", inner.origin))
    return tuple(found)
