"""An answer without a formula, held against an outside solver: proof, conflicts, ways out."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction

from scale.findings import Findings
from scale.outside import Both, Found, Line, Programme
from scale.possible import dual_bound, row_prices
from scale.stated import Stated

from optimiser.answers.causes import SumCause
from optimiser.answers.cheapest import Cheapest
from optimiser.answers.impossible import Explanation, WayOut
from optimiser.brief import End, Limit

HAIR = Fraction(1, 10**12)
"""A way out that is this much tighter, as a part of the move, must not do."""


@dataclass
class Impossible:
    """One answer without a formula and what it is held against."""

    stated: Stated
    answer: Cheapest
    solver: Both
    findings: Findings

    def compare(self) -> None:
        """Everything that the answer tells."""
        self.proof()
        explanation = self.answer.explanation
        assert explanation is not None
        named: set[str] = set()
        for conflict in explanation.conflicts:
            keys = {clash.row.statement.key for clash in conflict}
            named |= keys
            self.conflict(keys)
        self.findings.hold("no further knot", self.is_possible(without=named), str(named))
        ways = {way.row.statement.key: way for way in explanation.ways_out}
        easy = {key for key in named if not self.stated.limits[key].firm}
        self.findings.hold("ways out told", set(ways) == easy, f"{sorted(ways)} of {sorted(easy)}")
        for key, way in ways.items():
            self.way_out(key, way)
        self.compromise(explanation)
        for cause in explanation.causes:
            said = cause.limits if isinstance(cause, SumCause) else (cause.limit,)
            keys = {limit.key for limit in said}
            self.findings.hold("cause is enough", not self.is_possible(only=keys), str(keys))

    def found(self, bounds: Mapping[str, Fraction]) -> Found:
        return self.solver.least(self.stated.programme(bounds=bounds))

    def is_possible(
        self, without: Collection[str] = (), only: Collection[str] | None = None
    ) -> bool:
        programme = self.stated.programme(without=without, only=only)
        nothing = (Fraction(0),) * len(programme.cost)
        return self.solver.least(programme.seeking(nothing)).status == "optimal"

    def proof(self) -> None:
        """The multipliers of the rows show by themselves that no formula is within them."""
        programme, certificate = self.stated.programme(), self.answer.certificate
        nothing = (Fraction(0),) * len(programme.cost)
        gap = dual_bound(programme, row_prices(self.answer), nothing)
        is_right = certificate.proven and gap is not None and gap > 0
        self.findings.hold("proof of impossibility", is_right, str(gap))

    def conflict(self, keys: set[str]) -> None:
        """The statements cannot hold together; without any one of them the others can."""
        hold = self.findings.hold
        hold("conflict is impossible", bool(keys) and not self.is_possible(only=keys), str(keys))
        for key in keys:
            is_needed = self.is_possible(only=keys - {key})
            hold("conflict is irreducible", is_needed, f"{keys} needs no {key}")

    def way_out(self, key: str, way: WayOut) -> None:
        """The nearest bound lets a formula in, and a hair nearer to the bound said does not."""
        hold, limit = self.findings.hold, self.stated.limits[key]
        said = f"{key} {limit.value}, told {way.reachable}"
        if way.reachable is None:
            hold("no way out", self._is_no_way_out(key), said)
            return
        found = self.found({key: way.reachable})
        is_right = found.value is not None and found.value == way.cost_per_kg
        hold("way out lets a formula in", is_right, f"{said}: {found.value}, {way.cost_per_kg}")
        nearer = way.reachable + (way.bound - way.reachable) * HAIR
        hold("nothing nearer does", self.found({key: nearer}).value is None, said)

    def _is_no_way_out(self, key: str) -> bool:
        """Whether no bound of this limit lets a formula in: not even its own absence would.

        Of a ratio it is enough that nothing of its denominator can be in the formula, as a
        bound then changes nothing.
        """
        if not self.is_possible(without={key}):
            return True
        if not self.stated.is_ratio(key):
            return False
        bottom = self.stated.parts(self.stated.limits[key])[1]
        assert bottom is not None
        others = self.stated.programme(without={key})
        most = self.solver.least(others.seeking([-a for a in bottom])).value
        return most == 0

    def compromise(self, explanation: Explanation) -> None:
        """The bounds moved together let a formula in at the cost told; no sum of moves is less."""
        hold = self.findings.hold
        to = {move.row.statement.key: move.to for move in explanation.compromise}
        if not to:
            hold("no compromise", not self._could_be_eased(), "bounds that may move would do")
            return
        found = self.found(to)
        said = f"{to}: {found.value} is told as {explanation.compromise_cost_per_kg}"
        is_right = found.value is not None and found.value == explanation.compromise_cost_per_kg
        hold("compromise lets a formula in", is_right, said)
        firm = [key for key in to if self.stated.limits[key].firm]
        hold("compromise spares what is firm", not firm, str(firm))
        if any(self.stated.is_ratio(key) for key in self.stated.limits):
            self.findings.unasked["least compromise: a ratio is among the limits"] += 1
            return
        total = sum(
            (
                abs(move.to - move.bound) / self._size(move.row.statement.key, move.row.step)
                for move in explanation.compromise
            ),
            Fraction(0),
        )
        best = self._least_moves()
        hold("least compromise", total == best, f"{total} in all, {best} would do")

    def _could_be_eased(self) -> bool:
        """Whether any bounds that may move let a formula in.

        What is firm stays, and so does a ratio of which nothing can be below the line, as no
        bound of it changes anything. Of all the others there are points with something below
        the line, and then one with something below the line of each, which have levels.
        """
        rigid = {key for key, limit in self.stated.limits.items() if limit.firm}
        loose = [k for k in self.stated.limits if k not in rigid and self.stated.is_ratio(k)]
        while True:
            programme = self.stated.programme(only=rigid)
            found = set()
            for key in loose:
                bottom = self.stated.parts(self.stated.limits[key])[1]
                assert bottom is not None
                most = self.solver.least(programme.seeking([-a for a in bottom])).value
                if key not in rigid and most == 0:
                    found.add(key)
            if not found:
                return self.is_possible(only=rigid)
            rigid |= found

    def _size(self, key: str, step: Fraction) -> Fraction:
        """What a move is relative to: the bound as said, or a natural step where that is 0."""
        return abs(Fraction(self.stated.limits[key].value)) or step

    def _least_moves(self) -> Fraction | None:
        """The least sum of moves of sums, each relative to its size, for a formula to exist."""
        programme = self.stated.programme()
        n = len(programme.cost)
        steps = {row.statement.key: row.step for row in self.answer.formulation.model.rows}
        moves: list[tuple[str, int, Limit]] = []
        for key, limit in self.stated.limits.items():
            if not limit.firm:
                moves += [(key, 1, limit)] if limit.end is not End.MAX else []
                moves += [(key, -1, limit)] if limit.end is not End.MIN else []
        lines = []
        for line in programme.lines:
            weight = Fraction(0)
            if line.key in self.stated.limits:
                weight = self.stated.parts(self.stated.limits[line.key])[2] or Fraction(100)
            extra = tuple(Fraction(way) * weight * (key == line.key) for key, way, _ in moves)
            lines.append(Line(line.key, (*line.coefficients, *extra), line.side, line.right))
        costs = tuple(1 / self._size(key, steps.get(key, Fraction(1))) for key, _, _ in moves)
        elastic = Programme((*((Fraction(0),) * n), *costs), tuple(lines))
        return self.solver.least(elastic).value
