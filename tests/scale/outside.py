"""Linear programmes in plain fractions, and two solvers that share nothing with the package.

`Esolver` hands a programme to the command `esolver` of QSopt_ex, which reads and writes
rationals such as `-5/9` and settles them in rational arithmetic (GLPK's `glpsol --exact` does
not serve: it reads 0.1 as the nearest double and prints fifteen digits). `Tableau` is a
two-phase simplex method with Bland's rule on rows of integers, for machines without it.
"""

from __future__ import annotations

import math
import random
import shutil
import subprocess
import tempfile
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from types import TracebackType

Numbers = tuple[Fraction, ...]

SECONDS = 60
"""A single small programme that takes longer is a fault of the solver."""


@dataclass(frozen=True, slots=True)
class Line:
    """coefficients . x  side  right, over columns from 0 up."""

    key: str
    coefficients: Numbers
    side: str
    right: Fraction

    def level(self, x: Sequence[Fraction]) -> Fraction:
        return dot(self.coefficients, x)

    def is_met(self, x: Sequence[Fraction]) -> bool:
        over = self.level(x) - self.right
        return {">=": over >= 0, "<=": over <= 0, "=": over == 0}[self.side]


@dataclass(frozen=True, slots=True)
class Programme:
    """Minimise cost . x over the lines and x >= 0."""

    cost: Numbers
    lines: tuple[Line, ...]

    def seeking(self, cost: Sequence[Fraction]) -> Programme:
        return replace(self, cost=tuple(cost))

    def with_line(self, line: Line) -> Programme:
        return replace(self, lines=(*self.lines, line))

    def allows(self, x: Sequence[Fraction]) -> bool:
        return all(share >= 0 for share in x) and all(line.is_met(x) for line in self.lines)


@dataclass(frozen=True, slots=True)
class Found:
    """An outcome: `optimal` with a value and a point, `infeasible` or `unbounded`."""

    status: str
    value: Fraction | None = None
    x: Numbers = ()


class OutsideError(Exception):
    """The outside solver gave no answer."""


def dot(left: Sequence[Fraction], right: Sequence[Fraction]) -> Fraction:
    return sum((a * b for a, b in zip(left, right, strict=True) if a and b), Fraction(0))


def whole(numbers: Sequence[Fraction]) -> tuple[list[int], int]:
    """Fractions as integers over one denominator."""
    pairs = [a.as_integer_ratio() for a in numbers]
    scale = math.lcm(*{bottom for _, bottom in pairs})
    return [top * (scale // bottom) for top, bottom in pairs], scale


def written(programme: Programme) -> str:
    """A programme in the LP format, every number a rational."""

    def terms(numbers: Sequence[Fraction]) -> str:
        said = [
            f" {'-' if a < 0 else '+'} {abs(a)} x{j}"
            for j, a in enumerate(numbers)
            if a or not any(numbers) and j == 0
        ]
        return "\n".join(said)

    text = ["Minimize", f" obj:{terms(programme.cost)}", "Subject To"]
    for i, line in enumerate(programme.lines):
        text.append(f" c{i}:{terms(line.coefficients)}\n {line.side} {line.right}")
    return "\n".join([*text, "End", ""])


class Esolver:
    """The command `esolver`; a context manager that holds a folder for its answers."""

    name = "QSopt_ex"

    def __init__(self) -> None:
        self.command = shutil.which("esolver")
        memory = Path("/dev/shm")
        self.folder = tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None)

    def __enter__(self) -> Esolver:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self.folder.cleanup()

    @staticmethod
    def is_installed() -> bool:
        return shutil.which("esolver") is not None

    def least(self, programme: Programme) -> Found:
        assert self.command is not None
        asked, answer = (Path(self.folder.name, name) for name in ("asked.lp", "answer.sol"))
        asked.write_text(written(programme))
        answer.unlink(missing_ok=True)
        subprocess.run(
            [self.command, "-R", str(SECONDS), "-O", str(answer), "-L", str(asked)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            check=False,
            close_fds=False,  # lets the process start without a copy of this one
        )
        if not answer.is_file():
            raise OutsideError("no answer file")
        return self._read(answer.read_text(), programme)

    def _read(self, text: str, programme: Programme) -> Found:
        """The status and the exact point; what is not listed among the variables is 0."""
        head, _, rest = text.partition("VARS:")
        status = head.split("\n")[0].removeprefix("status =").strip().lower()
        if status in ("infeasible", "unbounded"):
            return Found(status)
        if status != "optimal":
            raise OutsideError(f"status {status}")
        x = [Fraction(0)] * len(programme.cost)
        for line in rest.partition("REDUCED COST:")[0].split("\n"):
            if "=" in line:
                name, _, number = line.partition("=")
                x[int(name.strip().removeprefix("x"))] = Fraction(number.strip())
        value = Fraction(head.partition("Value =")[2].strip())
        if value != dot(programme.cost, x) or not programme.allows(x):
            raise OutsideError("the point it tells is not what it says")
        return Found(status, value, tuple(x))


class Tableau:
    """Two-phase simplex with Bland's rule; each row is integers without a common factor."""

    name = "integer tableau of the tests"

    def least(self, programme: Programme) -> Found:
        n = len(programme.cost)
        rows, width = self._begun(programme)
        basis = [width + i for i in range(len(rows))]
        # What all lines lack, to be brought to 0; the last number is the goal's own coefficient.
        goal = [-sum(column) for column in zip(*rows, strict=True)] + [1]
        goal = self._walk(rows, basis, goal, width)
        if goal[-2]:
            return Found("infeasible")
        self._drive_out(rows, basis, width)
        goal, scale = whole(programme.cost)
        goal += [0] * (width - n + 1) + [scale]
        for row, v in zip(rows, basis, strict=True):
            goal = self._cleared(goal, [*row, 0], v)
        ended = self._walk(rows, basis, goal, width)
        if not ended:
            return Found("unbounded")
        x = [Fraction(0)] * n
        for row, v in zip(rows, basis, strict=True):
            if v < n:
                x[v] = Fraction(row[-1], row[v])
        return Found("optimal", dot(programme.cost, x), tuple(x))

    def _begun(self, programme: Programme) -> tuple[list[list[int]], int]:
        """Rows over columns and slacks with a right side of at least 0, and how many columns.

        Each lacks a variable of its own, which is counted after the columns and never written,
        as it does not come back once it is out.
        """
        slack = [i for i, line in enumerate(programme.lines) if line.side != "="]
        rows = []
        for i, line in enumerate(programme.lines):
            *part, right = whole((*line.coefficients, line.right))[0]
            own = {">=": -1, "<=": 1, "=": 0}[line.side]
            row = [*part, *(own * (k == i) for k in slack), right]
            rows.append([-a for a in row] if right < 0 else row)
        return rows, len(programme.cost) + len(slack)

    @staticmethod
    def _cleared(row: list[int], by: list[int], v: int) -> list[int]:
        """A row without column v, whose coefficient in the other row is above 0."""
        if not row[v]:
            return row
        own, other = row[v], by[v]
        found = [a * other - b * own for a, b in zip(row, by, strict=True)]
        common = math.gcd(*found)
        return [a // common for a in found] if common > 1 else found

    def _walk(
        self, rows: list[list[int]], basis: list[int], goal: list[int], width: int
    ) -> list[int]:
        """Pivot until no reduced cost is below 0; an empty goal where there is no end."""
        while True:
            entering = next((j for j in range(width) if goal[j] < 0), None)
            if entering is None:
                return goal
            ratios = [
                (Fraction(row[-1], row[entering]), basis[i], i)
                for i, row in enumerate(rows)
                if row[entering] > 0
            ]
            if not ratios:
                return []
            goal = self._pivoted(rows, basis, goal, min(ratios)[2], entering)

    def _pivoted(
        self, rows: list[list[int]], basis: list[int], goal: list[int], at: int, entering: int
    ) -> list[int]:
        pivot = rows[at]
        if pivot[entering] < 0:
            pivot = rows[at] = [-a for a in pivot]
        for i, row in enumerate(rows):
            if i != at:
                rows[i] = self._cleared(row, pivot, entering)
        basis[at] = entering
        return self._cleared(goal, [*pivot, 0], entering) if goal else goal

    def _drive_out(self, rows: list[list[int]], basis: list[int], width: int) -> None:
        """Exchange artificial columns that are still basic, at 0, or drop their empty rows."""
        for i in reversed(range(len(rows))):
            if basis[i] >= width:
                entering = next((j for j in range(width) if rows[i][j]), None)
                if entering is None:
                    del rows[i], basis[i]
                else:
                    self._pivoted(rows, basis, [], i, entering)


class Both:
    """Every programme by the tableau, the first of each brief and some others by `esolver` too.

    Attributes:
        share: The part of all programmes that both settle.
        counts: How many each settled.
    """

    name = "both"

    def __init__(self, esolver: Esolver | None, share: float, rng: random.Random) -> None:
        self.esolver, self.share, self.rng = esolver, share, rng
        self.tableau = Tableau()
        self.counts: Counter[str] = Counter()

    def least(self, programme: Programme, surely: bool = False) -> Found:
        """The outcome.

        Raises:
            OutsideError: The two disagree.
        """
        found = self.tableau.least(programme)
        self.counts[self.tableau.name] += 1
        if self.esolver is not None and (surely or self.rng.random() < self.share):
            self.counts[self.esolver.name] += 1
            other = self.esolver.least(programme)
            if (found.status, found.value) != (other.status, other.value):
                raise OutsideError(f"{found} is not {other} of\n{written(programme)}")
        return found
