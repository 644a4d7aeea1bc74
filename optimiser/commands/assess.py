"""`assess`: a recipe held against a brief."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from optimiser.answers.recipe import Assessment, assessed
from optimiser.commands.recipes import recipe_shares
from optimiser.present.answer_json import as_text
from optimiser.present.formula_csv import formula_text
from optimiser.present.output import check_outputs, write_answers
from optimiser.present.recipe_words import (
    assessment_document,
    assessment_markdown,
    assessment_text,
)
from optimiser.reading import read_request

FORMS = (".json", ".csv", ".md", ".html", ".xlsx")


def run(
    brief: Path, formula: Path, as_json: bool, out: Sequence[Path], seconds: float
) -> tuple[str, int]:
    """Hold a recipe against a brief; write the files asked for.

    Raises:
        InputError: The brief, the recipe or an output is wrong.
    """
    check_outputs(out, FORMS, [brief, formula])
    request = read_request(brief)
    check_outputs(out, FORMS, request.files)
    shares, remarks = recipe_shares(formula, request.book)
    answer = assessed(request, formula.name, shares, seconds)
    answer = replace(answer, remarks=(*remarks, *answer.remarks))
    write_answers(out, lambda form: _written(answer, form))
    return _told(answer, as_json), 0


def _told(answer: Assessment, as_json: bool) -> str:
    return as_text(assessment_document(answer)) if as_json else assessment_text(answer)


def _written(answer: Assessment, form: str) -> str | bytes | None:
    if form == ".xlsx":
        from optimiser.present.answer_workbook import assessment_workbook

        return assessment_workbook(answer)
    if form == ".md":
        return assessment_markdown(answer)
    if form == ".csv":  # the formula to move to
        return None if answer.nearest is None else formula_text(answer.nearest.measures)
    if form == ".html":
        from optimiser.present.page_html import page_html
        from optimiser.present.recipe_page import assessment_page

        return page_html(assessment_page(answer))
    return _told(answer, as_json=True)
