"""Suppliers' certificates of scents, as a maker copies them into a sheet.

A row states a constituent and how much of it the scent holds at most, or a product category
and how much of the scent it allows at most, or both. What a certificate states of a scent's
constituents takes the place of all that is shipped about them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from optimiser.ingredient import Book
from optimiser.provenance import Origin, plain_number
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import MOST_SEARCHED, Names, fold, nearest
from optimiser.reading.number_columns import Holds, read_number_column
from optimiser.reading.own_sheets import OWN
from optimiser.reading.sheet import Sheet, read_sheet
from optimiser.reading.wording import listed, quoted
from optimiser.skin import ALL_CATEGORIES, CATEGORIES, CertifiedMaximum, Constituent

INGREDIENT, CONSTITUENT, PERCENT = "ingredient", "constituent", "percent"
CATEGORY, AT_MOST = "category", "at_most"

_FILLERS = frozenset({"", "IFRA", "CATEGORY", "CATEGORIES", "CAT", "CAT.", "CLASS", "AND", "OR"})

_UNDIVIDED = frozenset({"7", "10", "11"})
"""Categories that older certificates do not divide, of which no part is used here."""

_KNOWN = listed(ALL_CATEGORIES, "and")

SHARE = Holds("", "write it like 12.5", largest=100)

VERY_LIKE = 0.8
"""A constituent at least this like a known one is taken for a misspelling of it."""

OTHER_NAMES = {
    "d limonene": "Limonene",
    "(r) limonene": "Limonene",
    "lilial": "Butylphenyl Methylpropional",
    "hicc": "Hydroxyisohexyl 3-Cyclohexene Carboxaldehyde",
    "5 mop": "Bergapten (5-MOP)",
    "bergapten": "Bergapten (5-MOP)",
    "bergaptene": "Bergapten (5-MOP)",
    "methyleugenol": "Methyl Eugenol",
    "vitamin a palmitate": "Retinyl Palmitate",
    "butylated hydroxytoluene": "BHT",
    "cinnamaldehyde": "Cinnamal",
    "cinnamic aldehyde": "Cinnamal",
    "methyl ionone": "Alpha-Isomethyl Ionone",
    "alpha iso methyl ionone": "Alpha-Isomethyl Ionone",
    "benzyl salicylat": "Benzyl Salicylate",
}
"""Other names of constituents on certificates, folded."""

ISOMERS = {
    "Geranial": "Citral",
    "Neral": "Citral",
    "D-Citronellol": "Citronellol",
    "L-Citronellol": "Citronellol",
    "Cis-Isoeugenol": "Isoeugenol",
    "Trans-Isoeugenol": "Isoeugenol",
    "Alpha-Damascone": "Rose Ketones",
    "Beta-Damascone": "Rose Ketones",
    "Gamma-Damascone": "Rose Ketones",
    "Delta-Damascone": "Rose Ketones",
    "Damascenone": "Rose Ketones",
    "Beta-Damascenone": "Rose Ketones",
}
"""Constituents that limits count together under another name."""


def add_certificates(
    book: Book, path: Path, file: str, named_at: Origin, ingredients: Names, findings: Findings
) -> Book:
    """The book with what a sheet of certificates states.

    Args:
        book: With the shipped constituents and limits on skin.
        path: The CSV or XLSX file.
        file: What the maker calls it.
        named_at: Where the brief names it.
        ingredients: How ingredients may be called.
        findings: Where mistakes and remarks are noted.
    """
    known = [CONSTITUENT, PERCENT, CATEGORY, AT_MOST]
    sheet = read_sheet(
        path, file, named_at, [INGREDIENT], known, findings, "a sheet of certificates", ingredients
    )
    if sheet is None:
        return book
    if sheet.is_empty:
        findings.wrong(Origin(file), "no rows below the headings; write one for each constituent")
    rows = _ingredients(sheet, ingredients, findings)
    _check_pairs(sheet, findings)
    stated = _constituents(sheet, rows, book, findings)
    _remark_dropped(stated, book, sheet.file, findings)
    allowed = _maxima(sheet, rows, findings)
    before = set(_certified_before(book))
    for identifier in (one for one in dict.fromkeys((*stated, *allowed)) if one in before):
        findings.wrong(Origin(file), f"{identifier} has a certificate in another sheet; keep one")
    return replace(
        book,
        constituents={**book.constituents, **stated},
        certified={**book.certified, **allowed},
    )


def _certified_before(book: Book) -> list[str]:
    """Ingredients that a certificate read before speaks of."""
    own = [
        name
        for name, stated in book.constituents.items()
        if any(one.status == OWN for one in stated.values())
    ]
    return [*own, *book.certified]


def _ingredients(sheet: Sheet, names: Names, findings: Findings) -> dict[int, str]:
    """The ingredient of each row, by row number."""
    written = sheet.texts(INGREDIENT)
    rows: dict[int, str] = {}
    for row in sheet.rows:
        at = sheet.at(row.number, INGREDIENT)
        if row.number not in written:
            findings.wrong(at, "no ingredient in this row; fill it in or delete the row")
            continue
        try:
            rows[row.number] = names.find(written[row.number])
        except Problem as problem:
            findings.wrong(at, f"{quoted(written[row.number])}: {problem}")
    return rows


def _check_pairs(sheet: Sheet, findings: Findings) -> None:
    """Note cells without their partner, and rows that state nothing."""
    filled = {heading: set(sheet.texts(heading)) for heading in (CONSTITUENT, CATEGORY)}
    numbers = {
        heading: {row.number for row, _ in sheet.column(heading)} for heading in (PERCENT, AT_MOST)
    }
    for row in sheet.rows:
        stated = False
        for name, number in ((CONSTITUENT, PERCENT), (CATEGORY, AT_MOST)):
            has_name, has_number = row.number in filled[name], row.number in numbers[number]
            stated = stated or has_name or has_number
            if has_name and not has_number:
                problem = f"no {number} beside the {name}; write the most that is stated"
                findings.wrong(sheet.at(row.number, number), problem)
            elif has_number and not has_name:
                findings.wrong(sheet.at(row.number, name), f"no {name} beside the {number}")
        if not stated:
            problem = f"write a {CONSTITUENT} and its {PERCENT}, or a {CATEGORY} and {AT_MOST}"
            findings.wrong(sheet.at(row.number, INGREDIENT), problem)


def _shares(sheet: Sheet, heading: str, findings: Findings) -> dict[int, Decimal]:
    """Percentages of a column, by row number."""
    found: dict[int, Decimal] = {}
    for number, value in read_number_column(sheet, heading, findings, SHARE).values.items():
        if 0 <= value <= 100:
            found[number] = value
        else:
            problem = f"{plain_number(value)} is no percentage; write 0 to 100"
            findings.wrong(sheet.at(number, heading), problem)
    return found


def _constituents(
    sheet: Sheet, rows: Mapping[int, str], book: Book, findings: Findings
) -> dict[str, dict[str, Constituent]]:
    """What is stated of the constituents of each ingredient."""
    known = _known_constituents(book)
    shares = _shares(sheet, PERCENT, findings)
    found: dict[str, dict[str, Constituent]] = {}
    unknown: set[str] = set()
    for number, written in sheet.texts(CONSTITUENT).items():
        at = sheet.at(number, CONSTITUENT)
        if number not in shares or number not in rows:
            continue
        if len(unknown) > MOST_SEARCHED:
            problem = f"more than {MOST_SEARCHED} unknown constituents so far; correct those first"
            findings.wrong(at, problem)
            break
        try:
            if fold(written) not in known:
                unknown.add(fold(written))
            name = _constituent(written, known, sheet.file, findings)
            stated = found.setdefault(rows[number], {})
            if name in stated:
                before = stated[name].origin.line
                raise Problem(f"{name} stands in row {before} too; keep one row")
        except Problem as problem:
            findings.wrong(at, problem)
            continue
        share = shares[number]
        stated[name] = Constituent(name, None, None, share, OWN, sheet.file, at)
    return {ingredient: _with_isomers(stated) for ingredient, stated in found.items()}


def _known_constituents(book: Book) -> dict[str, str]:
    """The constituents that limits, declarations and shipped tables know, by folded name."""
    names = [name for stated in book.constituents.values() for name in stated]
    names += [part for limit in book.skin_limits for part in limit.parts]
    names += [part for allergen in book.allergens for part in (allergen.name, *allergen.covers)]
    return {fold(name): name for name in (*names, *ISOMERS)} | OTHER_NAMES


def _constituent(written: str, known: Mapping[str, str], file: str, findings: Findings) -> str:
    """The name of a constituent.

    Raises:
        Problem: It is nearly a known one, so that it would be missed where that is counted.
    """
    if fold(written) in known:
        return known[fold(written)]
    near = nearest(written, [(name, (title,)) for name, title in known.items()], VERY_LIKE)
    if near:
        raise Problem(f"no such constituent: {quoted(written)}; nearest: {listed(near)}")
    findings.remark(file, f"no limit and no declaration knows the constituent {quoted(written)}")
    return written


def _with_isomers(stated: dict[str, Constituent]) -> dict[str, Constituent]:
    """Isomers counted together under the name that limits know, where that is the more."""
    whole = {name: one for name, one in stated.items() if name not in ISOMERS}
    parts: dict[str, list[Constituent]] = {}
    for name, one in stated.items():
        if name in ISOMERS:
            parts.setdefault(ISOMERS[name], []).append(one)
    for name, ones in parts.items():
        summed = sum((one.high for one in ones), Decimal(0))
        if name not in whole or whole[name].high < summed:
            note = f"{' and '.join(one.name for one in ones)} together"
            whole[name] = replace(ones[0], name=name, high=summed, note=note)
    return whole


def _remark_dropped(
    stated: Mapping[str, Mapping[str, Constituent]], book: Book, file: str, findings: Findings
) -> None:
    """Tell which limited constituents on file a certificate does not state."""
    limited = {part for limit in book.skin_limits for part in limit.parts}
    for ingredient, own in stated.items():
        before = book.constituents.get(ingredient, {})
        gone = [name for name in before if name in limited and name not in own]
        if gone:
            findings.remark(
                file,
                f"the certificate of {ingredient} does not state {listed(gone, 'and')}, which the "
                "figures on file have: counted as none, as the certificate says",
            )


def _maxima(
    sheet: Sheet, rows: Mapping[int, str], findings: Findings
) -> dict[str, dict[str, CertifiedMaximum]]:
    """The most of each ingredient that each category allows."""
    shares = _shares(sheet, AT_MOST, findings)
    found: dict[str, dict[str, CertifiedMaximum]] = {}
    for number, written in sheet.texts(CATEGORY).items():
        at = sheet.at(number, CATEGORY)
        if number not in shares or number not in rows:
            continue
        try:
            known, unused = _categories(written)
        except Problem as problem:
            findings.wrong(at, problem)
            continue
        if unused:
            remark = f"the category {quoted(unused)} is not used; limits are held in "
            findings.remark(sheet.file, remark + listed(CATEGORIES, "and"))
        allowed = found.setdefault(rows[number], {})
        for category in known:
            if category in allowed:
                before = allowed[category].origin.line
                findings.wrong(at, f"{category} stands in row {before} too; keep one row")
                continue
            allowed[category] = CertifiedMaximum(category, shares[number], at)
    return {ingredient: maxima for ingredient, maxima in found.items() if maxima}


def _categories(written: str) -> tuple[list[str], str]:
    """The categories of a cell such as `IFRA 5A`, `Category 5a` or `5A, 5B and 9`.

    Returns:
        Those that limits are held in, and the first word that is another, or nothing.

    Raises:
        Problem: A word with a digit is no category, or none stands there.
    """
    words = re.split(r"[\s,;/&+]+", written.strip())
    names = [word for word in words if word.upper() not in _FILLERS]
    for word in names:
        has_digit = any(letter.isdigit() for letter in word)
        if has_digit and word.upper() not in {*ALL_CATEGORIES, *_UNDIVIDED}:
            raise Problem(f"no such category: {quoted(word)}; known are {_KNOWN}")
    if not any(word.upper() in {*ALL_CATEGORIES, *_UNDIVIDED} for word in names):
        raise Problem(f"{quoted(written)} names no category; known are {_KNOWN}")
    held = [word.upper() for word in names if word.upper() in CATEGORIES]
    unused = [word for word in names if word.upper() not in CATEGORIES]
    return list(dict.fromkeys(held)), unused[0] if unused else ""
