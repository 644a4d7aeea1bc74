"""A draft declaration as a page, as CSV and as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any

from optimiser.label import LabelRule, MadeFrom, Says
from optimiser.present.answer_json import number
from optimiser.present.csv_text import csv_text
from optimiser.present.net_weight import net_weight
from optimiser.present.numbers import rounded, significant
from optimiser.present.page import Footnote, Items, Page, Paragraph, Part, Section, Table
from optimiser.provenance import plain_number
from optimiser.workshop.allergen_sums import BY_NAME, AllergenShare, AllergenSum
from optimiser.workshop.declaration import Declaration
from optimiser.workshop.ingredient_list import Line, Place

DRAFT = (
    "A draft, not a label: nothing here says that the product is safe or lawful. Local law, the "
    "suppliers' documents and, where the law asks for one, a qualified safety assessor decide."
)
OPEN = "What stands in [brackets] is missing; see what is still needed."

UNSETTLED = "? a name, a proportion or what it is thinned with is still to be found out."
AT_ONE_PERCENT = (
    "Some may reach 1 % or more: ask the assessor whether these are to stand by weight further up; "
    "here all allergens follow the ingredients."
)

EVERYWHERE = 2
"""Decimals of percentages, where they show anything."""


def declaration_page(answer: Declaration) -> Page:
    """The answer of `declare`."""
    opening = [DRAFT, *([OPEN] if _is_open(answer) else [])]
    label: list[Part] = [Paragraph(answer.text)]
    if answer.net_g is not None:
        label.append(Paragraph(net_weight(answer.net_g, answer.region)))
    sections = [
        Section("", [Paragraph(text) for text in opening]),
        Section("The label", label),
        Section("How the list comes about", _list_parts(answer)),
        _allergen_section(answer),
        *_titled("Still needed", needs_said(answer)),
        *_titled("Where it comes from", [_origin_said(*one) for one in answer.made_from]),
        *_titled("Cautions for who uses it", answer.label_cautions),
        *_titled("Cautions for who makes it", answer.workshop_cautions),
        *_titled("Worth knowing", [*map(_rule_said, answer.notes), *answer.remarks]),
    ]
    return Page(f"{answer.name}: draft declaration, {answer.region.in_words}", sections)


def _titled(title: str, texts: Iterable[str]) -> list[Section]:
    found = list(texts)
    return [Section(title, [Items(found)])] if found else []


def _is_open(answer: Declaration) -> bool:
    return any(line.name.startswith("[") for line in answer.lines)


def _percent(value: Fraction) -> str:
    """A percentage with two decimals, or as many digits as a small one needs."""
    return rounded(value, EVERYWHERE) if value >= 1 else significant(value)


def _list_parts(answer: Declaration) -> list[Part]:
    rows = [(line.name, _line_percent(line), str(line.place)) for line in answer.lines]
    parts: list[Part] = [Table(("name", "percent", "part of the list"), rows, right=(1,))]
    if not all(line.is_settled for line in answer.lines):
        parts.append(Footnote(UNSETTLED))
    merged = [_sources_said(answer, line) for line in answer.lines if _is_merged(line)]
    return [*parts, Items(merged)] if merged else parts


def _line_percent(line: Line) -> str:
    told = _percent(line.percent)
    if line.place is Place.ALLERGEN:
        return f"up to {told}"
    return told if line.is_settled else f"{told} ?"


def _is_merged(line: Line) -> bool:
    return len(line.sources) > 1 and line.place is not Place.ALLERGEN


def _sources_said(answer: Declaration, line: Line) -> str:
    parts = [f"{answer.called(name)} {_percent(percent)} %" for name, percent in line.sources]
    return f"{line.name}: {', '.join(parts)}."


def _allergen_section(answer: Declaration) -> Section:
    """The allergens above the threshold with what adds up to them, and those below it."""
    title = "Scent allergens"
    if not answer.region.is_european:
        title += ", for information"
    if not answer.allergens:
        return Section(title, [Paragraph("None is counted: nobody states any of this formula.")])
    threshold = plain_number(answer.allergens[0].threshold)
    stays = "stays on the skin" if answer.stays_on else "is rinsed off"
    rule = "Named" if answer.region.is_european else "By the European lists named"
    parts: list[Part] = [
        Paragraph(
            f"{rule} above {threshold} % of a product that {stays}. Summed over all sources at the "
            "highest content on file."
        )
    ]
    if answer.declared:
        parts.append(Items([sum_said(one) for one in answer.declared]))
    if answer.region.is_european and any(one.percent >= 1 for one in answer.declared):
        parts.append(Paragraph(AT_ONE_PERCENT))
    below = [one for one in answer.allergens if not one.is_declared]
    if below:
        told = ", ".join(f"{one.allergen.name} {_percent(one.percent)} %" for one in below)
        parts.append(Paragraph(f"Counted and not above the threshold: {told}."))
    return Section(title, parts)


def sum_said(one: AllergenSum) -> str:
    """An allergen with the ingredients that it comes from."""
    shares = "; ".join(share_said(share) for share in one.shares)
    return f"{one.allergen.name} up to {_percent(one.percent)} %: {shares}"


def share_said(share: AllergenShare) -> str:
    """What an ingredient adds, and how that is known."""
    amount = f"{share.name} {significant(share.share)} %"
    if share.status == BY_NAME:
        return f"{amount}, {BY_NAME}"
    return f"{amount} with {significant(share.content)} % of it ({share.status})"


def needs_said(answer: Declaration) -> list[str]:
    """All that is still needed, the law's part with how it was read."""
    return [*answer.needs, *map(_rule_said, answer.rules_needed)]


def _rule_said(rule: LabelRule) -> str:
    if rule.says is Says.NEEDS:
        return f"{rule.text} ({rule.status})"
    return f"{rule.text.removesuffix('.')} ({rule.status})."


def _origin_said(name: str, made: MadeFrom) -> str:
    """What an ingredient comes from, and which lists of food allergens name it."""
    said = f"{name}: {made.how} {made.of}"
    if made.food_lists:
        regions = ", ".join(sorted(region.upper() for region in made.food_lists))
        said += f"; the food law of {regions} lists {made.of} as an allergen"
    note = f"; {made.note}" if made.note else ""
    return f"{said}{note} ({made.status})."


def declaration_csv(answer: Declaration) -> str:
    """The names of the list in their order, one a row."""
    rows: list[Sequence[object]] = [("name", "percent", "place", "from")]
    for line in answer.lines:
        sources = "; ".join(name for name, _ in line.sources)
        rows.append((line.name, number(line.percent), str(line.place), sources))
    return csv_text(rows)


def declaration_document(answer: Declaration) -> dict[str, Any]:
    """The answer of `declare` as JSON."""
    return {
        "name": answer.name,
        "region": str(answer.region),
        "use": list(answer.uses),
        "ingredients": answer.text,
        "lines": [
            {
                "name": line.name,
                "percent": number(line.percent),
                "place": str(line.place),
                "settled": line.is_settled,
                "from": [{"ingredient": of, "percent": number(x)} for of, x in line.sources],
            }
            for line in answer.lines
        ],
        "allergens": [_sum_document(one) for one in answer.declared],
        "allergens_below": [_sum_document(one) for one in answer.allergens if not one.is_declared],
        "net_weight": (None if answer.net_g is None else net_weight(answer.net_g, answer.region)),
        "cautions": [*answer.label_cautions, *answer.workshop_cautions],
        "label_cautions": list(answer.label_cautions),
        "needs": needs_said(answer),
        "origins": [
            {
                "ingredient": made.ingredient,
                "origin": made.of,
                "how": made.how,
                "food_lists": sorted(made.food_lists),
                "note": made.note,
                "status": made.status,
                "source": made.source,
            }
            for _, made in answer.made_from
        ],
        "notes": [
            {"text": rule.text, "status": rule.status, "source": rule.source}
            for rule in answer.notes
        ],
        "remarks": list(answer.remarks),
        "draft": True,
    }


def _sum_document(one: AllergenSum) -> dict[str, Any]:
    return {
        "name": one.allergen.name,
        "percent": number(one.percent),
        "threshold": float(one.threshold),
        "list": "2023" if one.allergen.is_later else "first",
        "sources": [
            {
                "ingredient": share.ingredient,
                "share": number(share.share),
                "content": number(share.content),
                "percent": number(share.percent),
                "status": share.status,
                "source": share.source,
            }
            for share in one.shares
        ],
    }
