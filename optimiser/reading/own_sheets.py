"""The maker's own ingredient sheets, laid over the shipped book."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from optimiser.brief import Definition
from optimiser.inci import InciPart
from optimiser.ingredient import Book, Figure, Ingredient, Kind
from optimiser.provenance import Origin
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.inci import ci_numbers, inci_parts
from optimiser.reading.names import UnknownName, ingredient_names, is_total, nearest, one_of
from optimiser.reading.number_columns import read_number_column
from optimiser.reading.own_properties import (
    CI_NUMBER,
    INCI_NAME,
    INGREDIENT,
    KIND,
    PropertyColumn,
    check_figure,
    column_holds,
    plain_words,
    property_columns,
)
from optimiser.reading.sheet import Sheet, read_sheet
from optimiser.reading.wording import listed, quoted, unseen

OWN = "own"
"""The status of a figure that the maker gives."""

MOST_COMPARED = 200
"""So many new names are compared with the known ones."""

VERY_LIKE = 0.85
"""A new ingredient whose name is at least this like a known one may be a misspelling."""


def add_own_sheet(
    book: Book,
    path: Path,
    file: str,
    named_at: Origin,
    definitions: Mapping[str, Definition],
    findings: Findings,
) -> Book | None:
    """The book with a maker's sheet laid over it.

    A row adds an ingredient or changes a known one. A column whose heading is a known
    property overrides its figures; any other heading becomes a property of its own.

    Args:
        book: What is known so far; the figures of earlier sheets have the status `own`.
        path: The CSV or XLSX file.
        file: What the maker calls it.
        named_at: Where the brief names it.
        definitions: What the brief says of own properties, by name as written there.
        findings: Where mistakes and remarks are noted.

    Returns:
        The new book, with whatever could be read; None where the file cannot be read at all.
    """
    known = [INCI_NAME, KIND, CI_NUMBER, *book.properties]
    sheet = read_sheet(
        path, file, named_at, [INGREDIENT], known, findings, "a sheet of ingredients"
    )
    if sheet is None:
        return None
    if sheet.is_empty:
        findings.wrong(Origin(file), "no rows below the headings; write one for each ingredient")
    columns = property_columns(sheet, book, definitions, findings)
    properties = dict(book.properties)
    properties.update({column.property.id: column.property for column in columns})
    rows = _rows(sheet, book, findings)
    ingredients = dict(book.ingredients)
    kinds, labels = sheet.texts(KIND), _labels(sheet, findings)
    for number, (name, identifier) in rows.items():
        known_as = book.ingredients.get(identifier)
        kind = _kind(sheet, number, kinds.get(number, ""), known_as, findings)
        ingredient = known_as
        if ingredient is None:
            origin = Origin(file, number)
            ingredient = Ingredient(identifier, name, "", "", kind, {}, "", origin)
        ingredients[identifier] = labels[number].put_on(replace(ingredient, kind=kind))
    figures = {one: dict(ingredients[one].figures) for _, one in rows.values()}
    for column in columns:
        of = column.property.id
        having = ingredients.values() if of in book.properties else ()
        before = [one.figures[of] for one in having if of in one.figures]
        _add_figures(sheet, column, rows, figures, before, findings)
    for identifier, own in figures.items():
        ingredients[identifier] = replace(ingredients[identifier], figures=own)
    return replace(book, ingredients=ingredients, properties=properties)


@dataclass(frozen=True, slots=True)
class _Label:
    """What a row says of the label; empty where it is silent."""

    inci_name: str = ""
    parts: tuple[InciPart, ...] = ()
    ci_numbers: tuple[str, ...] = ()

    def put_on(self, ingredient: Ingredient) -> Ingredient:
        """The ingredient with the names that the row gives it."""
        if self.inci_name:
            ingredient = replace(ingredient, inci_name=self.inci_name, parts=self.parts)
        return replace(ingredient, ci_numbers=self.ci_numbers or ingredient.ci_numbers)


def _labels(sheet: Sheet, findings: Findings) -> dict[int, _Label]:
    """What each row says of the label, by row number."""
    inci_names, numbers = sheet.texts(INCI_NAME), sheet.texts(CI_NUMBER)
    labels: dict[int, _Label] = {}
    for row in sheet.rows:
        label = _Label(inci_names.get(row.number, ""))
        try:
            label = replace(label, parts=inci_parts(label.inci_name))
        except Problem as problem:
            findings.wrong(sheet.at(row.number, INCI_NAME), problem)
        try:
            if row.number in numbers:
                label = replace(label, ci_numbers=ci_numbers(numbers[row.number]))
        except Problem as problem:
            findings.wrong(sheet.at(row.number, CI_NUMBER), problem)
        labels[row.number] = label
    return labels


def new_ingredient_id(name: str) -> str:
    """The kebab-case id of an ingredient that only the maker knows.

    Example:
        >>> new_ingredient_id("Marula oil")
        'marula-oil'
    """
    return plain_words(name, "-")


def _rows(sheet: Sheet, book: Book, findings: Findings) -> dict[int, tuple[str, str]]:
    """The ingredient of each row, as written and as an id, by row number."""
    names = ingredient_names(book)
    rows: dict[int, tuple[str, str]] = {}
    row_of: dict[str, int] = {}
    written = sheet.texts(INGREDIENT)
    kinds = sheet.texts(KIND)
    new = 0
    for row in sheet.rows:
        at = sheet.at(row.number, INGREDIENT)
        name = " ".join(written.get(row.number, "").split())
        try:
            if not name:
                raise Problem("no ingredient in this row; fill it in or delete the row")
            if is_total(name, names):
                raise Problem("a total is no ingredient; delete this row")
            try:
                identifier = names.find(name)
            except UnknownName:
                identifier = _new_id(name, book)
            if identifier in row_of:
                raise Problem(
                    f"{quoted(name)} stands in row {row_of[identifier]} too; keep one row"
                )
        except Problem as problem:
            findings.wrong(at, problem)
            continue
        row_of[identifier] = row.number
        rows[row.number] = (name, identifier)
        if identifier not in book.ingredients:
            # A sheet of very many new names is a list of something else; the search is bounded.
            near = names.spellings.items() if new < MOST_COMPARED else ()
            new += 1
            like = nearest(name, near, VERY_LIKE)
            _remark_new(sheet.file, name, identifier, row.number in kinds, like, findings)
    return rows


def _new_id(name: str, book: Book) -> str:
    """The id of a new ingredient.

    Raises:
        Problem: The name gives none, or one that is taken.
    """
    identifier = new_ingredient_id(name)
    hidden = unseen(name)
    if hidden:
        raise Problem(f"{quoted(name)} has a sign that cannot be seen, {hidden}; type it anew")
    if not identifier:
        raise Problem(f"{quoted(name)} can be no ingredient's name; use letters and digits")
    if identifier in set(Kind):
        raise Problem(f"{quoted(name)} is a kind, not an ingredient; name it more closely")
    if identifier in book.ingredients:
        raise Problem(f"{quoted(name)} is too like {identifier}; write that, or another name")
    return identifier


def _remark_new(
    file: str, name: str, identifier: str, has_kind: bool, like: list[str], findings: Findings
) -> None:
    """Tell that an ingredient is new, since a misspelt known one would be, too."""
    sentence = f"{quoted(name)} is a new ingredient, {identifier}"
    if not has_kind:
        sentence += ", of the kind other, as none is given"
    if like:
        sentence += f" (or is {listed(like)} meant?)"
    findings.remark(file, sentence)


def _kind(
    sheet: Sheet, number: int, text: str, known: Ingredient | None, findings: Findings
) -> Kind:
    """The kind that a row gives, else the known one, else `other`."""
    before = Kind.OTHER if known is None else known.kind
    if not text:
        return before
    try:
        kind = Kind(one_of(Kind, "kind").find(text))
    except Problem:
        problem = f"{quoted(text)} is no kind; write {listed(list(Kind))}"
        findings.wrong(sheet.at(number, KIND), problem)
        return before
    if known is not None and kind is not before:
        findings.remark(sheet.file, f"{known.id} is of the kind {kind}, not {before}")
    return kind


def _add_figures(
    sheet: Sheet,
    column: PropertyColumn,
    rows: Mapping[int, tuple[str, str]],
    figures: Mapping[str, dict[str, Figure]],
    known: Sequence[Figure],
    findings: Findings,
) -> None:
    """Lay the figures of a column over those of the ingredients.

    Args:
        sheet: The maker's sheet.
        column: One of its columns.
        rows: The ingredient of each row, by row number.
        figures: What is known of each of these ingredients, which is changed.
        known: The property's figures so far, of all ingredients.
        findings: Where mistakes and remarks are noted.
    """
    own = column.property
    least = min((figure.low for figure in known), default=None)
    numbers = read_number_column(sheet, column.heading, findings, column_holds(own, known))
    for number, value in numbers.values.items():
        at = sheet.at(number, column.heading)
        try:
            check_figure(value, own, least)
            if number not in rows:
                continue
            of_this = figures[rows[number][1]]
            before = of_this.get(own.id)
            if before is not None and before.status == OWN:
                raise Problem(f"{before.origin} gives it too; keep one of them")
        except Problem as problem:
            findings.wrong(at, problem)
            continue
        of_this[own.id] = Figure(value, value, value, OWN, sheet.file, at)
