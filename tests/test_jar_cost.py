"""What a jar costs: exact inside, to the cent outside, the parts adding up."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimiser.workshop.jar_cost import (
    BatchCost,
    margin_at,
    parts_to_cents,
    price_for,
    to_cents,
)


def test_everything_is_spread_over_the_jars() -> None:
    """By hand: 26.40 + 16.00 + 37.50 + 6.00 is 85.90 over 16 jars: 5.36875 each."""
    parts = {
        "ingredients": Fraction("26.40"),
        "packaging": Fraction(16),
        "labour": Fraction("37.50"),
        "overhead": Fraction(6),
    }
    cost = BatchCost(parts, 16, Fraction("1.92"))
    assert cost.total == Fraction("85.90")
    assert cost.per_jar == Fraction("5.36875")
    assert cost.per_kg == Fraction("85.90") / Fraction("1.92")
    shown = parts_to_cents(cost.jar_parts)
    # 1.65, 1.00, 2.34375 and 0.375 are to be 5.37: the largest remainder, 0.5 of a cent, is
    # rounded up, and so is the next.
    assert shown == {
        "ingredients": Fraction("1.65"),
        "packaging": Fraction(1),
        "labour": Fraction("2.34"),
        "overhead": Fraction("0.38"),
    }
    assert sum(shown.values()) == to_cents(cost.per_jar) == Fraction("5.37")


def test_without_jars_there_is_no_cost_of_one() -> None:
    """Nothing is divided by nothing."""
    none = BatchCost({"ingredients": Fraction(1)}, 0, Fraction(0))
    assert (none.per_jar, none.per_kg, none.jar_parts) == (None, None, {})


@pytest.mark.parametrize(
    ("exact", "shown"), [("0.125", "0.13"), ("0.1249", "0.12"), ("0.135", "0.14"), ("2", "2")]
)
def test_totals_are_rounded_half_up(exact: str, shown: str) -> None:
    """Never half to even: 0.125 and 0.135 both go up."""
    assert to_cents(Fraction(exact)) == Fraction(shown)


def test_margin_and_price_are_each_other_turned_round() -> None:
    """By hand: a cost of 3.80 leaves 60 % of 9.50."""
    left = margin_at(Fraction("9.50"), Fraction("3.80"))
    assert (left.money, left.percent) == (Fraction("5.70"), 60)
    assert price_for(Fraction(60), Fraction("3.80")) == Fraction("9.50")
    assert margin_at(Fraction(3), Fraction("3.80")).money < 0


@settings(deadline=None, max_examples=100, derandomize=True)
@given(st.dictionaries(st.sampled_from("abcdef"), st.fractions(0, 500), min_size=1))
def test_parts_add_up_to_the_total_as_shown(parts: dict[str, Fraction]) -> None:
    """Each part is within a cent of itself, the sum is the total to the cent."""
    shown = parts_to_cents(parts)
    assert sum(shown.values()) == to_cents(sum(parts.values(), Fraction(0)))
    assert all(abs(shown[name] - part) < Fraction(1, 100) for name, part in parts.items())
    assert all((value * 100).denominator == 1 for value in shown.values())
