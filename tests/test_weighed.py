"""Weighable formulas, against the list of all formulas of a small shelf."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import product
from pathlib import Path

import pytest
from formulation_support import ANSWERED, Command, limit, small_request
from hypothesis import given, settings
from hypothesis import strategies as st

from optimiser.answers.cheapest import Cheapest, cheapest
from optimiser.brief import Either, Limit, Request, Weighing
from optimiser.formulation import formulated
from optimiser.present.console import cheapest_text
from optimiser.provenance import Origin

SHELF = ("firm-wax", "hard-butter", "light-oil", "starch")
WHERE = Origin("brief.toml", 20)
ORIGINS = dict.fromkeys(("step", "smallest", "max_ingredients"), WHERE)


def weighing(
    step: str | None = "10", smallest: str | None = None, most: int | None = None
) -> Weighing:
    return Weighing(
        None if step is None else Decimal(step),
        None if smallest is None else Decimal(smallest),
        most,
        ORIGINS,
    )


def asked(
    *limits: tuple[str, str] | Limit,
    weighed: Weighing | None = None,
    or_none: tuple[str, ...] = (),
    either: tuple[tuple[tuple[str, ...], bool], ...] = (),
    use: tuple[str, ...] = SHELF,
    prices: dict[str, str] | None = None,
) -> Request:
    request = small_request(*limits, use=use, prices=prices)
    brief = replace(
        request.brief,
        weighing=weighed,
        or_none=dict.fromkeys(or_none, WHERE),
        either=tuple(
            Either(names, needed, f"either[{k}]", WHERE) for k, (names, needed) in enumerate(either)
        ),
    )
    return replace(request, brief=brief)


def every_formula(request: Request, step: int) -> Iterator[tuple[Fraction, ...]]:
    """All shares in whole steps that sum to 100, in the order of the columns."""
    count = len(formulated(request).model.columns)
    steps = 100 // step
    for parts in product(range(steps + 1), repeat=count - 1):
        rest = steps - sum(parts)
        if rest >= 0:
            yield tuple(Fraction(step * part) for part in (*parts, rest))


def allowed(request: Request, x: tuple[Fraction, ...]) -> bool:
    """Whether a formula keeps every limit and every rule, straight from the brief."""
    brief = request.brief
    formulation = formulated(request)
    model = formulation.model
    at = dict(zip(model.columns, x, strict=True))
    for i, row in enumerate(model.rows[1:], 1):
        said = next(said for said in brief.limits if said.key == row.statement.key)
        if said.of in brief.or_none and not at[said.of]:
            continue
        numbers, scale = model.exact_row(i)
        level = sum((n * s for n, s in zip(numbers, x, strict=True)), Fraction(0)) / scale
        slack = level - model.right_side(i)
        if not {">=": slack >= 0, "<=": slack <= 0, "=": slack == 0}[row.sense]:
            return False
    used = {name for name, share in at.items() if share}
    rules = brief.weighing
    smallest = None if rules is None else rules.smallest
    most = None if rules is None else rules.max_ingredients
    if smallest is not None and any(at[name] < smallest for name in used):
        return False
    if most is not None and len(used) > most:
        return False
    for either in brief.either:
        count = len(used & set(either.of))
        if count > 1 or (either.is_needed and count != 1):
            return False
    return True


def shares(answer: Cheapest) -> dict[str, Fraction]:
    assert answer.measures is not None
    return {share.ingredient: share.percent for share in answer.measures.formula}


def tens(low: int, high: int) -> st.SearchStrategy[str]:
    return st.integers(low, high).map(str)


LIMITS: tuple[tuple[str, st.SearchStrategy[str]], ...] = (
    ("amounts.hard-butter.min", tens(0, 40)),
    ("amounts.firm-wax.max", tens(5, 60)),
    ("amounts.starch.max", tens(0, 40)),
    ("totals.oil.max", tens(20, 90)),
    ("ratios.butter:oil.min", tens(0, 3)),
    ("properties.vitamin_e.min", tens(1, 25)),
    ("properties.solid_fat_20C.min", tens(10, 60)),
    ("properties.cost.max", tens(5, 13)),
)

EITHERS = (
    (("firm-wax", "starch"), False),
    (("firm-wax", "hard-butter"), True),
    (("light-oil", "starch", "hard-butter"), True),
)


@st.composite
def requests(draw: st.DrawFn) -> Request:
    chosen = draw(st.lists(st.sampled_from(LIMITS), max_size=3, unique_by=lambda x: x[0]))
    prices = {name: str(draw(st.integers(2, 20))) for name in SHELF}
    smallest = draw(st.sampled_from([None, "15", "30"]))
    most = draw(st.sampled_from([None, 1, 2, 3]))
    limits = [limit(said, draw(values)) for said, values in chosen]
    amounts = sorted({x.of for x in limits if x.family == "amounts"})
    return asked(
        *limits,
        weighed=weighing("10", smallest, most),
        or_none=tuple(name for name in amounts if draw(st.booleans())),
        either=tuple(draw(st.lists(st.sampled_from(EITHERS), max_size=1))),
        prices=prices,
    )


@settings(max_examples=30, deadline=None)
@given(requests())
def test_the_cheapest_of_all_formulas_in_whole_steps(request: Request) -> None:
    """The answer costs what the cheapest of every formula in steps of 10 % costs."""
    possible = [x for x in every_formula(request, 10) if allowed(request, x)]
    answer = cheapest(request)
    if not possible:
        assert answer.status == "infeasible"
        return
    model = answer.formulation.model
    assert answer.status == "optimal"
    best = min(model.cost_of(x) for x in possible)
    found = shares(answer)
    x = tuple(found.get(name, Fraction(0)) for name in model.columns)
    assert allowed(request, x)
    assert all(share % 10 == 0 for share in x)
    assert model.cost_of(x) == best


class TestRules:
    def test_whole_steps(self) -> None:
        """Every share is a whole number of steps, and the limit holds as weighed."""
        answer = cheapest(
            asked(
                ("properties.vitamin_e.min", "13"),
                weighed=weighing("5"),
                prices={"firm-wax": "15", "hard-butter": "12", "light-oil": "9", "starch": "3"},
            )
        )
        # 32.5 % of the oil would do; 35 % is the next step.
        assert shares(answer) == {"light-oil": 35, "starch": 65}

    def test_no_small_dose(self) -> None:
        """An ingredient is absent or at least the smallest dose."""
        request = asked(("amounts.starch.max", "97"), weighed=weighing(None, "5"))
        assert shares(cheapest(request)) == {"starch": 95, "light-oil": 5}

    def test_few_ingredients(self) -> None:
        """At most so many ingredients."""
        limits = ("properties.vitamin_e.min", "10"), ("totals.butter.min", "20")
        request = asked(*limits, weighed=weighing(None, None, 2))
        assert len(shares(cheapest(request))) <= 2
        assert len(shares(cheapest(asked(*limits)))) == 3

    def test_none_or_at_least(self) -> None:
        """A limit with `or_none` holds only where the ingredient is used at all."""
        request = asked(("amounts.hard-butter.min", "10"), or_none=("hard-butter",))
        assert shares(cheapest(request)) == {"starch": 100}
        wanted = ("totals.butter.min", "2")
        request = asked(("amounts.hard-butter.min", "10"), wanted, or_none=("hard-butter",))
        assert shares(cheapest(request)) == {"starch": 90, "hard-butter": 10}

    def test_or_none_of_what_cannot_be_had_is_no_mistake(self) -> None:
        """What may be absent may also be unpriced."""
        request = asked(
            ("amounts.firm-wax.min", "5"),
            or_none=("firm-wax",),
            use=("starch", "light-oil"),
            prices={"starch": "3", "light-oil": "5"},
        )
        assert shares(cheapest(request)) == {"starch": 100}

    def test_at_most_one_of_a_list(self) -> None:
        """Of ingredients that exclude each other one is used."""
        request = asked(
            ("amounts.starch.max", "60"),
            ("amounts.light-oil.max", "60"),
            either=((("starch", "light-oil"), False),),
        )
        assert shares(cheapest(request)) == {"starch": 60, "hard-butter": 40}

    def test_exactly_one_of_a_list_is_in_the_jar(self) -> None:
        """Exactly one of a list is used, not merely allowed."""
        request = asked(weighed=weighing("10"), either=((("firm-wax", "hard-butter"), True),))
        assert shares(cheapest(request)) == {"starch": 90, "hard-butter": 10}


class TestWords:
    def test_what_is_proven_and_what_is_not(self) -> None:
        """The exact lower bound is told apart from the solver's word, with the currency."""
        request = asked(
            ("properties.vitamin_e.min", "13"),
            weighed=weighing("5"),
            prices={"firm-wax": "15", "hard-butter": "12", "light-oil": "9", "starch": "3"},
        )
        text = " ".join(cheapest_text(cheapest(request)).split())
        assert "5.10 GBP per kg" in text
        assert "no formula at all costs less than 4.95 GBP per kg" in text
        assert "being weighable costs 0.15 GBP per kg" in text

    def test_which_rule_makes_it_impossible(self) -> None:
        """Where the limits alone could be met, the rule that fails is named."""
        request = asked(
            ("amounts.starch", "33.3"), ("amounts.light-oil.min", "1"), weighed=weighing("10")
        )
        answer = cheapest(request)
        assert answer.status == "infeasible"
        assert "weighing.step" in cheapest_text(answer)

    def test_an_impossible_brief_with_steps_is_explained_by_its_limits(self) -> None:
        """Where not even the limits can be met, the steps are not blamed."""
        request = asked(("totals.wax.min", "60"), ("totals.oil.min", "60"), weighed=weighing("10"))
        answer = cheapest(request)
        assert answer.status == "infeasible"
        text = cheapest_text(answer)
        assert "waxes together at least 60 %" in text
        assert "weighing" not in text


WEIGHED = [path for path in ANSWERED if "[weighing]" in path.read_text(encoding="utf-8")]


@pytest.mark.parametrize("path", WEIGHED, ids=lambda path: path.stem)
def test_the_example_is_weighable(path: Path, optimiser: Command) -> None:
    """The example's shares are whole steps, its progress is not on standard output."""
    answer = optimiser.json("formulate", path)
    steps = {"lavender-oil": "0.1", "mixed-tocopherols-70": "0.05"}
    for line in answer["formula"]:
        step = Fraction(steps.get(line["ingredient"], "0.5"))
        assert Fraction(str(line["percent"])) % step == 0
        assert Fraction(str(line["percent"])) >= 1 or line["ingredient"] in steps
    assert len(answer["formula"]) <= 7
    used = {line["ingredient"] for line in answer["formula"]}
    assert len(used & {"candelilla-wax", "carnauba-wax"}) <= 1
    assert answer["weighing"]["limits_hold_exactly"] is True
    low = Fraction(answer["proof"]["lower_bound_exact"])
    assert low <= Fraction(answer["proof"]["cost_exact"])


def in_tens(*limits: tuple[str, str]) -> Cheapest:
    return cheapest(asked(*limits, weighed=weighing()))


def test_the_prices_of_the_proof_belong_to_its_model() -> None:
    """As many prices as rows, where a formula was found, and where limits or rules forbid it."""
    found = in_tens(("totals.powder.max", "20"))
    assert found.measures is not None
    assert found.weighed is not None
    assert found.proof_model is found.weighed.kept_model
    limits = in_tens(("totals.wax.min", "60"), ("totals.oil.min", "50"))
    rules = in_tens(("totals.wax.max", "5"), ("amounts.firm-wax.min", "1"))
    for answer in (limits, rules):
        assert answer.measures is None
        assert answer.weighed is not None
        assert answer.proof_model is answer.weighed.stated.model
        assert not any(row.is_customary for row in answer.proof_model.rows)
    for answer in (found, limits):
        assert answer.certificate.prices is not None
        assert len(answer.certificate.prices) == len(answer.proof_model.rows)
