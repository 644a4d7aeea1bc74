"""Laws that every answer keeps, on small random briefs, in exact arithmetic."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from formulation_support import figure, limit, offer, quantity, small_request
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from optimiser.answers.cheapest import ActiveLimit, Cheapest, cheapest
from optimiser.brief import COST, End, Family, Limit, Request
from optimiser.formulation import formulated
from optimiser.ingredient import Ingredient, Kind, Over, Rule
from optimiser.present.answer_json import cheapest_document
from optimiser.price import Offer
from optimiser.provenance import Origin

BRIEFLY = settings(max_examples=25, deadline=None)

HARDLY = settings(
    max_examples=15,
    deadline=None,
    # Most briefs that are drawn can be met and are passed over.
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
)

TINY = Decimal("1e-9")
"""A price or bound moved by this stays within the piece it is on, unless it was at an end."""

PROPERTIES = (
    quantity("spread"),
    quantity("snap", over=Over.FAT),
    quantity("density", unit="g/ml", rule=Rule.VOLUME),
)
GROUPS = {"fine": ("a", "c", "e"), "plain": ("b", "d")}
KINDS = (Kind.BUTTER, Kind.OIL, Kind.BUTTER, Kind.OIL, Kind.WAX, Kind.POWDER)
NAMES = ("a", "b", "c", "d", "e", "f")


def tenths(low: int, high: int) -> st.SearchStrategy[str]:
    """Numbers with one decimal."""
    return st.integers(low * 10, high * 10).map(lambda n: str(Decimal(n) / 10))


@st.composite
def material(draw: st.DrawFn, name: str, kind: Kind) -> Ingredient:
    density = str(Decimal(draw(st.integers(85, 150))) / 100)
    spread, snap = draw(tenths(0, 60)), draw(tenths(0, 100))
    ends = sorted([spread, draw(tenths(0, 60)), draw(tenths(0, 60))], key=Decimal)
    figures = {
        "spread": figure((ends[0], ends[1], ends[2])),
        "snap": figure(snap),
        "density": figure(density),
    }
    return Ingredient(name, name.upper(), "", "", kind, figures, "", Origin("small.csv", 2))


LIMITS: tuple[tuple[str, st.SearchStrategy[str]], ...] = (
    ("amounts.a.min", tenths(0, 30)),
    ("amounts.b.max", tenths(0, 60)),
    ("amounts.c", tenths(0, 20)),
    ("totals.butter.min", tenths(0, 60)),
    ("totals.oil.max", tenths(20, 100)),
    ("totals.powder.max", tenths(0, 30)),
    ("totals.fine.min", tenths(0, 70)),
    ("ratios.butter:oil.min", tenths(0, 3)),
    ("ratios.fine:plain.max", tenths(0, 4)),
    ("properties.spread.min", tenths(5, 50)),
    ("properties.spread.max", tenths(10, 60)),
    ("properties.snap.min", tenths(10, 80)),
    ("properties.snap.max", tenths(20, 90)),
    ("properties.density.min", st.integers(86, 110).map(lambda n: str(Decimal(n) / 100))),
    ("properties.cost.max", tenths(8, 25)),
)


@st.composite
def requests(draw: st.DrawFn, most_limits: int = 5, fewest_limits: int = 0) -> Request:
    """Three to six ingredients with all figures, and so many limits."""
    count = draw(st.integers(3, len(NAMES)))
    materials = tuple(
        draw(material(name, kind)) for name, kind in zip(NAMES[:count], KINDS, strict=False)
    )
    kinds = st.sampled_from(LIMITS)
    chosen = draw(
        st.lists(kinds, min_size=fewest_limits, max_size=most_limits, unique_by=lambda x: x[0])
    )
    limits = [limit(said, draw(values)) for said, values in chosen]
    prices = {name: draw(tenths(2, 30)) for name in NAMES[:count]}
    cautious = draw(st.sampled_from([(), ("spread",)]))
    return small_request(
        *limits,
        ingredients=materials,
        properties=PROPERTIES,
        groups=GROUPS,
        prices=prices,
        cautious=cautious,
    )


def optimal(request: Request) -> Cheapest:
    """The answer, for briefs that can be met."""
    answer = cheapest(request)
    assume(answer.status == "optimal")
    return answer


def cost(answer: Cheapest) -> Fraction:
    assert answer.certificate.cost is not None
    return answer.certificate.cost


def shares(answer: Cheapest) -> dict[str, Fraction]:
    assert answer.measures is not None
    return {share.ingredient: share.percent for share in answer.measures.formula}


def with_price(request: Request, name: str, price: Fraction | Decimal) -> Request:
    """The same request with another price per kg of one ingredient, exactly."""

    def priced(old: Offer) -> Offer:
        if old.ingredient != name:
            return old
        # A price of p/q per kg is p for a pack of q kg.
        top, bottom = Fraction(price).as_integer_ratio()
        return replace(old, price=Decimal(top), pack_kg=Fraction(bottom))

    return replace(request, offers=tuple(priced(old) for old in request.offers))


def said_by(request: Request, found: ActiveLimit) -> Limit:
    """The limit of the brief behind an active one."""
    (said,) = (x for x in request.brief.limits if x.key == found.row.statement.key)
    return said


def with_limit(request: Request, old: Limit, value: Decimal) -> Request:
    """The same request with one bound moved."""
    limits = tuple(replace(x, value=value) if x is old else x for x in request.brief.limits)
    return replace(request, brief=replace(request.brief, limits=limits))


@BRIEFLY
@given(requests())
def test_every_outcome_is_proven(request: Request) -> None:
    """An answer is a cheapest formula or an impossibility, and proven either way."""
    answer = cheapest(request)
    assert answer.status in ("optimal", "infeasible")
    assert answer.certificate.proven
    if answer.status == "optimal":
        assert answer.certificate.lower_bound == answer.certificate.cost


@BRIEFLY
@given(requests())
def test_the_formula_meets_every_limit_and_adds_up(request: Request) -> None:
    """No limit is overstepped by the smallest amount, and all shares add up to 100."""
    answer = optimal(request)
    model, x = answer.formulation.model, answer.certificate.x
    assert x is not None
    assert sum(x) == 100
    assert all(share >= 0 for share in x)
    for i, row in enumerate(model.rows):
        numbers, scale = model.exact_row(i)
        slack = sum((n * s for n, s in zip(numbers, x, strict=True)), Fraction(0)) / scale
        slack -= model.right_side(i)
        assert {">=": slack >= 0, "<=": slack <= 0, "=": slack == 0}[row.sense]


@BRIEFLY
@given(requests())
def test_active_limits_are_exactly_those_that_are_just_met(request: Request) -> None:
    """A limit is listed if and only if its level equals its bound."""
    answer = optimal(request)
    model, x = answer.formulation.model, answer.certificate.x
    assert x is not None
    met = {
        row.statement.key
        for i, row in enumerate(model.rows)
        if i and model.level(i, x) == model.bound[i]
    }
    listed = {found.row.statement.key for found in answer.active_limits}
    tight = {key for key in listed - met if key.startswith("ratios") or ".snap" in key}
    assert met <= listed
    assert listed - met == tight  # a mean over nothing has no level, and may yet bind


@BRIEFLY
@given(requests(), st.data())
def test_one_ingredient_more_never_raises_the_cost(request: Request, data: st.DataObject) -> None:
    """A larger shelf is never dearer."""
    name = data.draw(st.sampled_from([offer.ingredient for offer in request.offers]))
    fewer = replace(request.brief, leave_out=(name,))
    without = {x.of for x in request.brief.limits if x.family is Family.AMOUNTS}
    assume(name not in without)
    answer = optimal(replace(request, brief=fewer))
    assert cost(cheapest(request)) <= cost(answer)


@BRIEFLY
@given(requests(), st.integers(1, 900))
def test_prices_times_k_cost_times_k(request: Request, k: int) -> None:
    """All prices times k: the same formula costs k times as much."""
    kept = tuple(x for x in request.brief.limits if x.of != COST)
    request = replace(request, brief=replace(request.brief, limits=kept))
    answer = optimal(request)
    factor = Fraction(k, 100)
    dearer = request
    for old in request.offers:
        dearer = with_price(dearer, old.ingredient, old.price_per_kg * factor)
    again = cheapest(dearer)
    assert cost(again) == cost(answer) * factor
    if answer.is_unique:
        assert shares(again) == shares(answer)


def loosened(said: Limit, by: Decimal) -> Decimal | None:
    """A bound moved the way that lets more formulas in; None where there is no such way."""
    if said.end is End.EXACTLY:
        return None
    return said.value - by if said.end is End.MIN else said.value + by


@BRIEFLY
@given(requests(), st.integers(1, 50))
def test_loosening_a_limit_never_raises_the_cost(request: Request, tenth: int) -> None:
    """Easing any one limit gives the same cost or less."""
    answer = optimal(request)
    for said in request.brief.limits:
        value = loosened(said, Decimal(tenth) / 100)
        if value is not None and not (said.of == "density" and value <= 0):
            assert cost(cheapest(with_limit(request, said, value))) <= cost(answer)


@BRIEFLY
@given(requests(most_limits=4))
def test_a_tiny_step_of_an_active_bound_costs_what_its_rate_says(request: Request) -> None:
    """The cost moves as the one-sided rate: exactly for sums, nearly for ratios."""
    answer = optimal(request)
    for found in answer.active_limits:
        for way, rate in ((1, found.up), (-1, found.down)):
            said = said_by(request, found)
            if said.value + way * TINY < 0:
                continue  # no brief may say so
            moved = cheapest(with_limit(request, said, said.value + way * TINY))
            if rate.per_unit is None:
                assert moved.status == "infeasible"
                continue
            change = (cost(moved) - cost(answer)) / Fraction(TINY)
            if found.is_ratio:
                assert abs(change - rate.per_unit) <= Fraction("1e-4") * (1 + abs(rate.per_unit))
            else:
                assert change == rate.per_unit


@BRIEFLY
@given(requests(most_limits=4))
def test_rates_of_sums_hold_to_the_end_of_their_interval_and_no_further(request: Request) -> None:
    """Up to the end the cost follows the rate exactly; a little beyond it does not."""
    answer = optimal(request)
    for found in answer.active_limits:
        said = said_by(request, found)
        if found.is_ratio or said.of == COST:
            continue
        for way, rate in ((1, found.up), (-1, found.down)):
            if rate.per_unit is None or rate.until is None:
                continue
            at = cheapest(with_limit(request, said, _decimal(rate.until, -way)))
            moved = Fraction(_decimal(rate.until, -way)) - found.bound
            assert cost(at) == cost(answer) + abs(moved) * rate.per_unit
            beyond = _decimal(rate.until, way) + way * TINY
            after = cheapest(with_limit(request, said, beyond))
            if after.status == "optimal":
                reach = abs(Fraction(beyond) - found.bound)
                assert cost(after) > cost(answer) + reach * rate.per_unit


def _decimal(value: Fraction, way: int) -> Decimal:
    """The decimal with twelve digits next to a number, upwards or downwards."""
    scaled = value * 10**12
    whole = math.ceil(scaled) if way > 0 else math.floor(scaled)
    return Decimal(whole).scaleb(-12)


def ends(answer: Cheapest) -> Iterator[tuple[str, Fraction, int]]:
    """Each end of a price range: the ingredient, the price and the way out."""
    for used in answer.used:
        for end, way in ((used.stays_from, -1), (used.stays_to, 1)):
            if end is not None:
                yield used.ingredient, end, way
    for unused in answer.unused:
        if unused.stays_from is not None:
            yield unused.ingredient, unused.stays_from, -1


@BRIEFLY
@given(requests(most_limits=4))
def test_the_formula_stays_cheapest_to_the_end_of_each_price_range_and_no_further(
    request: Request,
) -> None:
    """At the end of a price range the formula still costs least; just outside another does."""
    answer = optimal(request)
    x = answer.certificate.x
    assert x is not None
    for name, end, way in ends(answer):
        inside = with_price(request, name, end)
        assert cost(cheapest(inside)) == formulated(inside).model.cost_of(x)
        outside = with_price(request, name, end + way * Fraction(TINY))
        again = cheapest(outside)
        staying = formulated(outside).model.cost_of(x)
        assert (
            again.status == "infeasible"
            or _breaks_a_cost_limit(outside, staying)
            or (cost(again) < staying)
        )


def _breaks_a_cost_limit(request: Request, staying: Fraction) -> bool:
    return any(x.of == COST and staying > x.value for x in request.brief.limits)


@BRIEFLY
@given(requests(most_limits=4))
def test_open_price_ranges_have_no_end(request: Request) -> None:
    """Where no end is told, the formula is still the cheapest at an extreme price."""
    answer = optimal(request)
    x = answer.certificate.x
    assert x is not None
    open_ends = [
        (u.ingredient, price)
        for u in answer.used
        for end, price in ((u.stays_from, -(10**6)), (u.stays_to, 10**6))
        if end is None
    ]
    open_ends += [(u.ingredient, -(10**6)) for u in answer.unused if u.stays_from is None]
    for name, price in open_ends:
        moved = with_price(request, name, Fraction(price))
        assert cost(cheapest(moved)) == formulated(moved).model.cost_of(x)


@BRIEFLY
@given(requests(most_limits=4))
def test_ties_are_found_by_answering_again(request: Request) -> None:
    """A trifle off or on a price moves a share to the ends told, or nowhere if unique."""
    answer = optimal(request)
    assume(not any(x.of == COST for x in request.brief.limits))
    today = shares(answer)
    for old in request.offers:
        name = old.ingredient
        at = today.get(name, Fraction(0))
        low, high = (answer.equal_cost or {}).get(name, (at, at))
        dear = cheapest(with_price(request, name, old.price_per_kg + Fraction(TINY)))
        cheap = cheapest(with_price(request, name, old.price_per_kg - Fraction(TINY)))
        assert shares(dear).get(name, 0) == low
        assert shares(cheap).get(name, 0) == high


@BRIEFLY
@given(requests())
def test_the_document_adds_up(request: Request) -> None:
    """Percentages sum to 100, cost shares to 1, and the cost is theirs."""
    document = cheapest_document(optimal(request))
    lines = document["formula"]
    assert math.isclose(math.fsum(line["percent"] for line in lines), 100, rel_tol=1e-12)
    assert math.isclose(math.fsum(line["cost_share"] for line in lines), 1, rel_tol=1e-12)
    total = math.fsum(line["percent"] / 100 * line["price_per_kg"] for line in lines)
    assert math.isclose(total, document["cost_per_kg"], rel_tol=1e-12)
    used = {line["ingredient"] for line in document["used"]}
    assert used == {line["ingredient"] for line in lines}
    assert used.isdisjoint(line["ingredient"] for line in document["unused"])


def kept(request: Request, keys: set[str]) -> Request:
    """The same request with only these limits."""
    limits = tuple(x for x in request.brief.limits if x.key in keys)
    return replace(request, brief=replace(request.brief, limits=limits))


FAR = 10**9
"""A bound that is as good as none."""


def moved(request: Request, bounds: dict[str, Fraction]) -> Request:
    """The same request with bounds moved, exactly."""
    limits = tuple(
        replace(x, value=bounds[x.key]) if x.key in bounds else x for x in request.brief.limits
    )
    return replace(request, brief=replace(request.brief, limits=limits))


@st.composite
def hard_requests(draw: st.DrawFn) -> Request:
    """Requests with many limits, of which few can be met."""
    request = draw(requests(most_limits=9, fewest_limits=5))
    assume(cheapest(request).status == "infeasible")
    return request


@HARDLY
@given(hard_requests())
def test_a_conflict_is_impossible_and_without_any_one_of_it_possible(request: Request) -> None:
    """Nothing in a conflict could stay away, and nothing in it is needless."""
    document = cheapest_document(cheapest(request))
    assert document["conflicts"]
    assert document["conflict"] == document["conflicts"][0]
    for conflict in document["conflicts"]:
        keys = {clash["limit"] for clash in conflict}
        assert cheapest(kept(request, keys)).status == "infeasible"
        for key in keys:
            assert cheapest(kept(request, keys - {key})).status == "optimal"


@HARDLY
@given(hard_requests())
def test_without_the_limits_of_the_conflicts_the_brief_is_possible(request: Request) -> None:
    """There is no further knot beside those that are told."""
    document = cheapest_document(cheapest(request))
    dropped = {clash["limit"] for conflict in document["conflicts"] for clash in conflict}
    rest = {x.key for x in request.brief.limits} - dropped
    assert cheapest(kept(request, rest)).status == "optimal"


@HARDLY
@given(hard_requests())
def test_a_way_out_is_the_nearest_bound_that_can_be_met(request: Request) -> None:
    """At the told bound there is a formula at the told cost, a trifle short of it none."""
    document = cheapest_document(cheapest(request))
    told = {way["limit"] for way in document["ways_out"]}
    assert told == {clash["limit"] for each in document["conflicts"] for clash in each}
    for way in document["ways_out"]:
        key = way["limit"]
        if way["reachable_exact"] is None:
            # No bound will do; without the limit there may be one, as of a ratio to nothing.
            (end,) = {x.end for x in request.brief.limits if x.key == key}
            for far in (FAR,) if end is End.MAX else (-FAR,) if end is End.MIN else (0, 50, 100):
                eased = moved(request, {key: Fraction(far)})
                assert cheapest(eased).status == "infeasible"
            continue
        bound, was = Fraction(way["reachable_exact"]), Fraction(repr(way["bound"]))
        there = cheapest(moved(request, {key: bound}))
        assert there.status == "optimal"
        assert float(cost(there)) == way["cost_per_kg"]
        short = bound + (was - bound) * Fraction(TINY)
        assert cheapest(moved(request, {key: short})).status == "infeasible"


@HARDLY
@given(hard_requests())
def test_the_compromise_is_possible_and_none_of_it_needless(request: Request) -> None:
    """With all told bounds moved there is a formula at the told cost; with all but one none."""
    document = cheapest_document(cheapest(request))
    moves = {m["limit"]: Fraction(m["to_exact"]) for m in document["smallest_compromise"]}
    if not moves:
        return
    answer = cheapest(moved(request, moves))
    assert answer.status == "optimal"
    assert float(cost(answer)) == document["compromise_cost_per_kg"]
    for key in moves:
        fewer = {name: bound for name, bound in moves.items() if name != key}
        assert cheapest(moved(request, fewer)).status == "infeasible"


def test_offers_with_exact_prices_are_as_meant() -> None:
    """What these tests price with gives the price that it is told to."""
    request = with_price(small_request(offers=(offer("starch", "3"),)), "starch", Fraction(1, 3))
    assert request.offers[0].price_per_kg == Fraction(1, 3)
