"""Jars, what goes into each, and how far short one may fall."""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction

import pytest
from formulation_support import refusal, small_request
from hypothesis import given, settings
from hypothesis import strategies as st

from optimiser.answers.measures import Blend
from optimiser.production import JarPlan
from optimiser.provenance import Origin
from optimiser.reading import read_book, read_fill_tolerances
from optimiser.workshop.fill import fill_for, most_on_label, shortfall
from optimiser.workshop.jar_fill import JarFill, jar_fill
from optimiser.workshop.jars import batch_for, fill_of_volume, jars_of

TABLE = read_fill_tolerances(read_book())


def short(label: str, scheme: str = "eu-uk") -> Fraction | None:
    found = shortfall(Fraction(label), scheme, TABLE)
    return None if found is None else found.grams


class TestTolerances:
    @pytest.mark.parametrize(
        ("label", "grams"),
        [
            *(("5", "0.5"), ("5.5", "0.5"), ("5.6", "0.6"), ("49.9", "4.5"), ("50", "4.5")),
            *(("50.1", "4.5"), ("99.9", "4.5"), ("100", "4.5"), ("100.1", "4.6")),
            *(("199.9", "9"), ("200", "9"), ("200.1", "9"), ("299.9", "9"), ("300", "9")),
            *(("300.1", "9.1"), ("499.9", "15"), ("500", "15"), ("500.1", "15")),
            *(("999.9", "15"), ("1000", "15"), ("1000.1", "15.1"), ("10000", "150")),
        ],
    )
    def test_the_bands_of_the_directive_from_both_sides(self, label: str, grams: str) -> None:
        """Directive 76/211/EEC, Annex I 2.4; percentages rounded up to a tenth of a gram."""
        assert short(label) == Fraction(grams)

    @pytest.mark.parametrize("label", ["4.9", "10000.1"])
    def test_outside_the_bands_there_is_no_figure(self, label: str) -> None:
        """Under 5 g and over 10 kg the directive's table says nothing."""
        assert short(label) is None
        fill = fill_for(Fraction(label), Fraction(1), TABLE)
        assert "EU and UK tolerable negative error" in fill.outside
        assert fill.target_g == Fraction(label)

    @pytest.mark.parametrize(
        ("label", "grams"),
        [("36", "3.6"), ("36.1", "3.6"), ("54", "3.6"), ("54.1", "5.4"), ("120", "9"),
         ("154", "9"), ("154.1", "10.8"), ("1125", "35.3"), ("1125.1", None)],
    )  # fmt: skip
    def test_the_us_table(self, label: str, grams: str | None) -> None:
        """NIST Handbook 133, Table 2-5 (recalled)."""
        assert short(label, "us") == (None if grams is None else Fraction(grams))


class TestTarget:
    @pytest.mark.parametrize(
        ("spread", "target"),
        # T = 5.4 g at 120 g: 2 s = T at 2.7 g; 3.72 s = 2 T at 2.90 g; the third rule leads
        # from 1.72 s = T on, at 3.14 g.
        [("0", "120"), ("2.7", "120"), ("3", "120.6"), ("5", "127.8")],
    )
    def test_by_hand(self, spread: str, target: str) -> None:
        """max(Q, Q - T + 2 s, Q - 2 T + 3.72 s)."""
        assert fill_for(Fraction(120), Fraction(spread), TABLE).target_g == Fraction(target)

    def test_without_a_spread_nothing_is_added(self) -> None:
        """The label is the target, on average."""
        fill = fill_for(Fraction(120), None, TABLE)
        assert (fill.target_g, fill.given_away_g) == (120, 0)

    @settings(deadline=None, max_examples=80, derandomize=True)
    @given(st.integers(50, 8000), st.integers(0, 60))
    def test_the_most_that_a_label_may_say(self, tenths: int, spread: int) -> None:
        """Its target is no more than what is filled in, and one gram more would be too much."""
        filled, s = Fraction(tenths, 10), Fraction(spread, 10)
        label = most_on_label(filled, s, TABLE)
        if label:
            assert fill_for(Fraction(label), s, TABLE).target_g <= filled
        assert fill_for(Fraction(label + 1), s, TABLE).target_g > filled


class TestJars:
    @pytest.mark.parametrize(
        ("overrun", "grams"), [("0", 106), ("25", 85), ("50", 71), ("75", 61), ("100", 53)]
    )
    def test_a_jar_of_120_ml(self, overrun: str, grams: int) -> None:
        """Filled to 0.95 with 0.931 g/ml before whipping, to the gram."""
        air = Fraction(overrun) / 100
        found = fill_of_volume(Fraction(120), Fraction("0.95"), Fraction("0.931"), air)
        assert round(found) == grams

    def test_jars_loss_and_rest(self) -> None:
        """By hand: 2 kg less 3 % is 1940 g: 16 jars of 120 g and 20 g left."""
        jars = jars_of(Fraction(2000), Fraction("0.03"), Fraction(120))
        assert (jars.count, jars.lost_g, jars.left_g, jars.filled_g) == (16, 60, 20, 1920)

    def test_a_batch_too_small_for_one_jar(self) -> None:
        """No jar is filled and everything is left."""
        jars = jars_of(Fraction(100), Fraction(0), Fraction(120))
        assert (jars.count, jars.left_g) == (0, 100)

    def test_back_from_the_jars(self) -> None:
        """By hand: 24 jars of 120 g are 2880 g, over 0.97 that is 2969.07 g, so 2969.1 g."""
        size = batch_for(24, Fraction("0.03"), Fraction(120), Fraction(1, 10))
        assert size == Fraction("2969.1")

    @settings(deadline=None, max_examples=80, derandomize=True)
    @given(
        st.integers(1, 500),
        st.integers(0, 30),
        st.integers(10, 5000),
        st.sampled_from(["1", "0.1", "5"]),
    )
    def test_there_and_back(self, count: int, loss: int, tenths: int, division: str) -> None:
        """The batch for so many jars fills them, and a division less does not."""
        part, fill, step = Fraction(loss, 100), Fraction(tenths, 10), Fraction(division)
        size = batch_for(count, part, fill, step)
        assert (size / step).denominator == 1
        assert jars_of(size, part, fill).count >= count
        assert jars_of(size - step, part, fill).count < count


class TestFillByVolume:
    JAR = JarPlan(
        volume_ml=Fraction(120),
        origins={"volume": Origin("b.toml", 9, "jar.volume")},
    )
    # Specific volumes add: 100 / (50/0.95 + 50/1.5) g/ml, not the mean 1.225.
    STARCHY = {"hard-butter": Fraction(50), "starch": Fraction(50)}

    def found(self, plan: JarPlan, is_whipped: bool | None) -> JarFill:
        blend = Blend.at(small_request(), self.STARCHY)
        fill = jar_fill(plan, blend, is_whipped, TABLE)
        assert fill is not None
        return fill

    def test_specific_volumes_add(self) -> None:
        """The density is the harmonic mean, 5 % below the arithmetic one."""
        fill = self.found(self.JAR, is_whipped=False)
        assert fill.density == Fraction(100) / (50 / Fraction("0.95") + 50 / Fraction("1.5"))
        assert float(fill.density) == pytest.approx(1.1633, abs=1e-4)
        assert fill.fill.target_g == 120 * Fraction("0.95") * fill.density
        assert (fill.is_poured, fill.is_filled_assumed, fill.overrun) == (True, True, 0)
        assert fill.fill.label_g == math.floor(fill.fill.target_g)

    def test_a_measured_overrun(self) -> None:
        """Air divides the weight."""
        plan = JarPlan(volume_ml=Fraction(120), filled=None, overrun=None, origins={})
        still = self.found(plan, is_whipped=False)
        airy = self.found(JarPlan(volume_ml=Fraction(120), overrun=Decimal(40)), is_whipped=True)
        assert airy.fill.target_g == still.fill.target_g / Fraction("1.4")
        assert not airy.is_poured

    @pytest.mark.parametrize(
        ("is_whipped", "said"),
        [
            (
                True,
                "b.toml:9 jar.volume: a volume, and a whipped product's overrun is not stated; "
                "weigh one filled jar and write its contents in grams, as in "
                'net = "110 g", or write your measured overrun under [jar], as in overrun = 40',
            ),
            (
                None,
                "b.toml:9 jar.volume: a volume, and the overrun is not stated; "
                "weigh one filled jar and write its contents in grams, as in "
                'net = "110 g", or write your measured overrun under [jar], as in overrun = 40, '
                "0 where nothing is whipped",
            ),
        ],
    )
    def test_air_is_never_assumed(self, is_whipped: bool | None, said: str) -> None:
        """Without a measured overrun a whipped product has no weight by volume."""
        blend = Blend.at(small_request(), self.STARCHY)
        assert refusal(jar_fill, self.JAR, blend, is_whipped, TABLE) == said

    def test_a_density_that_nobody_gives(self) -> None:
        """The ingredient at fault is named."""
        blend = Blend.at(small_request(), {"nut-oil": Fraction(100)})
        assert refusal(jar_fill, self.JAR, blend, False, TABLE) == (
            "b.toml:9 jar.volume: a volume, and nobody gives the density of Nut oil; weigh one "
            'filled jar and write its contents in grams, as in net = "110 g", or give density '
            "(g/ml) in a sheet of your own"
        )

    def test_a_thimble(self) -> None:
        """A jar without one whole gram has no label."""
        plan = JarPlan(volume_ml=Fraction(1, 2), origins=self.JAR.origins)
        blend = Blend.at(small_request(), self.STARCHY)
        assert "leaves no whole gram for the label" in refusal(jar_fill, plan, blend, False, TABLE)

    def test_without_a_jar_there_is_no_fill(self) -> None:
        """Neither a weight nor a volume: nothing is guessed."""
        assert jar_fill(JarPlan(), Blend.at(small_request(), self.STARCHY), True, TABLE) is None
