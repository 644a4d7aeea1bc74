"""The columns of a maker's own sheet that hold a property, known or new."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from optimiser.brief import COST, Definition
from optimiser.ingredient import Book, Figure, Kind, Over, Property, Rule, Trust
from optimiser.provenance import Origin, plain_number
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.likely_headings import likely_headings
from optimiser.reading.names import fold, one_of
from optimiser.reading.number_columns import Holds
from optimiser.reading.sheet import Sheet
from optimiser.reading.wording import quoted, unseen

INGREDIENT, INCI_NAME, KIND, CI_NUMBER = "ingredient", "inci_name", "kind", "ci_number"

NOTE_HEADINGS = frozenset(
    {"note", "notes", "comment", "comments", "remark", "remarks", "source", "supplier", "cas"}
)
"""Headings that are no property: the maker's notes, which are not used."""

MG_PER_100_G, MOST_MG_PER_100_G = "mg/100 g", 100_000
"""A unit of content, and what it is where there is nothing else."""

LIGHTEST, HEAVIEST = Decimal("0.5"), Decimal(8)
"""No ingredient's density is beyond these, in g/ml. The lightest on file is squalane, 0.81, and
the light hydrocarbons and silicones have 0.7 or more; below 0.5 there are only loose powders with
the air between their grains, which fat drives out. The heaviest on file is mica, 3.2; of the
pigments titanium dioxide has 4.2, iron oxides 5.2, zinc oxide 5.6 and bismuth oxychloride 7.7
(CRC Handbook of Chemistry and Physics, physical constants of inorganic compounds, from memory)."""

OWN_PROPERTY = "own property"
"""The meaning of a property that the maker brings."""


@dataclass(frozen=True, slots=True)
class PropertyColumn:
    """A column of a sheet that holds a property.

    Attributes:
        heading: As the maker wrote it, its unit included.
        property: The known or the new property.
    """

    heading: str
    property: Property


def property_columns(
    sheet: Sheet, book: Book, definitions: Mapping[str, Definition], findings: Findings
) -> list[PropertyColumn]:
    """The property behind each heading.

    Args:
        sheet: The maker's sheet.
        book: The properties known so far.
        definitions: What the brief says of own properties, by name as written there.
        findings: Where mistakes, and columns that are not used, are noted.
    """
    columns: list[PropertyColumn] = []
    defined = {fold(name): definition for name, definition in definitions.items()}
    known = {fold(identifier): own for identifier, own in book.properties.items()}
    taken: dict[str, str] = {}
    for heading in sheet.headings:
        name, unit = heading_and_unit(heading)
        folded = fold(name)
        if not heading or folded in {fold(INGREDIENT), fold(INCI_NAME), KIND, fold(CI_NUMBER)}:
            continue
        if folded in NOTE_HEADINGS:
            findings.remark(sheet.file, f"the column {quoted(heading)} is not used")
            continue
        at = sheet.at(sheet.heading_row, heading)
        try:
            if folded in taken:
                raise Problem(f"the same property as {quoted(taken[folded])}; keep one column")
            taken[folded] = heading
            if folded in known:
                own = known[folded]
                _check_unit(unit, own)
            else:
                definition = defined.get(folded) or defined.get(fold(plain_words(name, "_")))
                if definition is None:
                    _check_slip(name, book)
                own = _new_property(name, unit, definition, at)
            columns.append(PropertyColumn(heading, own))
        except Problem as problem:
            findings.wrong(at, problem)
    return columns


def _check_slip(name: str, book: Book) -> None:
    """Refuse a new heading that is likely a known property, or another known column.

    Raises:
        Problem: Naming the property, and how to keep the column all the same.
    """
    titles = {identifier: own.title for identifier, own in book.properties.items()}
    near = likely_headings(name, titles | {INCI_NAME: "", KIND: "", CI_NUMBER: ""})
    if near:
        raise Problem(
            f"no such property; nearest: {', '.join(near)}; to keep it as a property of your own, "
            f"add [define.{plain_words(name, '_')}] to the brief"
        )


def heading_and_unit(heading: str) -> tuple[str, str]:
    """The name of a column and the unit in brackets behind it, or an empty one.

    Example:
        >>> heading_and_unit("Drop point (C)")
        ('Drop point', 'C')
    """
    heading = " ".join(heading.split())
    for opening, closing in ("()", "[]"):
        if heading.endswith(closing) and opening in heading:
            name, _, unit = heading.removesuffix(closing).partition(opening)
            return name.strip(), unit.strip()
    return heading.strip(), ""


def _folded_unit(unit: str) -> str:
    """A unit without regard to case, blanks and degree signs."""
    return "".join(unit.casefold().replace("°", "").split())


def _check_unit(unit: str, own: Property) -> None:
    """Refuse a heading whose unit is not the property's.

    Raises:
        Problem: Naming both.
    """
    if unit == "%" and own.unit.startswith("%"):
        return
    if unit and _folded_unit(unit) != _folded_unit(own.unit):
        raise Problem(
            f"in {unit}, but {own.id} is known in {own.unit or 'no unit'}; convert the figures"
        )


def _new_property(name: str, unit: str, definition: Definition | None, at: Origin) -> Property:
    """A property that the maker brings: a mass average, over the product unless defined.

    Raises:
        Problem: The heading can be no property.
    """
    identifier = plain_words(name, "_")
    hidden = unseen(name)
    if hidden:
        raise Problem(f"{quoted(name)} has a sign that cannot be seen, {hidden}; type it anew")
    if not identifier:
        raise Problem(f"{quoted(name)} can be no property's name; use letters and digits")
    if identifier == COST:
        raise Problem("cost comes from the price list; remove the column or rename it")
    if identifier in set(Kind):
        raise Problem(f"{identifier} is a kind, not a property; rename the column")
    said = None if definition is None else definition.unit
    if unit and said is not None and _folded_unit(unit) != _folded_unit(said):
        raise Problem(f"the heading says {unit}, the brief {said}; make them agree")
    over = None if definition is None else definition.over
    return Property(
        id=identifier,
        title=name,
        unit=unit or said or "",
        over=over or Over.PRODUCT,
        rule=Rule.MASS,
        trust=Trust.EXACT,
        meaning=OWN_PROPERTY,
        step=Decimal(1),
        always_printed=True,
        is_own=True,
        origin=at,
    )


def plain_words(name: str, joint: str) -> str:
    """The name in lower case without accents, anything but letters and digits as a joint."""
    plain = (
        letter
        for letter in unicodedata.normalize("NFKD", name).casefold()
        if not unicodedata.combining(letter)
    )
    return joint.join("".join(x if x.isalnum() else " " for x in plain).split())


def is_percentage(own: Property) -> bool:
    """Whether no figure of a shipped property can exceed 100."""
    return own.meaning != OWN_PROPERTY and own.unit.startswith("%")


def column_holds(own: Property, known: Iterable[Figure]) -> Holds:
    """What the figures of a property are, and an example of one.

    Args:
        own: The property.
        known: Its figures so far; the middle one of those above 0 is the example.
    """
    typical = sorted(figure.typical for figure in known if figure.typical > 0)
    advice = f"write it like {plain_number(typical[len(typical) // 2]) if typical else '12.5'}"
    if own.unit.startswith("%"):
        return Holds("", advice, largest=100 if is_percentage(own) else None)
    if own.unit:
        return Holds(own.unit, advice, f"write the figure in {own.unit}")
    return Holds("a plain number", advice, f'{advice}, or head the column "{own.title} (%)"')


def check_figure(value: Decimal, own: Property, least: Decimal | None) -> None:
    """Refuse figures that nothing measures.

    Args:
        value: The maker's figure.
        own: Its property.
        least: The lowest published figure of the property, or None where there is none.

    Raises:
        Problem: Saying what the figure may be.
    """
    if own.rule is Rule.VOLUME and value <= 0:
        raise Problem(f"{own.id} is always above 0; write it in {own.unit}")
    if own.rule is Rule.VOLUME:
        _check_density(value, own.unit)
    if _folded_unit(own.unit) == _folded_unit(MG_PER_100_G) and value > MOST_MG_PER_100_G:
        raise Problem(f"{own.id} is more than the ingredient's own weight; write it in {own.unit}")
    if own.meaning == OWN_PROPERTY:
        return
    # Free oil is negative for powders, which take oil up; vitamin E never is.
    if least is not None and value < 0 <= least:
        raise Problem(f"{own.id} is never below 0; write 0 or more")
    if is_percentage(own) and value > 100:
        raise Problem(f"{own.id} is at most 100 %; write 0 to 100")


def _check_density(value: Decimal, unit: str) -> None:
    """Refuse a density that no ingredient has; most are in kg/m3, of which 1000 make a g/ml.

    Raises:
        Problem: Saying what to write.
    """
    if LIGHTEST <= value <= HEAVIEST:
        return
    shown = f"{plain_number(value)} {unit} is no density of an ingredient"
    if LIGHTEST <= value / 1000 <= HEAVIEST:
        raise Problem(f"{shown}; if it is kg/m3 write {plain_number(value / 1000)}")
    if value < LIGHTEST:
        raise Problem(f"{shown}; write it like 0.92, that of a powder without the air in it")
    raise Problem(f"{shown}; write it like 0.92")


def unused_definitions(
    definitions: Mapping[str, Definition],
    shipped: Book,
    book: Book,
    complete: bool,
    findings: Findings,
) -> None:
    """Note definitions of properties that are shipped, or that no sheet brings.

    Args:
        definitions: What the brief says of own properties, by name as written there.
        shipped: The book without the maker's sheets.
        book: The book with them.
        complete: False when a sheet could not be read, so that it may bring the property.
        findings: Where mistakes are noted.
    """
    ready = {fold(identifier) for identifier in (*shipped.properties, COST)}
    own = [identifier for identifier in book.properties if identifier not in shipped.properties]
    for name, definition in definitions.items():
        at = definition.origin
        if fold(name) in ready:
            findings.wrong(at, f"{name} is defined by the ingredient data; remove this table")
        elif complete and fold(name) not in {fold(identifier) for identifier in own}:
            offer = one_of(own, "property").offer(name)
            problem = f"no sheet has a column {quoted(name)}{offer}; rename it or remove this"
            findings.wrong(at, problem)
