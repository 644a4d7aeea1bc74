"""What price changes do, in words and tables."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from optimiser.answers.limit_sweep import LimitPiece, LimitSweep
from optimiser.answers.price_sweep import PricePiece, PriceSweep
from optimiser.answers.repricing import Changed, Repricing
from optimiser.ingredient import Book
from optimiser.linear_model import Sense
from optimiser.present.console import short
from optimiser.present.impossible_words import clash_said
from optimiser.present.moves import moves_said, shares_of
from optimiser.present.numbers import money, printed_shares, significant, small_money
from optimiser.present.page import Items, Page, Paragraph, Part, Section, Table
from optimiser.present.scenario_words import scenario_section, uncertain_section
from optimiser.present.sentences import bound_text, limit_said, proof_said
from optimiser.price import cheapest_offers
from optimiser.provenance import plain_number
from optimiser.statements import TIMES

FEW_CHANGES = 6
"""So many changed prices are named one by one."""

SHORT = Fraction(1, 20)
"""Neighbouring pieces shorter than this part of a natural step are told together."""

ANY_SHARES = (
    "Shares of any size in sweeps, scenarios and for uncertain prices: whole steps, counts and "
    "either-or of the brief are not regarded there. To weigh an outcome, put the price into the "
    "list and run formulate."
)

DRAFT = (
    "Formulas from here are drafts: formulate prints the cautions that apply to one, and local "
    "law and, where it asks for one, a qualified safety assessor decide."
)


def repricing_page(answer: Repricing) -> Page:
    """The answer of `reprice`."""
    sections = [Section("", [Paragraph(_today_said(answer))])]
    if answer.changed is not None:
        sections.append(_changed_section(answer, answer.changed))
    if answer.questions.sweep is not None:
        sections.append(_sweep_section(answer, answer.sweep))
    if answer.limit_sweep is not None:
        sections.append(_limit_section(answer, answer.limit_sweep))
    if answer.questions.at_most is not None:
        sections.append(uncertain_section(answer))
    if answer.questions.source is not None:
        sections.append(scenario_section(answer))
    notes = [*_proofs(answer), *([ANY_SHARES] if answer.has_shares_of_any_size else [])]
    sections.append(Section("Worth knowing", [Items([*notes, *answer.remarks, DRAFT])]))
    return Page(f"{answer.request.brief.name}: what prices do", sections)


def _proofs(answer: Repricing) -> list[str]:
    """What is proven of all this, and what is not."""
    exact_parts = []
    if answer.changed is not None and answer.today.weighed is None:
        exact_parts.append(
            "that there is no formula at the other prices"
            if answer.changed.answer.measures is None
            else "that no formula is cheaper at the other prices"
        )
    for sweep in (answer.sweep, answer.limit_sweep):
        if sweep is not None:
            exact_parts.append("every piece of the sweep" if sweep.pieces else "that none exists")
    if answer.uncertain is not None:
        exact_parts.append("that no formula costs less at the worst")
    said = []
    if exact_parts:
        said.append(f"Proven in exact arithmetic: {'; '.join(exact_parts)}.")
    if answer.changed is not None and answer.changed.answer.weighed is not None:
        said.append(f"At the other prices: {proof_said(answer.changed.answer)}")
    if answer.scenarios is not None:
        said.append(
            "Each scenario is settled by itself, by the optimality test of the simplex method in "
            "floating arithmetic; none is a guess."
        )
    return said


def _unit(answer: Repricing) -> str:
    return f"{answer.request.brief.currency} per kg".strip()


def _today_said(answer: Repricing) -> str:
    measures, unit = answer.in_use, _unit(answer)
    if answer.is_recipe and measures is not None:
        cost = measures.cost_per_kg
        now = (
            "an amount not known, for want of a price" if cost is None else f"{money(cost)} {unit}"
        )
        text = f"The recipe in use costs {now}."
        least = None if answer.today.measures is None else answer.today.measures.cost_per_kg
        if least is None:
            return f"{text} No formula meets every limit of {answer.request.brief.file} today."
        return f"{text} The cheapest formula of {answer.request.brief.file} costs {money(least)}."
    if measures is None:
        return (
            f"At today's prices no formula meets every limit of {answer.request.brief.file}; "
            "formulate says why."
        )
    text = f"Today's cheapest formula of {answer.request.brief.file} costs "
    text += f"{money(measures.cost_per_kg)} {unit}."
    return text


def _in_use_words(answer: Repricing) -> str:
    return "the recipe in use" if answer.is_recipe else "today's formula"


def _changed_section(answer: Repricing, changed: Changed) -> Section:
    unit = _unit(answer)
    parts: list[Part] = [Paragraph(_moved_prices(answer, changed))]
    new = changed.answer.measures
    if new is None:
        said = "At these prices no formula meets every limit of the brief:"
        explanation = changed.answer.explanation
        if explanation is None:
            said = "At these prices no formula that can be weighed meets the brief."
        else:
            said += " " + "; ".join(clash_said(c) for c in explanation.conflicts[0]) + "."
        parts.append(Paragraph(said))
        return Section("At other prices", parts)
    parts.append(Paragraph(_staying_said(answer, changed, unit)))
    parts.append(_side_by_side(answer, changed))
    limits = []
    if changed.released:
        limits.append("No longer decisive: " + "; ".join(map(limit_said, changed.released)) + ".")
    if changed.taken:
        limits.append("Decisive now: " + "; ".join(map(limit_said, changed.taken)) + ".")
    both = answer.today.measures is not None
    if both and not limits and not answer.is_recipe:
        limits.append("The same limits are decisive as today.")
    parts += [Paragraph(said) for said in limits]
    known = () if answer.in_use is None else answer.in_use.cautions
    watch = [f"Watch: {text}" for text in new.cautions if text not in known]
    return Section("At other prices", [*parts, *([Items(watch)] if watch else [])])


def _moved_prices(answer: Repricing, changed: Changed) -> str:
    """Which prices changed, by how much."""
    before = cheapest_offers(answer.request.offers)
    after = cheapest_offers(changed.request.offers)
    book = answer.request.book
    used = {
        share.ingredient
        for measures in (answer.in_use, changed.answer.measures)
        if measures is not None
        for share in measures.formula
    }
    told = []
    for name in sorted({*before, *after}, key=lambda name: (name not in used, name)):
        old = before[name].price_per_kg if name in before else None
        new = after[name].price_per_kg if name in after else None
        if old == new:
            continue
        text = f"{book.ingredients[name].common_name} {money(old)} to {money(new)}"
        if old and new is not None:
            points = significant((new / old - 1) * 100, 3)
            text += f" ({'+' if new > old else ''}{points} %)"
        told.append(text)
    if not told:
        return "No price differs from today's."
    more = len(told) - FEW_CHANGES
    text = f"Prices per kg: {'; '.join(told[:FEW_CHANGES])}"
    return f"{text}; and {more} more." if more > 0 else f"{text}."


def _staying_said(answer: Repricing, changed: Changed, unit: str) -> str:
    measures = changed.answer.measures
    assert measures is not None
    cost, word = measures.cost_per_kg, _in_use_words(answer)
    if changed.staying_cost is None:
        why = "there is none" if answer.in_use is None else "one of its prices is not known then"
        return f"The cheapest formula then costs {money(cost)} {unit}. Staying: {why}."
    text = f"With these prices {word} costs {money(changed.staying_cost)} {unit}"
    missed = "; ".join(c.row.statement.render(c.bound or 0) for c in changed.staying_missed)
    if missed:
        text += f" and misses a limit: {missed}"
    if not changed.saving:
        return f"{text}. It is still the cheapest: nothing is gained by changing."
    if changed.saving < 0:
        less = small_money(-changed.saving)
        return (
            f"{text}. The cheapest within the limits costs {money(cost)}, {less} more, "
            "as it meets the whole brief."
        )
    saved = small_money(changed.saving)
    return f"{text}; the cheapest then costs {money(cost)}. Changing saves {saved} {unit}."


def _side_by_side(answer: Repricing, changed: Changed) -> Table:
    """The shares before and after."""
    assert changed.answer.measures is not None
    after = shares_of(changed.answer.measures)
    before = {} if answer.in_use is None else shares_of(answer.in_use)
    now, then = (cheapest_offers(request.offers) for request in (answer.request, changed.request))
    names = sorted({*before, *after}, key=lambda n: (-after.get(n, 0), -before.get(n, 0), n))
    none = Fraction(0)
    old = printed_shares([before.get(name, none) for name in names])
    new = printed_shares([after.get(name, none) for name in names])
    book = answer.request.book
    return Table(
        ("Formula", "before", "after", "price before", "price after"),
        [
            (
                short(book.ingredients[name].common_name),
                a if before.get(name) else "-",
                b if after.get(name) else "-",
                money(now[name].price_per_kg if name in now else None),
                money(then[name].price_per_kg if name in then else None),
            )
            for name, a, b in zip(names, old, new, strict=True)
        ],
        right=(1, 2, 3, 4),
    )


def _sweep_section(answer: Repricing, sweep: PriceSweep | None) -> Section:
    assert sweep is not None
    book, unit = answer.request.book, _unit(answer)
    name = book.ingredients[sweep.ingredient].common_name
    title = f"{name} from {money(sweep.start)} to {money(sweep.end)} {unit}"
    if not sweep.pieces:
        why = "No formula meets the limits at any of these prices."
        return Section(title, [Paragraph(why)])
    rows = []
    for piece in sweep.pieces:
        mark = " *" if piece.start <= sweep.today and sweep.today <= piece.end else ""
        rows.append(
            (
                f"{money(piece.start)} to {money(piece.end)}{mark}",
                significant(piece.percent),
                _cost_span(piece.cost_at_start, piece.cost_at_end),
            )
        )
    head = (f"price ({unit})", "percent of it", "the formula costs")
    parts: list[Part] = [Table(head, rows, right=(1,))]
    if any(cell[0].endswith("*") for cell in rows):
        parts.append(Paragraph(f"* today's price, {money(sweep.today)}, is in here."))
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
        yield "One formula is the cheapest all along."
    for left, right in zip(pieces, pieces[1:], strict=False):
        moves = moves_said(left.measures, right.measures, book)
        yield f"Above {money(left.end)} (points): {moves or 'next to nothing moves'}."


def _limit_section(answer: Repricing, sweep: LimitSweep) -> Section:
    row, book = sweep.row, answer.request.book
    unit = "" if row.unit == TIMES else row.unit
    said = row.statement.render(sweep.today)
    span = f"from {plain_number(sweep.start)} to {plain_number(sweep.end)} {unit}".rstrip()
    parts: list[Part] = []
    if sweep.pieces:
        runs = _runs(sweep)
        step = f"{plain_number(row.step)} {unit}".rstrip()
        head = ("bound", f"the formula costs ({_unit(answer)})", f"each {step} more")
        parts.append(Table(head, [_limit_row(sweep, run) for run in runs]))
        parts.append(Paragraph("* today's bound is in here."))
        turns = [
            f"From {_span(run[0].start, run[-1].end)} (points): {moves}."
            for run in runs
            if (moves := moves_said(run[0].at_start, run[-1].at_end, book))
        ]
        if turns:
            parts.append(Items(turns))
    parts += [Paragraph(text) for text in _limit_ends(sweep)]
    return Section(f"{said[:1].upper()}{said[1:]} today; swept {span}", parts)


def _runs(sweep: LimitSweep) -> list[list[LimitPiece]]:
    """The pieces of a sweep, those shorter than a small part of a step taken together."""
    runs: list[list[LimitPiece]] = []
    for piece in sweep.pieces:
        is_short = piece.end - piece.start < SHORT * sweep.row.step
        if runs and is_short and _is_short(runs[-1], sweep):
            runs[-1].append(piece)
        else:
            runs.append([piece])
    return runs


def _is_short(run: Sequence[LimitPiece], sweep: LimitSweep) -> bool:
    return run[-1].end - run[-1].start < SHORT * sweep.row.step


def _span(start: Fraction, end: Fraction) -> str:
    """Two bounds with as many digits as tell them apart."""
    return f"{bound_text(start, end)} to {bound_text(end, start)}"


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
        if end - start < SHORT * sweep.row.step:
            each = f"{verb} {small_money(abs(after - before))} in all"
        elif first.per_unit is None:
            each += " on average"
    return f"{_span(start, end)}{mark}", costs, each


def _limit_ends(sweep: LimitSweep) -> list[str]:
    """Where the sweep leaves what is possible."""
    low, high = sweep.possible_from, sweep.possible_to
    if sweep.row.sense is Sense.AT_MOST:
        low, high = high, None
    if not sweep.pieces:
        nearest = low if high is None else high
        if nearest is None:
            return ["No bound makes the brief possible while the other limits are as they are."]
        said = bound_text(nearest, sweep.today)
        return [f"No bound of these can be met; the nearest that can is {said}."]
    first, last = _runs(sweep)[0], _runs(sweep)[-1]
    said = "" if low is None else f"Below {bound_text(low, first[-1].end)} no formula exists. "
    if high is not None:
        said += f"Above {bound_text(high, last[0].start)} no formula exists."
    return [said.strip()] if said else []
