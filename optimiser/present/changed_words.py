"""A brief at other prices, in words and tables."""

from __future__ import annotations

from fractions import Fraction

from optimiser.answers.changed_prices import Changed, is_cost_ceiling
from optimiser.answers.measures import Measures
from optimiser.answers.repricing import Repricing
from optimiser.present.abreast import ids_abreast, rows_abreast
from optimiser.present.impossible_words import clash_said
from optimiser.present.moves import levels_rows, shares_of, watch_said
from optimiser.present.numbers import (
    money,
    rounded,
    significant,
    small_money,
)
from optimiser.present.page import Items, Paragraph, Part, Section, Table
from optimiser.present.price_words import in_use_words, per_kg
from optimiser.present.sentences import enters, limit_said, stays
from optimiser.price import cheapest_offers

FEW_CHANGES = 6
"""So many changed prices are named one by one."""


def changed_section(answer: Repricing, changed: Changed) -> Section:
    """What the brief is at other prices."""
    unit = per_kg(answer)
    parts: list[Part] = [Paragraph(_moved_prices(answer, changed))]
    found = changed.answer if changed.answer.measures is not None else changed.over_cap
    if changed.answer.measures is None:
        parts.append(Paragraph(_impossible_said(changed, unit)))
    if found is None or found.measures is None:
        return Section("At other prices", parts)
    new = found.measures
    if changed.answer.measures is not None:
        parts.append(Paragraph(_staying_said(answer, changed, unit)))
    if answer.in_use is None or shares_of(answer.in_use) != shares_of(new):
        parts.append(_side_by_side(answer, changed, new))
        head = ("What it measures", "before", "after", "unit")
        parts.append(Table(head, levels_rows(answer.in_use, new), right=(1, 2)))
    parts += [Paragraph(said) for said in _limits_said(answer, changed)]
    watch = [f"Watch: {text}" for text in watch_said(answer.in_use, new, answer.request.book)]
    return Section("At other prices", [*parts, *([Items(watch)] if watch else [])])


def _impossible_said(changed: Changed, unit: str) -> str:
    """Why there is no formula at the other prices."""
    if changed.over_cap is not None and changed.over_cap.measures is not None:
        least = money(changed.over_cap.measures.cost_per_kg)
        caps = [limit for limit in changed.request.brief.limits if is_cost_ceiling(limit)]
        cap = money(min(Fraction(limit.value) for limit in caps))
        text = (
            f"At these prices no formula keeps to the limit of {cap} {unit}: the cheapest that "
            f"meets all other limits costs {least}."
        )
        if changed.staying_cost is not None:
            text += f" Staying costs {money(changed.staying_cost)}."
        return text
    explanation = changed.answer.explanation
    if explanation is None:
        return "At these prices no formula that can be weighed meets the brief."
    clashes = "; ".join(clash_said(clash) for clash in explanation.conflicts[0])
    return f"At these prices no formula meets every limit of the brief: {clashes}."


def _limits_said(answer: Repricing, changed: Changed) -> list[str]:
    """Which limits change hands."""
    if answer.today.measures is None or changed.answer.measures is None:
        return []
    said = []
    if changed.released:
        said.append(
            "Limits that held the formula and no longer do: "
            + "; ".join(map(limit_said, changed.released))
            + "."
        )
    if changed.taken:
        said.append(
            "Limits that hold it now and did not: "
            + "; ".join(map(limit_said, changed.taken))
            + "."
        )
    return said or ["The same limits hold the cheapest formula as today."]


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
    told, moved = [], []
    for name in sorted({*before, *after}, key=lambda name: (name not in used, name)):
        old = before[name].price_per_kg if name in before else None
        new = after[name].price_per_kg if name in after else None
        if old == new:
            continue
        moved.append(name)
        text = f"{book.ingredients[name].common_name} {money(old)} to {money(new)}"
        if old and new is not None:
            points = significant((new / old - 1) * 100, 3)
            text += f" ({'+' if new > old else ''}{points} %)"
        told.append(text)
    if not told:
        return "No price differs from today's."
    felt = sum(name in used for name in moved)
    shown = min(felt or FEW_CHANGES, FEW_CHANGES)
    text = f"Prices per kg: {'; '.join(told[:shown])}"
    more = len(told) - shown
    where = " of ingredients that neither formula has" if felt and felt == shown else ""
    text += f"; and {more} more{where}." if more > 0 else "."
    for name, why in changed.in_vain:
        text += f" The price of {book.ingredients[name].common_name} changes nothing: {why}."
    return text


def _staying_said(answer: Repricing, changed: Changed, unit: str) -> str:
    measures = changed.answer.measures
    assert measures is not None
    cost, word = measures.cost_per_kg, in_use_words(answer)
    assert cost is not None
    if changed.staying_cost is None:
        if answer.in_use is None:
            return f"The cheapest formula then costs {money(cost)} {unit}."
        priced = {offer.ingredient for offer in changed.request.offers}
        lacking = [s.name for s in answer.in_use.formula if s.ingredient not in priced]
        return (
            f"The cheapest formula then costs {money(cost)} {unit}. What staying costs is not "
            f"known: there is no price then of {', '.join(lacking)}."
        )
    text = f"With these prices {word} costs {money(changed.staying_cost)} {unit}"
    if answer.in_use_missed:
        return (
            f"{text}, but misses limits of the brief; the cheapest that meets them all costs "
            f"{money(cost)}."
        )
    missed = "; ".join(c.row.statement.render(c.bound or 0) for c in changed.staying_missed)
    if missed:
        text += f" and misses a limit: {missed}"
    saving = changed.saving
    if not saving:
        return f"{text}. It is still the cheapest: nothing is gained by changing.{_until(changed)}"
    if saving < 0:
        return (
            f"{text}. The cheapest that can be found within the rules costs {money(cost)}, "
            f"{small_money(-saving)} more."
        )
    part = part_of(saving, changed.staying_cost)
    return (
        f"{text}; the cheapest then costs {money(cost)}. Changing saves {small_money(saving)} "
        f"{unit}, {part}."
    )


def part_of(part: Fraction, whole: Fraction) -> str:
    """A part of a cost in percent, to one decimal."""
    percent = 100 * part / whole
    return "under 0.1 %" if percent < Fraction(1, 10) else f"{rounded(percent, 1)} %"


def _until(changed: Changed) -> str:
    """Up to which price a formula stays the cheapest, where one price has changed."""
    before = {offer.origin: offer for offer in changed.request.offers}
    moved = {offer.ingredient for offer in before.values() if offer.origin.file == "--price"}
    if len(moved) != 1:
        return ""
    (name,) = moved
    for found in (*changed.answer.used, *changed.answer.unused):
        if found.ingredient == name:
            is_used = found in changed.answer.used
            said = stays(found) if is_used else enters(found)
            return f" It stays so at prices {said}." if is_used else f" It would come in {said}."
    return ""


def _side_by_side(answer: Repricing, changed: Changed, new: Measures) -> Table:
    """The shares before and after."""
    now, then = (cheapest_offers(request.offers) for request in (answer.request, changed.request))
    formulas = [answer.in_use, new]
    names = ids_abreast(formulas)
    rows = rows_abreast(formulas, answer.request.book, names)
    return Table(
        ("Formula", "before", "after", "price before", "price after"),
        [
            (
                *row,
                money(now[name].price_per_kg if name in now else None),
                money(then[name].price_per_kg if name in then else None),
            )
            for name, row in zip(names, rows, strict=True)
        ],
        right=(1, 2, 3, 4),
    )
