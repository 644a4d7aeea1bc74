"""What price changes do, asked of small requests."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from formulation_support import Limit, limit, refusal, small_request

from optimiser import frames
from optimiser.answers.cheapest import cheapest
from optimiser.answers.price_draws import BLOCK, PriceTable, Spread
from optimiser.answers.price_questions import Questions
from optimiser.answers.price_scenarios import price_scenarios
from optimiser.answers.price_sweep import price_sweep
from optimiser.answers.repricing import Repricing, repricing
from optimiser.brief import Request
from optimiser.formulation import formulated
from optimiser.price import PriceChange, repriced
from optimiser.provenance import Origin

SHELF = ("hard-butter", "soft-butter", "light-oil", "nut-oil", "starch")
LIMITS = (
    ("totals.powder.max", "4"),
    ("totals.butter.min", "40"),
    ("properties.solid_fat_20C.min", "30"),
    ("properties.vitamin_e.min", "12"),
    ("ratios.butter:oil.max", "3"),
)


def request(*more: Limit | tuple[str, str], **others: object) -> Request:
    return small_request(*LIMITS, *more, use=SHELF, **others)


def changed(before: Request, **prices: str) -> Request:
    """The request with some prices changed: `hard_butter="+25%"` or `"9.50"`."""
    changes = [
        PriceChange(
            name.replace("_", "-"),
            None if said.endswith("%") else Decimal(said),
            Decimal(said.rstrip("%")) if said.endswith("%") else None,
            Origin("--price"),
        )
        for name, said in prices.items()
    ]
    return replace(before, offers=repriced(before.offers, changes, "GBP"))


def asked(before: Request, after: Request | None = None, **questions: object) -> Repricing:
    return repricing(before, after, Questions(**questions))


def cost(found: Request) -> Fraction:
    measures = cheapest(found).measures
    assert measures is not None
    assert measures.cost_per_kg is not None
    return measures.cost_per_kg


def test_staying_and_changing_add_up() -> None:
    """The cost of staying is the old shares at the new prices; the saving is the difference."""
    before = request()
    after = changed(before, hard_butter="+60%", light_oil="-10%")
    answer = asked(before, after)
    prices = {offer.ingredient: offer.price_per_kg for offer in after.offers}
    staying = sum(s.percent * prices[s.ingredient] for s in answer.in_use.formula) / 100
    assert answer.changed.staying_cost == staying
    assert answer.changed.answer.measures.cost_per_kg == cost(after)
    assert answer.changed.saving == staying - cost(after)
    assert answer.changed.saving >= 0


def test_limits_change_hands() -> None:
    """A limit that held the old formula and not the new one is released, and the reverse."""
    before = request()
    after = changed(before, hard_butter="2")
    answer = asked(before, after)
    old = {a.row.statement.key for a in answer.today.active_limits if a.is_felt}
    new = {a.row.statement.key for a in answer.changed.answer.active_limits if a.is_felt}
    assert {a.row.statement.key for a in answer.changed.released} == old - new
    assert {a.row.statement.key for a in answer.changed.taken} == new - old
    assert old != new


def test_no_change_changes_nothing() -> None:
    """Prices that stay keep the formula and save nothing."""
    before = request()
    answer = asked(before, changed(before, hard_butter="+0%"))
    assert answer.changed.saving == 0
    assert answer.changed.answer.measures == answer.today.measures


def test_a_cost_limit_that_the_old_formula_breaks_is_told() -> None:
    """A dearer price may carry the formula in use over the limit on the cost."""
    before = request()
    cap = cost(before) + Fraction(1, 5)
    before = request(("properties.cost.max", str(float(cap))))
    answer = asked(before, changed(before, soft_butter="+20%"))
    missed = [check.row.statement.key for check in answer.changed.staying_missed]
    assert missed == ["properties.cost.max"]


def test_a_sweep_agrees_with_formulas_at_single_prices() -> None:
    """At and beside every corner the brief, asked anew, costs what the sweep says."""
    before = request()
    sweep = asked(before, sweep="hard-butter").sweep
    assert (sweep.start, sweep.end, sweep.today) == (0, 36, 12)
    assert len(sweep.pieces) > 2
    hair = Fraction(1, 1000)
    for piece in sweep.pieces:
        for price in (piece.start + hair, (piece.start + piece.end) / 2, piece.end - hair):
            fresh = changed(before, hard_butter=str(Decimal(float(price))))
            exact = Fraction(Decimal(str(Decimal(float(price)))))
            rise = (piece.cost_at_end - piece.cost_at_start) / (piece.end - piece.start)
            assert cost(fresh) == piece.cost_at_start + rise * (exact - piece.start)
            assert rise == piece.percent / 100
    percents = [piece.percent for piece in sweep.pieces]
    assert percents == sorted(percents, reverse=True)


def test_a_sweep_ends_where_the_cost_limit_is_passed() -> None:
    """Pieces stop at the price from which no formula keeps to the limit on the cost."""
    free = asked(request(), sweep="hard-butter").sweep
    inside = next(piece for piece in free.pieces if piece.start > 0 and piece.percent)
    assert inside.cost_at_start < inside.cost_at_end
    bound = Decimal(str(float(inside.cost_at_start + inside.cost_at_end) / 2))
    capped = request(("properties.cost.max", str(bound)))
    sweep = asked(capped, sweep="hard-butter").sweep
    assert sweep.impossible_above == sweep.pieces[-1].end < sweep.end
    assert sweep.pieces[-1].cost_at_end == Fraction(bound)
    for aside, status in ((-0.001, "optimal"), (0.001, "infeasible")):
        price = str(float(sweep.impossible_above) + aside)
        assert cheapest(changed(capped, hard_butter=price)).status == status


def test_a_least_cost_is_refused_where_prices_move() -> None:
    """A floor on the cost makes other formulas the cheapest, so it is not swept over."""
    floor = formulated(request(("properties.cost.min", "5")))
    said = refusal(price_sweep, floor, "hard-butter", Fraction(0), Fraction(9))
    assert "least cost" in said


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("properties.vitamin_e.min", None),
        ("properties.vitamin_e", None),
        ('ratios."butter:oil".max', None),
        ("Ratios.Butter:Oil.Max", None),
        ("properties.vitamin", "no such limit; there is properties.vitamin_e.min"),
        ("totals.powder.min", "no such limit"),
    ],
)
def test_a_limit_is_named_by_its_key_path(key: str, said: str | None) -> None:
    """With or without quotes and its side; an unknown one is answered with the nearest."""
    if said is None:
        assert asked(request(), limit=key).limit_sweep.pieces
    else:
        assert said in refusal(lambda: asked(request(), limit=key))


def test_a_swept_limit_agrees_with_briefs_that_say_so() -> None:
    """At every bound of a grid the brief with that bound costs what the sweep says."""
    sweep = asked(request(), limit="properties.vitamin_e.min").limit_sweep
    others = [one for one in LIMITS if one[0] != "properties.vitamin_e.min"]
    for bound in range(0, 36, 3):
        said = ("properties.vitamin_e.min", str(bound))
        fresh = cheapest(small_request(*others, said, use=SHELF))
        inside = [p for p in sweep.pieces if p.start <= bound <= p.end]
        if fresh.measures is None:
            assert not inside
            assert bound > sweep.possible_to
        else:
            piece = inside[0]
            assert piece.per_unit is not None
            found = piece.cost_at_start + (bound - piece.start) * piece.per_unit
            assert fresh.measures.cost_per_kg == found


SPREAD = {name: Decimal(20) for name in SHELF}


def test_the_same_seed_gives_the_same_answer() -> None:
    """Draws depend on the seed alone, not on how they are blocked."""
    form = formulated(request())
    one, again, other = (price_scenarios(form, Spread(SPREAD, 9000, seed)) for seed in (4, 4, 5))
    assert one.cost == again.cost
    assert one.usage == again.usage
    assert one.cost != other.cost
    whole = np.concatenate(list(Spread(SPREAD, 9000, 4).blocks(form)))
    generator = np.random.default_rng(4)
    drawn = generator.standard_normal((9000, 3 + len(SHELF)))  # three kinds first
    today = np.array([float(offer.price_per_kg) for offer in form.offers])
    assert np.allclose(whole, np.exp(drawn[:, 3:] * np.log(1.2)) * today)
    assert BLOCK > 5000  # the draws above span two blocks


def test_spreads_and_correlation_are_those_asked_for() -> None:
    """Medians are today's, two of three draws lie within the spread, kinds move together."""
    form = formulated(request())
    source = Spread(SPREAD | {"starch": Decimal(0)}, 60_000, 1, together=0.6)
    prices = np.concatenate(list(source.blocks(form)))
    columns = form.model.columns
    today = np.array([float(offer.price_per_kg) for offer in form.offers])
    steps = np.log(prices / today)
    starch = columns.index("starch")
    assert np.all(steps[:, starch] == 0)
    for j in range(len(columns)):
        if j != starch:
            assert np.median(steps[:, j]) == pytest.approx(0, abs=0.003)
            inside = np.mean(np.abs(steps[:, j]) <= np.log(1.2))
            assert inside == pytest.approx(0.6827, abs=0.006)  # the normal distribution's
    index = {name: columns.index(name) for name in columns}
    kinds = np.corrcoef(steps[:, index["hard-butter"]], steps[:, index["soft-butter"]])[0, 1]
    apart = np.corrcoef(steps[:, index["hard-butter"]], steps[:, index["light-oil"]])[0, 1]
    assert kinds == pytest.approx(0.6, abs=0.01)
    assert apart == pytest.approx(0, abs=0.015)


def labels(rows: int) -> list[str]:
    return [f"row {k}" for k in range(rows)]


def listed(rows: int, seed: int = 2) -> dict[str, list[Decimal]]:
    """Prices of two ingredients in a few scenarios."""
    rng = np.random.default_rng(seed)
    return {
        name: [Decimal(str(round(p, 2))) for p in rng.uniform(2, 25, rows)]
        for name in ("hard-butter", "light-oil")
    }


def test_every_listed_scenario_is_the_brief_at_those_prices() -> None:
    """Costs, regret, usage and counts are those of asking the brief again for each row."""
    before = request()
    prices = listed(60)
    source = PriceTable("table.csv", labels(60), prices)
    answer = asked(before, source=source)
    found = answer.scenarios
    costs, regrets, used, over = [], [], dict.fromkeys(SHELF, 0), 0
    for k in range(60):
        here = changed(
            before, **{name.replace("-", "_"): str(column[k]) for name, column in prices.items()}
        )
        fresh = cheapest(here).measures
        costs.append(float(fresh.cost_per_kg))
        each = {offer.ingredient: offer.price_per_kg for offer in here.offers}
        staying = sum(s.percent * each[s.ingredient] for s in answer.in_use.formula) / 100
        regrets.append(float(staying - fresh.cost_per_kg))
        over += fresh.cost_per_kg > 8
        for share in fresh.formula:
            used[share.ingredient] += 1
    assert found.cost.mean == pytest.approx(np.mean(costs), rel=1e-9)
    assert found.cost.p95 == pytest.approx(np.quantile(costs, 0.95), rel=1e-9)
    assert found.regret.mean == pytest.approx(np.mean(regrets), rel=1e-8)
    assert found.regret.most == pytest.approx(max(regrets), rel=1e-8)
    assert {u.ingredient: round(u.used_in * 60) for u in found.usage} == {
        name: count for name, count in used.items() if count
    }
    capped = request(("properties.cost.max", "8"))
    assert asked(capped, source=source).scenarios.over_cap == over > 0


def test_kept_formulas_cover_what_they_say() -> None:
    """Each is within 1 % of the cheapest as often as it says, and together as often."""
    before = request()
    source = PriceTable("table.csv", labels(400), listed(400))
    found = asked(before, source=source).scenarios
    form = formulated(before)
    prices = np.concatenate(list(source.blocks(form)))
    columns = form.model.columns
    rows = list(zip(*source.prices.values(), strict=True))
    least = np.array(
        [float(cost(changed(before, hard_butter=str(h), light_oil=str(o)))) for h, o in rows]
    )
    covered = np.zeros(len(rows), dtype=bool)
    for kept in found.kept:
        shares = {s.ingredient: float(s.percent) for s in kept.measures.formula}
        x = np.array([shares.get(name, 0.0) for name in columns])
        near = prices @ x / 100 <= least * 1.01
        covered |= near
        assert kept.near_in == pytest.approx(near.mean(), abs=1e-12)
        assert kept.together == pytest.approx(covered.mean(), abs=1e-12)


def test_kept_formulas_do_not_depend_on_the_order_of_rows() -> None:
    """A formula that is cheapest only late in a long table is kept as well."""
    cheap, dear = Decimal(4), Decimal(40)
    for first, second in ((cheap, dear), (dear, cheap)):
        prices = {"hard-butter": [first] * 6000 + [second] * 6000}
        table = PriceTable("table.csv", labels(12000), prices)
        found = asked(request(), source=table).scenarios
        assert found.formulas == 2
        assert found.kept[-1].together == pytest.approx(1)
        assert sum(kept.cheapest_in for kept in found.kept) >= 0.5


def test_scenarios_may_price_what_has_no_price_today() -> None:
    """An ingredient without a price comes in where a scenario makes it cheap."""
    prices = {"hard-butter": "12", "soft-butter": "8", "starch": "3"}
    before = small_request(("properties.vitamin_e.min", "3"), prices=prices)
    table = PriceTable("table.csv", labels(2), {"light-oil": [Decimal("0.10"), Decimal(90)]})
    found = asked(before, source=table)
    usage = {u.ingredient: u.used_in for u in found.scenarios.usage}
    assert usage["light-oil"] == 0.5
    assert any("light-oil without a price today" in remark for remark in found.remarks)


def test_what_is_used_as_often_goes_by_how_much() -> None:
    """Ingredients used in as many scenarios stand with the greater part first."""
    before = request()
    found = asked(before, source=PriceTable("table.csv", labels(2), listed(2))).scenarios
    assert found is not None
    told = [(usage.used_in, usage.percent_high) for usage in found.usage]
    assert told == sorted(told, reverse=True)
    assert len({often for often, _ in told}) < len(told)


def test_a_sweep_of_an_impossible_brief_has_no_piece() -> None:
    """Nothing is swept, and nothing is said of where it becomes impossible."""
    before = request(("totals.butter.max", "1"))
    sweep = price_sweep(formulated(before), "hard-butter", Fraction(1), Fraction(2))
    assert (sweep.pieces, sweep.impossible_above) == ((), None)


def test_scenarios_settled_exactly_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no step is taken in floats each is settled exactly, counted, and costs the same."""
    before, source = request(), PriceTable("table.csv", labels(9), listed(9))
    usual = asked(before, source=source).scenarios
    monkeypatch.setattr("optimiser.postoptimal.corners.MOST_STEPS", 0)
    found = asked(before, source=source).scenarios
    assert usual is not None
    assert found is not None
    assert (usual.settled_exactly, found.settled_exactly) == (0, 9)
    assert found.cost.most == pytest.approx(usual.cost.most, rel=1e-14)


def test_caution_against_rising_prices() -> None:
    """K of 0 is today's optimum, K of all the optimum at the tops; in between it rises."""
    before = request()
    spreads = {"hard-butter": Decimal(10), "soft-butter": Decimal(90), "light-oil": Decimal(40)}
    found = [asked(before, at_most=k, spreads=spreads).uncertain for k in range(6)]
    assert found[0].worst_cost == cost(before)
    tops = {name.replace("-", "_"): f"+{percent}%" for name, percent in spreads.items()}
    assert found[-1].worst_cost == cost(changed(before, **tops))
    worst = [one.worst_cost for one in found]
    assert worst == sorted(worst)
    for one in found:
        assert one.price_of_caution >= 0
        assert one.worst_cost <= one.least_worst_cost
        felt = {
            share.ingredient: share.percent
            * share.price_per_kg
            * Fraction(spreads[share.ingredient])
            for share in one.measures.formula
            if share.ingredient in spreads
        }
        dearest = sorted(felt, key=lambda name: -felt[name])
        assert list(one.rising) == dearest[: one.at_most]


def test_weighable_briefs_say_what_is_not_regarded() -> None:
    """Sweeps and scenarios are over shares of any size, and the answer knows that."""
    before = request()
    brief = replace(before.brief, or_none={"starch": Origin("brief.toml")})
    answer = asked(replace(before, brief=brief), sweep="hard-butter")
    assert answer.has_shares_of_any_size
    assert not asked(before, sweep="hard-butter").has_shares_of_any_size


def test_frames_hold_the_numbers() -> None:
    """Every part that was asked for is a table of floats."""
    before = request()
    answer = repricing(
        before,
        changed(before, hard_butter="+25%"),
        Questions(sweep="hard-butter", source=Spread(SPREAD, 500, 1), at_most=2, spreads=SPREAD),
    )
    tables = frames(answer)
    assert set(tables) == {
        "formula",
        "costs",
        "properties",
        "limits_changed",
        "sweep",
        "sweep_formulas",
        "scenario_costs",
        "scenario_ingredients",
        "kept",
        "kept_formulas",
        "uncertain",
    }
    assert tables["formula"]["changed"].sum() == pytest.approx(100)
    assert tables["sweep"]["price_to"].iloc[-1] == pytest.approx(3 * 15)
    sums = tables["sweep_formulas"].groupby("piece")["percent"].sum()
    assert np.allclose(sums, 100)
    limits = frames(asked(before, limit="totals.powder.max"))
    assert np.allclose(limits["limit_formulas"].groupby("bound")["percent"].sum(), 100)


def test_limits_of_a_brief_without_formula_can_be_swept() -> None:
    """A brief that is impossible today may be possible at another bound of the swept limit."""
    before = request(("properties.vitamin_e.max", "10"))
    assert cheapest(before).status == "infeasible"
    answer = asked(before, limit="properties.vitamin_e.min")
    assert answer.in_use is None
    assert answer.is_answered
    assert answer.limit_sweep.possible_to == 10
    assert limit("properties.vitamin_e.min", "12").value > 10


def test_a_change_in_percent_is_exact_to_the_last_digit() -> None:
    """Fifteen digits times eighteen are not rounded to the 28 that decimals usually have."""
    before = small_request(prices={"shea": "8.12345678901234"})
    change = PriceChange("shea", None, Decimal("12.3456789012345"), Origin("--price"))
    (offer,) = [o for o in repriced(before.offers, [change], "GBP") if o.ingredient == "shea"]
    assert offer.price_per_kg == Fraction("8.12345678901234") * Fraction("1.123456789012345")
