"""`declare`: a draft ingredient declaration of a formula."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from optimiser.answers.cheapest import Cheapest, cheapest
from optimiser.answers.measures import Blend, measured
from optimiser.brief import Request
from optimiser.commands.recipes import bare_request, recipe_shares
from optimiser.formulation import scents_said
from optimiser.label import Region
from optimiser.present.answer_json import as_text, cheapest_document
from optimiser.present.declare_words import (
    declaration_csv,
    declaration_document,
    declaration_page,
)
from optimiser.present.output import check_outputs, write_answers
from optimiser.present.page import page_markdown, page_text
from optimiser.provenance import InputError, Mistake, Origin
from optimiser.reading import Problem, read_book, read_grams, read_request, use_named, with_uses
from optimiser.reading.label_tables import with_label_tables
from optimiser.reading.skin_tables import with_skin_tables
from optimiser.skin import Use
from optimiser.workshop.declaration import Declaration, declared

BRIEF = ".toml"
"""The ending of a brief; anything else is a recipe."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What was typed; see the help of the command.

    Attributes:
        formula: A brief, whose cheapest formula is declared, or a recipe.
        region: `eu`, `uk` or `us`.
        brief: For a recipe, the brief whose sheets, certificates and use hold.
        use: Where the product goes, instead of what the brief says.
        net: The net weight of a jar.
        seconds: Time limit of a search among weighable formulas.
    """

    formula: Path
    region: str
    brief: Path | None
    use: Sequence[str]
    net: str | None
    seconds: float


@dataclass(frozen=True, slots=True)
class _Options:
    """The options understood."""

    region: Region
    uses: tuple[Use, ...]
    net_g: Fraction | None


def run(asked: Asked, as_json: bool, out: Sequence[Path]) -> tuple[str, int]:
    """Draft the declaration; write the files asked for.

    Raises:
        InputError: A file, an option or an output is wrong.
    """
    options = _options(asked)
    inputs = [asked.formula, *([] if asked.brief is None else [asked.brief])]
    check_outputs(out, FORMS, inputs)
    if asked.formula.suffix.lower() != BRIEF:
        answer = _of_recipe(asked, options, out)
    else:
        request = _request(asked.formula, out)
        found = cheapest(request, asked.seconds)
        if found.measures is None:
            write_answers(out, lambda form: None)
            return _impossible(found, as_json), 1
        shares = {share.ingredient: share.percent for share in found.measures.formula}
        answer = _declared(request, request.brief.name, shares, options, ())
    write_answers(out, lambda form: FORMS[form](answer))
    return _json(answer) if as_json else page_text(declaration_page(answer)), 0


def _options(asked: Asked) -> _Options:
    """What the options mean.

    Raises:
        InputError: Every one that is wrong.
    """
    mistakes = []
    region, uses, net_g = Region.EU, [], None
    try:
        region = Region(asked.region.strip().lower())
    except ValueError:
        said = f"no such region: {asked.region}; write eu, uk or us"
        mistakes.append(Mistake(Origin("--region"), said))
    for text in asked.use:
        try:
            uses.append(use_named(text))
        except Problem as problem:
            mistakes.append(Mistake(Origin("--use"), str(problem)))
    try:
        net_g = None if asked.net is None else read_grams(asked.net, "120 g")
    except Problem as problem:
        mistakes.append(Mistake(Origin("--net"), str(problem)))
    if net_g is not None and net_g < 1:
        said = f"{asked.net} is less than a gram; write it like 120 g"
        mistakes.append(Mistake(Origin("--net"), said))
    if asked.brief is not None and asked.formula.suffix.lower() == BRIEF:
        said = f"{asked.formula} is a brief itself; --brief goes with a recipe"
        mistakes.append(Mistake(Origin("--brief"), said))
    if mistakes:
        raise InputError(mistakes)
    return _Options(region, tuple(dict.fromkeys(uses)), net_g)


def _request(brief: Path, out: Sequence[Path]) -> Request:
    """The brief with all that a label asks for."""
    request = read_request(brief, skin=True)
    check_outputs(out, FORMS, request.files)
    return request


def _of_recipe(asked: Asked, options: _Options, out: Sequence[Path]) -> Declaration:
    """The declaration of a recipe, with the sheets and the use of a brief where one is named."""
    if asked.brief is None:
        book = with_label_tables(with_skin_tables(read_book()))
        request, name = bare_request(book), asked.formula.stem
    else:
        request = _request(asked.brief, out)
        name = request.brief.name
    shares, remarks = recipe_shares(asked.formula, request.book)
    return _declared(request, name, shares, options, remarks)


def _declared(
    request: Request,
    name: str,
    shares: Mapping[str, Fraction],
    options: _Options,
    remarks: tuple[str, ...],
) -> Declaration:
    """The declaration of shares, held to the use that was typed where there is one."""
    request = with_uses(request, options.uses)
    measures = measured(Blend.at(request, shares))
    used = [request.book.ingredients[share] for share, percent in shares.items() if percent]
    scents = scents_said(request, used) if request.brief.uses else []
    said = (*scents, *request.remarks, *remarks)
    net_g = request.brief.jar.net_g if options.net_g is None else options.net_g
    return declared(request, name, measures, options.region, net_g, said)


def _impossible(found: Cheapest, as_json: bool) -> str:
    """Why there is no formula to declare, as `formulate` says it."""
    if as_json:
        return as_text(cheapest_document(found))
    from optimiser.present.console import cheapest_text

    return cheapest_text(found)


def _json(answer: Declaration) -> str:
    return as_text(declaration_document(answer))


def _markdown(answer: Declaration) -> str:
    return page_markdown(declaration_page(answer))


def _page(answer: Declaration) -> str:
    from optimiser.present.page_html import page_html

    return page_html(declaration_page(answer))


def _workbook(answer: Declaration) -> bytes:
    from optimiser.present.workbook import workbook_bytes
    from optimiser.tables.sheets import sheets

    return workbook_bytes(declaration_page(answer), sheets(answer))


FORMS: Mapping[str, Callable[[Declaration], str | bytes]] = {
    ".json": _json,
    ".csv": declaration_csv,
    ".md": _markdown,
    ".html": _page,
    ".xlsx": _workbook,
}
"""How to write the answer, by the ending of a file."""
