"""The tables of `ingredient_data`, read strictly: they are ours, and written for a machine.

Every cell is checked, but nothing is guessed: commas, points, UTF-8, fixed headings. A
mistake in them is told like one of the maker's, with file, row and column.
"""

from __future__ import annotations

from collections.abc import Container, Mapping
from decimal import Decimal, InvalidOperation
from importlib.resources import files
from importlib.resources.abc import Traversable

from optimiser.brief import End, Family
from optimiser.inci import InciPart
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
    Source,
    StartingLimit,
    Trait,
    Trust,
)
from optimiser.provenance import InputError, Origin
from optimiser.reading.findings import Problem
from optimiser.reading.inci import inci_parts
from optimiser.reading.names import fold
from optimiser.reading.strict_tables import PACKAGE, Tables

_ALWAYS = "always"
_PRINTED = frozenset({_ALWAYS, "when limited"})
_WHEN = frozenset({"always", "kind", "ingredient", "origin", "style", "property_above"})
_LABEL = "label"
_STANDS_ON = frozenset({_LABEL, "workshop"})


def read_book(folder: Traversable | None = None) -> Book:
    """Everything that is shipped about ingredients.

    Args:
        folder: Where the tables are; by default the package `ingredient_data`.

    Raises:
        InputError: A table is missing or has a mistake; every one is told.
    """
    tables = Tables(files(PACKAGE) if folder is None else folder, [])
    sources = _sources(tables)
    properties = _properties(tables)
    figures = _figures(tables, properties, sources)
    ingredients = _ingredients(tables, figures)
    book = Book(
        ingredients=ingredients,
        properties=properties,
        starting_limits=_starting_limits(tables, properties),
        character=_character(tables, properties),
        softening_pairs=_softening_pairs(tables, ingredients),
        cautions=_cautions(tables),
        sources=sources,
        other_names=_other_names(tables, ingredients),
    )
    if tables.mistakes:
        raise InputError(tables.mistakes)
    return book


def _sources(tables: Tables) -> dict[str, Source]:
    """Citations by id."""
    sources: dict[str, Source] = {}
    for at, cells in tables.rows("sources.csv"):
        if tables.new(at, cells[0], sources):
            sources[cells[0]] = Source(*cells)
    return sources


def _properties(tables: Tables) -> dict[str, Property]:
    """Properties by id."""
    properties: dict[str, Property] = {}
    for at, cells in tables.rows("properties.csv"):
        identifier, title, unit, over, rule, trust, step, printed, meaning, _ = cells
        tables.known(at, printed, _PRINTED, "time to print it")
        if tables.new(at, identifier, properties):
            properties[identifier] = Property(
                id=identifier,
                title=title,
                unit=unit,
                over=tables.word(at, over, Over, Over.PRODUCT),
                rule=tables.word(at, rule, Rule, Rule.MASS),
                trust=tables.word(at, trust, Trust, Trust.APPROXIMATE),
                meaning=meaning,
                step=tables.number(at, step),
                always_printed=printed == _ALWAYS,
                origin=at,
            )
    return properties


def _figures(
    tables: Tables, properties: Mapping[str, Property], sources: Mapping[str, Source]
) -> dict[str, dict[str, Figure]]:
    """The figures of each ingredient by property."""
    figures: dict[str, dict[str, Figure]] = {}
    for at, cells in tables.rows("figures.csv"):
        ingredient, identifier, low, typical, high, unit, status, source, _, note = cells
        own = properties.get(identifier)
        if own is None or source not in sources:
            tables.known(at, identifier, properties, "property")
            tables.known(at, source, sources, "source")
            continue
        if unit != own.unit:
            tables.wrong(at, f"in {unit!r}, but {identifier} is in {own.unit!r}")
        try:
            middle = Decimal(typical)
            figure = Figure(
                Decimal(low) if low else middle,
                middle,
                Decimal(high) if high else middle,
                status,
                source,
                at,
                note,
            )
            orderly = figure.low <= middle <= figure.high and middle.is_finite()
        except InvalidOperation:
            tables.wrong(at, "low, typical and high must be numbers")
            continue
        if not orderly:
            tables.wrong(at, "low must not be above typical, nor typical above high")
        if tables.new(at, identifier, figures.setdefault(ingredient, {})):
            figures[ingredient][identifier] = figure
    return figures


def _ingredients(
    tables: Tables, figures: Mapping[str, Mapping[str, Figure]]
) -> dict[str, Ingredient]:
    """Ingredients by id, with their figures."""
    ingredients: dict[str, Ingredient] = {}
    for at, cells in tables.rows("ingredients.csv"):
        identifier, common_name, inci_name, cas, kind, allergen_note, _, _, _ = cells
        if tables.new(at, identifier, ingredients):
            ingredients[identifier] = Ingredient(
                id=identifier,
                common_name=common_name,
                inci_name=inci_name,
                cas=cas,
                kind=tables.word(at, kind, Kind, Kind.OTHER),
                figures=figures.get(identifier, {}),
                allergen_note=allergen_note,
                origin=at,
                parts=_parts(tables, at, inci_name),
            )
    for identifier, own in figures.items():
        if identifier not in ingredients:
            first = next(iter(own.values()))
            tables.known(first.origin, identifier, ingredients, "ingredient")
    return ingredients


def _parts(tables: Tables, at: Origin, inci_name: str) -> tuple[InciPart, ...]:
    """The parts of a blend; none where it is a single material."""
    try:
        return inci_parts(inci_name)
    except Problem as problem:
        tables.wrong(at, str(problem))
        return ()


def _other_names(
    tables: Tables, ingredients: Mapping[str, Ingredient]
) -> dict[str, tuple[str, ...]]:
    """Everyday names, each with one ingredient or with several; none is a name already."""
    taken = {
        fold(name): one.id
        for one in ingredients.values()
        for name in (one.inci_name, one.common_name, one.id)
    }
    others: dict[str, tuple[str, ...]] = {}
    spelled: dict[str, str] = {}
    for at, cells in tables.rows("other_names.csv"):
        name, identifier, _ = cells
        if fold(name) in taken:
            tables.wrong(at, f"{name} is a name of {taken[fold(name)]} already; delete the row")
        elif spelled.setdefault(fold(name), name) != name:
            tables.wrong(at, f"{name} is {spelled[fold(name)]} again; write it in one way")
        elif identifier in others.get(name, ()):
            tables.wrong(at, f"{name} stands twice for {identifier}; keep one row")
        elif tables.known(at, identifier, ingredients, "ingredient") and fold(name):
            others[name] = (*others.get(name, ()), identifier)
    return others


def _starting_limits(
    tables: Tables, properties: Mapping[str, Property]
) -> tuple[StartingLimit, ...]:
    """The limits of every style."""
    limits: list[StartingLimit] = []
    for at, cells in tables.rows("starting_limits.csv"):
        style, family, of, end, value, _, status, note = cells
        sides = of.split(":") if family == Family.RATIOS else [of]
        known: Container[str] = properties if family == Family.PROPERTIES else set(Kind)
        for side in sides:
            tables.known(at, side, known, "kind or property")
        if end not in {End.MIN, End.MAX} or family not in set(Family) - {
            Family.AMOUNTS,
            Family.SKIN,
        }:
            tables.wrong(at, f"no such limit: {family}.{of}.{end}")
            continue
        number = tables.number(at, value)
        limits.append(StartingLimit(style, family, of, end, number, status, note, at))
    return tuple(limits)


def _character(tables: Tables, properties: Mapping[str, Property]) -> tuple[Trait, ...]:
    """What a formula is known by."""
    traits: list[Trait] = []
    for at, cells in tables.rows("character.csv"):
        family, of, tolerance, _, more, less, reason, status = cells
        known: Container[str] = properties if family == Family.PROPERTIES else set(Kind)
        tables.known(at, of, known, "kind or property")
        number = tables.number(at, tolerance)
        if family not in {Family.PROPERTIES, Family.TOTALS} or number <= 0:
            tables.wrong(at, "a trait is a property or a total with a tolerance above 0")
            continue
        traits.append(Trait(family, of, number, more, less, reason, status, at))
    return tuple(traits)


def _softening_pairs(
    tables: Tables, ingredients: Mapping[str, Ingredient]
) -> tuple[SofteningPair, ...]:
    """Families of fats that soften each other."""
    pairs: list[SofteningPair] = []
    for at, cells in tables.rows("softening_pairs.csv"):
        first, second, status, source, note = cells
        for identifier in (*first.split(), *second.split()):
            tables.known(at, identifier, ingredients, "ingredient")
        families = frozenset(first.split()), frozenset(second.split())
        pairs.append(SofteningPair(*families, note, source, status, at))
    return tuple(pairs)


def _cautions(tables: Tables) -> tuple[Caution, ...]:
    """Warnings, in the order of the table."""
    cautions: list[Caution] = []
    for at, cells in tables.rows("cautions.csv"):
        when, of, text, source, status, stands_on = cells
        tables.known(at, stands_on, _STANDS_ON, "place")
        if tables.known(at, when, _WHEN, "occasion"):
            cautions.append(Caution(when, of, text, source, status, stands_on == _LABEL))
    return tuple(cautions)
