"""The answer of `batch` as a page for a terminal, Markdown and the workbook's words."""

from __future__ import annotations

from optimiser.formulation import scents_said
from optimiser.present.jar_words import cost_section, jar_section
from optimiser.present.page import Items, Page, Paragraph, Section
from optimiser.present.shopping_words import shopping_sections
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
    sections: list[Section] = []
    for batch in answer.batches:
        sections += [_opening(answer, batch), *weigh_sections(batch), *_of_money(batch)]
    sections += shopping_sections(answer)
    told = dict.fromkeys(text for one in answer.batches for text in one.measures.cautions)
    return Page(_title(answer), [*sections, Section("Cautions", [Items(list(told))])])


def money_page(answer: Batches) -> Page:
    """What does not go to the bench: jars, cost, shopping, what was assumed."""
    sections: list[Section] = []
    for batch in answer.batches:
        said = [Paragraph(text) for text in opening(batch)]
        sections += [Section(f"Jars and cost: {batch_title(batch)}", said), *_of_money(batch)]
    return Page(_title(answer), [*sections, *shopping_sections(answer)])


def _title(answer: Batches) -> str:
    if len(answer.batches) == 1:
        return batch_title(answer.batches[0])
    return f"{len(answer.batches)} batches"


def _opening(answer: Batches, batch: Batch) -> Section:
    """Where the weights come from; with several batches under the product."""
    title = "" if len(answer.batches) == 1 else batch_title(batch)
    return Section(title, [Paragraph(text) for text in opening(batch)])


def _of_money(batch: Batch) -> list[Section]:
    """Jars, cost, and what is worth knowing."""
    sections = [one for one in (jar_section(batch), cost_section(batch)) if one is not None]
    notes = notes_said(batch)
    return [*sections, Section("Worth knowing", [Items(notes)])] if notes else sections


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
    notes += scents_said(batch.request, batch.weights.blend.used.ingredients)
    return [*notes, *batch.asked.remarks, *batch.request.remarks]
