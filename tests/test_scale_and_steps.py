"""Targets too small for the scale, and the steps of the work."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimiser.ingredient import Kind
from optimiser.reading import read_book, read_method
from optimiser.workshop.method import Method, method
from optimiser.workshop.scale import scale_warning

BOOK = read_book()
STEPS = read_method(BOOK)


class TestScale:
    @pytest.mark.parametrize(
        ("grams", "warned", "too_small"),
        [("1.9", True, True), ("2", True, False), ("2.4", True, False), ("2.5", False, False)],
    )
    def test_under_20_and_under_25_divisions(
        self, grams: str, warned: bool, too_small: bool
    ) -> None:
        """On a 0.1 g scale: 1.9 g is under 20 divisions, 2.4 g under 25, 2.5 g is fine."""
        warning = scale_warning(Fraction(grams) / 10, Fraction(1000), Fraction(1, 10))
        assert (warning is not None) == warned
        assert warning is None or warning.is_too_small == too_small

    def test_what_would_do(self) -> None:
        """By hand: 0.05 % of 2 kg is 1 g, 10 divisions of 0.1 g, half of one is 5 % of it."""
        warning = scale_warning(Fraction("0.05"), Fraction(2000), Fraction(1, 10))
        assert warning is not None
        assert (warning.divisions, warning.doubt) == (10, 5)
        assert (warning.finer_g, warning.size_g) == (Fraction("0.02"), 5000)
        assert warning.dilution == 3

    @settings(deadline=None, max_examples=100, derandomize=True)
    @given(
        st.integers(1, 9999), st.integers(1, 500), st.sampled_from(["5", "1", "0.5", "0.1", "0.01"])
    )
    def test_the_warning_goes_with_what_it_advises(
        self, ten_thousandths: int, size: int, written: str
    ) -> None:
        """With the finer scale, the larger batch or the premix there is no warning left."""
        percent, division = Fraction(ten_thousandths, 1000), Fraction(written)
        batch = size * division
        warning = scale_warning(percent, batch, division)
        if warning is None:
            return
        assert scale_warning(percent, batch, warning.finer_g) is None
        assert scale_warning(percent, warning.size_g, division) is None
        assert (warning.size_g / division).denominator == 1
        assert percent * batch / 100 * warning.dilution >= 25 * division
        assert warning.is_lost == (percent * batch / 100 < division / 2)
        assert not math.isnan(float(warning.doubt))


def steps_for(style: str | None, *names: str) -> Method:
    return method(STEPS, style, [BOOK.ingredients[name] for name in names])


class TestSteps:
    def test_a_whipped_butter(self) -> None:
        """Melt, hold the shea, chill, whip, powder while whipping, the scent cool, fill."""
        found = steps_for(
            "whipped-butter", "shea-butter-refined", "olive-oil", "corn-starch", "lavender-oil"
        )
        phases = [step.phase for step in found.steps]
        assert phases == [
            *("prepare", "melt", "oils", "hold", "chill", "whip", "powder", "cool-down"),
            *("fill", "rest"),
        ]
        assert found.is_whipped is True
        assert found.step_of["shea-butter-refined"] == 2
        assert found.phase_of("corn-starch") == "powder"
        hold = found.steps[3]
        assert (hold.temperature, hold.minutes) == ((77, 85), (10, 15))

    def test_steps_of_what_is_not_there_are_left_out(self) -> None:
        """Without shea nothing is held, without powder none is sifted in."""
        found = steps_for("whipped-butter", "mango-butter", "olive-oil")
        phases = [step.phase for step in found.steps]
        assert "hold" not in phases
        assert "powder" not in phases
        assert "cool-down" not in phases

    @pytest.mark.parametrize("style", BOOK.styles)
    def test_only_the_whipped_butter_is_whipped(self, style: str) -> None:
        """Balms, bars, sticks, scrubs and set butters are poured."""
        found = steps_for(style, "mango-butter", "olive-oil", "lavender-oil")
        assert found.is_whipped is (style == "whipped-butter")

    def test_without_a_style_nobody_knows_whether_it_is_whipped(self) -> None:
        """The steps are general ones."""
        assert steps_for(None, "mango-butter", "lavender-oil").is_whipped is None

    @pytest.mark.parametrize("style", [*BOOK.styles, None])
    def test_every_kind_goes_in_once_and_scents_after_the_melt(self, style: str | None) -> None:
        """Whatever is in the formula has its step; heat-sensitive parts come late."""
        names = [
            next(one.id for one in BOOK.ingredients.values() if one.kind is kind)
            for kind in Kind
            if any(one.kind is kind for one in BOOK.ingredients.values())
        ]
        found = steps_for(style, *names)
        assert set(found.step_of) == set(names)
        late = {Kind.FRAGRANCE, Kind.ANTIOXIDANT}
        cool = min(found.step_of[n] for n in names if BOOK.ingredients[n].kind in late)
        hot = {Kind.BUTTER, Kind.WAX, Kind.OIL}
        assert all(found.step_of[n] < cool for n in names if BOOK.ingredients[n].kind in hot)

    def test_a_scrub_gets_its_crystals_last(self) -> None:
        """Nothing is melted where there is nothing to melt; crystals go into cool oil."""
        found = steps_for("oil-scrub", "sugar", "sunflower-oil", "lavender-oil")
        phases = [step.phase for step in found.steps]
        assert phases == ["prepare", "oils", "cool-down", "crystals", "fill", "rest"]

    def test_every_step_says_where_it_comes_from(self) -> None:
        """Customary ranges have no source, and say so."""
        assert {step.status for step in STEPS} == {"common practice, no source"}
