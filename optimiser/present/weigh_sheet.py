"""A sheet for the bench: what to weigh, and blanks for what people record.

The blanks are those of a batch record (ISO 22716, clause 7, recalled). Nothing is ticked or
filled in for anybody: what was weighed, when and by whom is written by hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from optimiser.present.batch_page import money_page
from optimiser.present.jar_words import weight_text_of
from optimiser.present.numbers import printed_shares
from optimiser.present.page_html import rendered
from optimiser.present.weigh_words import (
    customary_said,
    line_warning,
    method_status,
    missed_said,
    product,
)
from optimiser.present.weight_numbers import on_scale, weight_text
from optimiser.provenance import plain_number
from optimiser.workshop.batch import Batch
from optimiser.workshop.batches import Batches

BLANK = ""
"""What is written by hand."""

Fields = Sequence[tuple[str, str]]
"""Names with their values; a blank is for writing."""


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line to weigh, as it is printed."""

    step: str
    name: str
    inci: str
    percent: str
    grams: str
    is_marked: bool


@dataclass(frozen=True, slots=True)
class SheetStep:
    """One step, as it is printed."""

    label: str
    text: str
    customary: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything that stands on the sheet of one batch.

    Attributes:
        title: The product and the size.
        head: Version, batch code, date and scale.
        lines: What to weigh, in the order of the work.
        together: The batch in grams.
        scale_notes: What is too little for the scale.
        missed: Limits that the weights miss.
        steps: The steps.
        method_status: Where the steps come from.
        checks: What is looked at while making.
        fill: What a jar is to hold.
        lots: Lots of the packaging.
        result: Jars, samples, waste and yield.
        release: Who released it, and when.
        cautions: The warnings that apply.
    """

    title: str
    head: Fields
    lines: Sequence[SheetLine]
    together: str
    scale_notes: Sequence[str]
    missed: Sequence[str]
    steps: Sequence[SheetStep]
    method_status: str
    checks: Fields
    fill: str
    lots: Fields
    result: Fields
    release: Fields
    cautions: Sequence[str]


def batches_html(answer: Batches) -> str:
    """A sheet for each batch, and jars, cost and shopping on paper of their own."""
    sheets = [sheet_of(batch) for batch in answer.batches]
    return rendered("weigh_sheet.html", page=money_page(answer), sheets=sheets)


def sheet_of(batch: Batch) -> Sheet:
    """The sheet of one batch."""
    weights, plan = batch.weights, batch.asked.plan
    size = weight_text(weights.size_g)
    return Sheet(
        title=f"{product(batch)}: {size}",
        head=(
            ("Version", plan.version),
            ("Batch code", BLANK),
            ("Date", BLANK),
            ("Batch size", f"{on_scale(weights.size_g, weights.division_g)} g"),
            ("Scale that shows", f"{plain_number(weights.division_g)} g"),
            ("Scale no.", BLANK),
            ("Check weight, g", BLANK),
            ("It reads, g", BLANK),
            (_best_before(plan.shelf_months), BLANK),
        ),
        lines=_lines(batch),
        together=on_scale(weights.size_g, weights.division_g),
        scale_notes=[said for line in batch.lines if (said := line_warning(batch, line))],
        missed=missed_said(batch),
        steps=[
            SheetStep(
                f"{number} {step.phase}", _with_note(step.text, step.note), customary_said(step)
            )
            for number, step in enumerate(batch.method.steps, start=1)
        ],
        method_status=method_status(batch),
        checks=(
            (f"{product(batch)}, batch code", BLANK),
            ("Look", BLANK),
            ("Smell", BLANK),
            ("Texture", BLANK),
            ("Checked by", BLANK),
        ),
        fill="a jar" if batch.fill is None else f"target {weight_text_of(batch.fill)}",
        lots=[
            *((f"Lot of {item}", BLANK) for item in batch.asked.jar.packaging or ("jar", "lid")),
            *([] if "label" in batch.asked.jar.packaging else [("Lot of label", BLANK)]),
        ],
        result=(
            ("Jars planned", "" if batch.jars is None else str(batch.jars.count)),
            ("Jars filled", BLANK),
            ("Jars rejected", BLANK),
            ("Samples kept", BLANK),
            ("Filled, g", BLANK),
            ("Samples, g", BLANK),
            ("Waste, g", BLANK),
            (f"Yield = (filled + samples + waste) / {size}, %", BLANK),
        ),
        release=(("Released by (signature)", BLANK), ("Date", BLANK), ("Rejected, why", BLANK)),
        cautions=batch.measures.cautions,
    )


def _best_before(months: int | None) -> str:
    return "Best before" if months is None else f"Best before ({months} months)"


def _with_note(text: str, note: str) -> str:
    return f"{text} ({note})" if note else text


def _lines(batch: Batch) -> list[SheetLine]:
    division = batch.weights.division_g
    percents = printed_shares([line.percent for line in batch.lines])
    return [
        SheetLine(
            step=f"{line.step} {line.phase}",
            name=line.ingredient.common_name,
            inci=line.ingredient.inci_name,
            percent=percent,
            grams=on_scale(line.grams, division),
            is_marked=line.warning is not None,
        )
        for line, percent in zip(batch.lines, percents, strict=True)
    ]
