"""One corner of what is possible: a basis in floats, and the step to the next."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from optimiser.exact.dictionary import UnsettledError
from optimiser.exact.kernel import Basis, Rest
from optimiser.linear_model import Floats, LinearModel, Sense

Positions = NDArray[np.intp]
Statuses = NDArray[np.uint8]
"""A basis as numbers: 0 at the lower bound, 1 at the upper, 2 basic; columns, then rows."""

RESTS = (Rest.LOWER, Rest.UPPER, Rest.BASIC)

PIVOT = 1e-9
"""A smaller entry stops no step; rows are scaled to a largest coefficient of 1."""

SAME_STEP = 1e-9
"""Steps this close, in parts of the bounds, count as equal; the largest pivot then goes."""

OUTSIDE = 1e-9
"""A basic value further outside, in parts of the bounds, shows that floats went astray."""


def statuses(basis: Basis) -> Statuses:
    """A basis as numbers."""
    rests = (*basis.columns, *basis.rows)
    return np.array([RESTS.index(rest) for rest in rests], dtype=np.uint8)


def basis_of(status: Statuses, n: int) -> Basis:
    """The basis that numbers stand for; the first n are columns."""
    rests = tuple(RESTS[number] for number in status)
    return Basis(rests[:n], rests[n:])


@dataclass(eq=False)
class Corner:
    """One basis in floats.

    Attributes:
        x: The point, (n,).
        status: The basis, (n + m,).
        basic: The basic columns, (k,).
        priced: Reduced costs of the nonbasic variables that may move are
            sign * (cost of own column + basic costs . priced), (k, q).
        own: The column of each of these variables, n for a row, (q,).
        sign: +1 for those at the lower bound, -1 at the upper, (q,).
        moving: The variable of each, (q,).
        next: The corner behind the step of each, by position, once it has been worked out.
        place: The number of its point among those met.
        hits: How many cost vectors ended here.
    """

    x: Floats
    status: Statuses
    basic: Positions
    priced: Floats
    own: Positions
    sign: Floats
    moving: Positions
    next: dict[int, Corner] = field(default_factory=dict)
    place: int = -1
    hits: int = 0

    def reduced_costs(self, costs: Floats) -> Floats:
        """What a unit of each move adds to the cost, for each cost vector, (q, N)."""
        n, q = len(self.x), len(self.moving)
        table = np.zeros((n + 1, q))
        table[self.basic] = self.priced
        table[self.own, np.arange(q)] += 1.0
        table *= self.sign
        found: Floats = table[:n].T @ costs.T
        return found


class Frame:
    """The rows and bounds that all corners of a model share, rows scaled to one size.

    Attributes:
        matrix: Scaled rows, (m, n).
        lower: Lower bounds of the n columns, then the m row levels; -inf where there is none.
        upper: Upper bounds likewise.
        size: The largest finite bound, at least 1.
    """

    def __init__(self, model: LinearModel) -> None:
        """Scale a model.

        Raises:
            ValueError: A column has no upper bound.
        """
        if any(high is None for high in model.upper):
            raise ValueError("corners need an upper bound for every column")
        scale = np.abs(model.matrix).max(axis=1, initial=0.0)
        scale[scale == 0] = 1.0
        side = model.rhs / scale
        below = np.array([row.sense is Sense.AT_MOST for row in model.rows], dtype=bool)
        above = np.array([row.sense is Sense.AT_LEAST for row in model.rows], dtype=bool)
        lower = [float(bound) for bound in model.lower]
        upper = [float(bound or 0) for bound in model.upper]
        self.matrix: Floats = model.matrix / scale[:, None]
        self.lower: Floats = np.concatenate([lower, np.where(below, -np.inf, side)])
        self.upper: Floats = np.concatenate([upper, np.where(above, np.inf, side)])
        self.size = max(1.0, float(np.abs(np.concatenate([lower, upper, side])).max()))

    def corner(self, status: Statuses, point: Floats | None = None) -> Corner:
        """The corner of a basis.

        Args:
            status: The basis.
            point: Its point, where that is known.

        Raises:
            np.linalg.LinAlgError: The basis cannot be inverted.
            UnsettledError: Its point is not within the bounds.
        """
        n = self.matrix.shape[1]
        basic = np.flatnonzero(status[:n] == 2)
        others = np.flatnonzero(status[:n] != 2)
        binding = np.flatnonzero(status[n:] != 2)
        inverse = np.asarray(np.linalg.inv(self.matrix[np.ix_(binding, basic)]), dtype=np.float64)
        x = self._point(status, basic, binding, inverse) if point is None else point
        fixed = self.lower == self.upper
        rows, columns = binding[~fixed[n:][binding]], others[~fixed[others]]
        by_row = inverse[:, np.searchsorted(binding, rows)]
        by_column = -inverse @ self.matrix[np.ix_(binding, columns)]
        moving = np.concatenate([n + rows, columns])
        return Corner(
            x=x,
            status=status,
            basic=basic,
            priced=np.ascontiguousarray(np.concatenate([by_row, by_column], axis=1)),
            own=np.concatenate([np.full(len(rows), n), columns]),
            sign=np.where(status[moving] == 1, -1.0, 1.0),
            moving=moving,
        )

    def _point(
        self, status: Statuses, basic: Positions, binding: Positions, inverse: Floats
    ) -> Floats:
        """The point of a basis.

        Raises:
            UnsettledError: It is not within the bounds.
        """
        n = self.matrix.shape[1]
        rests = np.where(status == 1, self.upper, self.lower)
        x = rests[:n].copy()
        x[basic] = 0.0
        x[basic] = inverse @ (rests[n:][binding] - self.matrix[binding] @ x)
        levels = np.concatenate([x, self.matrix @ x])
        within = OUTSIDE * self.size
        if np.any(levels < self.lower - within) or np.any(levels > self.upper + within):
            raise UnsettledError("a corner lies outside its bounds")
        return np.clip(x, self.lower[:n], self.upper[:n])

    def stepped(self, corner: Corner, step: int) -> Statuses:
        """The basis after one variable has moved until another one stops it.

        Raises:
            UnsettledError: Nothing stops it.
        """
        n, v = self.matrix.shape[1], int(corner.moving[step])
        # What the basic columns change per unit of the moving variable.
        change = np.zeros(n)
        change[corner.basic] = corner.priced[:, step]
        if v < n:
            change[v] = 1.0
        change *= corner.sign[step]
        pull = np.concatenate([change, self.matrix @ change])
        at = np.concatenate([corner.x, self.matrix @ corner.x])
        pull[(corner.status != 2) | (np.abs(pull) < PIVOT)] = 0.0
        with np.errstate(divide="ignore", invalid="ignore"):
            room = np.where(pull > 0, self.upper - at, at - self.lower) / np.abs(pull)
        room[pull == 0] = np.inf
        room[v] = self.upper[v] - self.lower[v]
        room = np.maximum(room, 0.0)
        least = room.min()
        if not np.isfinite(least):
            raise UnsettledError("a step of a corner has no end")
        after = corner.status.copy()
        if room[v] <= least:
            after[v] = 1 - after[v]
            return after
        ties = np.flatnonzero(room <= least + SAME_STEP * self.size)
        leaving = int(ties[np.argmax(np.abs(pull[ties]))])
        after[leaving] = 1 if pull[leaving] > 0 else 0
        after[v] = 2
        return after
