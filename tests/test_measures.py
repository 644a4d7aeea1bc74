"""What a formula measures, against values worked out by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest
from formulation_support import INGREDIENTS, PRICES, ingredient, limit, quantity, small_request
from hypothesis import given
from hypothesis import strategies as st

from optimiser.answers.cheapest import cheapest
from optimiser.answers.measures import Blend, Level, Measures, measured
from optimiser.brief import Request
from optimiser.formulation import formulated
from optimiser.ingredient import Caution, Kind, Over, Rule, SofteningPair
from optimiser.present.answer_json import measures_document
from optimiser.provenance import Origin

EVERY_FAT = ("hard-butter", "soft-butter", "light-oil")
MIX = {"hard-butter": 20, "soft-butter": 40, "light-oil": 30, "starch": 10}
"""Percent of four ingredients; the values in these tests are worked out from it by hand."""


def measures_of(request: Request, shares: dict[str, int] | None = None) -> Measures:
    formulation = formulated(request)
    given_shares = MIX if shares is None else shares
    x = tuple(Fraction(given_shares.get(label, 0)) for label in formulation.model.columns)
    assert sum(x) == 100
    return measured(Blend.of(formulation, x))


def level(measures: Measures, of: str) -> Level:
    (found,) = (found for found in measures.properties if found.quantity.id == of)
    return found


def test_a_mean_over_the_product() -> None:
    """Vitamin E of the jar: each share times its figure, powders diluting it."""
    found = level(measures_of(small_request()), "vitamin_e")
    assert found.value == Fraction("0.2") * 2 + Fraction("0.4") * 5 + Fraction("0.3") * 40
    assert found.low == Fraction("0.2") * 1 + Fraction("0.4") * 5 + Fraction("0.3") * 30
    assert found.high == Fraction("0.2") * 4 + Fraction("0.4") * 5 + Fraction("0.3") * 60


def test_a_mean_over_the_fat() -> None:
    """Solid fat is taken over the 90 % that melt, not over the powder."""
    found = level(measures_of(small_request()), "solid_fat_20C")
    assert found.value == Fraction(20 * 80 + 40 * 40, 90)
    assert (found.low, found.high) == (
        Fraction(20 * 70 + 40 * 30, 90),
        Fraction(20 * 85 + 40 * 45, 90),
    )


def test_density_adds_volumes() -> None:
    """100 g take up the sum of each part's volume; the density is 100 g by that."""
    found = level(measures_of(small_request()), "density")
    volume = 20 / Fraction("0.95") + 40 / Fraction("0.92") + 30 / Fraction("0.9")
    volume += 10 / Fraction("1.5")
    assert found.value == found.low == found.high == 100 / volume


def test_density_of_equal_parts_is_not_their_mean() -> None:
    """Half of 1.0 and half of 3.0 g/ml is 1.5, where the mean would be 2."""
    heavy = ingredient("heavy", Kind.POWDER, {"density": "3"})
    light = ingredient("light", Kind.OIL, {"density": "1"})
    request = small_request(ingredients=(heavy, light), prices={"heavy": "1", "light": "1"})
    assert level(measures_of(request, {"heavy": 50, "light": 50}), "density").value == Fraction(
        3, 2
    )


def test_powder_takes_up_oil() -> None:
    """Free oil: the liquid fat less half of a gram for each tenth of a gram of powder."""
    oil = ingredient("oil", Kind.OIL, {"free_oil_32C": "100"})
    butter = ingredient("butter", Kind.BUTTER, {"free_oil_32C": ("60", "80", "90")})
    powder = ingredient("powder", Kind.POWDER, {"free_oil_32C": ("-70", "-55", "-40")})
    request = small_request(
        ingredients=(oil, butter, powder), prices={"oil": "1", "butter": "1", "powder": "1"}
    )
    found = level(measures_of(request, {"oil": 40, "butter": 50, "powder": 10}), "free_oil_32C")
    assert (found.low, found.value, found.high) == (40 + 30 - 7, 40 + 40 - Fraction("5.5"), 81)


def test_the_low_end_of_a_percentage_is_not_below_nothing() -> None:
    """Low figures that count what an oil dissolves end at none, the value as it is."""
    oil = ingredient("oil", Kind.OIL, {"solid_fat_20C": ("-8", "2", "5")})
    request = small_request(ingredients=(oil,), prices={"oil": "1"})
    found = level(measures_of(request, {"oil": 100}), "solid_fat_20C")
    assert (found.low, found.value, found.high) == (0, 2, 5)


def test_no_fat_phase_has_no_mean_over_the_fat() -> None:
    """A jar of starch has no solid fat, neither 0 nor any other."""
    found = level(measures_of(small_request(), {"starch": 100}), "solid_fat_20C")
    assert (found.low, found.value, found.high) == (None, None, None)


def test_what_cannot_be_measured_names_who_lacks_the_figure() -> None:
    """A property is not computed from part of the formula."""
    measures = measures_of(small_request())
    lacking = {quantity.id: names for quantity, names in measures.unmeasured.items()}
    assert lacking == {
        "free_oil_32C": ("hard-butter", "light-oil", "soft-butter"),
        "grip": ("hard-butter", "soft-butter", "starch"),
    }
    assert {found.quantity.id for found in measures.properties} == {
        "vitamin_e",
        "solid_fat_20C",
        "density",
    }


def test_an_absent_ingredient_needs_no_figures() -> None:
    """Only what is in the jar is measured."""
    measures = measures_of(small_request(), {"light-oil": 100})
    assert level(measures, "grip").value == Fraction("2.5")


def test_limited_properties_come_first() -> None:
    """What the brief limits heads the list."""
    request = small_request(("properties.density.max", "2"), use=(*EVERY_FAT, "starch"))
    found = [(x.quantity.id, x.is_limited) for x in measures_of(request).properties]
    assert found == [("density", True), ("vitamin_e", False), ("solid_fat_20C", False)]


def test_the_status_of_the_figures_is_counted() -> None:
    """How many of the figures behind a value have which status."""
    guessed = ingredient("guess", Kind.OIL, {"vitamin_e": "3"}, status="estimate")
    request = small_request(ingredients=(*INGREDIENTS, guessed), prices={**PRICES, "guess": "1"})
    shares = {"guess": 30, "light-oil": 30, "hard-butter": 40}
    found = level(measures_of(request, shares), "vitamin_e")
    assert found.figures == {"published": 2, "estimate": 1}


def test_own_figures_are_named_by_property() -> None:
    """Only what is used and the maker's own is told."""
    own = ingredient("infusion", Kind.OIL, {"vitamin_e": "3", "grip": "1"}, status="own")
    idle = ingredient("idle", Kind.OIL, {"vitamin_e": "3"}, status="own")
    request = small_request(
        ingredients=(*INGREDIENTS, own, idle), prices={**PRICES, "infusion": "1", "idle": "1"}
    )
    measures = measures_of(request, {"infusion": 60, "light-oil": 40})
    assert measures.own_figures == {"vitamin_e": ("infusion",), "grip": ("infusion",)}


def test_shares_costs_and_their_order() -> None:
    """The largest share first, each with its part of the cost."""
    measures = measures_of(small_request())
    assert (
        measures.cost_per_kg
        == Fraction("0.2") * 12 + Fraction("0.4") * 8 + Fraction("0.3") * 5 + Fraction("0.1") * 3
    )
    assert [(s.ingredient, s.percent) for s in measures.formula] == [
        ("soft-butter", 40),
        ("light-oil", 30),
        ("hard-butter", 20),
        ("starch", 10),
    ]
    assert [s.cost_share for s in measures.formula] == [
        Fraction(part, 740) for part in (320, 150, 240, 30)
    ]


def test_equal_shares_stand_in_the_order_of_their_names() -> None:
    """The order of a formula does not depend on the price list."""
    measures = measures_of(small_request(), {"starch": 50, "firm-wax": 50})
    assert [share.ingredient for share in measures.formula] == ["firm-wax", "starch"]


def test_totals_by_kind_and_group() -> None:
    """Kinds that are there, groups that are there, and limited ones even at 0."""
    groups = {"soft": ("soft-butter", "light-oil"), "absent": ("firm-wax",)}
    request = small_request(
        ("totals.wax.max", "9"), ("totals.absent.max", "9"), ("totals.nut-oil.max", "5"),
        groups=groups,
    )  # fmt: skip
    assert measures_of(request).totals == {
        "butter": 60,
        "oil": 30,
        "wax": 0,
        "powder": 10,
        "soft": 70,
        "absent": 0,
        "nut-oil": 0,
    }


def test_ratios_said_in_the_brief_and_butter_to_oil() -> None:
    """A ratio of sums by weight; None where there is nothing to compare with."""
    request = small_request(("ratios.butter:wax.max", "9"), ("ratios.starch:butter.max", "9"))
    assert measures_of(request).ratios == {
        "butter:wax": None,
        "starch:butter": Fraction(1, 6),
        "butter:oil": 2,
    }


class TestCautions:
    def told(
        self, *cautions: Caution, shares: dict[str, int], style: str | None = None
    ) -> list[str]:
        request = small_request(cautions=cautions, style=style)
        return list(measures_of(request, shares).cautions)

    @pytest.mark.parametrize(
        ("when", "of", "shares", "applies"),
        [
            ("always", "", {"starch": 100}, True),
            ("kind", "powder", {"starch": 1, "light-oil": 99}, True),
            ("kind", "powder", {"light-oil": 100}, False),
            ("ingredient", "nut-oil light-oil", {"light-oil": 100}, True),
            ("ingredient", "nut-oil light-oil", {"starch": 100}, False),
            ("property_above", "vitamin_e 39.9", {"light-oil": 100}, True),
            ("property_above", "vitamin_e 40", {"light-oil": 100}, False),
            ("property_above", "grip 1", {"starch": 100}, False),
            ("property_above", "solid_fat_20C 1", {"starch": 100}, False),
        ],
    )
    def test_each_kind_of_occasion(
        self, when: str, of: str, shares: dict[str, int], applies: bool
    ) -> None:
        """A caution is told exactly when its occasion is there."""
        told = self.told(Caution(when, of, "Take care.", "somewhere"), shares=shares)
        assert told == ["Take care."] * applies

    @pytest.mark.parametrize(
        ("style", "applies"), [("oil-scrub", True), ("balm", True), ("stick", False), (None, False)]
    )
    def test_by_style(self, style: str | None, applies: bool) -> None:
        """A caution of a style is told for that style only."""
        caution = Caution("style", "balm oil-scrub", "Take care.", "somewhere")
        assert self.told(caution, shares={"starch": 100}, style=style) == ["Take care."] * applies

    def test_the_general_ones_come_last_and_none_twice(self) -> None:
        """What this formula brings is read before what every jar needs."""
        told = self.told(
            Caution("always", "", "For skin.", "x"),
            Caution("kind", "powder", "Dust.", "x"),
            Caution("ingredient", "starch", "Dust.", "x"),
            shares={"starch": 100},
        )
        assert told == ["Dust.", "For skin."]

    def test_fats_that_soften_each_other(self) -> None:
        """A pair is told by the ingredients that are in the jar, and only if both are."""
        pair = SofteningPair(
            frozenset({"hard-butter", "firm-wax"}),
            frozenset({"soft-butter"}),
            "softer than the average.",
            "somewhere",
            "published",
            Origin("pairs.csv", 2),
        )
        request = small_request(pairs=(pair,))
        assert list(measures_of(request, {"hard-butter": 50, "soft-butter": 50}).cautions) == [
            "Hard butter with Soft butter: softer than the average."
        ]
        assert list(measures_of(request, {"hard-butter": 50, "firm-wax": 50}).cautions) == []


def test_a_cautious_limit_holds_the_poor_end_at_the_bound() -> None:
    """Where the maker is cautious, the low figures meet the minimum exactly."""
    request = small_request(
        ("properties.vitamin_e.min", "20"),
        use=("hard-butter", "light-oil"),
        prices={"hard-butter": "3", "light-oil": "9"},
        cautious=("vitamin_e",),
    )
    measures = cheapest(request).measures
    assert measures is not None
    found = level(measures, "vitamin_e")
    assert found.low == 20
    assert found.value is not None
    assert found.value > 20


def test_the_document_has_null_where_nothing_can_be_said() -> None:
    """No ratio to nothing, no mean over nothing: null, never 0."""
    request = small_request(limit("ratios.butter:wax.max", "9"))
    document = measures_document(measures_of(request, {"starch": 100}))
    assert document["ratios"] == {"butter:wax": None, "butter:oil": None}
    assert document["properties"]["solid_fat_20C"]["value"] is None


PARTS = st.lists(st.integers(0, 1000), min_size=3, max_size=3).filter(any)


@given(PARTS)
def test_every_mean_lies_between_the_figures_it_is_made_of(parts: list[int]) -> None:
    """A blend is never outside its ingredients, and low, value and high are in order."""
    request = small_request(use=EVERY_FAT)
    formulation = formulated(request)
    x = tuple(Fraction(100 * part, sum(parts)) for part in parts)
    measures = measured(Blend.of(formulation, x))
    used = [i for i, share in zip(formulation.ingredients, x, strict=True) if share]
    for found in measures.properties:
        figures = [i.figures[found.quantity.id] for i in used]
        assert found.low is not None
        assert found.value is not None
        assert found.high is not None
        assert found.low <= found.value <= found.high
        assert min(f.typical for f in figures) <= found.value <= max(f.typical for f in figures)


def test_a_volume_property_over_the_fat_leaves_the_powder_out() -> None:
    """Where specific volumes are added over the fat, powders do not count."""
    fat_density = quantity("density", "density", "g/ml", Over.FAT, Rule.VOLUME)
    request = small_request(properties=(fat_density,))
    found = level(measures_of(request, {"light-oil": 50, "starch": 50}), "density")
    assert found.value == Fraction("0.9")
