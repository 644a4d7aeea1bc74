"""`batch`: weigh sheet, jars, fill and cost of a jar, of one batch or several."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from pathlib import Path

from optimiser.answers.cheapest import Cheapest, cheapest
from optimiser.brief import Request
from optimiser.commands.batch_options import Order, Typed, orders, with_typed
from optimiser.commands.batch_prices import (
    agreed,
    check_currencies,
    merged,
    named_as_planned,
    piece_prices,
)
from optimiser.commands.recipes import bare_request, recipe_shares
from optimiser.present.answer_json import as_text
from optimiser.present.aside import say_aside
from optimiser.present.batch_json import batches_csv, batches_document
from optimiser.present.batch_page import batches_page
from optimiser.present.output import check_outputs, write_answers
from optimiser.present.page import page_markdown, page_text
from optimiser.provenance import InputError, Mistake
from optimiser.reading import (
    read_book,
    read_fill_tolerances,
    read_method,
    read_request,
)
from optimiser.workshop.batch import Asked, Batch, Shipped, batch
from optimiser.workshop.batches import Batches, with_shopping

FORMS = (".json", ".csv", ".md", ".html", ".xlsx")


class NoFormulaError(Exception):
    """A brief that cannot be met; it has no batch."""

    def __init__(self, answer: Cheapest) -> None:
        self.answer = answer
        super().__init__()


def run(source: Path | None, typed: Typed, as_json: bool, out: Sequence[Path]) -> tuple[str, int]:
    """Make one batch or several; write the files asked for.

    Raises:
        InputError: A file, an option or an output is wrong.
    """
    asked = orders(source, typed)
    inputs = [order.source for order in asked]
    inputs += [] if typed.brief is None else [typed.brief]
    check_outputs(out, FORMS, inputs)
    made: list[Batch] = []
    mistakes: list[Mistake] = []
    read: dict[Path, Request] = {}
    for order in asked:
        try:
            made.append(_made(order, typed, read, out))
        except InputError as problem:
            mistakes += problem.mistakes
        except NoFormulaError as none:
            if not mistakes:
                write_answers(out, lambda _: None)
                return _why_none(none.answer, as_json), 1
    if mistakes:
        raise InputError(list(dict.fromkeys(mistakes)))
    check_currencies([one.request for one in made])
    answer = _with_shopping(tuple(made))
    write_answers(out, lambda form: _written(answer, form))
    return _written_text(answer, ".json" if as_json else ""), 0


def _made(order: Order, typed: Typed, read: dict[Path, Request], out: Sequence[Path]) -> Batch:
    """One batch of a brief's cheapest formula or of a recipe.

    Raises:
        InputError: A file or an option is wrong.
        NoFormulaError: The brief cannot be met.
    """
    brief = order.source if order.is_brief else typed.brief
    if brief is not None and brief not in read:
        read[brief] = read_request(brief)
        check_outputs(out, FORMS, [order.source, *read[brief].files])
    request = bare_request(read_book()) if brief is None else read[brief]
    brief_says = request.brief.batch, request.brief.jar
    plan, jar = with_typed(*brief_says, order, typed, request.brief.currency)
    remarks: tuple[str, ...] = ()
    if order.is_brief:
        shares = _cheapest_shares(request, typed.time_limit)
        formula = f"the cheapest formula of {order.source}"
    else:
        shares, remarks = recipe_shares(order.source, request.book)
        formula = str(order.source)
    shipped = Shipped(read_method(request.book), read_fill_tolerances(request.book))
    asked = Asked(plan, jar, typed.jars, formula, remarks)
    packaging = piece_prices(named_as_planned(request.packaging, jar.packaging))
    return batch(request, shares, asked, shipped, packaging)


def _with_shopping(made: tuple[Batch, ...]) -> Batches:
    """The batches with what to buy for all of them."""
    requests = [one.request for one in made]
    items = [item for one in made for item in one.asked.jar.packaging]
    offers, packaging = agreed(
        merged((request, request.offers) for request in requests),
        merged((request, request.packaging) for request in requests),
    )
    return with_shopping(made, offers, named_as_planned(packaging, items))


def _cheapest_shares(request: Request, seconds: float) -> Mapping[str, Fraction]:
    answer = cheapest(request, seconds, _tell)
    if answer.measures is None:
        raise NoFormulaError(answer)
    return {share.ingredient: share.percent for share in answer.measures.formula}


def _tell(line: str) -> None:
    say_aside(f"{line}\n")


def _why_none(answer: Cheapest, as_json: bool) -> str:
    """Why a brief has no formula, as `formulate` says it."""
    from optimiser.present.answer_json import cheapest_document
    from optimiser.present.console import cheapest_text

    return as_text(cheapest_document(answer)) if as_json else cheapest_text(answer)


def _written(answer: Batches, form: str) -> str | bytes:
    if form == ".xlsx":
        from optimiser.present.batch_workbook import batches_workbook

        return batches_workbook(answer)
    if form == ".html":
        from optimiser.present.weigh_sheet import batches_html

        return batches_html(answer)
    return _written_text(answer, form)


def _written_text(answer: Batches, form: str) -> str:
    if form == ".json":
        return as_text(batches_document(answer))
    if form == ".csv":
        return batches_csv(answer)
    page = batches_page(answer)
    return page_markdown(page) if form == ".md" else page_text(page)
