"""The corners of what is possible, and which of them is cheapest for each of many costs.

Costs change what is cheapest, not what is possible: the corners (basic feasible points) of a
model and the steps between them are the same for all costs. So each corner is worked out once,
in floats, and kept. A block of cost vectors is led from corner to corner along steps that
lower the cost, all vectors at the same corner together, until every reduced cost of each has
the right sign: the optimality test of the simplex method, passed by every one. Vectors that
wander too long, as between corners at the same place, are settled in exact arithmetic.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from optimiser.exact.dictionary import UnsettledError
from optimiser.exact.kernel import Basis
from optimiser.exact.proof import dictionary_at, meets, prove
from optimiser.linear_model import Coefficients, Floats, LinearModel
from optimiser.postoptimal.corner import Corner, Frame, Positions, Statuses, basis_of, statuses

REDUCED_COST = 1e-11
"""A reduced cost is of the right sign within this part of the largest basic cost."""

MOST_STEPS = 200
"""Steps from corner to corner before a cost vector is settled exactly."""

HELD = 256
"""So many of the corners met most often are compared to find where a vector begins."""

MOST_CORNERS = 20_000
"""So many corners are kept with their bases; beyond that the rarest are forgotten."""


@dataclass(frozen=True, eq=False)
class Ended:
    """Where a block of cost vectors ended.

    Attributes:
        place: The number of the cheapest point of each, (N,).
        cost: Its cost, (N,).
        exactly: How many were settled in exact arithmetic.
    """

    place: Positions
    cost: Floats
    exactly: int


class Corners:
    """The corners of a model met so far.

    Attributes:
        points: The point of each place, in the order met.
        counts: How many cost vectors ended at each place.
    """

    def __init__(self, model: LinearModel, basis: Basis) -> None:
        """Begin at a basis that is feasible.

        Raises:
            ValueError: A column has no upper bound.
        """
        self.model = model
        self._frame = Frame(model)
        self._known: dict[bytes, Corner] = {}
        self._places: dict[bytes, int] = {}
        self.points: list[Floats] = []
        self.counts: list[int] = []
        self._statuses: list[Statuses] = []
        self._corner(statuses(basis))

    def cheapest(self, costs: Floats) -> Ended:
        """The cheapest point for each of many cost vectors.

        Args:
            costs: A cost vector a row, (N, n).

        Raises:
            UnsettledError: The exact arithmetic came to no end on one of them.
        """
        count = len(costs)
        place = np.zeros(count, dtype=np.intp)
        cost = np.zeros(count)
        waiting = self._begun(costs)
        lost: list[Positions] = []
        for _ in range(MOST_STEPS):
            if not waiting:
                break
            onwards: dict[int, tuple[Corner, list[Positions]]] = {}
            for corner, who in waiting:
                here = costs.take(who, axis=0)
                reduced = corner.reduced_costs(here)
                # Not of the largest cost of all: one far off must not blur the others.
                size = np.abs(here[:, corner.basic]).max(axis=1, initial=0.0)
                settled = reduced.min(axis=0, initial=0.0) >= -REDUCED_COST * size
                done = who[settled]
                if len(done):
                    place[done] = corner.place
                    cost[done] = (here if len(done) == len(who) else here[settled]) @ corner.x
                    corner.hits += len(done)
                    self.counts[corner.place] += len(done)
                if len(done) == len(who):
                    continue
                left = who[~settled]
                ways = reduced[:, ~settled].argmin(axis=0)
                order = np.argsort(ways, kind="stable")
                left, ways = left[order], ways[order]
                edges = np.flatnonzero(np.diff(ways)) + 1
                for group in np.split(np.arange(len(left)), edges):
                    after = self._behind(corner, int(ways[group[0]]))
                    if after is None:
                        lost.append(left[group])
                        continue
                    onwards.setdefault(id(after), (after, []))[1].append(left[group])
            waiting = [(corner, np.concatenate(parts)) for corner, parts in onwards.values()]
        lost += [who for _, who in waiting]
        exactly = np.concatenate(lost) if lost else np.zeros(0, dtype=np.intp)
        for s in exactly:
            corner = self._settled(costs[s])
            place[s], cost[s] = corner.place, costs[s] @ corner.x
            corner.hits += 1
            self.counts[corner.place] += 1
        self._forget()
        return Ended(place, cost, len(exactly))

    def exact_point(self, place: int) -> tuple[Fraction, ...]:
        """A point met, in exact arithmetic.

        Raises:
            UnsettledError: Its basis does not lead to it exactly.
        """
        basis = basis_of(self._statuses[place], len(self.model.columns))
        dictionary = dictionary_at(self.model, basis)
        x = dictionary.point()
        gap = np.abs(np.array([float(share) for share in x]) - self.points[place]).max()
        if gap > 1e-7 * self._frame.size or not meets(dictionary.program, x):
            raise UnsettledError("a formula of the scenarios is not exactly within the limits")
        return x

    def _begun(self, costs: Floats) -> list[tuple[Corner, Positions]]:
        """Each vector at the cheapest of the corners met most often."""
        often = sorted(self._known.values(), key=lambda corner: -corner.hits)[:HELD]
        if len(often) == 1:
            return [(often[0], np.arange(len(costs)))]
        points = np.array([corner.x for corner in often], dtype=np.float32)
        best = np.argmin(costs.astype(np.float32) @ points.T, axis=1)
        order = np.argsort(best, kind="stable")
        edges = np.flatnonzero(np.diff(best[order])) + 1
        return [(often[best[group[0]]], group) for group in np.split(order, edges)]

    def _corner(self, status: Statuses, point: Floats | None = None) -> Corner:
        """The corner of a basis, worked out once; see `Frame.corner`."""
        key = status.tobytes()
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._frame.corner(status, point)
            known.place = self._place(known.x, status)
        return known

    def _place(self, x: Floats, status: Statuses) -> int:
        """The number of a point; points that agree to nine digits of the bounds are one."""
        key = np.round(x / self._frame.size, 9).tobytes()
        if key not in self._places:
            self._places[key] = len(self.points)
            self.points.append(x)
            self.counts.append(0)
            self._statuses.append(status)
        return self._places[key]

    def _behind(self, corner: Corner, step: int) -> Corner | None:
        """The corner at the end of a step, or None where floats lead nowhere."""
        known = corner.next.get(step)
        if known is not None:
            return known
        try:
            found = self._corner(self._frame.stepped(corner, step))
        except (np.linalg.LinAlgError, UnsettledError):
            return None
        corner.next[step] = found
        return found

    def _settled(self, cost: Floats) -> Corner:
        """The corner of one cost vector, by exact arithmetic."""
        found = prove(self.model.costing(Coefficients.typed(cost)), None)
        if found.dictionary is None or not found.proven:
            raise UnsettledError("the cheapest formula of a scenario came to no end")
        assert found.x is not None
        point = np.array([float(share) for share in found.x])
        return self._corner(statuses(found.dictionary.basis()), point)

    def _forget(self) -> None:
        """Keep memory bounded: let go of the bases met least often."""
        if len(self._known) <= MOST_CORNERS:
            return
        often = sorted(self._known.items(), key=lambda item: -item[1].hits)[: MOST_CORNERS // 2]
        self._known = dict(often)
        for corner in self._known.values():
            corner.next.clear()
