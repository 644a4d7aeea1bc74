"""`substitute`: published blends without an ingredient, the command's options, its answers."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cache

import pytest
from formulation_support import (
    PRICES,
    ingredient,
    limit,
    quantity,
    refusal,
    small_request,
)
from published import case, column, is_continuous, is_figure, model, names, sign
from substitute_support import shares, trait, with_character

from optimiser.answers.likeness import only_columns
from optimiser.answers.substitute import Options, Substitution, substituted
from optimiser.brief import Family
from optimiser.exact.dictionary import Ending
from optimiser.formulation import formulated
from optimiser.ingredient import Kind
from optimiser.linear_model import LinearModel
from optimiser.reading import read_book
from optimiser.solve import settle

SUBSTITUTIONS = [
    pytest.param(name, found, id=f"{name}-{'-'.join(found['removed'])}")
    for name in names("derived.substitution")
    if is_continuous(name)
    for found in case(name)["derived"]["substitution"]
]
PERCENT = ("catfood_full", "oils_blend_percent")
"""The published blends whose shares add up to 100."""


def without_columns(problem: LinearModel, gone: list[int]) -> LinearModel:
    """The model as the answer cuts it: the columns are not there at all."""
    formulation = formulated(small_request(prices={"starch": "1"}))
    width = len(problem.columns)
    formulation = replace(
        formulation,
        model=problem,
        ingredients=formulation.ingredients * width,
        offers=formulation.offers * width,
    )
    return only_columns(formulation, [j for j in range(width) if j not in gone]).model


@pytest.mark.parametrize(("name", "found"), SUBSTITUTIONS)
def test_published_model_without_the_column(name: str, found: dict) -> None:
    """With its column cut out a published model has the optimum of an independent solver."""
    gone = [column(name, label) for label in found["removed"]]
    _, certificate = settle(without_columns(model(name), gone))
    if found["status"] == "infeasible":
        assert certificate.ending is Ending.INFEASIBLE
        return
    assert certificate.cost is not None
    assert is_figure(sign(name) * certificate.cost, found["optimum"])


@pytest.mark.parametrize(
    ("name", "found"), [one for one in SUBSTITUTIONS if one.values[0] in PERCENT]
)
def test_published_blend_without_an_ingredient(name: str, found: dict) -> None:
    """The cheapest formula is the published blend's optimum without what is gone."""
    problem = case(name)
    limits = [c for c in problem["constraints"] if c["name"] != "total"]
    made = tuple(
        ingredient(
            v["name"],
            Kind.OIL,
            {c["name"]: str(100 * c["coefficients"].get(v["name"], 0)) for c in limits},
        )
        for v in problem["variables"]
    )
    end = {">=": "min", "<=": "max"}
    request = small_request(
        *((f"properties.{c['name']}.{end[c['sense']]}", str(c["rhs"])) for c in limits),
        ingredients=made,
        properties=tuple(quantity(c["name"]) for c in limits),
        prices={v["name"]: str(100 * v["cost"]) for v in problem["variables"]},
    )
    request = with_character(request, *(trait(c["name"]) for c in limits))
    gone = tuple(found["removed"])
    answer = substituted(request, Options(gone), {gone[0]: Fraction(100)})
    assert answer.cheapest is not None
    assert is_figure(answer.cheapest.measures.cost_per_kg, found["optimum"])
    for label, share in shares(answer.cheapest).items():
        assert float(share) == pytest.approx(float(found["solution"][label]), rel=1e-9)
    assert answer.closest is not None
    assert answer.closest.difference <= answer.cheapest.difference


def small(*limits: tuple[str, str], gone: str = "light-oil", **rest: object) -> Substitution:
    """The answer for an invented butter of hard butter, light oil and starch."""
    recipe = {"hard-butter": Fraction(60), "light-oil": Fraction(35), "starch": Fraction(5)}
    traits = (
        trait("vitamin_e", "5"),
        trait("solid_fat_20C", "3"),
        trait("powder", "1", Family.TOTALS),
    )
    request = with_character(small_request(*limits), *rest.pop("traits", traits))
    return substituted(request, Options((gone,), **rest), recipe)


def test_trait_without_a_figure_of_the_formula_is_dropped_and_told() -> None:
    """A trait that an ingredient in use has no figure for is not compared."""
    answer = small(traits=(trait("vitamin_e"), trait("grip"), trait("density")))
    assert answer.dropped_traits == ("grip",)
    assert [aim.trait.of for aim in answer.aims] == ["vitamin_e", "density"]


def test_ingredient_without_a_compared_figure_is_judged_apart() -> None:
    """It stays out of the closest formula, and is a candidate with what was not judged."""
    answer = small(("totals.oil.min", "30"), traits=(trait("vitamin_e"), trait("density")))
    assert answer.left_out == (("firm-wax", "density"), ("nut-oil", "density"))
    assert answer.closest is None
    assert {c.ingredient: c.not_judged for c in answer.candidates} == {"nut-oil": ("density",)}


def test_cheapest_may_use_what_is_not_judged() -> None:
    """The cheapest formula is told also where a figure of it is not known, and which."""
    answer = small(("totals.wax.min", "5"), traits=(trait("density"), trait("vitamin_e")))
    assert answer.cheapest is not None
    assert shares(answer.cheapest)["firm-wax"] == 5
    assert answer.cheapest.not_judged == ("density",)
    assert [change.aim.trait.of for change in answer.cheapest.changes] == ["vitamin_e"]


def test_cheapest_is_the_most_like_of_the_equally_cheap() -> None:
    """Two oils at one price: the one more like what is gone is told."""
    request = with_character(
        small_request(("totals.oil.min", "40"), prices=PRICES | {"far-oil": "6", "nut-oil": "6"}),
        trait("vitamin_e"),
    )
    far = ingredient("far-oil", Kind.OIL, {"vitamin_e": "500"})
    book = request.book
    request = replace(request, book=replace(book, ingredients={**book.ingredients, far.id: far}))
    recipe = {"hard-butter": Fraction(60), "light-oil": Fraction(40)}
    answer = substituted(request, Options(("light-oil",)), recipe)
    assert answer.cheapest is not None
    assert answer.cheapest.difference == answer.between[0].difference


@pytest.mark.parametrize(("one", "other"), [("4", "9"), ("9", "4")])
def test_closest_is_the_cheapest_of_the_equally_like(one: str, other: str) -> None:
    """Of two oils that are wholly like the one that is gone the cheaper one comes in."""
    request = small_request(prices=PRICES | {"first-oil": one, "second-oil": other})
    light = request.book.ingredients["light-oil"]
    twins = {name: replace(light, id=name) for name in ("first-oil", "second-oil")}
    book = replace(request.book, ingredients=request.book.ingredients | twins)
    request = with_character(
        replace(request, book=book), trait("vitamin_e"), trait("oil", "1", Family.TOTALS)
    )
    recipe = {"hard-butter": Fraction(60), "light-oil": Fraction(40)}
    kept = substituted(request, Options(("light-oil",), keep_within=Fraction(0)), recipe)
    assert kept.closest_rest_kept is not None
    assert kept.closest_rest_kept.difference == 0
    cheaper = "first-oil" if one == "4" else "second-oil"
    assert shares(kept.closest_rest_kept) == {"hard-butter": 60, cheaper: 40}


def test_limits_on_what_is_gone_go_with_it() -> None:
    """An amount asked of an ingredient that is gone asks for nothing any more."""
    answer = small(("amounts.light-oil.min", "30"), ("totals.oil.min", "20"))
    assert answer.closest is not None
    assert shares(answer.closest)["nut-oil"] >= 20


def test_what_is_gone_must_be_in_use() -> None:
    """Replacing what the formula has none of is refused, with what it has."""
    said = refusal(lambda: small(gone="nut-oil"))
    assert said == (
        "--gone nut-oil: the formula in use has none of it; it has hard-butter, light-oil, starch"
    )


def test_impossible_brief_needs_a_recipe() -> None:
    """Where the brief has no formula there is nothing to replace an ingredient in."""
    request = small_request(("totals.oil.min", "60"), ("totals.butter.min", "60"))
    said = refusal(lambda: substituted(request, Options(("light-oil",)), None))
    assert said == (
        "brief.toml: this brief has no formula to replace an ingredient in, formulate says why; "
        "give one with --from"
    )


def test_only_the_rest_and_what_is_named_may_come_in() -> None:
    """`only` keeps every other newcomer out."""
    answer = small(only=("soft-butter",))
    for found in (answer.closest, answer.cheapest, *answer.between):
        assert found is not None
        assert set(shares(found)) <= {"hard-butter", "starch", "soft-butter"}
    assert {c.ingredient for c in answer.candidates} <= {"soft-butter"}


def test_cost_cap_is_a_limit_of_the_answer() -> None:
    """No formula costs more than the cap, and one below the cheapest is a conflict."""
    free = small(("totals.oil.min", "30"))
    assert free.cheapest is not None
    least = free.cheapest.measures.cost_per_kg
    assert least is not None
    assert least == Fraction(39, 10)
    tight = small(("totals.oil.min", "30"), cost_cap=Decimal("4.9"))
    for found in (tight.closest, tight.cheapest, *tight.between):
        assert found is not None
        assert found.measures.cost_per_kg <= least + 1
    none = small(("totals.oil.min", "30"), cost_cap=Decimal("0.5"))
    assert none.closest is None
    assert none.explanation is not None
    clashing = {clash.row.statement.key for part in none.explanation.conflicts for clash in part}
    assert "--cost-cap" in clashing


def test_conflict_and_ways_out_without_the_only_oils() -> None:
    """Without both oils the limits that clash are told, and what each would have to become."""
    request = with_character(
        small_request(("totals.oil.min", "30"), ("totals.butter.max", "70")), trait("vitamin_e")
    )
    recipe = {"hard-butter": Fraction(60), "light-oil": Fraction(40)}
    answer = substituted(request, Options(("light-oil", "nut-oil")), recipe)
    assert (answer.closest, answer.cheapest, answer.candidates) == (None, None, ())
    assert answer.explanation is not None
    (conflict,) = answer.explanation.conflicts
    assert [clash.row.statement.key for clash in conflict] == ["totals.oil.min"]
    (way,) = answer.explanation.ways_out
    assert way.reachable == 0
    # The cheapest of the rest within 70 % of butter: 100 % starch at 3 a kg.
    assert way.cost_per_kg == 3


def test_or_none_is_no_must() -> None:
    """An ingredient that may be absent is not forced into the formula."""
    asked = limit("amounts.firm-wax.min", "8")
    request = with_character(small_request(asked), trait("powder", "1", Family.TOTALS))
    brief = replace(request.brief, or_none={"firm-wax": asked.origin})
    recipe = {"hard-butter": Fraction(60), "light-oil": Fraction(40)}
    free = replace(request, brief=brief)
    for only in (None, ()):
        answer = substituted(free, Options(("light-oil",), only=only), recipe)
        assert answer.cheapest is not None
        assert "firm-wax" not in shares(answer.cheapest)
    must = substituted(request, Options(("light-oil",)), recipe)
    assert must.cheapest is not None
    assert shares(must.cheapest)["firm-wax"] == 8


@cache
def pure(gone: str, *of: str) -> list[str]:
    """The fats of the shipped tables alone, the most like one fat first."""
    book = read_book()
    fats = [i.id for i in book.ingredients.values() if i.kind in (Kind.BUTTER, Kind.OIL)]
    # A cheap fat without gaps, so that the cheapest formula can be judged.
    priced = {name: "1" if name == "sunflower-oil" else "10" for name in fats}
    request = replace(small_request(prices=priced), book=book)
    if of:
        request = with_character(request, *(trait(name, "3") for name in of))
    answer = substituted(request, Options((gone,)), {gone: Fraction(100)})
    return [candidate.ingredient for candidate in answer.candidates]


ACIDS = ("palmitic", "stearic", "oleic", "linoleic", "lauric")
EQUIVALENTS = ("illipe-butter", "sal-butter", "kokum-butter", "mango-butter")
LAURIC = ("babassu-oil", "palm-kernel-oil")


def test_figures_behind_the_rankings_are_published() -> None:
    """The four large acids of these fats are published figures; solid fat is mostly derived."""
    book = read_book()
    for name in ("cocoa-butter", "coconut-oil", *EQUIVALENTS, *LAURIC):
        figures = book.ingredients[name].figures
        assert {figures[of].status for of in ACIDS[:4]} == {"published"}
    assert book.ingredients["sal-butter"].figures["solid_fat_20C"].status == "derived"


def test_cocoa_butter_equivalents_stand_for_cocoa_butter() -> None:
    """The fats that chocolate law lets stand for cocoa butter come before all others.

    Directive 2000/36/EC, Annex II: illipe, palm oil, sal, shea, kokum gurgi, mango kernel; palm
    and shea there are fractions. Customary traits count solid fat, which is derived here; by
    the published acids alone only cupuacu, of the cocoa family, stands among them.
    """
    assert set(pure("cocoa-butter")[:4]) == set(EQUIVALENTS)
    ranked = pure("cocoa-butter", *ACIDS)
    shea = {"shea-butter-refined", "shea-butter-unrefined"}
    assert set(ranked[:8]) == {*EQUIVALENTS, *shea, "cupuacu-butter", "palm-oil"}


def test_lauric_oils_stand_for_one_another() -> None:
    """Coconut, palm kernel and babassu oil are the lauric oils of Codex CXS 210 (from memory)."""
    assert set(pure("coconut-oil")[:2]) == set(LAURIC)
    assert set(pure("coconut-oil", *ACIDS)[:2]) == set(LAURIC)
    assert "coconut-oil" in pure("palm-kernel-oil", *ACIDS)[:4]
    assert "palm-kernel-oil" in pure("babassu-oil", *ACIDS)[:2]


def test_high_oleic_oils_stand_for_one_another() -> None:
    """High-oleic safflower ranks near the top for high-oleic sunflower by published acids.

    Codex CXS 210 (from memory): both are defined by their oleic acid, at least 70 and 75 %.
    """
    ranked = pure("sunflower-oil-high-oleic", *ACIDS)
    assert ranked.index("safflower-oil-high-oleic") < 3
    assert ranked.index("safflower-oil-high-oleic") < ranked.index("sweet-almond-oil")


def test_what_the_brief_demands_may_come_in_beside_what_is_named() -> None:
    """`only` keeps newcomers out, but for what the brief asks for some of."""
    demanded = small(("amounts.firm-wax.min", "8"), only=("soft-butter",))
    assert demanded.closest is not None
    assert shares(demanded.closest)["firm-wax"] >= 8
    capped = small(("amounts.firm-wax.max", "8"), only=("soft-butter",))
    assert capped.cheapest is not None
    assert "firm-wax" not in capped.request.brief.use


def test_within_how_many_points_the_rest_can_be_kept() -> None:
    """Told where the rest cannot be kept as asked, and least: within it there is a formula."""
    asked = ("amounts.hard-butter.min", "70")
    near = small(asked, keep_within=Fraction(1))
    assert near.closest is not None
    assert near.closest_rest_kept is None
    assert near.least_within is not None
    assert near.least_within > 1
    wide = small(asked, keep_within=near.least_within)
    assert wide.closest_rest_kept is not None
    assert wide.least_within is None
