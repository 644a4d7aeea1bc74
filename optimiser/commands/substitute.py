"""`substitute`: an ingredient is gone."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from pathlib import Path

from optimiser.answers.substitute import KEEP_WITHIN, Options, Substitution, substituted
from optimiser.commands.named import found_id
from optimiser.commands.recipes import recipe_shares
from optimiser.ingredient import Book
from optimiser.present.answer_json import as_text
from optimiser.present.formula_csv import formula_text
from optimiser.present.output import check_outputs, write_answers
from optimiser.present.substitute_forms import substitution_document, substitution_markdown
from optimiser.present.substitute_words import substitution_text
from optimiser.provenance import InputError, Mistake, Origin
from optimiser.reading import read_request

FORMS = (".json", ".csv", ".md", ".html", ".xlsx")


def run(
    brief: Path,
    gone: Sequence[str],
    also_gone: Sequence[str],
    only: str | None,
    recipe: Path | None,
    keep_within: str | None,
    cost_cap: str | None,
    max_changes: int | None,
    as_json: bool,
    out: Sequence[Path],
) -> tuple[str, int]:
    """Replace what is gone; write the files asked for.

    Raises:
        InputError: The brief, the recipe, a name, a number or an output is wrong.
    """
    check_outputs(out, FORMS, [brief, *([] if recipe is None else [recipe])])
    request = read_request(brief)
    check_outputs(out, FORMS, request.files)
    book = request.book
    ids = [found_id(name, book, "--gone") for name in gone]
    ids += [found_id(name, book, "--also-gone") for name in also_gone]
    chosen = None
    if only is not None:
        chosen = tuple(_listed(only, book))
    options = Options(
        gone=tuple(dict.fromkeys(ids)),
        only=chosen,
        keep_within=KEEP_WITHIN if keep_within is None else _number(keep_within, "--keep-within"),
        cost_cap=None if cost_cap is None else _decimal(cost_cap, "--cost-cap"),
        max_changes=max_changes,
    )
    shares = None if recipe is None else recipe_shares(recipe, book)[0]
    answer = substituted(request, options, shares)
    write_answers(out, lambda form: _written(answer, form))
    status = 1 if answer.explanation is not None else 0
    return _told(answer, as_json), status


def _listed(only: str, book: Book) -> list[str]:
    """Ingredients of a list; a name with a comma of its own is found as well."""
    parts = [part.strip() for part in only.split(",") if part.strip()]
    found: list[str] = []
    while parts:
        for count in range(len(parts), 0, -1):
            try:
                found.append(found_id(", ".join(parts[:count]), book, "--only"))
            except InputError:
                if count == 1:
                    raise
                continue
            parts = parts[count:]
            break
    return found


def _number(text: str, option: str) -> Fraction:
    return Fraction(_decimal(text, option))


def _decimal(text: str, option: str) -> Decimal:
    try:
        value = Decimal(text)
    except InvalidOperation:
        value = Decimal("NaN")
    if not value.is_finite() or value < 0 or abs(value.adjusted()) > 9:
        problem = f"{text!r} is not a number from 0 up; write for instance 2.5"
        raise InputError([Mistake(Origin(option), problem)])
    return value


def _told(answer: Substitution, as_json: bool) -> str:
    return as_text(substitution_document(answer)) if as_json else substitution_text(answer)


def _written(answer: Substitution, form: str) -> str | bytes | None:
    if form == ".xlsx":
        from optimiser.present.answer_workbook import substitution_workbook

        return substitution_workbook(answer)
    if form == ".md":
        return substitution_markdown(answer)
    if form == ".csv":  # the formula most like the one in use
        return None if answer.closest is None else formula_text(answer.closest.measures)
    if form == ".html":
        from optimiser.present.page_html import page_html
        from optimiser.present.substitute_page import substitution_page

        return page_html(substitution_page(answer))
    return _told(answer, as_json=True)
