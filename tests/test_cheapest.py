"""Published blending problems written as a maker's files and answered by the command."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from formulation_support import Command, limit, refusal, small_request

from optimiser.answers.cheapest import cheapest
from optimiser.formulation import formulated
from optimiser.reading import read_request

CLOSE = 1e-9


def close(value: object) -> Any:
    return pytest.approx(value, rel=CLOSE, abs=CLOSE)


def shares(answer: Mapping[str, Any]) -> dict[str, float]:
    return {line["ingredient"]: line["percent"] for line in answer["formula"]}


def active(answer: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    (found,) = (line for line in answer["active_limits"] if line["limit"] == key)
    return found


def of(answer: Mapping[str, Any], part: str, name: str) -> Mapping[str, Any]:
    (found,) = (line for line in answer[part] if line["ingredient"] == name)
    return found


def files(folder: Path, **contents: str) -> Path:
    """Write `brief`, `prices` and other tables into a folder; the brief's path."""
    for name, text in contents.items():
        ending = "toml" if name == "brief" else "csv"
        (folder / f"{name}.{ending}").write_text(text, encoding="utf-8")
    return folder / "brief.toml"


# PuLP documentation, case study "A Blending Problem" (cat food): money per gram, and grams
# of protein, fat, fibre and salt in a gram; a can holds 100 g.
# https://coin-or.github.io/pulp/CaseStudies/a_blending_problem.html
CAT_FOOD_PRICES = """\
ingredient,pack,price
Chicken,100 g,1.3
Beef,100 g,0.8
Mutton,100 g,1.0
Rice,100 g,0.2
Wheat bran,100 g,0.5
Gel,100 g,0.1
"""
CAT_FOOD = """\
ingredient,protein (%),fat (%),fibre (%),salt (%)
Chicken,10,8,0.1,0.2
Beef,20,10,0.5,0.5
Mutton,15,11,0.3,0.7
Rice,0,1,10,0.2
Wheat bran,4,1,15,0.8
Gel,0,0,0,0
"""
CAT_FOOD_BRIEF = """\
name = "Cat food"
[costing]
prices = "prices.csv"
currency = "USD"
[shelf]
sheets = ["foods.csv"]
[properties]
protein = { min = 8 }
fat     = { min = 6 }
fibre   = { max = 2 }
salt    = { max = 0.4 }
"""


class TestCatFood:
    @pytest.fixture
    def full(self, tmp_path: Path, optimiser: Command) -> Any:
        brief = files(tmp_path, brief=CAT_FOOD_BRIEF, prices=CAT_FOOD_PRICES, foods=CAT_FOOD)
        return optimiser.json("formulate", brief)

    @pytest.fixture
    def simple(self, tmp_path: Path, optimiser: Command) -> Any:
        shelf = 'sheets = ["foods.csv"]\nuse = ["Chicken", "Beef"]'
        text = CAT_FOOD_BRIEF.replace('sheets = ["foods.csv"]', shelf)
        brief = files(tmp_path, brief=text, prices=CAT_FOOD_PRICES, foods=CAT_FOOD)
        return optimiser.json("formulate", brief)

    def test_the_published_can(self, full: Any) -> None:
        """60 % beef and 40 % gel at 52 cents a can, as published, and proven."""
        assert shares(full) == close({"beef": 60, "gel": 40})
        assert full["cost_per_kg"] == close(0.52 * 10)
        assert full["unique"] is True
        assert full["proof"]["status"] == "proven"
        assert Fraction(full["proof"]["cost_exact"]) == Fraction("5.2")

    def test_the_price_of_fat_and_how_far_it_holds(self, full: Any) -> None:
        """Each gram of fat in the can costs 7 cents, from 4 g to 8 g."""
        assert [line["limit"] for line in full["active_limits"]] == ["properties.fat.min"]
        fat = active(full, "properties.fat.min")
        assert fat["cost_per_unit"] == close(0.07 * 10)
        assert fat["cost_per_unit_down"] == close(-0.07 * 10)
        assert (fat["holds_from"], fat["holds_to"]) == close((4, 8))

    def test_the_prices_within_which_the_can_stays(self, full: Any) -> None:
        """The ranges of the cost coefficients, by exact arithmetic on the published data."""
        beef, gel = of(full, "used", "beef"), of(full, "used", "gel")
        # Beef 0.6, gel 0.4 of the can; beef below gel's price, or mutton in its place.
        assert (beef["stays_from"], beef["stays_to"]) == close((1, 101 / 11))
        assert (gel["stays_from"], gel["stays_to"]) == close((-12, 4 / 3))

    def test_the_prices_below_which_others_come_in(self, full: Any) -> None:
        """Reduced costs 0.64, 0.13, 0.03 and 0.33 cents a gram."""
        found = {line["ingredient"]: line["enters_below"] for line in full["unused"]}
        assert found == close({"chicken": 6.6, "mutton": 8.7, "rice": 1.7, "wheat-bran": 1.7})

    def test_the_figures_are_known_as_the_makers_own(self, full: Any) -> None:
        """The answer says which figures come from her sheet."""
        assert full["own_figures"] == {
            name: ["beef", "gel"] for name in ("protein", "fat", "fibre", "salt")
        }
        assert full["properties"]["protein"]["value"] == close(12)

    def test_chicken_and_beef_alone(self, simple: Any) -> None:
        """A third chicken and two thirds beef at 96.67 cents, as published."""
        assert shares(simple) == close({"beef": 200 / 3, "chicken": 100 / 3})
        assert Fraction(simple["proof"]["cost_exact"]) == Fraction(29, 3)

    def test_the_price_of_salt(self, simple: Any) -> None:
        """A gram more of salt saves 1.67 in the can, from 0.2 g to 0.5 g."""
        salt = active(simple, "properties.salt.max")
        assert salt["cost_per_unit"] == close(-10 * 5 / 3)
        assert salt["cost_per_unit_down"] == close(10 * 5 / 3)
        assert (salt["holds_from"], salt["holds_to"]) == close((0.2, 0.5))

    def test_open_price_ranges_are_null(self, simple: Any) -> None:
        """Chicken may get dearer for ever and beef cheaper, the formula stays."""
        chicken, beef = of(simple, "used", "chicken"), of(simple, "used", "beef")
        assert (chicken["stays_from"], chicken["stays_to"]) == (close(8), None)
        assert (beef["stays_from"], beef["stays_to"]) == (None, close(13))

    def test_no_animal_foods_is_impossible(self, tmp_path: Path, optimiser: Command) -> None:
        """Rice, bran and gel never give 8 % protein: exit status 1 and an exact proof."""
        shelf = 'sheets = ["foods.csv"]\nuse = ["Rice", "Wheat bran", "Gel"]'
        text = CAT_FOOD_BRIEF.replace('sheets = ["foods.csv"]', shelf)
        brief = files(tmp_path, brief=text, prices=CAT_FOOD_PRICES, foods=CAT_FOOD)
        answer = optimiser.json("formulate", brief, status=1)
        assert answer["status"] == "infeasible"
        assert answer["proof"]["status"] == "proven"
        assert "formula" not in answer


# H. P. Williams, Model Building in Mathematical Programming, "Food manufacture": prices of
# January per ton and hardness of five raw oils; refining at most 200 t vegetable and 250 t
# other oils a month, hardness of the product 3 to 6, sold at 150.
OIL_PRICES = """\
ingredient,pack,price
Veg 1,1 kg,110
Veg 2,1 kg,120
Oil 1,1 kg,130
Oil 2,1 kg,110
Oil 3,1 kg,115
"""
OIL_HARDNESS = """\
ingredient,kind,hardness
Veg 1,oil,8.8
Veg 2,oil,6.1
Oil 1,oil,2
Oil 2,oil,4.2
Oil 3,oil,5
"""
OIL_BRIEF = """\
[costing]
prices = "prices.csv"
[shelf]
sheets = ["oils.csv"]
[groups]
veg = ["Veg 1", "Veg 2"]
other_oils = ["Oil 1", "Oil 2", "Oil 3"]
LIMITS
[properties]
hardness = { min = 3, max = 6 }
"""


class TestRefinedOils:
    @pytest.fixture
    def month(self, tmp_path: Path, optimiser: Command) -> Any:
        """Both refineries are full in the month, so its blend has 200 parts to 250."""
        text = OIL_BRIEF.replace("LIMITS", '[ratios]\n"veg:other_oils" = 0.8')
        brief = files(tmp_path, brief=text, prices=OIL_PRICES, oils=OIL_HARDNESS)
        return optimiser.json("formulate", brief)

    @pytest.fixture
    def blend(self, tmp_path: Path, optimiser: Command) -> Any:
        text = OIL_BRIEF.replace("LIMITS", "[totals]\nveg = { min = 40 }")
        brief = files(tmp_path, brief=text, prices=OIL_PRICES, oils=OIL_HARDNESS)
        return optimiser.json("formulate", brief)

    def test_the_published_month(self, month: Any) -> None:
        """A profit of 17 592.59, as the book has it, from 159.26 t, 40.74 t and 250 t."""
        tons = {name: 4.5 * percent for name, percent in shares(month).items()}
        assert tons == close({"veg-1": 4300 / 27, "veg-2": 1100 / 27, "oil-2": 250})
        profit = 450 * (150 - Fraction(month["proof"]["cost_exact"]))
        assert profit == Fraction(475000, 27)

    def test_the_price_of_the_ratio_follows_from_the_prices_of_the_refineries(
        self, month: Any
    ) -> None:
        """A ton of capacity is worth 29.63 and 46.67; the ratio shifts one to the other."""
        ratio = active(month, 'ratios."veg:other_oils"')
        # The vegetable share is r / (1 + r), which moves by 1 / (1 + r)^2 for each unit of r.
        rate = (Fraction(140, 3) - Fraction(800, 27)) / Fraction("1.8") ** 2
        assert ratio["cost_per_unit"] == close(float(rate))
        assert ratio["cost_per_unit_down"] == close(-float(rate))
        # The refinery of 250 t may shrink to 11.11 t or grow to 311.11 t beside 200 t.
        assert ratio["holds_from"] == close(200 / (2800 / 9))
        assert ratio["holds_to"] == close(200 / (100 / 9))

    def test_the_price_of_hardness_in_the_month(self, month: Any) -> None:
        """The dual of the hardness limit, 3.7037 per ton of blend and unit of hardness."""
        hardness = active(month, "properties.hardness.max")
        assert hardness["cost_per_unit"] == close(-100 / 27)
        assert hardness["cost_per_unit_down"] == close(100 / 27)

    @pytest.mark.parametrize("answer", ["month", "blend"])
    def test_the_price_ranges(self, answer: str, request: pytest.FixtureRequest) -> None:
        """The ranges of the five prices, the same in the month and in the blend."""
        found = request.getfixturevalue(answer)
        used = {u["ingredient"]: (u["stays_from"], u["stays_to"]) for u in found["used"]}
        assert used["veg-1"] == close((1050 / 11, 120))
        assert used["veg-2"] == close((110, 1480 / 11))
        assert used["oil-2"] == (None, close(3185 / 27))
        unused = {u["ingredient"]: u["enters_below"] for u in found["unused"]}
        assert unused == close({"oil-1": 3190 / 27, "oil-3": 2890 / 27})

    def test_at_least_40_percent_vegetable_oil(self, blend: Any) -> None:
        """The blend in percent, by exact arithmetic: 2974/27 a ton."""
        assert shares(blend) == close({"veg-1": 1040 / 27, "veg-2": 40 / 27, "oil-2": 60})
        assert Fraction(blend["proof"]["cost_exact"]) == Fraction(2974, 27)
        assert blend["unique"] is True

    def test_the_price_of_a_point_of_vegetable_oil(self, blend: Any) -> None:
        """460/27 for the whole of a blend is a hundredth for each point of it."""
        veg = active(blend, "totals.veg.min")
        assert veg["cost_per_unit"] == close(4.60 / 27)
        assert veg["cost_per_unit_down"] == close(-4.60 / 27)
        assert (veg["holds_from"], veg["holds_to"]) == close((900 / 23, 1800 / 19))

    def test_the_price_of_hardness(self, blend: Any) -> None:
        """100/27 a unit, from 4.96 to 6.04."""
        hardness = active(blend, "properties.hardness.max")
        assert hardness["cost_per_unit"] == close(-100 / 27)
        assert hardness["cost_per_unit_down"] == close(100 / 27)
        assert (hardness["holds_from"], hardness["holds_to"]) == close((4.96, 6.04))


SOFT_PRICES = """\
ingredient,pack,price
shea-butter-refined,1 kg,9
cocoa-butter,1 kg,18
mango-butter,1 kg,15
sunflower-oil,1 kg,5
olive-oil,1 kg,10
beeswax,1 kg,17
corn-starch,1 kg,4
"""
SOFT_BRIEF = """\
[costing]
prices = "prices.csv"
[totals]
wax    = { max = 2 }
powder = { max = 5 }
[ratios]
"butter:oil" = { max = 2.5 }
[properties]
solid_fat_20C = { min = 35 }
linoleic = { max = 16 }
density = { min = 0.93, max = 0.96 }
"""

MOVED = {
    'ratios."butter:oil".max': ("max = 2.5", "max = {}"),
    "properties.solid_fat_20C.min": ("min = 35", "min = {}"),
    "properties.linoleic.max": ("max = 16", "max = {}"),
}


class TestRatesByAnsweringAgain:
    """The prices of ratios and of means over the fat, against a brief with the bound moved."""

    @pytest.fixture
    def ask(self, tmp_path: Path, optimiser: Command) -> Any:
        def answered(key: str = "", bound: float = 0) -> Any:
            text = SOFT_BRIEF
            if key:
                old, new = MOVED[key]
                assert text.count(old) == 1
                text = text.replace(old, new.format(f"{bound:.12f}"))
            brief = files(tmp_path, brief=text, prices=SOFT_PRICES)
            return optimiser.json("formulate", brief, status=None)

        return answered

    @pytest.mark.parametrize("key", MOVED)
    def test_a_small_step_changes_the_cost_at_the_rate(self, ask: Any, key: str) -> None:
        """A very small step either way moves the cost as the rate says."""
        today = ask()
        said = active(today, key)
        step = 1e-5
        up = ask(key, said["bound"] + step)["cost_per_kg"] - today["cost_per_kg"]
        down = ask(key, said["bound"] - step)["cost_per_kg"] - today["cost_per_kg"]
        assert abs(said["cost_per_unit"]) > 1e-3
        assert up / step == pytest.approx(said["cost_per_unit"], rel=1e-3)
        assert down / step == pytest.approx(said["cost_per_unit_down"], rel=1e-3)

    @pytest.mark.parametrize("key", MOVED)
    def test_the_same_limits_hold_to_the_end_of_the_interval_and_no_further(
        self, ask: Any, key: str
    ) -> None:
        """Just inside the ends the same formula's ingredients and limits stay; outside not."""

        def held(answer: Any) -> tuple[frozenset[str], frozenset[str]]:
            if answer["status"] != "optimal":
                return frozenset(), frozenset()
            limits = frozenset(line["limit"] for line in answer["active_limits"])
            return limits, frozenset(shares(answer))

        today = ask()
        said = active(today, key)
        for end, way in ((said["holds_from"], -1), (said["holds_to"], 1)):
            assert (end - said["bound"]) * way > 0
            assert held(ask(key, end - way * 1e-6)) == held(today)
            assert held(ask(key, end + way * 1e-6)) != held(today)


class TestStyles:
    BRIEF = """\
    style = "balm"
    [costing]
    prices = "prices.csv"
    [totals]
    wax = {{ {wax} }}
    """
    PRICES = SOFT_PRICES

    def said(self, folder: Path, wax: str) -> dict[str, tuple[str, bool]]:
        text = "\n".join(line.strip() for line in self.BRIEF.format(wax=wax).splitlines())
        brief = files(folder, brief=text, prices=self.PRICES)
        request = read_request(brief)
        from_style = {said.key: said.from_style for said in request.brief.limits}
        model = formulated(request).model
        return {
            row.statement.key: (str(bound), from_style[row.statement.key])
            for row, bound in zip(model.rows, model.bound, strict=True)
            if row.statement.key in from_style
        }

    def test_the_brief_stands_key_by_key(self, tmp_path: Path) -> None:
        """A `max` in the brief leaves the style's `min` as it is."""
        limits = self.said(tmp_path, "max = 12")
        assert limits["totals.wax.max"] == ("12", False)
        assert limits["totals.wax.min"] == ("10", True)
        assert limits["totals.oil.max"] == ("80", True)

    def test_the_starting_limit_names_its_own_table(self, tmp_path: Path) -> None:
        """A limit of the style says that it comes from the ingredient data."""
        brief = files(
            tmp_path,
            brief='style = "balm"\n[costing]\nprices = "prices.csv"\n',
            prices=self.PRICES,
        )
        rows = formulated(read_request(brief)).model.rows[1:]
        origins = {row.statement.origin.file for row in rows}
        assert origins == {"ingredient_data/starting_limits.csv"}


class TestEasing:
    def test_a_step_is_answered_again(self) -> None:
        """The eased bound, its cost and the moved shares are those of a new answer."""
        request = small_request(("totals.butter.min", "40"), use=("soft-butter", "light-oil"))
        (found,) = cheapest(request).active_limits
        assert found.eased is not None
        assert found.eased.bound == 39
        assert found.eased.cost_per_kg == Fraction("0.39") * 8 + Fraction("0.61") * 5
        assert found.eased.changes == {"soft-butter": -1, "light-oil": 1}

    @pytest.mark.parametrize(
        ("said", "eased"),
        [
            (("totals.butter.min", "3"), "2.9"),
            (("totals.butter.min", "4"), "3"),
            (("ratios.butter:oil.min", "2"), "1.9"),
            (("properties.density.min", "0.91"), "0.90"),
            (("properties.cost.min", "7"), "6.9"),
        ],
    )
    def test_the_step_is_natural_for_the_unit(self, said: tuple[str, str], eased: str) -> None:
        """A point, a tenth of one where the share is small, the property's own step."""
        request = small_request(said, use=("soft-butter", "light-oil"))
        (found,) = cheapest(request).active_limits
        assert found.eased is not None
        assert found.eased.bound == Fraction(eased)

    def test_a_share_is_not_eased_below_nothing(self) -> None:
        """At least 0.05 % eased is at least 0, not a negative share."""
        request = small_request(("amounts.hard-butter.min", "0.05"))
        (found,) = cheapest(request).active_limits
        assert found.eased is None or found.eased.bound >= 0

    def test_a_limit_that_costs_nothing_is_free(self) -> None:
        """A maximum that is met but not wanted is listed, with nothing to save."""
        request = small_request(
            ("totals.wax.max", "0"), ("totals.butter.min", "40"), use=("soft-butter", "firm-wax")
        )
        wax = {a.row.statement.key: a for a in cheapest(request).active_limits}["totals.wax.max"]
        assert wax.is_free
        assert wax.eased is None
        assert wax.up.per_unit == 0
        assert wax.down.per_unit is None  # fewer than none is impossible
        assert wax.down.until == 0

    def test_the_dearest_limit_comes_first(self) -> None:
        """The limit whose easing saves most for each unit leads the list."""
        request = small_request(("amounts.hard-butter.min", "10"), ("amounts.firm-wax.min", "10"))
        keys = [a.row.statement.key for a in cheapest(request).active_limits]
        assert keys == ["amounts.firm-wax.min", "amounts.hard-butter.min"]


class TestCostLimits:
    def test_a_price_may_rise_until_the_cost_cap_is_met(self) -> None:
        """Where the cap ends before the formula changes, the cap's price is told."""
        request = small_request(
            ("amounts.hard-butter.min", "20"),
            ("properties.cost.max", "8"),
            use=("hard-butter", "soft-butter"),
            prices={"hard-butter": "12", "soft-butter": "6"},
        )
        answer = cheapest(request)
        stays = {u.ingredient: u.stays_to for u in answer.used}
        # 0.2 hard + 0.8 soft = 7.2 today; the cap leaves 0.8 for either price to rise.
        assert stays == {"hard-butter": 12 + 4, "soft-butter": 6 + 1}

    def test_a_price_above_the_cap_is_impossible_beyond(self) -> None:
        """Just above the told price the brief cannot be met."""
        limits = ("amounts.hard-butter.min", "20"), ("properties.cost.max", "8")
        use = ("hard-butter", "soft-butter")
        for price, status in (("16", "optimal"), ("16.0001", "infeasible")):
            prices = {"hard-butter": price, "soft-butter": "6"}
            assert cheapest(small_request(*limits, use=use, prices=prices)).status == status

    def test_a_cap_below_every_price_is_impossible(self) -> None:
        """Nothing costs less than the cheapest ingredient."""
        answer = cheapest(small_request(("properties.cost.max", "2.99")))
        assert answer.status == "infeasible"
        assert answer.certificate.proven

    def test_a_least_cost_holds_the_prices_from_below(self) -> None:
        """Where the cost may not fall, no price may fall while the formula stays."""
        request = small_request(
            ("properties.cost.min", "7"),
            ("properties.cost.max", "9"),
            use=("soft-butter", "light-oil"),
        )
        answer = cheapest(request)
        assert answer.measures is not None
        assert answer.measures.cost_per_kg == 7
        assert [(u.price_per_kg, u.stays_from) for u in answer.used] == [(8, 8), (5, 5)]


def test_a_ratio_met_by_nothing_of_either_is_told() -> None:
    """Where none of either side is used because the ratio makes both too dear, it binds."""
    request = small_request(
        ("ratios.butter:oil.max", "1"),
        use=("soft-butter", "light-oil", "firm-wax"),
        prices={"soft-butter": "8", "light-oil": "50", "firm-wax": "15"},
    )
    answer = cheapest(request)
    assert answer.measures is not None
    assert [share.ingredient for share in answer.measures.formula] == ["firm-wax"]
    assert [a.row.statement.key for a in answer.active_limits] == ["ratios.butter:oil.max"]


class TestTies:
    def test_the_shares_that_can_move_at_the_same_cost(self) -> None:
        """Two oils at one price: each may be all or none of the rest."""
        prices = {"soft-butter": "8", "light-oil": "5", "nut-oil": "5"}
        request = small_request(("totals.butter.min", "40"), prices=prices)
        answer = cheapest(request)
        assert not answer.is_unique
        assert answer.equal_cost == {"light-oil": (0, 60), "nut-oil": (0, 60)}

    def test_the_only_cheapest_formula(self) -> None:
        """Where nothing can move, no range is told."""
        answer = cheapest(small_request(("totals.butter.min", "40")))
        assert answer.is_unique
        assert answer.equal_cost == {}


def test_exact_amounts_that_do_not_add_up_are_impossible() -> None:
    """Shares that sum to more than 100 have no formula, and that is proven."""
    answer = cheapest(small_request(("amounts.starch", "60"), ("amounts.light-oil", "40.0001")))
    assert answer.status == "infeasible"
    assert answer.certificate.proven
    assert answer.measures is None
    assert answer.active_limits == ()


def test_a_single_ingredient() -> None:
    """One ingredient is the whole formula, at any price."""
    answer = cheapest(small_request(prices={"starch": "3"}))
    assert answer.measures is not None
    assert answer.measures.cost_per_kg == 3
    assert [(u.stays_from, u.stays_to) for u in answer.used] == [(None, None)]


def test_free_ingredients_cost_nothing() -> None:
    """A formula of gifts costs 0 and is proven; no share of the cost is told."""
    answer = cheapest(small_request(prices={"starch": "0", "light-oil": "0"}))
    assert answer.certificate.proven
    assert answer.measures is not None
    assert answer.measures.cost_per_kg == 0
    assert [share.cost_share for share in answer.measures.formula] == [None]


def test_a_brief_that_asks_for_what_has_no_price_is_refused() -> None:
    """The answer is not given around a mistake."""
    request = small_request(limit("amounts.nut-oil.min", "1"), prices={"starch": "3"})
    assert "nut-oil" in refusal(cheapest, request)


@pytest.mark.parametrize("floor", ["properties.cost.min", "properties.cost"])
def test_nothing_comes_in_below_a_floor_of_the_cost(floor: str) -> None:
    """A formula that costs just the least allowed is not undercut, whatever falls in price."""
    answer = cheapest(small_request((floor, "5"), use=("light-oil", "hard-butter")))
    assert [found.ingredient for found in answer.used] == ["light-oil"]
    assert [found.stays_from for found in answer.unused] == [None]
    assert [found.stays_to for found in answer.unused] == [None]
