"""The answer of `batch` as a page for a terminal, Markdown and the workbook's words."""

from __future__ import annotations

from optimiser.present.jar_words import cost_section, jar_section
from optimiser.present.page import Items, Page, Paragraph, Section
from optimiser.present.weigh_words import batch_title, opening, weigh_sections
from optimiser.workshop.batch import Batch
from optimiser.workshop.batches import Batches

ASSUMED = {
    "scale": 'Assumed: a scale that shows whole grams. Write scale = "0.1 g" under [batch], or '
    "--scale.",
    "loss": "Assumed: 3 % of the batch is lost; 2 to 5 % is customary (common practice, no "
    "source). Weigh what you lose and write loss under [batch], or --loss.",
    "filled": "Assumed: the jar is filled to 95 % of its volume (common practice, no source). "
    "Write filled under [jar].",
}


def batches_page(answer: Batches) -> Page:
    """One batch, or several with one list of shopping."""
    if len(answer.batches) == 1:
        only = answer.batches[0]
        return Page(batch_title(only), [*_made(only), *_known(only), *cautions(only)])
    sections: list[Section] = []
    for batch in answer.batches:
        said = [Paragraph(text) for text in opening(batch)]
        sections += [Section(batch_title(batch), said), *_made(batch)[1:], *_known(batch)]
        sections += cautions(batch)
    return Page(f"{len(answer.batches)} batches", sections)


def _made(batch: Batch) -> list[Section]:
    """Opening, weights, steps, jars, cost."""
    sections = [Section("", [Paragraph(text) for text in opening(batch)])]
    sections += weigh_sections(batch)
    sections += filter(None, (jar_section(batch), cost_section(batch)))
    return sections


def _known(batch: Batch) -> list[Section]:
    notes = notes_said(batch)
    return [Section("Worth knowing", [Items(notes)])] if notes else []


def notes_said(batch: Batch) -> list[str]:
    """What was assumed, and how the files were read."""
    notes = [ASSUMED[name] for name in batch.assumed]
    jar = batch.asked.jar
    if jar.net_g is not None and (jar.filled is not None or jar.overrun is not None):
        notes.append("filled and overrun of [jar] are not used: the jar is stated by weight.")
    if any(line.is_rounded_down for line in batch.lines):
        names = ", ".join(
            line.ingredient.common_name for line in batch.lines if line.is_rounded_down
        )
        notes.append(f"Never rounded up, as their use on skin is limited: {names}.")
    return [*notes, *batch.request.remarks]


def cautions(batch: Batch) -> list[Section]:
    """The warnings that apply."""
    return [Section("Cautions", [Items(batch.measures.cautions)])]
