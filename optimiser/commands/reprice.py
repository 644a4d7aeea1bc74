"""`reprice`: what price changes do."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path

from optimiser.answers.cheapest import SECONDS
from optimiser.answers.price_draws import PriceTable, Spread
from optimiser.answers.price_questions import Questions
from optimiser.answers.repricing import Repricing, repricing
from optimiser.brief import Request
from optimiser.commands.named import found_id
from optimiser.commands.option_numbers import number_of, percent_of
from optimiser.commands.recipes import recipe_shares
from optimiser.ingredient import Kind
from optimiser.present.answer_json import as_text
from optimiser.present.aside import say_aside
from optimiser.present.output import check_outputs, write_answers
from optimiser.present.page import page_markdown, page_text
from optimiser.present.reprice_forms import repricing_csv, repricing_document
from optimiser.present.reprice_words import repricing_page
from optimiser.price import repriced
from optimiser.provenance import InputError, Mistake, Origin
from optimiser.reading import (
    fold,
    read_price_changes,
    read_request,
    read_scenarios,
)

FORMS = (".json", ".csv", ".md", ".html", ".xlsx")

DRAWS = 10_000
MOST_DRAWS = 10_000_000
SEED = 1
MOST_SPREAD = 300

BAR = 40
"""Width of the progress bar."""

HOW_FAR = "how far may prices move? Add --spread 15%, or [price_spread] to the brief"

NOTHING_ASKED = (
    "say what is to change: --price NAME=+10%, --prices FILE, --sweep NAME, --sweep-limit "
    "KEYPATH, --spread 15% or --scenarios FILE"
)


@dataclass(frozen=True, slots=True)
class Asked:
    """What was typed; see the help of the command.

    Attributes:
        price: Changes of prices, `NAME=12.40` or `NAME=+10%`.
        prices: Another price list.
        sweep: An ingredient whose price is swept.
        sweep_limit: A limit whose bound is swept.
        start: Where the sweep starts.
        end: Where it ends.
        spread: How far prices may move, in percent.
        draws: How many scenarios are drawn.
        seed: Where the draws begin.
        together: Correlation of prices within a kind.
        scenarios: A table of scenarios.
        at_most: How many prices may rise at once.
        in_use: The recipe in use.
        time_limit: Seconds for each search among weighable formulas.
    """

    price: Sequence[str] = ()
    prices: Path | None = None
    sweep: str | None = None
    sweep_limit: str | None = None
    start: str | None = None
    end: str | None = None
    spread: str | None = None
    draws: int | None = None
    seed: int | None = None
    together: str | None = None
    scenarios: Path | None = None
    at_most: int | None = None
    in_use: Path | None = None
    time_limit: float = SECONDS


def run(brief: Path, asked: Asked, as_json: bool, out: Sequence[Path]) -> tuple[str, int]:
    """Answer what is asked; write the files asked for.

    Raises:
        InputError: The brief, another file, an option, a name or an output is wrong.
    """
    named = (brief, asked.prices, asked.scenarios, asked.in_use)
    inputs = [path for path in named if path is not None]
    check_outputs(out, FORMS, inputs)
    request = read_request(brief)
    check_outputs(out, FORMS, [*inputs, *request.files])
    answer = answered(request, brief, asked, _Progress() if sys.stderr.isatty() else None)
    write_answers(out, lambda form: _written(answer, form))
    told = _json(answer) if as_json else page_text(repricing_page(answer))
    return told, 0 if answer.is_answered else 1


def answered(
    request: Request, brief: Path, asked: Asked, tell: _Progress | None = None
) -> Repricing:
    """Answer what is asked of a brief that has been read.

    Raises:
        InputError: Another file, an option or a name is wrong.
    """
    _check(asked, request)
    changed = _changed(request, brief, asked)
    spreads = _spreads(asked, changed or request)
    book = request.book
    source: Spread | PriceTable | None = None
    remarks: tuple[str, ...] = ()
    if asked.scenarios is not None:
        table = read_scenarios(asked.scenarios, book, request.brief.currency)
        source = PriceTable(asked.scenarios.name, table.labels, table.prices)
        remarks = table.remarks
    elif asked.spread is not None or asked.draws is not None:
        together = _part(asked.together) if asked.together is not None else 0.0
        draws = DRAWS if asked.draws is None else asked.draws
        source = Spread(spreads, draws, SEED if asked.seed is None else asked.seed, together)
    if isinstance(source, Spread) and not any(spreads.values()):
        raise InputError([Mistake(Origin("[price_spread]"), HOW_FAR)])
    questions = Questions(
        sweep=None if asked.sweep is None else _swept(asked.sweep, request),
        limit=asked.sweep_limit,
        start=None if asked.start is None else number_of(asked.start, "--from"),
        end=None if asked.end is None else number_of(asked.end, "--to"),
        source=source,
        at_most=asked.at_most,
        spreads=spreads,
    )
    shares = None
    if asked.in_use is not None:
        shares, more = recipe_shares(asked.in_use, book)
        remarks = (*remarks, *more)
    told = (lambda done, of: None) if tell is None else tell.show
    return repricing(request, changed, questions, shares, asked.time_limit, told, remarks)


def _swept(name: str, request: Request) -> str:
    """The ingredient whose price is swept.

    Raises:
        InputError: It is not known, or a kind or group.
    """
    if fold(name) in {fold(one) for one in (*Kind, *request.brief.groups)}:
        problem = "a kind or a group; sweep the price of one ingredient of it"
        raise InputError([Mistake(Origin("--sweep", None, name), problem)])
    return found_id(name, request.book, "--sweep")


def _check(asked: Asked, request: Request) -> None:
    """Refuse what does not go together.

    Raises:
        InputError: With every mistake.
    """
    mistakes: list[tuple[str, str]] = []
    spread = asked.spread is not None or bool(request.brief.price_spreads)
    swept = asked.sweep is not None or asked.sweep_limit is not None
    at_most = asked.at_most is not None
    parts = (asked.prices, asked.spread, asked.draws, asked.scenarios, asked.at_most)
    if not (asked.price or swept or any(part is not None for part in parts)):
        mistakes.append(("reprice", NOTHING_ASKED))
    if asked.sweep is not None and asked.sweep_limit is not None:
        mistakes.append(("--sweep, --sweep-limit", "one sweep at a time; run the other after it"))
    drawn = asked.spread is not None or asked.draws is not None
    own = "--scenarios brings its own prices; leave one of the two out"
    mistakes += [
        (option, problem)
        for option, is_given, fits, problem in (
            ("--from", asked.start is not None, swept, "it belongs to a sweep; add --sweep NAME"),
            ("--to", asked.end is not None, swept, "it belongs to a sweep; add --sweep NAME"),
            ("--draws", asked.draws is not None, asked.scenarios is None, own),
            ("--spread", asked.spread is not None, asked.scenarios is None or at_most, own),
            ("--seed", asked.seed is not None, drawn, "it belongs to --spread; add that"),
            ("--together", asked.together is not None, drawn, "it belongs to --spread; add that"),
            ("--draws", asked.draws is not None, spread, HOW_FAR),
            ("--at-most", at_most, spread, HOW_FAR),
        )
        if is_given and not fits
    ]
    if asked.draws is not None and not 1 <= asked.draws <= MOST_DRAWS:
        mistakes.append(("--draws", f"{asked.draws} is not from 1 to {MOST_DRAWS:,}"))
    if mistakes:
        raise InputError([Mistake(Origin(where), problem) for where, problem in mistakes])


def _changed(request: Request, brief: Path, asked: Asked) -> Request | None:
    """The brief at other prices; None where none are said."""
    if not asked.price and asked.prices is None:
        return None
    other = request if asked.prices is None else read_request(brief, [asked.prices])
    changes = read_price_changes(list(asked.price), other)
    return replace(other, offers=repriced(other.offers, changes, other.brief.currency))


def _spreads(asked: Asked, request: Request) -> Mapping[str, Decimal]:
    """How far each price may move, in percent: what the brief says, else --spread."""
    every = Decimal(0)
    if asked.spread is not None:
        every = percent_of(asked.spread, "--spread", "15%")
        if not 0 < every <= MOST_SPREAD:
            problem = f"{asked.spread} is not above 0 and up to {MOST_SPREAD}%; write 15%"
            raise InputError([Mistake(Origin("--spread"), problem)])
    said = request.brief.price_spreads
    priced = sorted({offer.ingredient for offer in request.offers})
    return {name: said.get(name, every) for name in priced}


def _part(text: str) -> float:
    value = number_of(text, "--together", "0.6")
    if not 0 <= value <= 1:
        problem = f"{text} is not from 0 (each by itself) to 1 (all of a kind alike)"
        raise InputError([Mistake(Origin("--together"), problem)])
    return float(value)


class _Progress:
    """A bar on standard error."""

    def show(self, done: int, of: int) -> None:
        """How many scenarios of how many are done."""
        filled = BAR * done // of
        end = "\r" + " " * (BAR + 30) + "\r" if done == of else ""
        bar = "#" * filled + "." * (BAR - filled)
        say_aside(f"\r[{bar}] {done:,} of {of:,}{end}")


def _json(answer: Repricing) -> str:
    return as_text(repricing_document(answer))


def _written(answer: Repricing, form: str) -> str | bytes | None:
    if form == ".xlsx":
        from optimiser.present.answer_workbook import repricing_workbook

        return repricing_workbook(answer)
    if form == ".csv":
        return repricing_csv(answer)
    if form == ".html":
        from optimiser.present.page_html import page_html
        from optimiser.present.reprice_page import repricing_pictured

        return page_html(repricing_pictured(answer))
    return page_markdown(repricing_page(answer)) if form == ".md" else _json(answer)
