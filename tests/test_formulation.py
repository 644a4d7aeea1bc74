"""From a request to the linear model: rows, coefficients, sentences, who is left out."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from formulation_support import (
    INGREDIENTS,
    PRICES,
    PROPERTIES,
    ingredient,
    limit,
    offer,
    quantity,
    refusal,
    small_request,
)

from optimiser.answers.cheapest import cheapest
from optimiser.formulation import Formulation, LeftOut, formulated
from optimiser.ingredient import Kind
from optimiser.linear_model import Sense
from optimiser.provenance import Origin
from optimiser.pulp_model import as_text

GOLDEN = Path(__file__).parent / "golden"

ALL_FIVE = ("firm-wax", "hard-butter", "light-oil", "nut-oil", "soft-butter", "starch")
"""The columns where no limit leaves anything out, in their order."""

HARD_AND_SOFT = ("hard-butter", "light-oil", "soft-butter")


def only_row(formulation: Formulation) -> int:
    """The one row behind the sum to 100."""
    assert len(formulation.model.rows) == 2
    return 1


def row_of(*limits: tuple[str, str], **more: object) -> tuple[Formulation, int]:
    formulation = formulated(small_request(*limits, **more))  # type: ignore[arg-type]
    return formulation, only_row(formulation)


def exact_matrix(formulation: Formulation, i: int) -> list[Fraction]:
    """A row of the matrix as fractions."""
    numbers, scale = formulation.model.exact_row(i)
    return [Fraction(number, scale) for number in numbers]


GROUPS = {"fine_fats": ("soft-butter", "nut-oil")}

CASES = {
    # limit, extra, sense, sentence, unit, matrix over ALL_FIVE or the columns left, right side
    "amount_min": (
        ("amounts.soft-butter.min", "12.5"),
        {},
        Sense.AT_LEAST,
        "Soft butter at least 12.5 %",
        "%",
        (0, 0, 0, 0, 1, 0),
        "12.5",
    ),
    "amount_max": (
        ("amounts.starch.max", "4"),
        {},
        Sense.AT_MOST,
        "Starch at most 4 %",
        "%",
        (0, 0, 0, 0, 0, 1),
        "4",
    ),
    "amount_exactly": (
        ("amounts.firm-wax", "0.8"),
        {},
        Sense.EQUAL,
        "Firm wax exactly 0.8 %",
        "%",
        (1, 0, 0, 0, 0, 0),
        "0.8",
    ),
    "total_of_kind": (
        ("totals.butter.min", "40"),
        {},
        Sense.AT_LEAST,
        "butters together at least 40 %",
        "%",
        (0, 1, 0, 0, 1, 0),
        "40",
    ),
    "total_of_group": (
        ("totals.fine_fats.max", "30"),
        {"groups": GROUPS},
        Sense.AT_MOST,
        "fine_fats together at most 30 %",
        "%",
        (0, 0, 0, 1, 1, 0),
        "30",
    ),
    "ratio_of_kinds": (
        ("ratios.butter:oil.min", "1.2"),
        {},
        Sense.AT_LEAST,
        "butters at least 1.2 times oils by weight",
        "times",
        (0, 1, "-1.2", "-1.2", 1, 0),
        "0",
    ),
    "ratio_of_group_to_ingredient": (
        ("ratios.fine_fats:firm-wax.max", "3"),
        {"groups": GROUPS},
        Sense.AT_MOST,
        "fine_fats at most 3 times firm-wax by weight",
        "times",
        (-3, 0, 0, 1, 1, 0),
        "0",
    ),
    "property_over_product": (
        ("properties.vitamin_e.min", "20"),
        {},
        Sense.AT_LEAST,
        "vitamin E at least 20 mg/100 g",
        "mg/100 g",
        (0, 2, 40, 25, 5, 0),
        "2000",
    ),
    "property_over_fat": (
        ("properties.solid_fat_20C.max", "44"),
        {},
        Sense.AT_MOST,
        "solid fat at 20 C at most 44 % of the fat",
        "% of the fat",
        (56, 36, -44, -44, -4, 0),
        "0",
    ),
    "property_by_volume": (
        ("properties.density.min", "0.93"),
        {},
        Sense.AT_LEAST,
        "density at least 0.93 g/ml",
        "g/ml",
        # Without the wax and the nut oil, whose density nobody gives: 1 - 0.93 / rho.
        ("2/95", "-1/30", "-1/92", "19/50"),
        "0",
    ),
    "own_property": (
        ("properties.grip.max", "2"),
        {},
        Sense.AT_MOST,
        "grip at most 2",
        "",
        ("2.5",),
        "200",
    ),
    "cost_cap": (
        ("properties.cost.max", "9.5"),
        {},
        Sense.AT_MOST,
        "cost at most 9.5 GBP per kg",
        "GBP per kg",
        (15, 12, 5, 6, 8, 3),
        "950",
    ),
    "cautious_min": (
        ("properties.vitamin_e.min", "20"),
        {"cautious": ("vitamin_e",)},
        Sense.AT_LEAST,
        "vitamin E at least 20 mg/100 g, counted at the low figures",
        "mg/100 g",
        (0, 1, 30, 25, 5, 0),
        "2000",
    ),
    "cautious_max": (
        ("properties.solid_fat_20C.max", "44"),
        {"cautious": ("solid_fat_20C",)},
        Sense.AT_MOST,
        "solid fat at 20 C at most 44 % of the fat, counted at the high figures",
        "% of the fat",
        (56, 41, -44, -44, 1, 0),
        "0",
    ),
}
"""Each kind of limit; the coefficients are worked out by hand from the figures in
`formulation_support`."""


@pytest.mark.parametrize("case", CASES)
def test_each_limit_becomes_one_row_with_its_sense_unit_sentence_and_origin(case: str) -> None:
    """A limit is one row that says what the maker said and where she said it."""
    said, more, sense, sentence, unit, _, _ = CASES[case]
    formulation, i = row_of(said, **more)
    row = formulation.model.rows[i]
    assert row.sense is sense
    assert row.unit == unit
    assert row.statement.render(formulation.model.bound[i]) == sentence
    assert row.statement.key == said[0]
    assert row.statement.origin == Origin("brief.toml", 7, said[0])
    assert row.may_be_eased


@pytest.mark.parametrize("case", CASES)
def test_coefficients_are_exact(case: str) -> None:
    """The linear form of every kind of limit has exactly the coefficients worked out by hand."""
    said, more, _, _, _, expected, right = CASES[case]
    formulation, i = row_of(said, **more)
    assert exact_matrix(formulation, i) == [Fraction(number) for number in expected]
    assert formulation.model.right_side(i) == Fraction(right)
    assert formulation.model.bound[i] == Decimal(said[1])


@pytest.mark.parametrize("case", CASES)
def test_the_model_file_of_each_kind_of_limit_is_as_kept(case: str) -> None:
    """The LP file that other solvers read stays as it is in `golden/`, legend included."""
    said, more, *_ = CASES[case]
    formulation, _ = row_of(said, **more)
    kept = (GOLDEN / f"formulation_{case}.lp").read_text(encoding="utf-8")
    assert as_text(formulation.model, "lp") == kept


def test_every_kept_model_file_belongs_to_a_case() -> None:
    """No golden file of the formulation is left without its test."""
    kept = {path.stem.removeprefix("formulation_") for path in GOLDEN.glob("formulation_*.lp")}
    assert kept == set(CASES)


def test_the_sum_to_100_is_a_row_that_nobody_may_ease() -> None:
    """All shares add up to 100, and that is never offered for change."""
    formulation = formulated(small_request())
    assert formulation.model.columns == ALL_FIVE
    assert formulation.model.rows[0].may_be_eased is False
    assert formulation.model.rows[0].sense is Sense.EQUAL
    assert exact_matrix(formulation, 0) == [1] * 6
    assert formulation.model.right_side(0) == 100
    assert formulation.model.lower == (0,) * 6
    assert formulation.model.upper == (100,) * 6


def test_costs_are_money_per_kg_of_the_formula() -> None:
    """A column costs its price per kg for each hundredth of the formula."""
    formulation = formulated(small_request())
    assert formulation.model.cost.numbers == tuple(
        Fraction(PRICES[name]) / 100 for name in ALL_FIVE
    )


def test_min_and_max_are_two_rows() -> None:
    """Each side of a limit has its own row and so its own price."""
    request = small_request(("totals.oil.min", "10"), ("totals.oil.max", "20"))
    formulation = formulated(request)
    assert [row.sense for row in formulation.model.rows[1:]] == [Sense.AT_LEAST, Sense.AT_MOST]
    assert exact_matrix(formulation, 1) == exact_matrix(formulation, 2)


def test_a_firm_limit_may_not_be_eased() -> None:
    """What the maker calls firm is marked so."""
    formulation = formulated(small_request(limit("totals.oil.min", "10", firm=True)))
    assert formulation.model.rows[1].may_be_eased is False


class TestLeftOut:
    def test_names_the_figure_and_the_limit_that_needs_it(self) -> None:
        """An ingredient without a needed figure is left out by name, figure and limit."""
        formulation = formulated(small_request(("properties.density.max", "0.95")))
        assert formulation.left_out == (
            LeftOut("firm-wax", "density", "properties.density.max"),
            LeftOut("nut-oil", "density", "properties.density.max"),
        )
        assert formulation.model.columns == ("hard-butter", "light-oil", "soft-butter", "starch")

    def test_the_first_limit_in_the_brief_is_the_one_named(self) -> None:
        """Two limits of one property leave an ingredient out once, for the first."""
        limits = ("properties.density.max", "0.95"), ("properties.density.min", "0.9")
        left_out = formulated(small_request(*limits)).left_out
        assert [entry.needed_by for entry in left_out] == ["properties.density.max"] * 2

    def test_each_missing_figure_is_told(self) -> None:
        """An ingredient that lacks two figures is listed with both."""
        limits = ("properties.density.max", "2"), ("properties.grip.max", "9")
        left_out = formulated(small_request(*limits)).left_out
        wax = [(e.missing, e.needed_by) for e in left_out if e.ingredient == "firm-wax"]
        assert wax == [
            ("density", "properties.density.max"),
            ("grip", "properties.grip.max"),
        ]

    def test_fat_properties_leave_powders_in(self) -> None:
        """A figure over the fat phase is not asked of what does not melt."""
        formulation = formulated(small_request(("properties.solid_fat_20C.max", "50")))
        assert formulation.left_out == ()
        assert "starch" in formulation.model.columns

    def test_a_missing_figure_is_never_zero(self) -> None:
        """The cheapest formula under a maximum has nothing whose figure is unknown."""
        answer = cheapest(small_request(("properties.grip.max", "2.5")))
        assert answer.measures is not None
        assert [share.ingredient for share in answer.measures.formula] == ["light-oil"]

    def test_a_published_zero_counts_as_zero(self) -> None:
        """A figure of 0 is a figure."""
        formulation = formulated(small_request(("properties.vitamin_e.max", "0")))
        assert formulation.left_out == ()

    def test_an_unlimited_property_leaves_nobody_out(self) -> None:
        """Without a limit on it no figure is needed."""
        assert formulated(small_request()).left_out == ()

    def test_the_cost_needs_no_figure(self) -> None:
        """A cap on the cost leaves nobody out."""
        assert formulated(small_request(("properties.cost.max", "9"))).left_out == ()

    def test_what_is_not_on_the_shelf_is_not_left_out_for_want_of_figures(self) -> None:
        """What the maker took off the shelf is not complained of."""
        request = small_request(("properties.density.max", "1"), leave_out=("firm-wax",))
        assert [e.ingredient for e in formulated(request).left_out] == ["nut-oil"]


class TestShelf:
    def test_everything_priced_may_be_used_by_default(self) -> None:
        """Without `use` the price list is the shelf."""
        request = small_request(prices={"starch": "3", "light-oil": "5"})
        assert formulated(request).model.columns == ("light-oil", "starch")

    def test_use_and_leave_out(self) -> None:
        """`use` narrows the shelf and `leave_out` takes from it."""
        used = formulated(small_request(use=HARD_AND_SOFT)).model.columns
        kept = formulated(small_request(leave_out=("starch", "firm-wax", "nut-oil"))).model.columns
        assert used == kept == HARD_AND_SOFT

    def test_an_ingredient_to_use_without_a_price_is_a_mistake(self) -> None:
        """What the shelf names must have a price."""
        request = small_request(use=("hard-butter", "starch"), prices={"starch": "3"})
        assert refusal(formulated, request) == (
            "brief.toml shelf.use: hard-butter has no row in the price list; add one, or take it "
            "off the shelf"
        )

    def test_an_amount_of_something_without_its_figure_is_a_mistake(self) -> None:
        """Asking for an ingredient that a limit shuts out says which figure is missing."""
        limits = ("amounts.nut-oil.min", "2"), ("properties.density.max", "1")
        assert refusal(formulated, small_request(*limits)) == (
            "brief.toml:7 amounts.nut-oil.min: nut-oil cannot be used: nobody gives its density, "
            "which properties.density.max needs; give the figure in a sheet of your own"
        )

    @pytest.mark.parametrize(
        ("more", "reason"),
        [
            ({"leave_out": ("nut-oil",)}, "is asked for here and left out under shelf.leave_out"),
            ({"use": ("starch",)}, "is asked for but is not on the shelf or has no price"),
            (
                {"prices": {"starch": "3"}},
                "is asked for but is not on the shelf or has no price",
            ),
        ],
    )
    def test_an_amount_of_something_unavailable_is_a_mistake(
        self, more: dict[str, object], reason: str
    ) -> None:
        """A minimum of what cannot be had is refused, not made impossible in silence."""
        request = small_request(("amounts.nut-oil.min", "2"), **more)  # type: ignore[arg-type]
        assert refusal(formulated, request) == f"brief.toml:7 amounts.nut-oil.min: nut-oil {reason}"

    def test_a_maximum_of_something_unavailable_is_a_remark(self) -> None:
        """At most so much of what is not there holds, and is told."""
        formulation = formulated(
            small_request(("amounts.nut-oil.max", "2"), leave_out=("nut-oil",))
        )
        assert formulation.remarks == (
            "amounts.nut-oil.max concerns nut-oil, of which nothing is on the shelf",
        )

    def test_a_minimum_of_zero_asks_for_nothing(self) -> None:
        """At least 0 % of what is not there is no mistake."""
        request = small_request(("amounts.nut-oil.min", "0"), leave_out=("nut-oil",))
        assert "nut-oil" not in formulated(request).model.columns

    def test_nothing_left_is_a_mistake(self) -> None:
        """Where the figures shut everything out, the maker is told what to give."""
        request = small_request(("properties.grip.max", "2"), leave_out=("light-oil",))
        assert refusal(formulated, request) == (
            "brief.toml shelf: no ingredient can be used; give prices, or the figures that the "
            "limits need"
        )

    def test_an_empty_group_on_the_shelf_is_a_remark(self) -> None:
        """A total over a group of which nothing is priced counts as 0 and is told."""
        request = small_request(
            ("totals.fine_fats.max", "10"),
            groups=GROUPS,
            prices={"starch": "3", "hard-butter": "12"},
        )
        formulation = formulated(request)
        assert exact_matrix(formulation, 1) == [0, 0]
        assert formulation.remarks == (
            "totals.fine_fats.max concerns fine_fats, of which nothing is on the shelf",
        )

    def test_an_empty_side_of_a_ratio_is_a_remark(self) -> None:
        """A ratio to a kind that is not there is told by that kind."""
        request = small_request(
            ("ratios.butter:wax.max", "3"), prices={"starch": "3", "hard-butter": "12"}
        )
        assert formulated(request).remarks == (
            "ratios.butter:wax.max concerns wax, of which nothing is on the shelf",
        )

    def test_an_empty_kind_of_the_style_is_no_remark(self) -> None:
        """What only the style limits is not worth telling."""
        request = small_request(
            limit("totals.colour.max", "3", from_style=True), prices={"starch": "3"}
        )
        assert formulated(request).remarks == ()


class TestPrices:
    def test_the_lowest_price_per_kg_is_taken_with_delivery_spread_over_the_pack(self) -> None:
        """Of several offers the cheapest per kg counts, delivery included."""
        offers = (
            offer("starch", "3.90", "1", "0", "near"),
            offer("starch", "15", "5", "4", "far"),  # 19 for 5 kg: 3.80 per kg
            offer("starch", "1.60", "0.5", "0.40", "small"),  # 2 for 0.5 kg: 4 per kg
        )
        formulation = formulated(small_request(offers=offers))
        assert formulation.offers == (offers[1],)
        assert formulation.offers[0].price_per_kg == Fraction("3.80")

    def test_of_equal_offers_the_first_counts(self) -> None:
        """Two suppliers at one price per kg: the first row of the list."""
        offers = (offer("starch", "8", "2", supplier="one"), offer("starch", "4", supplier="two"))
        assert formulated(small_request(offers=offers)).offers[0].supplier == "one"

    def test_the_order_of_the_price_list_changes_nothing(self) -> None:
        """Shuffled price rows give the same model and the same formula."""
        limits = ("ratios.butter:oil.min", "1"), ("properties.vitamin_e.min", "15")
        there = cheapest(small_request(*limits))
        back = cheapest(small_request(*limits, prices=dict(reversed(PRICES.items()))))
        assert there.measures == back.measures
        assert there.formulation.model.columns == back.formulation.model.columns

    def test_the_order_of_the_limits_changes_no_formula(self) -> None:
        """Limits may be written in any order."""
        limits = (
            ("ratios.butter:oil.min", "1"),
            ("properties.vitamin_e.min", "15"),
            ("totals.powder.max", "5"),
        )
        one, other = cheapest(small_request(*limits)), cheapest(small_request(*reversed(limits)))
        assert one.measures is not None
        assert other.measures is not None
        assert one.measures.formula == other.measures.formula


@pytest.mark.parametrize(
    "name", ["{bound} butter", "70 % {oil}", 'the "fine" one', "{", "a}b", "{0}", "%s %d", "it's"]
)
def test_signs_in_names_stand_for_themselves(name: str) -> None:
    """Braces, percent signs and quotes in names come through to the sentences."""
    odd = ingredient("odd-oil", Kind.OIL, {"vitamin_e": "3"}, name=name)
    titled = quantity("odd", name, name)
    request = small_request(
        ("amounts.odd-oil.min", "2"),
        (f"totals.{name}.max", "9"),
        (f"ratios.{name}:butter.max", "9"),
        ("properties.cost.max", "99"),
        ingredients=(*INGREDIENTS, odd),
        properties=(*PROPERTIES, titled),
        groups={name: ("odd-oil",)},
        prices={**PRICES, "odd-oil": "4"},
        currency=name,
    )
    model = formulated(request).model
    told = [row.statement.render(bound) for row, bound in zip(model.rows, model.bound, strict=True)]
    assert told[1:] == [
        f"{name} at least 2 %",
        f"{name} together at most 9 %",
        f"{name} at most 9 times butters by weight",
        f"cost at most 99 {name} per kg",
    ]


def test_a_unit_that_the_title_merely_ends_in_is_kept() -> None:
    """A title that happens to end in the letters of the unit does not swallow it."""
    packed = quantity("packing", "packing", "g")
    starch = ingredient("starch", Kind.POWDER, {"packing": "5"})
    request = small_request(
        ("properties.packing.max", "9"),
        properties=(packed,),
        ingredients=(starch,),
        prices={"starch": "3"},
    )
    row = formulated(request).model.rows[1]
    assert row.statement.render(Decimal(9)) == "packing at most 9 g"


def test_an_exact_property_says_which_figures_it_counts() -> None:
    """A cautious maker who asks for an exact value is not told of figures that are not used."""
    request = small_request(("properties.vitamin_e", "20"), cautious=("vitamin_e",))
    model = formulated(request).model
    assert model.numerator[1].numbers == (0, 2, 40, 25, 5, 0)
    assert model.rows[1].statement.render(20) == "vitamin E exactly 20 mg/100 g"


def main() -> None:
    """Write the golden files anew: `python tests/test_formulation.py`; look at what changed."""
    for case, (said, more, *_) in CASES.items():
        formulation, _ = row_of(said, **more)
        text = as_text(formulation.model, "lp")
        (GOLDEN / f"formulation_{case}.lp").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
