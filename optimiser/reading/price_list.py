"""The price list: what each ingredient costs, in which pack, at which supplier."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from optimiser.ingredient import Book
from optimiser.price import Offer, PackagingOffer
from optimiser.provenance import Origin, printable
from optimiser.reading.caps import LONGEST_CURRENCY
from optimiser.reading.currencies import same_currency
from optimiser.reading.dates import is_date
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import (
    ADD_INGREDIENT,
    Names,
    UnknownName,
    is_total,
)
from optimiser.reading.number_columns import (
    MONEY,
    NumberColumn,
    read_number_column,
    read_pack_column,
)
from optimiser.reading.other_columns import check_other_columns
from optimiser.reading.packaging import counted_rows, packaging_offers
from optimiser.reading.sheet import Sheet, read_sheet
from optimiser.reading.supplier_terms import TERMS
from optimiser.reading.weights import weight_in_kg
from optimiser.reading.wording import quoted, unseen
from optimiser.reading.written_numbers import CURRENCIES_OF_SIGN

REQUIRED = ("ingredient", "pack", "price")
OPTIONAL = ("supplier", "currency", "delivery", "in_stock", "quoted_on", *TERMS)
OF_WEIGHT = ("pack", "in_stock")
OF_MONEY = ("price", "delivery", *TERMS)

MONEY_OF_A_PACK = replace(
    MONEY, instead_of_rate="write the pack in pack and the money of that pack in price"
)

DENSITY = "density"
"""The property, in g/ml, that turns a volume into a weight."""


@dataclass(frozen=True, slots=True)
class PriceList:
    """The rows of a price list: ingredients by weight, packaging by pieces."""

    offers: tuple[Offer, ...] = ()
    packaging: tuple[PackagingOffer, ...] = ()


def read_price_list(
    path: Path, file: str, named_at: Origin, book: Book, names: Names, findings: Findings
) -> PriceList:
    """Every row of a price list, as far as it can be read.

    A row needs `ingredient`, `pack` and `price`. A heading that is nearly a known one is a
    mistake; any other unknown column is the maker's own note and gets a remark. A row whose
    pack is a number of pieces is packaging.

    Args:
        path: The CSV or XLSX file.
        file: What the maker calls it.
        named_at: Where the maker named it.
        book: The ingredients, whose densities turn volumes into weights.
        names: How they may be called.
        findings: Where mistakes and remarks are noted.
    """
    sheet = read_sheet(path, file, named_at, REQUIRED, OPTIONAL, findings, "a price list", names)
    if sheet is None:
        return PriceList()
    check_other_columns(sheet, (*REQUIRED, *OPTIONAL), findings)
    if sheet.is_empty:
        findings.wrong(Origin(file), "no rows below the headings; write one for each pack")
    sheet = _without_totals(sheet, names, findings)
    counted, pieces = counted_rows(sheet)
    weighed = replace(sheet, rows=tuple(row for row in sheet.rows if row.number not in pieces))
    sizes = {heading: read_pack_column(weighed, heading, findings) for heading in OF_WEIGHT}
    numbers = {
        heading: read_number_column(sheet, heading, findings, MONEY_OF_A_PACK)
        for heading in OF_MONEY
    }
    _remark_no_dates(sheet.file, sheet.texts("quoted_on"), findings)
    _check_filled(sheet, findings)
    for heading, column in numbers.items():
        _refuse_negative(sheet, heading, column, findings)
    currencies = _currencies(sheet, numbers, findings)
    return PriceList(
        tuple(_offers(weighed, sizes, numbers, currencies, book, names, findings)),
        tuple(packaging_offers(counted, pieces, numbers, currencies, names, findings)),
    )


def _offers(
    sheet: Sheet,
    sizes: Mapping[str, Mapping[int, tuple[Fraction, str]]],
    numbers: Mapping[str, NumberColumn],
    currencies: Mapping[int, str],
    book: Book,
    names: Names,
    findings: Findings,
) -> Iterator[Offer]:
    """The rows of ingredients."""
    texts = {heading: sheet.texts(heading) for heading in (*REQUIRED, *OPTIONAL)}
    money = {heading: column.values for heading, column in numbers.items()}
    for row in sheet.rows:
        number = row.number
        ingredient = _ingredient(sheet, number, texts["ingredient"], names, findings)
        if ingredient is None:
            continue
        pack = _weight(sheet, number, "pack", sizes["pack"], book, ingredient, findings)
        stock = _weight(sheet, number, "in_stock", sizes["in_stock"], book, ingredient, findings)
        if pack is None or number not in money["price"]:
            continue
        yield Offer(
            ingredient=ingredient,
            supplier=printable(texts["supplier"].get(number, "")),
            pack=texts["pack"][number],
            pack_kg=pack,
            price=money["price"][number],
            delivery=money["delivery"].get(number, Decimal(0)),
            currency=currencies[number],
            in_stock_kg=stock,
            quoted_on=texts["quoted_on"].get(number, ""),
            origin=Origin(sheet.file, number),
            minimum_order=money["minimum_order"].get(number),
            free_delivery_from=money["free_delivery_from"].get(number),
        )


def _without_totals(sheet: Sheet, names: Names, findings: Findings) -> Sheet:
    """The rows that are no totals of the others; one that is, is a mistake."""
    items = sheet.texts("ingredient")
    totals = {number for number, name in items.items() if is_total(name, names)}
    for number in totals:
        findings.wrong(sheet.at(number, "ingredient"), "a total is no pack; delete this row")
    return replace(sheet, rows=tuple(row for row in sheet.rows if row.number not in totals))


def _check_filled(sheet: Sheet, findings: Findings) -> None:
    """Note cells that every row needs and that are blank."""
    for heading in REQUIRED:
        filled = sheet.texts(heading)
        for row in sheet.rows:
            if row.number not in filled:
                problem = f"no {heading} in this row; fill it in or delete the row"
                findings.wrong(sheet.at(row.number, heading), problem)


def _remark_no_dates(file: str, quoted_on: dict[int, str], findings: Findings) -> None:
    """Tell, once, what stands for a date and is none; it is kept, as no answer rests on it."""
    wrong = [(number, text) for number, text in quoted_on.items() if not is_date(text)]
    if not wrong:
        return
    number, text = wrong[0]
    more = ""
    if len(wrong) > 1:
        more = f", nor in {len(wrong) - 1} more row{'s' if len(wrong) > 2 else ''}"
    sentence = (
        f"quoted_on in row {number}, {quoted(text)}, is no date{more}; write it like 2026-11-02"
    )
    findings.remark(file, sentence)


def _ingredient(
    sheet: Sheet, number: int, texts: dict[int, str], names: Names, findings: Findings
) -> str | None:
    """The ingredient of a row."""
    if number not in texts:
        return None
    at = sheet.at(number, "ingredient")
    try:
        return names.find(texts[number])
    except UnknownName as problem:
        if names.complete:
            advice = "" if ADD_INGREDIENT in str(problem) else f"; if none, {ADD_INGREDIENT}"
            findings.wrong(at, f"{quoted(texts[number])}: {problem}{advice}")
    except Problem as problem:
        findings.wrong(at, f"{quoted(texts[number])}: {problem}")
    return None


def _currencies(
    sheet: Sheet, numbers: Mapping[str, NumberColumn], findings: Findings
) -> dict[int, str]:
    """The currency of each row, from its column or else from the sign at a price."""
    written = sheet.texts("currency")
    found = {}
    for row in sheet.rows:
        currency = written.get(row.number, "")
        if len(currency) > LONGEST_CURRENCY or unseen(currency):
            problem = f"{quoted(currency)} is no currency; write it like GBP"
            findings.wrong(sheet.at(row.number, "currency"), problem)
            currency = ""
        for heading, column in numbers.items():
            sign = column.currencies.get(row.number, "")
            if sign and not currency:
                currency = sign
            elif sign and not same_currency(sign, currency):
                problem = f"{sign} where the currency is {currency}; write one of them"
                findings.wrong(sheet.at(row.number, heading), problem)
        code = CURRENCIES_OF_SIGN.get(currency, frozenset())
        found[row.number] = next(iter(code)) if len(code) == 1 else currency
    return found


def _refuse_negative(sheet: Sheet, heading: str, numbers: NumberColumn, findings: Findings) -> None:
    """Note negative amounts of money; nothing at all is allowed, as for a sample."""
    for number, value in numbers.values.items():
        if value < 0:
            findings.wrong(sheet.at(number, heading), "less than 0; write 0 or more")


def _weight(
    sheet: Sheet,
    number: int,
    heading: str,
    sizes: Mapping[int, tuple[Fraction, str]],
    book: Book,
    ingredient: str,
    findings: Findings,
) -> Fraction | None:
    """The weight of a pack or stock in kg, or None where there is none or a mistake."""
    if number not in sizes:
        return None
    figure = book.ingredients[ingredient].figures.get(DENSITY)
    try:
        weight = weight_in_kg(*sizes[number], None if figure is None else figure.typical)
        if heading == "pack" and not weight:
            raise Problem("a pack that holds nothing; write its weight, like 5 kg")
    except Problem as problem:
        findings.wrong(sheet.at(number, heading), problem)
        return None
    return weight
