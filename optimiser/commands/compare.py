"""`compare`: formulas side by side."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from optimiser.answers.comparison import Comparison, comparison
from optimiser.commands.recipes import bare_request, recipe_shares
from optimiser.present.answer_json import as_text
from optimiser.present.compare_words import (
    comparison_csv,
    comparison_document,
    comparison_page,
)
from optimiser.present.console import one_line
from optimiser.present.output import check_outputs, write_answers
from optimiser.present.page import page_markdown, page_text
from optimiser.provenance import InputError, Mistake, Origin
from optimiser.reading import read_book, read_request

FORMS = (".json", ".csv", ".md", ".html", ".xlsx")
MOST = 5
"""So many formulas fit side by side."""


def run(
    formulas: Sequence[Path], brief: Path | None, as_json: bool, out: Sequence[Path]
) -> tuple[str, int]:
    """Set formulas side by side; write the files asked for.

    Raises:
        InputError: A formula, the brief or an output is wrong, or there are too few or many.
    """
    if not 2 <= len(formulas) <= MOST:
        problem = f"{len(formulas)} formula{'s' if len(formulas) != 1 else ''}; name 2 to {MOST}"
        raise InputError([Mistake(Origin("compare"), problem)])
    inputs = [*formulas, *([] if brief is None else [brief])]
    check_outputs(out, FORMS, inputs)
    request = bare_request(read_book()) if brief is None else read_request(brief)
    check_outputs(out, FORMS, [*inputs, *request.files])
    recipes, remarks = [], list(request.remarks)
    mistakes: list[Mistake] = []
    alone = Counter(path.name for path in formulas)
    for path in formulas:
        try:
            shares, more = recipe_shares(path, request.book)
        except InputError as problem:
            mistakes += problem.mistakes
            continue
        recipes.append((one_line(path.name if alone[path.name] == 1 else str(path)), shares))
        remarks += more
    if mistakes:
        raise InputError(mistakes)
    answer = comparison(request, brief is not None, recipes, list(dict.fromkeys(remarks)))
    write_answers(out, lambda form: _file(answer, form))
    return _text(answer, ".json" if as_json else ""), 0


def _file(answer: Comparison, form: str) -> str | bytes:
    if form == ".xlsx":
        from optimiser.present.answer_workbook import comparison_workbook

        return comparison_workbook(answer)
    if form == ".html":
        from optimiser.present.page_html import page_html

        return page_html(comparison_page(answer))
    return _text(answer, form)


def _text(answer: Comparison, form: str) -> str:
    if form == ".json":
        return as_text(comparison_document(answer))
    if form == ".csv":
        return comparison_csv(answer)
    page = comparison_page(answer)
    return page_markdown(page) if form == ".md" else page_text(page)
