"""Words and numbers for a maker: lines that fit, plurals, numbers that read well."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from formulation_support import INGREDIENTS, PRICES, ingredient, limit, small_request
from hypothesis import given
from hypothesis import strategies as st

from optimiser.answers.cheapest import cheapest
from optimiser.brief import Request
from optimiser.ingredient import Caution, Kind
from optimiser.present.console import cheapest_text, columns, wrapped
from optimiser.present.markdown import cheapest_markdown, inert
from optimiser.present.numbers import (
    money,
    printed_shares,
    rounded,
    shares_adding_up,
    significant,
    small_money,
)
from optimiser.provenance import plain_number

FRACTIONS = st.fractions(-(10**6), 10**6, max_denominator=10**6)


def text_of(request: Request) -> str:
    return cheapest_text(cheapest(request))


def joined(request: Request) -> str:
    """The answer with its line breaks taken out."""
    return " ".join(text_of(request).split())


class TestNumbers:
    @pytest.mark.parametrize(
        ("value", "text"),
        [
            ("0", "0.00"),
            ("-0.001", "0.00"),
            ("0.005", "0.00"),
            ("0.015", "0.02"),
            ("12.5", "12.50"),
            ("39048.216", "39048.22"),
        ],
    )
    def test_money_has_cents(self, value: str, text: str) -> None:
        """Two decimals, halves to even, never minus nothing."""
        assert money(Fraction(value)) == text

    @pytest.mark.parametrize(
        ("value", "text"),
        [
            ("0.1", "0.10"),
            ("0.0584", "0.058"),
            ("0.00791", "under 0.01"),
            ("0.01", "0.010"),
            ("2.5", "2.50"),
            ("0", "0.00"),
        ],
    )
    def test_small_rates_have_a_digit_more(self, value: str, text: str) -> None:
        """A rate of less than ten cents has three decimals, next to nothing is said to be so."""
        assert small_money(Fraction(value)) == text

    @pytest.mark.parametrize(
        ("value", "text"),
        [
            ("12.345", "12.3"),
            ("1234.5", "1234"),
            ("100", "100"),
            ("0.5", "0.5"),
            ("0.000123", "0.000123"),
            ("99.96", "100"),
            ("9.996", "10"),
            ("-0.8764", "-0.876"),
        ],
    )
    def test_three_digits(self, value: str, text: str) -> None:
        """Measured values have three digits and no needless zeros."""
        assert significant(Fraction(value)) == text

    @given(FRACTIONS)
    def test_no_number_has_an_exponent_or_is_minus_nothing(self, value: Fraction) -> None:
        """Whatever the size, a number reads as one."""
        for text in (rounded(value, 2), significant(value), plain_number(value)):
            assert re.fullmatch(r"-?\d+(\.\d+)?", text), text
            assert not (text.startswith("-") and Fraction(text) == 0)

    @given(FRACTIONS)
    def test_rounding_is_to_the_nearest(self, value: Fraction) -> None:
        """Money is off by at most half a cent, three digits by half of the third."""
        assert abs(Fraction(money(value)) - value) <= Fraction(1, 200)
        if value:
            assert abs(Fraction(significant(value)) - value) <= abs(value) / 200

    def test_a_trace_is_not_printed_as_nothing(self) -> None:
        """What is in the jar is never 0.00 %."""
        printed = printed_shares([Fraction("99.999"), Fraction("0.001")])
        assert len(printed) == 2
        for text in printed:
            assert re.search("[1-9]", text)

    def test_shares_go_up_where_the_remainder_is_largest(self) -> None:
        """Printed shares sum to what they are shares of."""
        assert shares_adding_up([Fraction(100, 3)] * 3) == ["33.34", "33.33", "33.33"]


class TestLines:
    def test_wrapped_lines_fit(self) -> None:
        """A paragraph keeps to 80 columns and indents its later lines."""
        lines = wrapped("word " * 40, "  ", "    ")
        assert max(map(len, lines)) <= 80
        assert lines[0].startswith("  word")
        assert all(line.startswith("    word") for line in lines[1:])

    def test_names_are_not_broken_at_their_hyphens(self) -> None:
        """An id can be copied from any line it stands in."""
        name = "meadow-blossom-infusion"
        for before in range(40, 90):
            text = "\n".join(wrapped(f"{'x' * before} {name} and {name}"))
            assert text.count(name) == 2

    def test_columns_line_up(self) -> None:
        """Numbers are flush right, words flush left, and nothing trails."""
        rows = [("a", "1.00"), ("long name", "12.50"), ("b", "")]
        assert columns(rows, right=(1,), indent="") == [
            "a           1.00",
            "long name  12.50",
            "b",
        ]

    def test_a_long_name_still_fits(self) -> None:
        """A name of her own may be long without breaking the table."""
        name = "Calendula and meadowsweet infused high oleic sunflower oil from the garden, 2026"
        own = ingredient("own-oil", Kind.OIL, {"vitamin_e": "3"}, name=name)
        request = small_request(
            ("amounts.own-oil.min", "20"),
            ingredients=(*INGREDIENTS, own),
            prices={**PRICES, "own-oil": "4"},
        )
        assert [line for line in text_of(request).splitlines() if len(line) > 80] == []

    def test_a_name_of_several_lines_is_one_heading(self) -> None:
        """Line breaks and signs that steer a terminal do not come through."""
        request = small_request(name="Butter\nno. 5\x1b[31m\r!")
        lines = text_of(request).splitlines()
        assert "\x1b" not in lines[0]
        assert "\r" not in lines[0]
        assert set(lines[1]) == {"="}
        assert len(lines[1]) == len(lines[0])


class TestSentences:
    def test_a_minimum(self) -> None:
        """Higher costs, lower saves, each with its end."""
        request = small_request(("totals.butter.min", "40"), use=("soft-butter", "light-oil"))
        text = joined(request)
        assert "butters together at least 40 % [brief.toml:7]" in text
        assert "each point more costs 0.030 GBP per kg, until 100;" in text
        assert "each point less saves 0.030 GBP per kg, until 0." in text
        assert "At 39 instead: 6.17 GBP per kg (points: Light oil +1; Soft butter -1)." in text

    def test_without_a_currency(self) -> None:
        """No currency leaves no gap."""
        request = small_request(
            ("totals.butter.min", "40"), use=("soft-butter", "light-oil"), currency=""
        )
        text = joined(request)
        assert "costs 0.030 per kg" in text
        assert "brief.toml: 6.20 per kg." in text

    def test_a_limit_that_no_formula_can_go_beyond(self) -> None:
        """Where one side is impossible, that is what is said."""
        request = small_request(
            ("properties.vitamin_e.min", "40"), prices={"light-oil": "5", "nut-oil": "3"}
        )
        assert "any more and no formula is possible" in joined(request)

    def test_ends_that_print_like_the_bound_are_told_apart(self) -> None:
        """A range that ends just beside the bound does not read as ending at it."""
        near = ingredient("near-oil", Kind.OIL, {"vitamin_e": "30.0004"})
        request = small_request(
            ("properties.vitamin_e.min", "30"),
            ingredients=(*INGREDIENTS, near),
            prices={"near-oil": "4", "light-oil": "9", "starch": "3"},
        )
        (found,) = cheapest(request).active_limits
        assert found.up.until == Fraction("30.0004")
        assert "until 30;" not in joined(request)

    def test_prices(self) -> None:
        """Between which prices a used ingredient stays, and below which others come in."""
        request = small_request(("amounts.soft-butter.min", "10"), ("totals.oil.min", "10"))
        text = text_of(request)
        assert re.search(r"Starch +3\.00 +up to 5\.00\n", text)
        assert re.search(r"Soft butter +8\.00 +from 3\.00\n", text)
        assert re.search(r"Nut oil +6\.00 +below 5\.00\n", text)

    def test_ties_are_told(self) -> None:
        """Which shares can move at the same cost."""
        prices = {"soft-butter": "8", "light-oil": "5", "nut-oil": "5"}
        text = joined(small_request(("totals.butter.min", "40"), prices=prices))
        assert "Other formulas cost the same" in text
        assert "0.00 to 60.00" in text
        assert "No other formula" not in text

    def test_one_figure_that_is_missing(self) -> None:
        """Who is left out, for want of what, needed by which limit."""
        text = joined(small_request(("properties.density.max", "0.95")))
        assert "density (needed by properties.density.max): firm-wax, nut-oil" in text

    def test_cautions_come_last(self) -> None:
        """Warnings close the page."""
        caution = Caution("always", "", "Patch test first.", "somewhere")
        text = text_of(small_request(cautions=(caution,)))
        assert text.endswith("Cautions\n  - Patch test first.\n")

    def test_what_nothing_holds(self) -> None:
        """Without a limit in its way the cheapest ingredient is the formula."""
        assert "No limit but the sum to 100 %" in joined(small_request())

    def test_nothing_is_called_proven_that_is_not(self) -> None:
        """An answer whose check failed says so."""
        answer = cheapest(small_request())
        doubted = replace(answer, certificate=replace(answer.certificate, proven=False))
        assert "Not proven" in cheapest_text(doubted)
        assert "Proven" not in cheapest_text(doubted)

    def test_impossible(self) -> None:
        """What clashes, the ways out and what they would cost."""
        request = small_request(("totals.wax.min", "60"), ("totals.oil.min", "60"))
        text = joined(request)
        assert "No formula meets every limit of brief.toml." in text
        assert "waxes together at least 60 %: 40 instead of 60" in text
        assert "oils together at least 60 %: 40 instead of 60" in text
        # 40 % wax and 60 % light oil, or 60 % wax and 40 % of it.
        assert "9.00 GBP per kg" in text
        assert "11.00 GBP per kg" in text

    def test_a_firm_limit_is_not_offered_for_change(self) -> None:
        """What the maker will not see eased is named and left alone."""
        firm = limit("totals.wax.min", "60", firm=True)
        text = joined(small_request(firm, ("totals.oil.min", "60")))
        assert "waxes together at least 60 % (firm)" in text
        assert "waxes together at least 60 %: " not in text
        assert "oils together at least 60 %: 40 instead of 60" in text


class TestMarkdown:
    @pytest.mark.parametrize("name", ["a|b", "*bold*", "<script>", "[x](y)", "`code`", "a\nb"])
    def test_names_are_inert(self, name: str) -> None:
        """No name turns into a table, a link or markup."""
        own = ingredient("own-oil", Kind.OIL, {}, name=name)
        request = small_request(ingredients=(own,), prices={"own-oil": "4"}, name=name)
        text = cheapest_markdown(cheapest(request))
        assert text.splitlines()[0] == f"# {inert(name)}"
        assert "<script>" not in text
        widths = {
            len(re.findall(r"(?<!\\)\|", line)) for line in text.splitlines() if line[:1] == "|"
        }
        assert widths <= {3, 4, 5, 6}

    def test_it_says_what_the_terminal_says(self) -> None:
        """Ties, what is not measured and totals are not lost on the way to a file."""
        prices = {"soft-butter": "8", "light-oil": "5", "nut-oil": "5"}
        request = small_request(("totals.butter.min", "40"), prices=prices)
        text = cheapest_markdown(cheapest(request))
        for words in ("Other formulas cost the same", "Not measured", "butters 40.00 %"):
            assert words in text

    def test_the_formula_adds_up_in_print(self) -> None:
        """The column of percentages sums to its last row."""
        request = small_request(("ratios.butter:oil", "0.7"), ("amounts.starch", "3.33"))
        text = cheapest_markdown(cheapest(request))
        table = text.partition("| Formula |")[2].partition("\n\n")[0]
        percents = re.findall(r"^\| [^|]+ \| ([\d.]+) \|", table, re.MULTILINE)
        assert sum(map(Decimal, percents[:-1])) == Decimal(percents[-1]) == 100
