"""The linear model stated in PuLP, written to files, and carried to a solver.

The only file that imports PuLP. Names are generated (`c0003`, `r0012`); order is the link
back to the model. HiGHS is used where it can be loaded, CBC elsewhere.
"""

from __future__ import annotations

import signal
import tempfile
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pulp

from optimiser.linear_model import Floats, LinearModel, Sense
from optimiser.provenance import InputError, Mistake, Origin

SENSES = {
    Sense.AT_LEAST: pulp.LpConstraintGE,
    Sense.AT_MOST: pulp.LpConstraintLE,
    Sense.EQUAL: pulp.LpConstraintEQ,
}


@dataclass(frozen=True, eq=False)
class Stated:
    """A PuLP problem with its parts, and the columns of each row, in the model's order."""

    problem: Any
    variables: list[Any]
    constraints: list[Any]
    row_columns: list[Any]


def state(model: LinearModel) -> Stated:
    """State a model in PuLP: minimise, one constraint a row."""
    problem = pulp.LpProblem("formula", pulp.LpMinimize)
    width_c, width_r = _width(len(model.columns)), _width(len(model.rows))
    variables = [
        problem.add_variable(
            f"c{j:0{width_c}d}",
            float(low),
            None if high is None else float(high),
            pulp.LpInteger if whole else pulp.LpContinuous,
        )
        for j, (low, high, whole) in enumerate(
            zip(model.lower, model.upper, model.is_integer, strict=True)
        )
    ]
    costs = model.cost.floats.tolist()
    problem.setObjective(pulp.LpAffineExpression(dict(zip(variables, costs, strict=True))))
    constraints = []
    row_columns = []
    for i, (row, right) in enumerate(zip(model.rows, model.rhs.tolist(), strict=True)):
        numbers = model.matrix[i]
        used = np.flatnonzero(numbers)
        row_columns.append(used)
        terms = zip((variables[j] for j in used), numbers[used].tolist(), strict=True)
        expression = pulp.LpAffineExpression(terms)
        name = f"r{i:0{width_r}d}"
        constraints.append(pulp.LpConstraint(expression, SENSES[row.sense], name, right))
        problem.addConstraint(constraints[-1])
    return Stated(problem, variables, constraints, row_columns)


def _width(count: int) -> int:
    """Digits of a generated name, so that names sort in the model's order."""
    return max(4, len(str(count)))


def as_text(model: LinearModel, form: str) -> str:
    """The model as a file that other solvers read, with a legend of its names.

    Args:
        model: The model.
        form: `lp` or `mps`.
    """
    problem = state(model).problem
    comment = "\\" if form == "lp" else "*"
    width_c, width_r = _width(len(model.columns)), _width(len(model.rows))
    legend = [f"c{j:0{width_c}d} = {label}" for j, label in enumerate(model.columns)]
    legend += [
        f"r{i:0{width_r}d} = {row.statement.key}: {row.statement.render(bound)}"
        for i, (row, bound) in enumerate(zip(model.rows, model.bound, strict=True))
    ]
    legend = [f"{comment} {_on_one_line(line)}" for line in legend]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"model.{form}"
        if form == "lp":
            problem.writeLP(str(path))
        else:
            problem.writeMPS(str(path))
        text = path.read_text(encoding="utf-8")
    return "\n".join(legend) + "\n" + text


def _on_one_line(text: str) -> str:
    """A comment that ends with its line, without signs that are no part of a text."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


@dataclass(frozen=True, eq=False)
class RawSolution:
    """What a solver said, in the model's order.

    Attributes:
        status: `optimal`, `infeasible`, `unbounded`, `limit` (stopped at a limit with a
            point), `stopped` (without one).
        x: Values of the columns, or None without a point.
        column_basis: HiGHS basis statuses as text (`kBasic`, ...), or None.
        row_basis: Likewise for the rows.
        solver: The solver's name.
    """

    status: str
    x: Floats | None
    column_basis: list[str] | None
    row_basis: list[str] | None
    solver: str


def carry(
    model: LinearModel, seconds: float | None = None, start: Floats | None = None
) -> RawSolution:
    """State a model in PuLP and solve it.

    Args:
        model: The model.
        seconds: Time limit, or None.
        start: A point to begin from where the solver takes one, or None.

    Raises:
        InputError: There is no solver that runs.
    """
    stated = state(model)
    if pulp.HiGHS(msg=False).available():
        # What HiGHS throws comes as a RuntimeError.
        with suppress(RuntimeError):
            return _by_highs(stated, seconds, start)
    try:
        return _by_cbc(stated, seconds)
    except (OSError, pulp.PulpError) as failure:
        reason = f"{type(failure).__name__}: {failure}"
        problem = f"neither HiGHS nor CBC runs here; run `pip install highspy` ({reason})"
        raise InputError([Mistake(Origin("solver"), problem)]) from None


def _by_highs(stated: Stated, seconds: float | None, start: Floats | None) -> RawSolution:
    import highspy

    class QuietHiGHS(pulp.HiGHS):  # type: ignore[misc]  # PuLP ships no types
        """PuLP's interface to HiGHS: silent, loaded in one call, its answer left in HiGHS."""

        def actualSolve(self, lp: Any, **kwargs: Any) -> int:  # noqa: N802  # PuLP's name
            # The arrays are read from HiGHS below. PuLP's own reading leaves numbers behind
            # even where there is no solution, and calls a time limit optimal.
            self.createAndConfigureSolver(lp)
            highs = lp.solverModel
            highs.passModel(_loaded(stated, highspy))
            if start is not None:
                known = highspy.HighsSolution()
                known.col_value = start
                highs.setSolution(known)
            with _interruptible(highs, highspy):
                if highs.run() == highspy.HighsStatus.kError:
                    # Another HiGHS of this process runs with another number of threads.
                    highspy._Highs.resetGlobalScheduler(True)  # type: ignore[attr-defined]
                    highs.run()
            return int(pulp.LpStatusNotSolved)

        def createAndConfigureSolver(self, lp: Any) -> None:  # noqa: N802  # PuLP's name
            # Highs() of highspy 1.16 prints a banner on standard output; its base does not.
            lp.solverModel = highspy._Highs()  # type: ignore[attr-defined]
            options = {
                "output_flag": False,
                "threads": 1,
                "mip_rel_gap": 0.0,
                "mip_abs_gap": 0.0,
                **({} if self.timeLimit is None else {"time_limit": float(self.timeLimit)}),
            }
            for key, value in options.items():
                if lp.solverModel.setOptionValue(key, value) != highspy.HighsStatus.kOk:
                    raise RuntimeError(f"HiGHS does not take the option {key}")

    problem = stated.problem
    problem.solve(QuietHiGHS(msg=False, timeLimit=seconds))
    highs = problem.solverModel
    status = highs.getModelStatus()
    found = highspy.HighsModelStatus
    if status in (found.kInfeasible, found.kUnboundedOrInfeasible):
        # Presolve leaves no basis to start the proof from, and its verdict is checked.
        highs.setOptionValue("presolve", "off")
        highs.run()
        status = highs.getModelStatus()
    basis = highs.getBasis()
    has_point = highs.getInfo().primal_solution_status == 2
    names = {
        found.kOptimal: "optimal",
        found.kInfeasible: "infeasible",
        found.kUnbounded: "unbounded",
    }
    fallback = "limit" if has_point else "stopped"
    return RawSolution(
        status=names.get(status, fallback),
        x=np.array(highs.getSolution().col_value) if has_point else None,
        column_basis=[rest.name for rest in basis.col_status] if basis.valid else None,
        row_basis=[rest.name for rest in basis.row_status] if basis.valid else None,
        solver="HiGHS",
    )


@contextmanager
def _interruptible(highs: Any, highspy: Any) -> Iterator[None]:
    """Let Ctrl-C end a search; Python alone would hear it only when the search is over.

    Raises:
        KeyboardInterrupt: It was pressed.
    """
    usual = signal.getsignal(signal.SIGINT)
    in_main = threading.current_thread() is threading.main_thread()
    if usual is not signal.default_int_handler or not in_main:
        yield
        return
    pressed: list[int] = []

    def heed(kind: object, message: str, told: object, answer: Any, data: object) -> None:
        if pressed:
            answer.user_interrupt = True

    highs.setCallback(heed, None)
    kinds = highspy.cb.HighsCallbackType
    for kind in (kinds.kCallbackMipInterrupt, kinds.kCallbackSimplexInterrupt):
        highs.startCallback(kind)
    signal.signal(signal.SIGINT, lambda number, _: pressed.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, usual)
    if pressed:
        raise KeyboardInterrupt


def _loaded(stated: Stated, highspy: Any) -> Any:
    """The PuLP problem as one HiGHS model, rows in order."""
    problem, variables = stated.problem, stated.variables
    constraints = stated.constraints
    infinity = highspy.kHighsInf
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(variables), len(constraints)
    lp.col_cost_ = np.array([problem.objective.get(v, 0.0) for v in variables])
    lp.col_lower_ = np.array([v.lowBound for v in variables], dtype=float)
    lp.col_upper_ = np.array([infinity if v.upBound is None else v.upBound for v in variables])
    sides = [(c.sense, -c.constant) for c in constraints]
    lp.row_lower_ = np.array([-infinity if s == pulp.LpConstraintLE else b for s, b in sides])
    lp.row_upper_ = np.array([infinity if s == pulp.LpConstraintGE else b for s, b in sides])
    lengths = [len(columns) for columns in stated.row_columns]
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.concatenate([[0], np.cumsum(lengths)]).astype(np.int32)
    lp.a_matrix_.index_ = np.concatenate([[], *stated.row_columns]).astype(np.int32)
    lp.a_matrix_.value_ = np.concatenate(
        [[], *(np.fromiter(c.values(), dtype=float, count=len(c)) for c in constraints)]
    )
    if any(v.cat == pulp.LpInteger for v in variables):
        lp.integrality_ = [
            highspy.HighsVarType.kInteger
            if v.cat == pulp.LpInteger
            else highspy.HighsVarType.kContinuous
            for v in variables
        ]
    return lp


def _by_cbc(stated: Stated, seconds: float | None) -> RawSolution:
    with warnings.catch_warnings(), tempfile.TemporaryDirectory() as folder:
        # PuLP announces that a later version will no longer bring CBC along.
        warnings.simplefilter("ignore", DeprecationWarning)
        solver = pulp.PULP_CBC_CMD(msg=False, timeLimit=seconds, gapRel=0.0, threads=1)
        # PuLP by itself works in the maker's folder where TMPDIR cannot be written.
        solver.tmpDir = folder
        stated.problem.solve(solver)
    problem = stated.problem
    status = {
        pulp.LpStatusInfeasible: "infeasible",
        pulp.LpStatusUnbounded: "unbounded",
    }.get(problem.status, "stopped")
    if problem.status == pulp.LpStatusOptimal:
        proved = problem.sol_status == pulp.LpSolutionOptimal
        status = "optimal" if proved else "limit"
    has_point = status in ("optimal", "limit")
    return RawSolution(
        status=status,
        x=np.array([v.varValue for v in stated.variables]) if has_point else None,
        column_basis=None,
        row_basis=None,
        solver="CBC",
    )
