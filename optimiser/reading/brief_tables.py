"""The tables of a brief other than its limits: costing, shelf, groups, weighing and so on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from optimiser.brief import COST, Definition
from optimiser.ingredient import Kind, Over
from optimiser.provenance import Origin
from optimiser.reading.caps import LONGEST_CURRENCY, MOST_FILES
from optimiser.reading.names import Names, fold
from optimiser.reading.toml_document import Document, Entry, unknown_choice
from optimiser.reading.wording import quoted, unseen

TABLES = (
    "name",
    "style",
    "use",
    "costing",
    "shelf",
    "groups",
    "amounts",
    "totals",
    "ratios",
    "properties",
    "skin",
    "weighing",
    "either",
    "natural_variation",
    "character",
    "price_spread",
    "batch",
    "jar",
    "define",
)
"""Everything that may stand outermost in a brief."""


@dataclass(frozen=True, slots=True)
class NamedFile:
    """A file that the brief names: as written, and where."""

    written: str
    at: Origin


@dataclass(frozen=True, slots=True)
class Costing:
    """The table `costing`: the price lists, and the currency or None."""

    prices: tuple[NamedFile, ...]
    currency: str | None
    at: Origin


@dataclass(frozen=True, slots=True)
class Shelf:
    """The table `shelf`, its names resolved.

    Attributes:
        use: Where each ingredient id is named, or None for all that is priced.
        leave_out: Ingredient ids.
    """

    use: Mapping[str, Origin] | None = None
    leave_out: tuple[str, ...] = field(default=())


def read_costing(document: Document, entry: Entry | None, prices_needed: bool) -> Costing:
    """The table `costing`.

    Args:
        document: The brief.
        entry: The table, or None where the brief has none.
        prices_needed: False where the price lists are given otherwise.
    """
    example = '[costing] and prices = "prices.csv"'
    if entry is None:
        missing = document.within(document.root, "costing", None)
        if prices_needed:
            document.wrong(missing, f"missing; write {example}")
        return Costing((), None, missing.origin)
    entries = document.table(entry, ("prices", "currency"), example) or {}
    currency = None
    if "currency" in entries:
        currency = document.text(entries["currency"], '"GBP"')
        if currency is not None and len(currency) > LONGEST_CURRENCY:
            document.wrong(entries["currency"], 'too long for a currency; write "GBP"')
    at = entries["currency"].origin if "currency" in entries else entry.origin
    files: tuple[NamedFile, ...] = ()
    if "prices" in entries:
        files = _files(document, entries["prices"], '"prices.csv"')
    elif prices_needed and isinstance(entry.value, dict):
        missing = document.within(entry, "prices", None)
        document.wrong(missing, 'missing; write prices = "prices.csv"')
    return Costing(files, currency, at)


def read_sheet_files(document: Document, shelf: Mapping[str, Entry]) -> tuple[NamedFile, ...]:
    """The maker's own sheets that the table `shelf` names."""
    if "sheets" not in shelf:
        return ()
    return _files(document, shelf["sheets"], '["my_ingredients.csv"]')


def read_certificate_files(document: Document, shelf: Mapping[str, Entry]) -> tuple[NamedFile, ...]:
    """The sheets of certificates that the table `shelf` names."""
    if "certificates" not in shelf:
        return ()
    return _files(document, shelf["certificates"], '["scent_certificates.csv"]')


def _files(document: Document, entry: Entry, example: str) -> tuple[NamedFile, ...]:
    """The files of a list, each once."""
    files: dict[str, NamedFile] = {}
    found = document.texts(entry, example)
    if found == [] and entry.value == []:
        document.wrong(entry, f"an empty list; write {example}")
    if found is not None and len(found) > MOST_FILES:
        document.wrong(entry, f"more than {MOST_FILES} files; put their rows together in one")
        return ()
    for item, written in found or ():
        if written in files:
            document.wrong(item, f"{quoted(written)} is named twice; name it once")
        files.setdefault(written, NamedFile(written, item.origin))
    return tuple(files.values())


def read_shelf(document: Document, shelf: Mapping[str, Entry], names: Names) -> Shelf:
    """What may be used and what may not.

    Args:
        document: The brief.
        shelf: The entries of the table `shelf`.
        names: How ingredients may be called.
    """
    use: dict[str, Entry] | None = None
    leave_out: dict[str, Entry] = {}
    if "use" in shelf:
        use = ingredient_list(document, shelf["use"], names)
    if "leave_out" in shelf:
        leave_out = ingredient_list(document, shelf["leave_out"], names, may_be_empty=True)
    for identifier, item in leave_out.items():
        if use is not None and identifier in use:
            document.wrong(item, f"{identifier} stands in shelf.use too; remove it from one")
    origins = None if use is None else {name: item.origin for name, item in use.items()}
    return Shelf(origins, tuple(leave_out))


def ingredient_list(
    document: Document, entry: Entry, names: Names, may_be_empty: bool = False
) -> dict[str, Entry]:
    """The ingredients of a list by id, each with its place."""
    example = '["mango-butter", "kokum-butter"]'
    found: dict[str, Entry] = {}
    written: dict[str, str] = {}
    texts = document.texts(entry, example)
    if texts == [] and entry.value == [] and not may_be_empty:
        document.wrong(entry, f"an empty list; write {example}, or remove the line")
    for item, text in texts or ():
        identifier = document.find(item, text, names, repeat=True)
        if identifier is None:
            continue
        if identifier in found:
            twice = quoted(written[identifier])
            same = f"{quoted(text)} is named twice"
            problem = same if written[identifier] == text else f"{quoted(text)} is {twice} again"
            document.wrong(item, f"{problem}; name it once")
            continue
        found[identifier], written[identifier] = item, text
    return found


def read_groups(
    document: Document, entry: Entry | None, ingredients: Names, properties: Names
) -> dict[str, tuple[str, ...]]:
    """The maker's own groups: ingredient ids by the group's name.

    Args:
        document: The brief.
        entry: The table `groups`, or None.
        ingredients: How ingredients may be called.
        properties: What a group may not be called, besides kinds and ingredients.
    """
    groups: dict[str, tuple[str, ...]] = {}
    if entry is None:
        return groups
    example = '[groups] and nut_oils = ["hazelnut-oil"]'
    folded: dict[str, str] = {}
    for name, inner in (document.any_table(entry, example) or {}).items():
        taken = _taken_by(name, ingredients, properties)
        if taken:
            document.wrong(inner, f"{quoted(name)} is {taken} already; choose another name")
        elif unseen(name):
            problem = f"a sign that cannot be seen, {unseen(name)}; type the name anew"
            document.wrong(inner, problem)
        elif not name.strip() or ":" in name or len(name.splitlines()) > 1:
            problem = "a group's name has letters, no colon and one line; write nut_oils"
            document.wrong(inner, problem)
        elif fold(name) in folded:
            other = quoted(folded[fold(name)])
            document.wrong(inner, f"the same name as {other}; choose another name")
        folded.setdefault(fold(name), name)
        groups[name] = tuple(ingredient_list(document, inner, ingredients))
    return groups


def _taken_by(name: str, ingredients: Names, properties: Names) -> str:
    """What else has this name, or nothing."""
    if fold(name) in set(Kind):
        return "a kind"
    if fold(name) in ingredients.spellings and fold(name) not in ingredients.everyday:
        return "an ingredient"
    return "a property" if fold(name) in properties.spellings else ""


def read_cautious(document: Document, entry: Entry | None, properties: Names) -> dict[str, Origin]:
    """The properties whose limits hold at the worst end of the published range."""
    if entry is None:
        return {}
    example = 'cautious = ["vitamin_e"]'
    entries = document.table(entry, ("cautious",), f"[natural_variation] and {example}") or {}
    cautious: dict[str, Origin] = {}
    if "cautious" not in entries:
        return cautious
    for item, text in document.texts(entries["cautious"], '["vitamin_e"]') or ():
        found = document.find(item, text, properties, repeat=True)
        if found == COST:
            document.wrong(item, "cost has no natural variation; remove it here")
        elif found in cautious:
            document.wrong(item, f"{quoted(text)} is named twice; name it once")
        elif found is not None:
            cautious[found] = item.origin
    return cautious


def read_definitions(document: Document, entry: Entry | None) -> dict[str, Definition]:
    """What the brief says of own properties, by the name written there."""
    if entry is None:
        return {}
    definitions: dict[str, Definition] = {}
    folded: dict[str, str] = {}
    example = '[define.drop_point] and unit = "C"'
    for name, inner in (document.any_table(entry, example) or {}).items():
        entries = document.table(inner, ("unit", "over"), example)
        if entries is None:
            continue
        if fold(name) in folded:
            problem = f"the same property as {quoted(folded[fold(name)])}; keep one table"
            document.wrong(inner, problem)
            continue
        folded[fold(name)] = name
        unit = document.text(entries["unit"], '"C"') if "unit" in entries else None
        over = None
        if "over" in entries:
            text = document.text(entries["over"], '"fat"')
            if text is not None and text not in set(Over):
                choices = tuple(Over)
                document.wrong(entries["over"], unknown_choice(text, choices, "phase"))
            elif text is not None:
                over = Over(text)
        definitions[name] = Definition(unit, over, inner.origin)
    return definitions
