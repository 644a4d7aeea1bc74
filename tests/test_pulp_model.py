"""The PuLP statement of a model: files, both solvers, statuses, silence."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import four_ingredients
import highspy
import numpy as np
import pytest
from four_ingredients import (
    ENDLESS,
    IMPOSSIBLE,
    KINDS,
    NO_WHOLE_STEPS,
    POSSIBLE,
    WHOLE_STEPS,
    limited,
)
from linear_models import assert_proof_holds, model_of

from optimiser.exact.dictionary import Ending
from optimiser.exact.proof import prove
from optimiser.pulp_model import as_text, carry
from optimiser.solve import Status, settle, solve

GOLDEN = Path(__file__).parent / "golden"


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_of_limit_is_written_as_expected(kind: str) -> None:
    """The LP file of a model with one limit of a kind is the one on record."""
    expected = (GOLDEN / f"model_{kind}.lp").read_text(encoding="utf-8")
    assert as_text(limited(kind), "lp") == expected


def test_a_whole_model_is_written_in_mps_as_expected() -> None:
    """The MPS file of a model with limits of all kinds is the one on record."""
    expected = (GOLDEN / "model_all_kinds.mps").read_text(encoding="utf-8")
    assert as_text(limited(*KINDS), "mps") == expected


def by_file(text: str, path: Path) -> float | None:
    """The optimum of a written file as HiGHS itself reads it; None where it finds none."""
    path.write_text(text, encoding="utf-8")
    highs = highspy._Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)  # one process, one number of threads
    assert highs.readModel(str(path)) == highspy.HighsStatus.kOk
    highs.run()
    optimal = highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return highs.getInfo().objective_function_value if optimal else None


@pytest.mark.parametrize("form", ["lp", "mps"])
@pytest.mark.parametrize("kinds", [*((kind,) for kind in KINDS), tuple(KINDS)])
def test_written_files_have_the_same_optimum(
    kinds: tuple[str, ...], form: str, tmp_path: Path
) -> None:
    """A written file read by HiGHS's own reader has the exactly proven optimum."""
    model = limited(*kinds)
    certificate = prove(model, None)
    assert_proof_holds(model, certificate)
    read = by_file(as_text(model, form), tmp_path / f"model.{form}")
    assert read == pytest.approx(float(certificate.cost), rel=1e-9)


@pytest.mark.parametrize("form", ["lp", "mps"])
def test_written_files_keep_bounds_and_whole_numbers(form: str, tmp_path: Path) -> None:
    """Lower, upper, fixed and missing bounds and whole columns survive in the file."""
    model = model_of(
        (3, -2, 1, -1, 5),
        [((2, 3, 1, 1, 0), "<=", Fraction("30.5")), ((1, 1, 1, 1, 1), ">=", 8)],
        lower=(1, -4, 2, 0, 0),
        upper=(None, 7, 2, Fraction("3.5"), None),
        whole=(False, True, False, False, True),
    )
    solution = solve(model)
    assert solution.status is Status.OPTIMAL
    # y = 7, then w <= 30.5 - 2 - 21 - 2 holds at its cap 3.5: 3 - 14 + 2 - 3.5
    assert model.cost.floats @ solution.x == pytest.approx(-12.5)
    assert by_file(as_text(model, form), tmp_path / f"model.{form}") == pytest.approx(-12.5)


AWKWARD = (
    'cocoa "butter"',
    "cocoa-butter",
    "cocoa_butter",
    "cocoa butter",
    "oil's, 50 % [raw]",
    "e9",
    "Mangobutter é 芒果",
    "",
)


@pytest.mark.parametrize("form", ["lp", "mps"])
def test_labels_never_reach_the_solver(form: str, tmp_path: Path) -> None:
    """Spaces, quotes, signs and labels that would collide stand in the legend only."""
    model = model_of(
        range(1, 9), [((1,) * 8, "=", 100), ((1,) * 4 + (0,) * 4, "<=", 30)], labels=AWKWARD
    )
    comment = {"lp": "\\", "mps": "*"}[form]
    text = as_text(model, form)
    for j, label in enumerate(AWKWARD):
        assert f"{comment} c{j:04d} = {label}".rstrip() in [
            line.rstrip() for line in text.splitlines()
        ]
    rest = "\n".join(line for line in text.splitlines() if not line.startswith(comment))
    assert not any(word in rest for word in ("cocoa", "oil", "raw", "芒果", "%", '"'))
    assert by_file(text, tmp_path / f"model.{form}") == pytest.approx(1 * 30 + 5 * 70)
    assert settle(model)[1].cost == 380


@pytest.mark.parametrize("form", ["lp", "mps"])
def test_line_breaks_stay_within_the_legend(form: str, tmp_path: Path) -> None:
    """A label or key with a line break does not break the file."""
    model = model_of((1,), [((1,), ">=", 2)], labels=["two\nlines"], keys=["a\r\nkey"])
    assert by_file(as_text(model, form), tmp_path / f"model.{form}") == 2


def test_the_legend_says_what_each_row_is() -> None:
    """Every row of the file is explained by its key and the sentence with its bound."""
    lines = as_text(limited("amount", "density"), "lp").splitlines()
    assert "\\ c0002 = beeswax" in lines
    assert "\\ r0001 = amount: amount <= 12" in lines
    assert "\\ r0002 = density: density >= 0.95" in lines


def test_many_columns_keep_their_order() -> None:
    """With more than ten thousand columns the answer is still in the model's order."""
    n = 10_050
    model = model_of([2] * (n - 1) + [1], [((1,) * n, "=", 100)], upper=[100] * n)
    solution = solve(model)
    assert solution.x[-1] == 100
    assert np.count_nonzero(solution.x) == 1


def in_its_own_process(script: str) -> str:
    """What a script prints; what it or a library writes to standard error is a fault."""
    here = Path(__file__).parent
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(here), str(here.parent)])},
    )
    assert (done.stderr, done.returncode) == ("", 0)
    return done.stdout


def test_solving_is_silent() -> None:
    """Neither the solver's banner nor anything else reaches standard output or error.

    In a process of its own, since HiGHS's buffered output appears only at the end.
    """
    script = """
import four_ingredients as t
from optimiser.solve import settle, solve
for model in (t.POSSIBLE, t.IMPOSSIBLE, t.ENDLESS, t.EMPTY):
    settle(model)
for model in (t.WHOLE_STEPS, t.NO_WHOLE_STEPS):
    solve(model)
print("end")
"""
    assert in_its_own_process(script) == "end\n"


def test_another_use_of_highs_in_the_process_does_not_stop_the_solve(tmp_path: Path) -> None:
    """HiGHS refuses to run where its number of threads changed; the solve starts it anew."""
    path = tmp_path / "model.lp"
    path.write_text(as_text(POSSIBLE, "lp"), encoding="utf-8")
    highspy._Highs.resetGlobalScheduler(True)
    other = highspy._Highs()
    other.setOptionValue("output_flag", False)
    other.setOptionValue("threads", 2)
    other.readModel(str(path))
    other.run()
    assert other.getModelStatus() == highspy.HighsModelStatus.kOptimal
    assert solve(POSSIBLE).status is Status.OPTIMAL


def test_an_impossible_model_has_no_numbers() -> None:
    """Status first: after `infeasible` there is no point, whatever PuLP leaves behind."""
    raw = carry(IMPOSSIBLE)
    assert (raw.status, raw.x) == ("infeasible", None)
    certificate = settle(IMPOSSIBLE)[1]
    assert certificate.ending is Ending.INFEASIBLE
    assert_proof_holds(IMPOSSIBLE, certificate)


def test_a_model_without_end_is_called_unbounded() -> None:
    """A cost that falls for ever is unbounded for the solver and for the exact method."""
    solution, certificate = settle(ENDLESS)
    assert solution.status is Status.UNBOUNDED
    assert certificate.ending is Ending.UNBOUNDED
    assert not certificate.proven
    assert certificate.cost is None


def test_a_time_limit_is_not_called_optimal() -> None:
    """A solve that stops at once has no point and says so."""
    rng = np.random.default_rng(1)
    weights = rng.integers(20, 90, size=(12, 60)).tolist()
    hard = model_of(
        [-sum(column) for column in zip(*weights, strict=True)],
        [(row, "<=", sum(row) // 2) for row in weights],
        upper=[1] * 60,
        whole=[True] * 60,
    )
    assert solve(hard, seconds=0).status in (Status.STOPPED, Status.LIMIT)


def test_whole_numbers_are_kept_without_a_gap() -> None:
    """A formula in whole steps is optimal to the last step, not within a tolerance."""
    model = model_of(
        (10_001, 10_000), [((3, 2), ">=", 10_001)], upper=(10_000, 10_000), whole=(True, True)
    )
    solution = solve(model)
    # 3333 a + 1 b: 3 * 3333 + 2 = 10001
    assert solution.x.round().tolist() == [3333, 1]


BY_CBC = """
import json, sys
sys.modules["highspy"] = None
import warnings
warnings.simplefilter("error")
import four_ingredients as t
from optimiser.solve import settle, solve

found = {}
for name in ("POSSIBLE", "IMPOSSIBLE", "ENDLESS", "UNUSED", "EMPTY"):
    solution, certificate = settle(getattr(t, name))
    found[name] = [
        solution.solver,
        solution.status,
        None if solution.x is None else solution.x.tolist(),
        certificate.ending,
        certificate.proven,
        str(certificate.cost),
    ]
for name in ("WHOLE_STEPS", "NO_WHOLE_STEPS"):
    solution = solve(getattr(t, name))
    found[name] = [
        solution.solver, solution.status, None if solution.x is None else solution.x.tolist()
    ]
print(json.dumps(found))
"""


@pytest.fixture(scope="module")
def by_cbc() -> dict[str, list]:
    """What the models come to in a process where HiGHS cannot be loaded."""
    return json.loads(in_its_own_process(BY_CBC))


@pytest.mark.parametrize("name", ["POSSIBLE", "UNUSED", "EMPTY"])
def test_cbc_leads_to_the_same_proven_answer(by_cbc: dict[str, list], name: str) -> None:
    """Where HiGHS cannot be loaded CBC answers, and the exact proof ends the same."""
    solver, status, x, ending, proven, cost = by_cbc[name]
    solution, certificate = settle(getattr(four_ingredients, name))
    assert (solver, solution.solver) == ("CBC", "HiGHS")
    assert status == solution.status == "optimal"
    assert (ending, proven, cost) == (certificate.ending, True, str(certificate.cost))
    assert x == pytest.approx([float(share) for share in certificate.x], abs=1e-5)


def test_cbc_says_impossible_and_unbounded(by_cbc: dict[str, list]) -> None:
    """The statuses without a point are the same through CBC, and so is the proof."""
    assert by_cbc["IMPOSSIBLE"] == ["CBC", "infeasible", None, "infeasible", True, "None"]
    assert by_cbc["ENDLESS"] == ["CBC", "unbounded", None, "unbounded", False, "None"]


def test_cbc_keeps_whole_numbers(by_cbc: dict[str, list]) -> None:
    """Whole columns are whole through CBC, and impossible ones have no numbers."""
    assert by_cbc["WHOLE_STEPS"] == ["CBC", "optimal", [3, 0]]
    assert by_cbc["NO_WHOLE_STEPS"] == ["CBC", "infeasible", None]
    assert solve(WHOLE_STEPS).x.tolist() == [3, 0]
    assert solve(NO_WHOLE_STEPS).x is None
