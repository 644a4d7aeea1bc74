"""One price or one limit swept, in words and tables."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from optimiser.answers.limit_sweep import LimitPiece, LimitSweep
from optimiser.answers.price_sweep import PricePiece, PriceSweep
from optimiser.answers.repricing import Repricing
from optimiser.ingredient import Book
from optimiser.linear_model import Sense
from optimiser.present.moves import moves_said
from optimiser.present.numbers import (
    money,
    rounded_towards,
    significant,
    small_money,
)
from optimiser.present.page import Footnote, Items, Paragraph, Part, Section, Table
from optimiser.present.price_words import in_use_words, per_kg
from optimiser.present.sentences import bound_text
from optimiser.present.stretches import is_short, runs, span_said
from optimiser.provenance import plain_number
from optimiser.statements import TIMES


def sweep_section(answer: Repricing, sweep: PriceSweep | None) -> Section:
    """Between which prices which formula is the cheapest."""
    assert sweep is not None
    book, unit = answer.request.book, per_kg(answer)
    name = book.ingredients[sweep.ingredient].common_name
    title = f"{name} from {money(sweep.start)} to {money(sweep.end)} {unit}"
    if not sweep.pieces:
        why = "No formula meets the limits at any of these prices."
        return Section(title, [Paragraph(why)])
    is_starred, rows = False, []
    for piece in sweep.pieces:
        is_here = piece.start <= sweep.today <= piece.end
        is_starred = is_starred or is_here
        cells = [
            f"{money(piece.start)} to {money(piece.end)}{' *' if is_here else ''}",
            significant(piece.percent),
            _cost_span(piece.cost_at_start, piece.cost_at_end),
        ]
        if piece.staying_at_start is not None and piece.staying_at_end is not None:
            cells.append(_cost_span(piece.staying_at_start, piece.staying_at_end))
        rows.append(cells)
    head = [f"price ({unit})", "percent", "the cheapest costs", in_use_words(answer)]
    parts: list[Part] = [Table(head[: len(rows[0])], rows, right=(1,))]
    if is_starred:
        parts.append(Footnote(f"* its price otherwise, {money(sweep.today)}, is in here."))
    parts.append(Items(list(_turns(sweep.pieces, book))))
    if sweep.impossible_above is not None:
        said = f"Above {money(sweep.impossible_above)} no formula keeps to the limit on the cost."
        parts.append(Paragraph(said))
    return Section(title, parts)


def _cost_span(one: Fraction, other: Fraction) -> str:
    texts = money(one), money(other)
    return texts[0] if texts[0] == texts[1] else " to ".join(texts)


def _turns(pieces: Sequence[PricePiece], book: Book) -> Iterable[str]:
    """What changes at each price where the formula does."""
    if len(pieces) == 1:
        has = f"{significant(pieces[0].percent)} % of it" if pieces[0].percent else "none of it"
        yield f"One formula is the cheapest all along, with {has}."
    for left, right in zip(pieces, pieces[1:], strict=False):
        moves = moves_said(left.measures, right.measures, book)
        yield f"Above {money(left.end)} (points): {moves or 'next to nothing moves'}."


def limit_section(answer: Repricing, sweep: LimitSweep) -> Section:
    """What the formula costs as a bound moves."""
    row, book = sweep.row, answer.request.book
    unit = "" if row.unit == TIMES else row.unit
    said = row.statement.render(sweep.today)
    span = f"from {plain_number(sweep.start)} to {plain_number(sweep.end)} {unit}".rstrip()
    parts: list[Part] = []
    if sweep.pieces:
        found = runs(sweep.pieces, sweep.row.step)
        step = f"{plain_number(row.step)} {unit}".rstrip()
        head = ("bound", f"the formula costs ({per_kg(answer)})", f"each {step} more")
        parts.append(Table(head, [_limit_row(sweep, run) for run in found]))
        if any(run[0].start <= sweep.today <= run[-1].end for run in found):
            parts.append(Footnote("* today's bound is in here."))
        turns = [
            f"From {span_said(sweep.row, run[0].start, run[-1].end)} (points): {moves}."
            for run in found
            if (moves := moves_said(run[0].at_start, run[-1].at_end, book))
        ]
        if turns:
            parts.append(Items(turns))
    parts += [Paragraph(text) for text in _limit_ends(sweep)]
    return Section(f"{said[:1].upper()}{said[1:]} today; swept {span}", parts)


def _limit_row(sweep: LimitSweep, run: Sequence[LimitPiece]) -> tuple[str, str, str]:
    first, last = run[0], run[-1]
    start, end, before, after = first.start, last.end, first.cost_at_start, last.cost_at_end
    mark = " *" if start <= sweep.today <= end else ""
    costs = _cost_span(before, after)
    if start == end:
        return f"{bound_text(start, sweep.today)}{mark}", costs, ""
    if not first.binds:
        each = "changes nothing"
    elif before == after:
        each = "costs nothing"
    else:
        verb = "saves" if after < before else "costs"
        change = abs(after - before) * sweep.row.step / (end - start)
        each = f"{verb} {small_money(change)}"
        if is_short(start, end, sweep.row.step):
            each = f"{verb} {small_money(abs(after - before))} in all"
        elif first.per_unit is None:
            each += " on average"
    return f"{span_said(sweep.row, run[0].start, run[-1].end)}{mark}", costs, each


def _limit_ends(sweep: LimitSweep) -> list[str]:
    """Where the sweep leaves what is possible."""
    low, high = sweep.possible_from, sweep.possible_to
    if sweep.row.sense is Sense.AT_MOST:
        low, high = high, None
    if not sweep.pieces:
        nearest = low if high is None else high
        if nearest is None:
            return ["No bound makes the brief possible while the other limits are as they are."]
        said = _end_text(nearest, sweep, upwards=high is None)
        return [f"No bound of these can be met; the nearest that can is {said}."]
    said = "" if low is None else f"Below {_end_text(low, sweep, upwards=True)} no formula exists. "
    if high is not None:
        said += f"Above {_end_text(high, sweep, upwards=False)} no formula exists."
    return [said.strip()] if said else []


def _end_text(end: Fraction, sweep: LimitSweep, upwards: bool) -> str:
    """The end of what is possible, rounded to the side on which a formula exists."""
    if sweep.row.is_money:
        cents = 100 * end
        whole = -(-cents.numerator // cents.denominator) if upwards else int(cents)
        return money(Fraction(whole, 100))
    return plain_number(rounded_towards(end, upwards))
