"""An answer with a formula, held against an outside solver: cost, proof, prices, ties."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from scale.findings import Findings
from scale.outside import Both, Found, Line, Numbers, Programme, dot
from scale.stated import TOTAL, WHOLE, Stated

from optimiser.answers.cheapest import ActiveLimit, Cheapest
from optimiser.answers.price_ranges import PriceRange
from optimiser.exact.sensitivity import Rate
from optimiser.linear_model import Sense

HAIR = Fraction(1, 10**12)
"""So far outside an interval the tool has to be wrong already."""
FAR = Fraction(10**6)
"""So far away an interval without an end has to hold."""
FAR_RATIO = (Fraction(1), Fraction(10), Fraction(1000))


@dataclass
class Possible:
    """One answer with a formula and what it is held against."""

    stated: Stated
    answer: Cheapest
    solver: Both
    findings: Findings

    def __post_init__(self) -> None:
        assert self.answer.certificate.x is not None
        assert self.answer.certificate.cost is not None
        self.x: Numbers = self.answer.certificate.x
        self.cost = self.answer.certificate.cost
        self.programme = self.stated.programme()

    def compare(self) -> None:
        """Everything that the answer tells."""
        self.point()
        self.proof()
        self.which_limits_are_active()
        for found in self.answer.active_limits:
            for way, rate in ((1, found.up), (-1, found.down)):
                if found.is_ratio:
                    self.ratio_rate(found, way, rate)
                else:
                    self.sum_rate(found, way, rate)
            self.eased(found)
        for found in (*self.answer.used, *self.answer.unused):
            self.price_range(found)
        self.ties()

    def least(self, programme: Programme) -> Found:
        return self.solver.least(programme)

    def with_bound(self, key: str, bound: Fraction) -> Found:
        return self.least(self.stated.programme(bounds={key: bound}))

    def point(self) -> None:
        """The formula is within every limit and costs what is told, its parts as well."""
        hold = self.findings.hold
        hold("formula within every limit", self.programme.allows(self.x), str(self.x))
        told = dot(self.programme.cost, self.x)
        hold("cost of the formula", told == self.cost, f"{told} is told as {self.cost}")
        assert self.answer.measures is not None
        shares = {share.ingredient: share.percent for share in self.answer.measures.formula}
        mine = {n: a for n, a in zip(self.stated.names, self.x, strict=True) if a}
        hold("shares told", {n: a for n, a in shares.items() if a} == mine, str(shares))

    def proof(self) -> None:
        """The prices of the rows prove by themselves that nothing costs less."""
        certificate = self.answer.certificate
        bound = dual_bound(self.programme, row_prices(self.answer), self.programme.cost)
        is_right = certificate.proven and bound == self.cost == certificate.lower_bound
        self.findings.hold("proof of the least cost", is_right, f"{bound} for {self.cost}")

    def which_limits_are_active(self) -> None:
        """The limits told are those whose level is their bound."""
        priced = {key for key, price in row_prices(self.answer).items() if price}
        met = set()
        for key, limit in self.stated.limits.items():
            level = self.stated.level(key, self.x)
            if level == limit.value or level is None and key in priced:
                met.add(key)
        told = {found.row.statement.key for found in self.answer.active_limits}
        self.findings.hold("active limits", met == told, f"{sorted(met)} told as {sorted(told)}")

    def sum_rate(self, found: ActiveLimit, way: int, rate: Rate) -> None:
        """The cost lies on the line told up to where it holds, and leaves it just beyond."""
        key, bound, hold = found.row.statement.key, found.bound, self.findings.hold
        said = f"{key} {bound} way {way}: {rate}"
        if rate.per_unit is None:
            beyond = self.with_bound(key, bound + way * HAIR)
            is_right = beyond.status == "infeasible" and rate.until == bound
            hold("impossible that way", is_right, f"{said}, then {beyond.status}")
            return
        reach = FAR if rate.until is None else abs(rate.until - bound)
        if not hold("reach is that way", reach > 0 and self._is_ahead(bound, rate, way), said):
            return
        for part in (Fraction(1, 3), Fraction(1)):
            at = self.with_bound(key, bound + way * reach * part)
            due = self.cost + rate.per_unit * reach * part
            hold("price of a limit", at.value == due, f"{said}: {at.value} is told as {due}")
        if rate.until is not None:
            beyond = self.with_bound(key, bound + way * (reach + HAIR))
            due = self.cost + rate.per_unit * (reach + HAIR)
            is_over = beyond.value is None or beyond.value > due
            hold("end of a price", is_over, f"{said}: the line goes on")

    @staticmethod
    def _is_ahead(bound: Fraction, rate: Rate, way: int) -> bool:
        return rate.until is None or (rate.until - bound) * way > 0

    def ratio_rate(self, found: ActiveLimit, way: int, rate: Rate) -> None:
        """The cost lies on one curve r s / (1 + t s), r as told, up to where it holds."""
        key, bound, hold = found.row.statement.key, found.bound, self.findings.hold
        said = f"{key} {bound} way {way}: {rate}"
        absent = found.is_absent == (self.stated.weight(key, self.x) == 0)
        hold("nothing of a ratio", absent, said)
        if rate.per_unit is None:
            self._jumps(key, bound, way, said)
            return
        if not hold("reach is that way", self._is_ahead(bound, rate, way), said):
            return
        reach = None if rate.until is None else abs(rate.until - bound)
        jumps = reach is not None and self._jumps_down(key, rate)
        if reach is not None:
            last = reach * (1 - HAIR) if jumps else reach
        steps = FAR_RATIO if reach is None else (reach / 3, reach / 2, last)
        ends = [self.with_bound(key, bound + way * step) for step in steps]
        if not hold("price of a ratio", all(e.value is not None for e in ends), f"{said}: {ends}"):
            return
        rises = [end.value - self.cost for end in ends if end.value is not None]
        bend = _bend(rate.per_unit, steps[-1], rises[-1])
        is_right = bend is not None and all(
            rise * (1 + bend * step) == rate.per_unit * step
            for step, rise in zip(steps, rises, strict=True)
        )
        hold("price of a ratio", is_right, f"{said}: {[str(rise) for rise in rises]}")
        if reach is not None and bend is not None and not jumps:
            self._ratio_ends(key, bound, way, reach, rate.per_unit, bend, said)

    def _jumps_down(self, key: str, rate: Rate) -> bool:
        """Whether what costs nothing ends by a fall, just where it is told to end."""
        if rate.per_unit or rate.until is None or self.stated.weight(key, self.x):
            return False
        there = self.with_bound(key, rate.until).value
        return there is not None and there < self.cost

    def _jumps(self, key: str, bound: Fraction, way: int, said: str) -> None:
        """No formula a hair further, or only such with nothing of what the ratio is over."""
        programme = self.stated.programme(bounds={key: bound + way * HAIR})
        beyond = self.least(programme)
        is_right = beyond.value is None
        if not is_right and not programme.allows(self.x):
            is_right = self._is_left_behind(key, bound + way * HAIR)
        self.findings.hold("impossible that way", is_right, f"{said}, then {beyond}")

    def _is_left_behind(self, key: str, bound: Fraction) -> bool:
        """Whether only formulas with nothing of what a ratio is over are left at a bound."""
        bottom = self.stated.parts(self.stated.limits[key])[1]
        assert bottom is not None
        programme = self.stated.programme(bounds={key: bound})
        self.findings.unasked["impossible that way, but for a jump to nothing of it"] += 1
        return self.least(programme.seeking([-a for a in bottom])).value == 0

    def _ratio_ends(
        self,
        key: str,
        bound: Fraction,
        way: int,
        reach: Fraction,
        per_unit: Fraction,
        bend: Fraction,
        said: str,
    ) -> None:
        """Just beyond, the cost leaves the curve or the active limits are others."""
        step = reach + HAIR
        beyond = self.with_bound(key, bound + way * step)
        if beyond.value is None:
            self.findings.hold("end of a ratio's price", True)
            return
        if (beyond.value - self.cost) * (1 + bend * step) != per_unit * step:
            self.findings.hold("end of a ratio's price", True)
            return
        if not per_unit:
            is_left = self._is_left_behind(key, bound + way * step)
            self.findings.hold("end of a ratio's price", is_left, f"{said}: it costs nothing yet")
            return
        inside = bound + way * reach / 2
        before = self._lean(key, inside)
        after = self._lean(key, bound + way * step)
        if before != after:
            self.findings.hold("end of a ratio's price", True)
        else:
            self.findings.unasked[
                "a ratio's price goes on: another of the limits through one formula takes over"
            ] += 1

    def _lean(self, key: str, bound: Fraction) -> set[str]:
        """What the formula found at another bound rests on: limits and absent ingredients."""
        programme = self.stated.programme(bounds={key: bound})
        x = self.least(programme).x
        tight = {line.key for line in programme.lines if line.level(x) == line.right}
        return tight | {n for n, a in zip(self.stated.names, x, strict=True) if not a}

    def eased(self, found: ActiveLimit) -> None:
        """The formula told for the next step is a cheapest one there."""
        eased = found.eased
        if eased is None:
            return
        key = found.row.statement.key
        programme = self.stated.programme(bounds={key: eased.bound})
        names = self.stated.names
        x = tuple(a + eased.changes.get(n, 0) for n, a in zip(names, self.x, strict=True))
        is_right = (
            programme.allows(x)
            and dot(programme.cost, x) == eased.cost_per_kg == self.least(programme).value
            and (eased.cost_per_kg < self.cost or found.row.sense is Sense.EQUAL)
        )
        self.findings.hold("eased a step", is_right, f"{key}: {eased}")

    def price_range(self, found: PriceRange) -> None:
        """At each end the formula is still a cheapest one; a hair further it is not."""
        for end, way in ((found.stays_from, -1), (found.stays_to, 1)):
            price = found.price_per_kg + way * FAR if end is None else end
            said = f"{found} way {way}"
            self.findings.hold("price range", self._stays(found.ingredient, price), said)
            if end is None:
                continue
            is_ahead = (end - found.price_per_kg) * way >= 0
            leaves = not self._stays(found.ingredient, end + way * HAIR)
            self.findings.hold("end of a price range", is_ahead and leaves, said)

    def _stays(self, name: str, price: Fraction) -> bool:
        programme = self.stated.programme(price=(name, price))
        best = self.least(programme)
        return programme.allows(self.x) and best.value == dot(programme.cost, self.x)

    def ties(self) -> None:
        """How far each share can move at the same cost."""
        equal = self.answer.equal_cost
        assert equal is not None
        cap = Line("cost", self.programme.cost, "=", self.cost)
        face = self.programme.with_line(cap)
        for j, name in enumerate(self.stated.names):
            ends = []
            for sign in (1, -1):
                goal = tuple(Fraction(sign * (k == j)) for k in range(len(self.x)))
                value = self.least(face.seeking(goal)).value
                ends.append(None if value is None else sign * value)
            told = equal.get(name, (self.x[j], self.x[j]))
            said = f"{name} {[str(e) for e in ends]} told as {[str(e) for e in told]}"
            self.findings.hold("share at the same cost", list(told) == ends, said)
        self.findings.hold("uniqueness", self.answer.is_unique is not bool(equal), "is_unique")


def _bend(per_unit: Fraction, step: Fraction, rise: Fraction) -> Fraction | None:
    """The t of rise = r s / (1 + t s); None where there is none."""
    if not rise:
        return None if per_unit else Fraction(0)
    return (per_unit * step - rise) / (step * rise)


def row_prices(answer: Cheapest) -> dict[str, Fraction]:
    """The price told for each limit, and for the sum to 100."""
    certificate, limits = answer.certificate, answer.formulation.limits
    assert certificate.prices is not None
    keys = [TOTAL if limit is None else limit.key for limit in limits]
    return dict(zip(keys, certificate.prices, strict=True))


def dual_bound(
    programme: Programme, prices: Mapping[str, Fraction], cost: Numbers
) -> Fraction | None:
    """What prices of the lines prove of the least cost of shares from 0 to 100; None for nothing.

    Args:
        programme: The lines.
        prices: By their keys; a limit on skin that nothing on the shelf touches has none.
        cost: The costs to bound.
    """
    total, left = Fraction(0), list(cost)
    for line in programme.lines:
        price = prices.get(line.key, Fraction(0))
        if price < 0 and line.side == ">=" or price > 0 and line.side == "<=":
            return None
        total += price * line.right
        left = [a - price * b for a, b in zip(left, line.coefficients, strict=True)]
    return total + sum((min(a, 0) * WHOLE for a in left), Fraction(0))
