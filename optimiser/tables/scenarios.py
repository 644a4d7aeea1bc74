"""Price scenarios as tables."""

from __future__ import annotations

from optimiser.answers.price_scenarios import Scenarios
from optimiser.brief import Request
from optimiser.tables.formulas import numbered
from optimiser.tables.frame import INGREDIENT, NAME, Column, Holds, Table, floated, per_kg, table


def scenario_tables(found: Scenarios, request: Request) -> dict[str, Table]:
    """What the scenarios show.

    Returns:
        `scenario_costs`, `scenario_ingredients`, `kept` and `kept_formulas`; for a short table
        of scenarios `each` and `each_formulas`.
    """
    money, book = per_kg(request.brief), request.book
    tables = {
        "scenario_costs": _costs(found, money),
        "scenario_ingredients": table(
            "Ingredients in scenarios",
            [
                INGREDIENT,
                NAME,
                Column("used_in", "used in so many scenarios", Holds.PART),
                Column("percent_low", "where used, 1 in 20 below", Holds.PERCENT, "%"),
                Column("percent_high", "where used, 1 in 20 above", Holds.PERCENT, "%"),
            ],
            [
                (
                    usage.ingredient,
                    book.ingredients[usage.ingredient].common_name,
                    usage.used_in,
                    usage.percent_low,
                    usage.percent_high,
                )
                for usage in found.usage
            ],
        ),
        "kept": table(
            "Formulas to keep, how often",
            [
                Column("number", "formula", Holds.COUNT),
                Column("cheapest_in", "cheapest in", Holds.PART),
                Column("near_in", "within 1 % in", Holds.PART),
                Column("together", "it or one above in", Holds.PART),
                Column("is_today", "the one compared with", Holds.YES_NO),
            ],
            [
                (number, k.cheapest_in, k.near_in, k.together, k.is_today)
                for number, k in enumerate(found.kept, start=1)
            ],
        ),
        "kept_formulas": numbered("place", [kept.measures for kept in found.kept]),
    }
    if found.each:
        columns = [
            Column("scenario", "scenario"),
            Column("cost_per_kg", "the cheapest costs", Holds.MONEY, money),
            Column("staying_cost_per_kg", "staying costs", Holds.MONEY, money),
        ]
        rows = [(one.label, one.cost, floated(one.staying)) for one in found.each]
        tables["each"] = table("Each scenario", columns, rows)
        tables["each_formulas"] = numbered("row", [one.measures for one in found.each])
    return tables


def _costs(found: Scenarios, money: str) -> Table:
    """How the costs are spread over the scenarios."""
    costs = {
        "cheapest": found.cost,
        "staying": found.staying,
        "regret": found.regret,
        "for uncertain prices": found.cautious,
        "regret of that": found.cautious_regret,
    }
    headings = {
        "mean": "mean",
        "p05": "1 in 20 below",
        "p50": "median",
        "p95": "1 in 20 above",
        "min": "least",
        "max": "most",
    }
    return table(
        "Costs in scenarios",
        [
            Column("of", "what (regret: more than the cheapest)"),
            *(Column(name, words, Holds.MONEY, money) for name, words in headings.items()),
        ],
        [
            (name, d.mean, d.p05, d.p50, d.p95, d.least, d.most)
            for name, d in costs.items()
            if d is not None
        ],
    )
