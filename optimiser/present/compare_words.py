"""Formulas side by side, in words, tables and JSON."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from optimiser.answers.checked import Checked
from optimiser.answers.comparison import Compared, Comparison
from optimiser.present.abreast import rows_abreast
from optimiser.present.answer_json import measures_document, number
from optimiser.present.change_words import changes_in_words
from optimiser.present.csv_text import csv_text
from optimiser.present.moves import shares_of, watch_said
from optimiser.present.numbers import money, rounded, significant, small_money
from optimiser.present.page import Items, Page, Paragraph, Part, Section, Table
from optimiser.present.reprice_words import DRAFT


def comparison_page(answer: Comparison) -> Page:
    """The answer of `compare`."""
    first, *others = answer.formulas
    legend = [f"{number}: {formula.name}" for number, formula in enumerate(answer.formulas, 1)]
    sections = [Section("", [Items(legend)])]
    if answer.has_brief:
        verdict = [Paragraph(cost) for cost in _costs(answer)]
        against = f"Against {answer.request.brief.file}"
        sections.append(Section(against, [*verdict, _missed(answer)]))
    sections.append(Section("Shares", [_shares(answer)]))
    sections += [_noticed(answer, first, other) for other in others]
    sections.append(Section("What they measure", [_levels(answer)]))
    notes = [*answer.remarks, DRAFT]
    sections.append(Section("Worth knowing", [Items(notes)]))
    return Page(f"{len(answer.formulas)} formulas side by side", sections)


def _heads(answer: Comparison) -> list[str]:
    """The numbers above the columns."""
    return [str(number) for number in range(1, len(answer.formulas) + 1)]


def _shares(answer: Comparison) -> Table:
    rows = rows_abreast([formula.measures for formula in answer.formulas], answer.request.book)
    if answer.has_brief:
        unit = f"cost, {answer.request.brief.currency} per kg".replace(",  per", ", per")
        rows.append((unit, *(money(f.measures.cost_per_kg) for f in answer.formulas)))
    return Table(("percent", *_heads(answer)), rows, right=range(1, len(answer.formulas) + 1))


def _levels(answer: Comparison) -> Table:
    """Totals, ratios and properties of each."""
    measures = [formula.measures for formula in answer.formulas]
    rows: list[tuple[str, ...]] = []
    for name in dict.fromkeys(name for m in measures for name in m.totals):
        totals = [m.totals.get(name, Fraction(0)) for m in measures]
        if any(totals):
            rows.append((name, *(rounded(total, 2) for total in totals), "%"))
    for pair in dict.fromkeys(pair for m in measures for pair in m.ratios):
        ratios = [m.ratios.get(pair) for m in measures]
        told = ["-" if ratio is None else rounded(ratio, 2) for ratio in ratios]
        rows.append((pair.replace(":", " to "), *told, "to 1"))
    for quantity in answer.request.book.properties.values():
        levels = [
            next((v.value for v in m.properties if v.quantity.id == quantity.id), None)
            for m in measures
        ]
        if all(level is None for level in levels) or not quantity.always_printed:
            continue
        told = ["-" if level is None else significant(level) for level in levels]
        rows.append((quantity.title, *told, quantity.spoken_unit))
    return Table(("", *_heads(answer), "unit"), rows, right=range(1, len(measures) + 1))


def _noticed(answer: Comparison, first: Compared, other: Compared) -> Section:
    """What a maker would notice first of a formula against the first one."""
    book = answer.request.book
    noticed = [change for change in other.changes if change.is_noticed]
    told = changes_in_words(book, noticed)
    slight = changes_in_words(book, [c for c in other.changes if not c.is_noticed])
    over = sum(change.is_noticed for change in other.changes)
    said = "nothing that would be noticed"
    if other.not_compared:
        said += " of what can be compared"
    if over:
        said = f"{over} change{'s' if over > 1 else ''} that would be noticed"
    parts: list[Part] = [Paragraph(f"{said[:1].upper()}{said[1:]}.")]
    if told:
        parts.append(Items(told))
    if slight:
        parts.append(Paragraph(f"Just short of that: {'; '.join(slight)}."))
    watch = [f"Watch: {text}" for text in watch_said(first.measures, other.measures, book)]
    if watch:
        parts.append(Items(watch))
    if other.not_compared:
        names = ", ".join(trait.of for trait in other.not_compared)
        parts.append(Paragraph(f"Not compared, for want of figures: {names}."))
    return Section(f"{other.name} against {first.name}", parts)


def _costs(answer: Comparison) -> list[str]:
    """By how much the others cost more or less than the first."""
    first, *others = answer.formulas
    unit = f"{answer.request.brief.currency} per kg".strip()
    said = []
    for other in others:
        before, after = first.measures.cost_per_kg, other.measures.cost_per_kg
        if before is None or after is None:
            continue
        word = "more" if after > before else "less"
        gap = f"{small_money(abs(after - before))} {word} than" if after != before else "as much as"
        said.append(f"{other.name} costs {money(after)} {unit}, {gap} {first.name}.")
    return said


def _missed(answer: Comparison) -> Items:
    """What each formula is against the brief."""
    said = []
    book = answer.request.book
    for formula in answer.formulas:
        parts = [
            f"{word} {'; '.join(_rendered(check) for check in checks)}"
            for word, checks in (
                ("misses", formula.missed),
                ("cannot be judged, for want of a figure, on", formula.unknown),
            )
            if checks
        ]
        if formula.shut_out:
            names = ", ".join(book.ingredients[name].common_name for name in formula.shut_out)
            parts.append(f"uses what the brief does not allow: {names}")
        said.append(f"{formula.name} {'; it '.join(parts) or 'meets every limit and rule'}.")
    return Items(said)


def _rendered(check: Checked) -> str:
    statement = check.row.statement
    return statement.template if check.bound is None else statement.render(check.bound)


def comparison_document(answer: Comparison) -> dict[str, Any]:
    """The answer of `compare` as JSON."""
    first = answer.formulas[0]
    return {
        "brief": answer.request.brief.name if answer.has_brief else None,
        "currency": answer.request.brief.currency,
        "formulas": [
            {
                "name": formula.name,
                **measures_document(formula.measures),
                "misses": [check.row.statement.key for check in formula.missed],
                "not_judged": [check.row.statement.key for check in formula.unknown],
                "not_allowed": list(formula.shut_out),
            }
            for formula in answer.formulas
        ],
        "against_the_first": [
            {
                "name": formula.name,
                "first": first.name,
                "difference": number(formula.difference),
                "changes": [
                    {
                        "property": change.aim.trait.of,
                        "before": number(change.aim.before),
                        "after": number(change.after),
                        "tolerance": float(change.aim.trait.tolerance),
                    }
                    for change in formula.changes
                ],
                "not_compared": [trait.of for trait in formula.not_compared],
            }
            for formula in answer.formulas[1:]
        ],
        "remarks": list(answer.remarks),
    }


def comparison_csv(answer: Comparison) -> str:
    """Percent of each ingredient, a column a formula."""
    shares = [shares_of(formula.measures) for formula in answer.formulas]
    ids = list(dict.fromkeys(name for each in shares for name in each))
    head = ["ingredient", *(formula.name for formula in answer.formulas)]
    rows = [[name, *(float(each.get(name, 0)) for each in shares)] for name in ids]
    return csv_text([head, *rows])
