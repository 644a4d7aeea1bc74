"""The formula on the scale: whole divisions, limits kept exactly, what is missed told."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import pytest
from formulation_support import INGREDIENTS, ingredient, limit, refusal, small_request
from hypothesis import given, settings
from hypothesis import strategies as st

from optimiser.answers.checked import held
from optimiser.answers.measures import Blend
from optimiser.brief import Request
from optimiser.ingredient import Kind
from optimiser.linear_model import Sense
from optimiser.provenance import Origin, plain_number
from optimiser.workshop.apportionment import Span
from optimiser.workshop.limits_on_scale import LimitOnScale, fewest_missed
from optimiser.workshop.restricted import restricted
from optimiser.workshop.weights import Weights, weighed_out

KILO = Fraction(1000)
GRAM = Fraction(1)


def shares(**percent: str) -> dict[str, Fraction]:
    found = {name.replace("_", "-"): Fraction(text) for name, text in percent.items()}
    assert sum(found.values()) == 100
    return found


def weigh(
    request: Request,
    of: dict[str, Fraction],
    size: Fraction = KILO,
    division: Fraction = GRAM,
    down: frozenset[str] = frozenset(),
) -> Weights:
    return weighed_out(Blend.at(request, of), size, division, down)


def grams(weights: Weights) -> dict[str, Fraction]:
    names = (one.id for one in weights.blend.ingredients)
    return dict(zip(names, weights.grams, strict=True))


class TestSums:
    def test_the_weights_add_up_to_the_batch(self) -> None:
        """Thirds of 100 g: 34, 33 and 33."""
        third = Fraction(100, 3)
        of = {"hard-butter": third, "soft-butter": third, "light-oil": third}
        weights = weigh(small_request(), of, Fraction(100))
        assert sorted(weights.grams) == [33, 33, 34]
        assert sum(weights.blend.x) == 100

    @pytest.mark.parametrize(
        ("size", "division", "said"),
        [
            ("1000.05", "0.1", "1000.05 g is no whole number of divisions of 0.1 g; write 1000 g or"
             " 1000.1 g"),
            ("0.4", "1", "0.4 g is no whole number of divisions of 1 g; write 1 g"),
            ("33", "5", "33 g is no whole number of divisions of 5 g; write 30 g or 35 g"),
        ],
    )  # fmt: skip
    def test_a_batch_between_divisions(self, size: str, division: str, said: str) -> None:
        """The nearest sizes that can be weighed are offered."""
        blend = Blend.at(small_request(), shares(light_oil="100"))
        at = Origin("b.toml", 3, "batch.size")
        told = refusal(weighed_out, blend, Fraction(size), Fraction(division), frozenset[str](), at)
        assert told == f"b.toml:3 batch.size: {said}"

    def test_nobody_may_take_the_rest(self) -> None:
        """Where everything is rounded down the batch cannot be made."""
        of = shares(hard_butter="33.35", light_oil="66.65")
        blend = Blend.at(small_request(), of)
        down = frozenset(of)
        told = refusal(weighed_out, blend, Fraction(100), GRAM, down)
        assert told == ("--size: no ingredient may take up what rounding leaves; use a finer scale")


class TestLimits:
    def test_a_limit_that_plain_rounding_breaks_is_kept(self) -> None:
        """By hand: 40.4 of 100 g at 1 g rounds to 40; a floor of 40.4 asks for 41."""
        request = small_request(("totals.butter.min", "40.4"))
        of = shares(hard_butter="40.4", light_oil="59.6")
        weights = weigh(request, of, Fraction(100))
        assert grams(weights) == {"hard-butter": 41, "light-oil": 59}
        assert weights.missed == ()
        assert weights.held == 1

    def test_the_nearest_of_those_that_keep_it(self) -> None:
        """Two butters may take the gram; the larger one does, where it is the smaller part."""
        request = small_request(("totals.butter.min", "40.4"))
        of = shares(hard_butter="30.2", soft_butter="10.2", light_oil="59.6")
        weights = weigh(request, of, Fraction(100))
        assert grams(weights) == {"hard-butter": 31, "soft-butter": 10, "light-oil": 59}

    def test_a_ratio_and_a_mean_over_the_fat(self) -> None:
        """Limits with a denominator hold exactly for the weights, not only for the formula."""
        of = shares(hard_butter="59.94", light_oil="39.96", starch="0.1")
        request = small_request(
            ("ratios.butter:oil.max", "1.5"), ("properties.solid_fat_20C.max", "48")
        )
        weights = weigh(request, of, Fraction(500))
        for one in request.brief.limits:
            assert held(weights.blend, one).is_met
        assert weights.missed == ()

    def test_where_none_will_do_it_is_told_by_how_much(self) -> None:
        """By hand: 50.5 % exactly between floor and ceiling cannot be had on a 1 g scale."""
        request = small_request(
            ("totals.butter.min", "50.4"), ("totals.butter.max", "50.6"), name="Narrow"
        )
        of = shares(hard_butter="50.5", light_oil="49.5")
        weights = weigh(request, of, Fraction(100))
        assert sum(weights.grams) == 100
        (missed,) = weights.missed
        assert missed.was_met is True
        assert missed.by in (Fraction("0.4"), Fraction("0.6") - Fraction("0.2"))
        assert not missed.is_as_near

    def test_what_the_formula_misses_itself_is_said_to_be_so(self) -> None:
        """A recipe that breaks a limit is weighed all the same."""
        request = small_request(("totals.butter.max", "30"))
        weights = weigh(request, shares(hard_butter="40", light_oil="60"))
        (missed,) = weights.missed
        assert (missed.was_met, missed.by) == (False, Fraction(10))

    def test_a_limit_without_a_figure_is_not_judged(self) -> None:
        """Nobody gives the density of the nut oil."""
        request = small_request(("properties.density.max", "1"))
        weights = weigh(request, shares(nut_oil="100"))
        assert [check.lacking for check in weights.unknown] == [("nut-oil",)]
        assert (weights.held, weights.missed) == (0, ())

    def test_a_maximum_of_one_ingredient_is_never_exceeded(self) -> None:
        """By hand: 30 % of 999 g is 299.7 g, so 299 g and not 300 g."""
        request = small_request(("amounts.hard-butter.max", "30"))
        weights = weigh(request, shares(hard_butter="30", light_oil="70"), Fraction(999))
        assert grams(weights) == {"hard-butter": 299, "light-oil": 700}


class TestExactAmounts:
    def test_within_half_a_division(self) -> None:
        """By hand: exactly 0.66 % of 1 kg is 6.6 g, so 7 g, and that is as near as it gets."""
        request = small_request(("amounts.starch", "0.66"))
        weights = weigh(request, shares(starch="0.66", light_oil="99.34"))
        assert grams(weights)["starch"] == 7
        (missed,) = weights.missed
        assert missed.is_as_near
        assert missed.by == Fraction("0.04")

    def test_rounded_down_where_it_is_restricted(self) -> None:
        """By hand: 6.6 g becomes 6 g, which is still as near as it may come."""
        request = small_request(("amounts.starch", "0.66"))
        of = shares(starch="0.66", light_oil="99.34")
        weights = weigh(request, of, down=frozenset({"starch"}))
        assert grams(weights)["starch"] == 6
        assert [one.is_as_near for one in weights.missed] == [True]

    def test_an_exact_total(self) -> None:
        """By hand: exactly 4.75 % of butters is 47.5 g: 47 or 48 g together, not 49 g."""
        request = small_request(("totals.butter", "4.75"))
        of = shares(hard_butter="2.38", soft_butter="2.37", light_oil="95.25")
        weights = weigh(request, of)
        found = grams(weights)
        assert found["hard-butter"] + found["soft-butter"] in (47, 48)
        assert [one.is_as_near for one in weights.missed] == [True]


class TestRestricted:
    SCENT = ingredient("scent", Kind.FRAGRANCE)

    def test_scents_are_restricted_even_without_a_use(self) -> None:
        """Nobody says where the product goes, so the scent's limits are not known."""
        request = small_request(ingredients=(*INGREDIENTS, self.SCENT))
        assert restricted(request, (*INGREDIENTS, self.SCENT)) == {"scent"}

    def test_a_smallest_trace_may_vanish(self) -> None:
        """What the scale does not show at all is not rounded up to a division."""
        of = shares(starch="0.01", light_oil="99.99")
        assert grams(weigh(small_request(), of))["starch"] == 0

    def test_what_the_scale_shows_does_not_vanish(self) -> None:
        """By hand: 0.06 % of 1 kg is 0.6 g, so 1 g."""
        of = shares(starch="0.06", light_oil="99.94")
        assert grams(weigh(small_request(), of))["starch"] == 1


NAMES = ("hard-butter", "soft-butter", "light-oil", "firm-wax", "starch")


@settings(deadline=None, max_examples=40, derandomize=True)
@given(
    st.lists(st.integers(1, 500), min_size=5, max_size=5),
    st.integers(1, 60),
    st.sampled_from(["1", "0.5", "0.1"]),
    st.sets(st.sampled_from(NAMES[1:]), max_size=3),
    st.sampled_from(["totals.butter.max", "totals.oil.min", "ratios.butter:oil.max"]),
)
def test_laws_of_weighing(
    parts: list[int], tens: int, division: str, down: set[str], key: str
) -> None:
    """The sum is exact, the restricted stay below, and the limits told are those that hold."""
    total = sum(parts)
    of = {name: Fraction(100 * part, total) for name, part in zip(NAMES, parts, strict=True)}
    blend = Blend.at(small_request(), of)
    butter, oil = blend.total("butter"), blend.total("oil")
    level = {"butter.max": butter, "oil.min": oil}.get(key.removeprefix("totals."), butter / oil)
    # The formula is just at its limit, as cheapest formulas are, but for the last decimal.
    last = Fraction(1, 10**8)
    whole = math.floor(level / last) if key.endswith("min") else math.ceil(level / last)
    request = small_request(limit(key, plain_number(whole * last)))
    weights = weigh(request, of, Fraction(tens * 10), Fraction(division), frozenset(down))
    assert sum(weights.grams) == tens * 10
    assert sum(weights.blend.x) == 100
    for name, weight in grams(weights).items():
        target = of[name] * tens / 10
        assert (weight / Fraction(division)).denominator == 1
        assert name not in down or weight <= target
        assert abs(weight - target) <= 20 * Fraction(division)
    check = held(weights.blend, request.brief.limits[0])
    assert (check.is_met is True) == (weights.held == 1)
    assert (check.is_met is False) == (len(weights.missed) == 1)


@settings(deadline=None, max_examples=40, derandomize=True)
@given(
    st.lists(st.integers(60, 2500), min_size=3, max_size=3),
    st.lists(
        st.tuples(st.lists(st.integers(-3, 9), min_size=3, max_size=3), st.integers(-2, 2)),
        min_size=1,
        max_size=4,
    ),
)
def test_no_weights_within_reach_miss_fewer(
    parts: list[int], rows: list[tuple[list[int], int]]
) -> None:
    """Against every choice of whole divisions: the fewest limits missed, then the nearest."""
    whole = 100
    targets = [Fraction(whole * part, sum(parts)) for part in parts]
    spans = [Span(max(0, math.floor(t) - 3), math.ceil(t) + 3) for t in targets]
    limits = []
    for k, (numbers, off) in enumerate(rows):
        coefficients = tuple(map(Fraction, numbers))
        level = sum((a * t for a, t in zip(coefficients, targets, strict=True)), Fraction(0))
        sense = Sense.AT_LEAST if k % 2 else Sense.AT_MOST
        limits.append(LimitOnScale(coefficients, sense, level + Fraction(off, 3)))
    found = fewest_missed(targets, spans, whole, limits)
    assert found is not None
    assert sum(found) == whole

    def score(counts: tuple[int, ...]) -> tuple[int, Fraction]:
        off = (abs(n - t) / t for n, t in zip(counts, targets, strict=True))
        return sum(not one.is_kept(counts) for one in limits), sum(off, Fraction(0))

    ranges = [range(span.low, span.high + 1) for span in spans]
    every = (counts for counts in itertools.product(*ranges) if sum(counts) == whole)
    assert score(found) == min(map(score, every))


class TestScentsAtTheirLeast:
    def test_only_the_rounding_down_is_short(self) -> None:
        """At least 0.45 % of 1000 g is 4 g on a scale of 1 g: no more is taken off a scent."""
        request = small_request(("amounts.light-oil.min", "0.45"))
        of = shares(hard_butter="60", soft_butter="39.55", light_oil="0.45")
        weights = weigh(request, of, down=frozenset({"light-oil"}))
        assert grams(weights)["light-oil"] == 4
        assert [one.is_as_near for one in weights.missed] == [True]

    def test_other_limits_are_not_kept_at_its_cost(self) -> None:
        """A ceiling that a gram less of scent would help to keep is missed, not the scent."""
        request = small_request(
            ("amounts.light-oil.min", "0.402"),
            ("amounts.starch.max", "5.09"),
            ("properties.vitamin_e.max", "4.8862"),
        )
        of = shares(soft_butter="94.508", light_oil="0.402", starch="5.09")
        weights = weigh(request, of, down=frozenset({"light-oil"}))
        assert grams(weights) == {"soft-butter": 946, "light-oil": 4, "starch": 50}
        missed = {one.check.row.statement.key: one.is_as_near for one in weights.missed}
        assert missed == {"amounts.light-oil.min": True, "properties.vitamin_e.max": False}
