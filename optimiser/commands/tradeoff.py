"""`tradeoff`: how much of one quantity buys how much of another."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from optimiser.answers.trade_off import TradeOff, trade_off
from optimiser.present.answer_json import as_text
from optimiser.present.output import check_outputs, write_answers
from optimiser.present.page import page_markdown, page_text
from optimiser.present.trade_words import trade_csv, trade_document, trade_page
from optimiser.reading import read_quantity, read_request

FORMS = (".json", ".csv", ".md", ".html", ".xlsx")


def run(
    brief: Path, one: str, other: str, most: bool | None, as_json: bool, out: Sequence[Path]
) -> tuple[str, int]:
    """Set one quantity against another; write the files asked for.

    Raises:
        InputError: The brief, a quantity or an output is wrong, or there is no trade-off.
    """
    check_outputs(out, FORMS, [brief])
    request = read_request(brief)
    check_outputs(out, FORMS, request.files)
    answer = trade_off(request, read_quantity(one, request), read_quantity(other, request), most)
    write_answers(out, lambda form: _file(answer, form))
    status = 0 if answer.explanation is None else 1
    return _text(answer, ".json" if as_json else ""), status


def _file(answer: TradeOff, form: str) -> str | bytes | None:
    if form == ".csv" and answer.explanation is not None:
        return None
    if form == ".xlsx":
        from optimiser.present.answer_workbook import trade_off_workbook

        return trade_off_workbook(answer)
    if form == ".html":
        from optimiser.present.page_html import page_html
        from optimiser.present.trade_page import trade_pictured

        return page_html(trade_pictured(answer))
    return _text(answer, form)


def _text(answer: TradeOff, form: str) -> str:
    if form == ".json":
        return as_text(trade_document(answer))
    if form == ".csv":
        return trade_csv(answer)
    page = trade_page(answer)
    return page_markdown(page) if form == ".md" else page_text(page)
