"""Price scenarios and formulas for uncertain prices, in words and tables."""

from __future__ import annotations

from fractions import Fraction

from optimiser.answers.changed_prices import is_cost_ceiling
from optimiser.answers.kept_formulas import NEAR
from optimiser.answers.price_draws import PriceTable
from optimiser.answers.price_scenarios import Distribution, Scenarios
from optimiser.answers.repricing import Repricing
from optimiser.answers.uncertain_prices import Uncertain
from optimiser.ingredient import Book
from optimiser.present.abreast import rows_abreast
from optimiser.present.console import short
from optimiser.present.numbers import (
    money,
    printed_shares,
    rounded,
    share_of_cost,
    significant,
    small_money,
)
from optimiser.present.page import Footnote, Paragraph, Part, Section, Table
from optimiser.present.price_words import in_use_words, per_kg
from optimiser.provenance import plain_number

MANY = 40
"""In fewer scenarios one in twenty says little; the ends are shown instead."""

RARELY = 0.005
"""Ingredients used in a smaller part of the scenarios are only counted."""


def scenario_section(answer: Repricing) -> Section:
    """What the scenarios show."""
    found, book = answer.scenarios, answer.request.book
    unit = per_kg(answer)
    title = "Scenarios"
    around = "today's" if answer.changed is None else "the changed one"
    if found is None:
        said = "No formula meets the other limits of the brief, whatever the prices."
        return Section(title, [Paragraph(said)])
    in_use = in_use_words(answer)
    if answer.request.brief.has_choices and not answer.is_recipe:
        in_use = "today's in any shares"
    parts: list[Part] = [Paragraph(_source_said(found, around))]
    rows = [_distribution_row("cheapest each time", found.cost, found.count)]
    if found.staying is not None:
        rows.append(_distribution_row(in_use, found.staying, found.count))
    if found.cautious is not None:
        rows.append(_distribution_row("for uncertain prices", found.cautious, found.count))
    ends = ("1 in 20 below", "1 in 20 above") if found.count >= MANY else ("lowest", "highest")
    head = (unit, "mean", ends[0], "median", ends[1], *(("most",) if found.count >= MANY else ()))
    parts.append(Table(head, rows, right=range(1, len(head))))
    if found.regret is not None:
        parts.append(Paragraph(_regret_said(in_use, found, found.regret)))
    if found.cautious_regret is not None:
        mean = small_money(Fraction(found.cautious_regret.mean))
        most = money(Fraction(found.cautious_regret.most))
        said = f"The formula for uncertain prices costs {mean} more than the cheapest on average, "
        parts.append(Paragraph(f"{said}{most} at most."))
    if found.cap is not None:
        parts.append(Paragraph(_cap_said(found, in_use)))
    parts.append(Paragraph(_formulas_said(found)))
    rows = [
        (str(number), part_said(one.near_in), part_said(one.together), part_said(one.cheapest_in))
        for number, one in enumerate(found.kept, start=1)
    ]
    kept_head = ("formula", "within 1 %", "or one above", "cheapest")
    parts.append(Table(kept_head, rows, right=(1, 2, 3)))
    parts.append(_kept_table(found, in_use, book))
    if found.each:
        parts.append(_each_table(found, in_use))
        if any(found.cap is not None and one.cost > float(found.cap) for one in found.each):
            parts.append(Footnote("! over the limit on the cost, whatever the formula."))
    parts.append(_usage_table(found, book))
    rare = sum(usage.used_in < RARELY for usage in found.usage)
    if rare:
        parts.append(Paragraph(f"{rare} more in fewer than 1 of 200."))
    return Section(title, parts)


def _source_said(found: Scenarios, around: str) -> str:
    source = found.source
    if isinstance(source, PriceTable):
        count = "1 scenario" if found.count == 1 else f"{found.count:,} scenarios"
        return f"{count} of {source.file}; prices it does not give are {around}."
    spreads = sorted(set(source.percents.values()))
    said = plain_number(spreads[0]) if spreads else "0"
    if len(spreads) > 1:
        said = f"{said} to {plain_number(spreads[-1])}"
    text = (
        f"{found.count:,} scenarios, seed {source.seed}: every price drawn around {around}, in "
        f"two of three draws within {said} % of it (log-normal)."
    )
    if source.together:
        text += f" Prices of one kind move together, with correlation {source.together:g}."
    else:
        text += " Each price moves by itself."
    return text


def _distribution_row(name: str, found: Distribution, count: int) -> tuple[str, ...]:
    values = [found.mean, found.p05, found.p50, found.p95, found.most]
    if count < MANY:
        values = [found.mean, found.least, found.p50, found.most]
    return (name, *(money(Fraction(value)) for value in values))


def _regret_said(in_use: str, found: Scenarios, regret: Distribution) -> str:
    mean = small_money(Fraction(regret.mean))
    text = (
        f"{in_use[0].upper()}{in_use[1:]} is the cheapest in "
        f"{part_said(found.stays_cheapest or 0.0)} of them. Staying with it costs {mean} more than "
        "the cheapest on average, "
    )
    if found.count >= MANY:
        text += f"{money(Fraction(regret.p95))} or more in one scenario of twenty, "
    return f"{text}{money(Fraction(regret.most))} at most."


def part_said(part: float) -> str:
    """A part of the scenarios in whole percent; what is there is not printed as nothing."""
    if 0.99 < part < 1:
        return "over 99 %"
    return share_of_cost(Fraction(part))


def _cap_said(found: Scenarios, in_use: str) -> str:
    assert found.cap is not None
    text = f"Every scenario has a formula that costs at most {money(found.cap)}."
    if found.over_cap:
        part = part_said(found.over_cap / found.count)
        text = (
            f"In {found.over_cap:,} of {found.count:,} scenarios ({part}) no formula keeps to the "
            f"limit of {money(found.cap)}; they count above with what the cheapest one costs."
        )
    if found.staying is not None and found.staying_over_cap:
        part = part_said(found.staying_over_cap / found.count)
        text += (
            f" {in_use[0].upper()}{in_use[1:]} passes it in {found.staying_over_cap:,} ({part})."
        )
    return text


def _formulas_said(found: Scenarios) -> str:
    each = "formula is" if found.formulas == 1 else "different formulas are"
    near = significant(NEAR * 100)
    return (
        f"{found.formulas:,} {each} the cheapest somewhere. The few worth having at hand, with how "
        f"often each costs at most {near} % more than the cheapest, how often it or one above it "
        "does, and how often it is the cheapest itself:"
    )


def _kept_table(found: Scenarios, in_use: str, book: Book) -> Table:
    """The few formulas side by side, to be weighed from."""
    numbers = [
        f"{number} ({in_use.split()[0]})" if kept.is_today else str(number)
        for number, kept in enumerate(found.kept, start=1)
    ]
    return Table(
        ("percent in formula", *numbers),
        rows_abreast([kept.measures for kept in found.kept], book),
        right=range(1, len(numbers) + 1),
    )


def _each_table(found: Scenarios, in_use: str) -> Table:
    """Every scenario of a short table."""
    has_staying = found.each[0].staying is not None
    rows = []
    for one in found.each:
        over = found.cap is not None and one.cost > float(found.cap)
        cells = [short(one.label), money(Fraction(one.cost)) + (" !" if over else "")]
        if one.staying is not None:
            more = Fraction(max(one.staying - one.cost, 0.0)) if found.regret else None
            cells += [money(Fraction(one.staying)), "" if more is None else rounded(more, 2)]
        rows.append(cells)
    head = ("scenario", "cheapest", in_use, "costs more" if found.regret else "")
    return Table(head if has_staying else head[:2], rows, right=range(1, 4))


def _usage_table(found: Scenarios, book: Book) -> Table:
    return Table(
        ("ingredient", "used in", "percent where used"),
        [
            (
                short(book.ingredients[usage.ingredient].common_name),
                part_said(usage.used_in),
                _span(usage.percent_low, usage.percent_high),
            )
            for usage in found.usage
            if usage.used_in >= RARELY
        ],
        right=(1,),
    )


def _span(low: float, high: float) -> str:
    one, other = significant(Fraction(low)), significant(Fraction(high))
    return one if one == other else f"{one} to {other}"


def uncertain_section(answer: Repricing) -> Section:
    """The formula for uncertain prices."""
    found, book = answer.uncertain, answer.request.book
    count = answer.questions.at_most
    title = f"If at most {count} prices rise to the top of their spread"
    if count == 1:
        title = "If at most 1 price rises to the top of its spread"
    if found is None:
        return Section(title, [Paragraph("No formula meets every limit of the brief.")])
    percents = printed_shares([share.percent for share in found.measures.formula])
    return Section(
        title,
        [
            Paragraph(_worst_said(found, per_kg(answer), answer.changed is not None)),
            Table(
                ("Formula", "percent", "may rise by"),
                [
                    (
                        short(share.name),
                        percent,
                        f"{plain_number(found.spreads.get(share.ingredient, 0))} %",
                    )
                    for share, percent in zip(found.measures.formula, percents, strict=True)
                ],
                right=(1, 2),
            ),
            *([Paragraph(_rising_said(found, book))] if found.rising else []),
            *([Paragraph(over)] if (over := _over_cap_said(answer, found)) else []),
        ],
    )


def _worst_said(found: Uncertain, unit: str, is_changed: bool) -> str:
    cost, at = found.measures.cost_per_kg, " at the changed prices" if is_changed else ""
    text = (
        f"The formula that costs least at the worst: {money(found.worst_cost)} {unit} at the "
        f"worst, {money(cost)} while no price rises. "
    )
    if not found.price_of_caution:
        return f"{text}The cheapest formula{at} is also the safest: caution costs nothing."
    saved = small_money(found.least_worst_cost - found.worst_cost)
    return text + (
        f"The cheapest formula{at} costs {money(found.least_cost)} while none rises and "
        f"{money(found.least_worst_cost)} at its worst: caution costs "
        f"{small_money(found.price_of_caution)} and saves {saved} at the worst."
    )


def _rising_said(found: Uncertain, book: Book) -> str:
    names = "; ".join(book.ingredients[name].common_name for name in found.rising)
    return f"At its worst these rise: {names}."


def _over_cap_said(answer: Repricing, found: Uncertain) -> str:
    """Whether the worst is over the limit on the cost, which is held without rises."""
    caps = [limit for limit in answer.request.brief.limits if is_cost_ceiling(limit)]
    if not caps:
        return ""
    cap = min(Fraction(limit.value) for limit in caps)
    over = " and is passed at the worst" if found.worst_cost > cap else ""
    return f"The limit on the cost, {money(cap)}, is held at prices without rises{over}."
