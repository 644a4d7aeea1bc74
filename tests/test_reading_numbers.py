"""Numbers and packs as people write them."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimiser.reading.exact_numbers import sensible
from optimiser.reading.findings import Problem
from optimiser.reading.weights import Pack, pack_taken_apart, weight_in_kg
from optimiser.reading.written_numbers import read_number, spelling, taken_apart


def column(*texts: str) -> list[str]:
    """Each number of a column, or the mistake in it, as text."""
    written = [(row, taken_apart(text)) for row, text in enumerate(texts, start=2)]
    found = spelling(written)
    found.check()
    read = []
    for _, one in written:
        try:
            read.append(str(read_number(one, found.mark)[0]))
        except Problem as problem:
            read.append(str(problem))
    return read


@pytest.mark.parametrize(
    ("texts", "numbers"),
    [
        (["8.50"], ["8.50"]),
        (["8,50"], ["8.50"]),
        (["1,234.50"], ["1234.50"]),
        (["1.234,50"], ["1234.50"]),
        (["1 234,50"], ["1234.50"]),
        (["1\u00a0234,50", "1\u202f234"], ["1234.50", "1234"]),
        (["1\u2009234.5"], ["1234.5"]),
        (["1'234.50", "1\u2019234"], ["1234.50", "1234"]),
        (["1,234,567"], ["1234567"]),
        (["1.234.567"], ["1234567"]),
        (["1,234", "8.50"], ["1234", "8.50"]),
        (["1,234", "8,50"], ["1.234", "8.50"]),
        (["1.234", "8.50"], ["1.234", "8.50"]),
        (["1.234", "8,50"], ["1234", "8.50"]),
        (["0,125"], ["0.125"]),
        (["0.125", "1.005"], ["0.125", "1.005"]),
        (["1234,567"], ["1234.567"]),
        ([".5"], ["0.5"]),
        ([",5"], ["0.5"]),
        (["-3.5", "\u22123.5", "+3.5"], ["-3.5", "-3.5", "3.5"]),
        (["46", "7"], ["46", "7"]),
        (["0"], ["0"]),
        (["40 %", "40%"], ["40", "40"]),
        (["£46.50", "46.50 £", "€46.50", "46.50€", "$ 46.50"], ["46.50"] * 5),
        (["GBP 46.50", "46.50 EUR", "EUR46.50", "46.50USD"], ["46.50"] * 4),
        (["£1,234.50"], ["1234.50"]),
        (["1,234"], ['"1,234" can be read in two ways; write 1234 or 1.2340']),
        (["1.234"], ['"1.234" can be read in two ways; write 1234 or 1.2340']),
        (["£12,345"], ['"£12,345" can be read in two ways; write 12345 or 12.3450']),
        (["1,23,456.5"], ['"1,23,456.5" is not a number; write it like 8.50']),
        (["1.5.5"], ['"1.5.5" is not a number; write it like 8.50']),
        (["1,2,3"], ['"1,2,3" is not a number; write it like 8.50']),
        (["1 23"], ['"1 23" is not a number; write it like 8.50']),
        (["1.234,567,8"], ['"1.234,567,8" is not a number; write it like 8.50']),
    ],
)
def test_column_of_numbers(texts: list[str], numbers: list[str]) -> None:
    """The decimal mark is decided over the column, and what stays open is a mistake."""
    assert column(*texts) == numbers


@pytest.mark.parametrize(
    "text",
    ["", "-", "abc", "1e5", "0x10", "1/2", "12.", "5 kg", "--3", "£", "£1 GBP", "nan", "٣", "1_0"],
)
def test_no_number_is_refused(text: str) -> None:
    """What is no plain number is refused with an example of one."""
    with pytest.raises(Problem, match="is not a number; write it like 8.50"):
        taken_apart(text)


def test_column_with_both_marks_is_refused() -> None:
    """A column with decimal points and decimal commas names a row with each."""
    message = "row 2 has a decimal point and row 4 a decimal comma"
    with pytest.raises(Problem, match=message):
        column("8.50", "9", "9,50")


@pytest.mark.parametrize(
    "value", ["1E+10", "1000000001", "NaN", "Infinity", "1E-16", "1.2345678901234567"]
)
def test_senseless_numbers_are_refused(value: str) -> None:
    """No percentage, price or figure is that large, small or long."""
    with pytest.raises(Problem):
        sensible(Decimal(value))


@pytest.mark.parametrize("value", ["1E+9", "0E+400", "1E-15", "0.123456789012345", "-30", "5.000"])
def test_sensible_numbers_are_kept(value: str) -> None:
    """Up to fifteen digits and a thousand million a number stays as it was typed."""
    assert sensible(Decimal(value)) == Decimal(value)


def grouped(digits: str, mark: str) -> str:
    head = len(digits) % 3 or 3
    return mark.join([digits[:head], *(digits[i : i + 3] for i in range(head, len(digits), 3))])


@given(
    value=st.decimals(0, 10**6, places=2),
    style=st.sampled_from([(".", ""), (",", ""), (".", ","), (",", "."), (",", " "), (".", "'")]),
    around=st.sampled_from(["{}", " {} ", "£{}", "{} €", "{}%"]),
)
def test_numbers_are_read_back(value: Decimal, style: tuple[str, str], around: str) -> None:
    """A number with two decimals is read back in whatever habit it is written."""
    mark, groups = style
    whole, decimals = f"{value:.2f}".split(".")
    text = around.format((grouped(whole, groups) if groups else whole) + mark + decimals)
    one = taken_apart(text)
    assert read_number(one, spelling([(2, one)]).mark)[0] == value


@pytest.mark.parametrize(
    ("text", "kg"),
    [
        ("5 kg", "5"),
        ("5kg", "5"),
        ("0.5 KG", "0.5"),
        ("500 g", "0.5"),
        ("500 grams", "0.5"),
        ("1 kilo", "1"),
        ("1 lb", "0.45359237"),
        ("2 lbs.", "0.90718474"),
        ("1 oz", "0.028349523125"),
        ("16 Ounces", "0.45359237"),
        ("2 x 500 g", "1"),
        ("6×250g", "1.5"),
        ("2*1 kg", "2"),
        ("1,5 kg", "1.5"),
        ("1 000 g", "1"),
        ("1 l", "0.9"),
        ("250 ML", "0.225"),
        ("16 US fl oz", "0.4258588257"),
        ("1 uk fl. oz.", "0.02557175625"),
        ("0", "0"),
    ],
)
def test_packs_are_exact(text: str, kg: str) -> None:
    """Weights and, with a density of 0.9 g/ml, volumes are read exactly."""
    pack = pack_taken_apart(text)
    number, _ = read_number(pack.number, spelling([(2, pack.number)]).mark)
    size = pack.size(number)
    assert weight_in_kg(size, pack.measure, Decimal("0.9")) == Fraction(kg)


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("5", '"5" has no unit; write 5 kg or 5 g'),
        ("kg", '"kg" is not a weight; write it like 5 kg or 2 x 500 g'),
        ("500 g x 2", 'no such unit: "g x 2"; write g, kg, oz, lb, ml or l'),
        ("3 cups", 'no such unit: "cups"; write g, kg, oz, lb, ml or l'),
        (
            "8 fl oz",
            "fl oz is 29.57 ml in the US and 28.41 ml in the UK; write US fl oz or UK fl oz",
        ),
        ("1 lb 8 oz", 'no such unit: "lb 8 oz"; write g, kg, oz, lb, ml or l'),
        ("-5 kg", '"-5 kg" is not a weight; write it like 5 kg or 2 x 500 g'),
    ],
)
def test_no_pack_is_refused(text: str, problem: str) -> None:
    """What is no weight or volume, or has a unit of two meanings, says how to write it."""
    with pytest.raises(Problem) as caught:
        pack_taken_apart(text)
    assert str(caught.value) == problem


@given(
    count=st.integers(1, 99),
    size=st.decimals("0.01", 10**4, places=2),
    unit=st.sampled_from(["g", "kg", "oz", "lb"]),
    mark=st.sampled_from([".", ","]),
)
def test_packs_are_read_back(count: int, size: Decimal, unit: str, mark: str) -> None:
    """A multipack weighs its count times its size, exactly, with point or comma."""
    pack = pack_taken_apart(f"{count} x {f'{size:.2f}'.replace('.', mark)} {unit}")
    factors = {"g": "0.001", "kg": "1", "oz": "0.028349523125", "lb": "0.45359237"}
    number, _ = read_number(pack.number, mark)
    assert pack.size(number) == count * Fraction(size) * Fraction(factors[unit])


@given(st.text(max_size=30) | st.text("0123456789.,'% kg£x-", max_size=12))
def test_any_text_is_a_number_or_a_problem(text: str) -> None:
    """No text at all breaks the reading of numbers and packs."""
    for reader in (taken_apart, pack_taken_apart):
        try:
            one = reader(text)
        except Problem:
            continue
        number = one.number if isinstance(one, Pack) else one
        for mark in (".", ",", None):
            try:
                value, _ = read_number(number, mark)
            except Problem:
                continue
            assert value.is_finite()
