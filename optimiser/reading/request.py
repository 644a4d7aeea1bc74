"""A brief with its price lists and own sheets: everything that one question needs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from optimiser.brief import Brief, Definition, End, Family, Request
from optimiser.ingredient import Book
from optimiser.price import Offer, PackagingOffer
from optimiser.provenance import Origin
from optimiser.reading.brief_limits import Limits, limited, read_limits
from optimiser.reading.brief_tables import (
    TABLES,
    NamedFile,
    Shelf,
    read_cautious,
    read_certificate_files,
    read_costing,
    read_definitions,
    read_groups,
    read_sheet_files,
    read_shelf,
)
from optimiser.reading.character import read_character
from optimiser.reading.choices import read_either, read_weighing
from optimiser.reading.currencies import costing_currency
from optimiser.reading.files import without_sheet
from optimiser.reading.findings import Findings
from optimiser.reading.likely_fractions import remark_likely_fractions
from optimiser.reading.making import read_batch, read_jar
from optimiser.reading.names import (
    fold,
    ingredient_names,
    property_names,
)
from optimiser.reading.own_properties import unused_definitions
from optimiser.reading.own_sheets import add_own_sheet
from optimiser.reading.price_list import read_price_list
from optimiser.reading.repeated_rows import remark_repeated
from optimiser.reading.shipped_tables import read_book
from optimiser.reading.skin_tables import with_skin_tables
from optimiser.reading.spreads import read_spreads
from optimiser.reading.style_limits import with_style
from optimiser.reading.subjects import subject_names
from optimiser.reading.supplier_terms import supplier_terms, with_terms
from optimiser.reading.toml_document import (
    Document,
    Entry,
    read_document,
)
from optimiser.reading.uses import read_skin, read_uses, with_skin_limits
from optimiser.reading.wording import listed


def read_request(
    brief: str | Path,
    prices: Sequence[str | Path] = (),
    book: Book | None = None,
    skin: bool = False,
) -> Request:
    """Read a brief with everything it refers to.

    Files that the brief names are looked for beside it. Where a key stands both in the
    brief and in its style, the brief's value is taken; a bound of the style that the
    brief's opposite bound excludes is dropped, with a remark.

    Args:
        brief: The TOML file.
        prices: Price lists to read instead of those the brief names.
        book: The ingredient data; by default the shipped tables.
        skin: Whether constituents and labels are wanted even where the brief names no use.

    Raises:
        InputError: With every mistake in the brief, the sheets and the price lists, in
            that order, each with its file, line and key path. Where a file cannot be read
            at all, names that only it could explain are not reported.
    """
    path = Path(brief)
    findings = Findings()
    document = read_document(path, findings)
    tables = document.table(document.root, TABLES, "a brief") or {}
    shipped = read_book() if book is None else book

    definitions = read_definitions(document, tables.get("define"))
    shelf_table = _shelf_table(document, tables)
    sheet_files = read_sheet_files(document, shelf_table)
    whole, complete = _with_own_sheets(sheet_files, path.parent, shipped, definitions, findings)

    ingredients = ingredient_names(whole, complete)
    certificate_files = read_certificate_files(document, shelf_table)
    if skin or certificate_files or {"use", "skin"} & tables.keys():
        whole = with_skin_tables(whole)
    if skin or certificate_files:
        # Most briefs have neither.
        from optimiser.reading.certificates import add_certificates
        from optimiser.reading.label_tables import with_label_tables

        whole = with_label_tables(whole)
        for file in certificate_files:
            place = path.parent / file.written
            whole = add_certificates(whole, place, file.written, file.at, ingredients, findings)
    properties = property_names(whole, complete)
    costing = read_costing(document, tables.get("costing"), prices_needed=not prices)
    price_files, folder = costing.prices, path.parent
    if prices:
        price_files = tuple(NamedFile(str(file), Origin(str(file))) for file in prices)
        folder = Path()
    offers: list[Offer] = []
    packaging: list[PackagingOffer] = []
    mistakes_before = len(findings.mistakes)
    for file in price_files:
        place = folder / file.written
        read = read_price_list(place, file.written, file.at, whole, ingredients, findings)
        offers += read.offers
        packaging += read.packaging
    remark_repeated([*offers, *packaging], findings)
    terms = supplier_terms(offers, packaging, findings)
    all_priced = bool(offers) and len(findings.mistakes) == mistakes_before
    currency = costing_currency(costing.currency, [*offers, *packaging], costing.at, findings)

    shelf = read_shelf(document, shelf_table, ingredients)
    groups = read_groups(document, tables.get("groups"), ingredients, properties)
    subjects = subject_names(groups, ingredients)
    said = read_limits(document, tables, ingredients, subjects, properties)
    remark_likely_fractions(said.limits, groups, whole, document.file, findings)
    priced = {offer.ingredient for offer in offers} if all_priced else None
    _check_shelf(said, shelf, priced, findings)
    style = _style(document, tables.get("style"), whole)
    limits = tuple(said.limits)
    if style is not None:
        limits = with_style(style, limits, whole, document.file, findings)
    uses = read_uses(document, tables.get("use"))
    own_on_skin = read_skin(document, tables.get("skin"), whole)
    limits += with_skin_limits(uses, own_on_skin, whole, document.file, findings)
    cautious = read_cautious(document, tables.get("natural_variation"), properties)
    for identifier in cautious:
        if identifier not in limited(limits, Family.PROPERTIES):
            findings.remark(document.file, f"cautious names {identifier}, but nothing limits it")
    weighing = read_weighing(document, tables.get("weighing"), ingredients)
    character = read_character(document, tables.get("character"), groups, properties)
    either = read_either(document, tables.get("either"), ingredients)
    spreads = read_spreads(document, tables.get("price_spread"), subjects, whole, groups)
    batch = read_batch(document, tables.get("batch"))
    jar = read_jar(document, tables.get("jar"))
    name = document.text(tables["name"], '"Hand butter"') if "name" in tables else path.stem
    findings.stop_if_wrong(
        [
            document.file,
            *(file.written for file in (*sheet_files, *certificate_files, *price_files)),
        ]
    )
    return Request(
        brief=Brief(
            name=name or path.stem,
            file=str(brief),
            style=style,
            currency=currency,
            use=None if shelf.use is None else tuple(shelf.use),
            leave_out=shelf.leave_out,
            groups=groups,
            limits=limits,
            or_none=said.or_none,
            weighing=weighing,
            either=either,
            character=character,
            price_spreads=spreads,
            uses=uses,
            batch=batch,
            jar=jar,
            cautious=cautious,
            definitions={
                properties.find(written): definition for written, definition in definitions.items()
            },
        ),
        book=whole,
        offers=with_terms(offers, terms),
        packaging=with_terms(packaging, terms),
        remarks=tuple(findings.remarks),
        files=(
            path,
            *(
                without_sheet(path.parent / file.written)[0]
                for file in (*sheet_files, *certificate_files)
            ),
            *(without_sheet(folder / file.written)[0] for file in price_files),
        ),
    )


def _shelf_table(document: Document, tables: dict[str, Entry]) -> dict[str, Entry]:
    """The entries of the table `shelf`, none where the brief has none."""
    if "shelf" not in tables:
        return {}
    known = ("use", "leave_out", "sheets", "certificates")
    return document.table(tables["shelf"], known, '[shelf] and use = ["mango-butter"]') or {}


def _with_own_sheets(
    sheets: Sequence[NamedFile],
    folder: Path,
    shipped: Book,
    definitions: Mapping[str, Definition],
    findings: Findings,
) -> tuple[Book, bool]:
    """The book with the maker's sheets laid over it, and whether all could be read."""
    whole, complete = shipped, True
    for file in sheets:
        place = folder / file.written
        more = add_own_sheet(whole, place, file.written, file.at, definitions, findings)
        whole, complete = (whole, False) if more is None else (more, complete)
    unused_definitions(definitions, shipped, whole, complete, findings)
    return whole, complete


def _style(document: Document, entry: Entry | None, book: Book) -> str | None:
    """The style, if the brief names one."""
    if entry is None:
        return None
    text = document.text(entry, '"whipped-butter"')
    if text is None:
        return None
    for style in book.styles:
        if fold(style) == fold(text):
            return style
    document.wrong(entry, f"no such style; write {listed(book.styles)}")
    return None


def _check_shelf(said: Limits, shelf: Shelf, priced: set[str] | None, findings: Findings) -> None:
    """Note what is to be used without a price, and amounts asked of what may not be used.

    Args:
        said: The limits of the brief.
        shelf: What may be used.
        priced: The ingredients with a price, or None where that is not known.
        findings: Where mistakes are noted.
    """
    for identifier, at in (shelf.use or {}).items():
        if priced is not None and identifier not in priced:
            problem = f"{identifier} has no price; add a row to the price list or remove it here"
            findings.wrong(at, problem)
    for limit in said.limits:
        needed = limit.end is not End.MAX and limit.value > 0 and limit.of not in said.or_none
        if limit.family is not Family.AMOUNTS or not needed:
            continue
        if limit.of in shelf.leave_out:
            problem = "stands in shelf.leave_out, so none may be used; remove it from one"
        elif shelf.use is not None and limit.of not in shelf.use:
            problem = "does not stand in shelf.use, so none may be used; add it there"
        elif shelf.use is None and priced is not None and limit.of not in priced:
            problem = "has no price; add a row to the price list"
        else:
            continue
        findings.wrong(limit.origin, f"{limit.of} {problem}")
