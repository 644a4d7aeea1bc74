"""Jars, fill and cost of a jar, in words."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from optimiser.present.numbers import rounded, significant
from optimiser.present.page import Items, Paragraph, Part, Section, Table
from optimiser.present.weight_numbers import about_grams, at_least_grams, weight_text
from optimiser.provenance import plain_number
from optimiser.reading.names import MOST_OFFERED, fold, nearest
from optimiser.reading.wording import listed
from optimiser.workshop.batch import Batch
from optimiser.workshop.fill import AVERAGE_QUANTITY, Fill, Shortfall
from optimiser.workshop.jar_cost import BatchCost, Margin, parts_to_cents, to_cents
from optimiser.workshop.jar_fill import JarFill

CENT_RULE = (
    "To the cent: totals are rounded half up, their parts by largest remainder, so that the "
    "parts add up to the total."
)

STATE = {
    "packaging": 'packaging = ["jar 120 ml", "lid", "label"] under [jar]',
    "labour": "hours and hourly_rate under [batch]",
    "overhead": "overhead under [batch]",
}
"""How to state a part of the cost that nobody stated."""


def jar_section(batch: Batch) -> Section | None:
    """How many jars, and what goes into each; None where no jar is stated."""
    jars, fill = batch.jars, batch.fill
    if jars is None or fill is None:
        return None
    lost = f"{about_grams(jars.lost_g)} ({plain_number(batch.loss)} %)"
    each = weight_text_of(fill)
    said = f"It fills {jars.count} jars with {each} each"
    if jars.count < 2:
        said = (
            f"It fills one jar with {each}" if jars.count else f"It does not fill a jar of {each}"
        )
    said += (
        f"; {about_grams(jars.left_g)} are left over, and {lost} counted as lost in bowls and on "
        "spatulas."
    )
    return Section("Jars", [Paragraph(said), Items(fill_said(fill))])


def weight_text_of(fill: JarFill) -> str:
    """The target fill."""
    return at_least_grams(fill.fill.target_g)


def fill_said(fill: JarFill) -> list[str]:
    """Where the fill comes from, and how far short one jar may fall."""
    said = []
    if fill.volume_ml is not None:
        said.append(_by_volume(fill))
    else:
        said.append(_by_label(fill.fill))
    said += [_shortfall(one) for one in fill.fill.shortfalls]
    said += [
        f"{title}: its table has no jar of {weight_text(fill.fill.label_g)}, so no figure."
        for title in fill.fill.outside
    ]
    return said


def _by_volume(fill: JarFill) -> str:
    air = (
        "no air, as it is poured"
        if fill.is_poured
        else f"{plain_number(fill.overrun or Fraction(0))} % overrun as you measured it"
    )
    return (
        f"A jar of {plain_number(fill.volume_ml or Fraction(0))} ml filled to "
        f"{plain_number(fill.filled or Fraction(0))} %, "
        f"{significant(fill.density or Fraction(0), 3)} g/ml before whipping, {air}: "
        f"{significant(fill.fill.target_g, 3)} g. Promise at most "
        f"{weight_text(fill.fill.label_g)} on the label, and weigh one filled jar to be sure."
    )


def _by_label(fill: Fill) -> str:
    # A label in ounces is no whole number of grams.
    label = weight_text(Fraction(round(fill.label_g * 10), 10))
    if fill.spread_g is None:
        return (
            f"The label's {label} is the target on average; write the spread of your fills, such "
            'as spread = "0.8 g" under [jar], to see whether that is enough.'
        )
    if all(one.row.scheme != AVERAGE_QUANTITY for one in fill.shortfalls):
        return f"The label's {label} is the target: no tolerable error is known for it."
    spread = about_grams(fill.spread_g)
    if not fill.given_away_g:
        return f"With a spread of {spread} the label's {label} is enough on average (recalled)."
    return (
        f"With a spread of {spread} a label of {label} asks for "
        f"{at_least_grams(fill.target_g)} on average, {at_least_grams(fill.given_away_g)} more, "
        "so that few jars are short (recalled, a packers' code)."
    )


def _shortfall(one: Shortfall) -> str:
    row = one.row
    return f"{row.title} of one jar: {plain_number(one.grams)} g ({row.locator}; {row.status})."


def cost_section(batch: Batch) -> Section | None:
    """What a jar costs, or why that is not known; None without any price list."""
    if not batch.request.offers:
        return None
    if batch.cost is None:
        return Section("Cost", _incomplete(batch))
    parts: list[Part] = [_cost_table(batch, batch.cost, "together")]
    parts.append(Items([*_per_kg(batch), *_margins(batch), *_left_out(batch)]))
    return Section("Cost", parts)


def _incomplete(batch: Batch) -> list[Part]:
    """What has no price, and what the rest comes to."""
    said: list[Part] = [Paragraph(f"Not known: no price for {', '.join(batch.unpriced)}.")]
    nearest = [packaging_said(batch, item) for item in batch.unpriced_packaging]
    if nearest:
        said.append(Items(nearest))
    if batch.known_cost is not None and batch.known_cost.parts:
        said.append(Paragraph("Incomplete, only what is known so far:"))
        said.append(_cost_table(batch, batch.known_cost, "so far"))
        said.append(Items([CENT_RULE]))
    return said


def packaging_said(batch: Batch, item: str) -> str:
    """Where packaging without a price is named, and the nearest that has one."""
    origin = batch.asked.jar.origins.get("packaging")
    place = "" if origin is None else f"{origin}: "
    names = sorted({offer.item for offer in batch.request.packaging})
    if not names:
        return f"{place}no price list has packaging; add a row {item} with its pack in pieces"
    near = nearest(item, [(fold(name), (name,)) for name in names])
    offered = f"nearest: {near[0]}" if near else f"there is {listed(names[:MOST_OFFERED], 'and')}"
    return f"{place}no price list has {item}; {offered}"


def _cost_table(batch: Batch, cost: BatchCost, sum_name: str) -> Table:
    currency = batch.request.brief.currency
    whole = parts_to_cents(cost.parts)
    jar = parts_to_cents(cost.jar_parts)
    head = [f"{currency}".strip() or "money", "batch"]
    rows = [[name, rounded(whole[name], 2)] for name in cost.parts]
    rows.append([sum_name, rounded(to_cents(cost.total), 2)])
    if cost.per_jar is not None:
        head.append("a jar")
        for row, name in zip(rows, cost.parts, strict=False):
            row.append(rounded(jar[name], 2))
        rows[-1].append(rounded(to_cents(cost.per_jar), 2))
    return Table(head, rows, right=range(1, len(head)))


def _per_kg(batch: Batch) -> list[str]:
    cost = batch.cost
    assert cost is not None
    said = []
    if cost.per_kg is not None:
        unit = f"{batch.request.brief.currency} per kg".strip()
        where = "in the jars" if batch.jars is not None else "left after the loss"
        said.append(f"{rounded(to_cents(cost.per_kg), 2)} {unit} {where}.")
    said.append(
        "Ingredients at the lowest price per kg, delivery spread over the pack; the loss and what "
        "is left over are inside."
    )
    return [*said, CENT_RULE]


def _margins(batch: Batch) -> list[str]:
    currency = batch.request.brief.currency
    said = []
    if batch.margin is not None:
        said.append(margin_said(batch.margin, currency, batch.left_out))
    if batch.price is not None:
        wanted = plain_number(batch.asked.jar.margin or 0)
        price = f"{rounded(to_cents(batch.price), 2)} {currency}".strip()
        said.append(f"A margin of {wanted} % of the price asks for {price} a jar.")
    return said


def margin_said(margin: Margin, currency: str, left_out: Sequence[str]) -> str:
    """What is left of a price, and what is not counted yet."""
    price = f"{rounded(to_cents(margin.price), 2)} {currency}".strip()
    before = f"before tax and {' and '.join(left_out)}" if left_out else "before tax"
    if margin.money < 0:
        short = f"{rounded(to_cents(-margin.money), 2)} {currency}".strip()
        return f"At {price} a jar it loses {short}, {before}."
    money = f"{rounded(to_cents(margin.money), 2)} {currency}".strip()
    percent = significant(margin.percent, 3)
    return f"At {price} a jar {money} stay, {percent} % of the price, {before}."


def _left_out(batch: Batch) -> list[str]:
    if not batch.left_out:
        return []
    how = "; ".join(STATE[name] for name in batch.left_out)
    return [f"Not in it: {', '.join(batch.left_out)}. To count them state {how}."]
