"""Print how long things take against a reference of the same minute.

    python tests/benchmarks/ratios.py [brief.toml]

Every ratio is that of medians of interleaved runs on this machine. The last two need the
installed `optimiser` command, and the first of them a brief.
"""

from __future__ import annotations

import random
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from statistics import median

import highspy
import numpy as np

from optimiser.answers.closeness import Aim, fat_weights, lacks, level_of
from optimiser.answers.likeness import Shelf
from optimiser.answers.measures import Blend
from optimiser.answers.substitute import _candidates
from optimiser.answers.weighed import NEAR_STEPS
from optimiser.brief import Brief, Request
from optimiser.conflicts import conflicts
from optimiser.exact.dictionary import Ending, UnsettledError
from optimiser.exact.proof import Certificate, prove
from optimiser.exact.sensitivity import bound_rate, cost_range
from optimiser.formulation import formulated
from optimiser.linear_model import Coefficients, LinearModel, Row, Sense
from optimiser.price import Offer
from optimiser.provenance import Origin, Statement
from optimiser.pulp_model import carry
from optimiser.reading import read_book
from optimiser.repair import nearest_bound, smallest_compromise
from optimiser.solve import settle, solve

Step = Callable[[], object]


def interleaved(measured: Callable[[], Step], reference: Callable[[], Step], runs: int) -> str:
    """The ratio of two medians; each run is prepared before its clock starts."""
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(runs + 1):
        for prepare, found in zip((measured, reference), times, strict=True):
            step = prepare()
            start = time.perf_counter()
            step()
            found.append(time.perf_counter() - start)
    # The first run of each warms the caches.
    ours, theirs = (median(found[1:]) for found in times)
    return f"{ours / theirs:6.2f}  ({ours * 1e3:.1f} ms / {theirs * 1e3:.1f} ms)"


def formula(n: int, m: int, seed: int) -> dict[str, np.ndarray]:
    """Arrays of a percentage formula: a total and m - 1 one-sided averages, all possible.

    Half of the ingredients have 0 of a property, as half of a maker's table is blank.
    """
    rng = np.random.default_rng(seed)
    point = np.zeros(n)
    used = rng.choice(n, size=max(8, n // 6), replace=False)
    point[used] = rng.dirichlet(np.ones(len(used))) * 100
    table = np.round(rng.uniform(0, 100, (m, n)) * (rng.random((m, n)) < 0.5), 1)
    table[0] = 1.0
    at_least = rng.random(m) < 0.5
    bound = table @ point / 100
    bound = np.round(bound + np.where(at_least, -1, 1) * rng.uniform(0.2, 4, m), 2)
    bound[0] = 100.0
    cost = np.round(rng.uniform(2, 40, n), 2)
    return {"table": table, "bound": bound, "at_least": at_least, "cost": cost}


def as_model(arrays: dict[str, np.ndarray]) -> LinearModel:
    """The arrays as a linear model."""
    table, bound = arrays["table"], arrays["bound"]
    m, n = table.shape
    rows = []
    for i, at_least in enumerate(arrays["at_least"]):
        sense = Sense.EQUAL if i == 0 else Sense.AT_LEAST if at_least else Sense.AT_MOST
        said = Statement(f"properties.p{i}", "property {bound}", Origin("brief.toml", i))
        rows.append(Row(said, sense, "%"))
    return LinearModel(
        columns=tuple(f"ingredient {j}" for j in range(n)),
        rows=tuple(rows),
        numerator=tuple(Coefficients.typed(row) for row in table),
        denominator=(None,) * m,
        constant=(1, *(100,) * (m - 1)),
        bound=tuple(Decimal(repr(number)) for number in bound.tolist()),
        cost=Coefficients.typed(arrays["cost"]),
        lower=(0,) * n,
        upper=(100,) * n,
        is_integer=(False,) * n,
    )


def fresh(model: LinearModel) -> LinearModel:
    """The model with nothing worked out yet, as a first question finds it."""
    return replace(
        model,
        numerator=tuple(Coefficients(part.numbers) for part in model.numerator),
        cost=Coefficients(model.cost.numbers),
    )


def loaded(arrays: dict[str, np.ndarray]) -> highspy.Highs:
    """HiGHS with the same arrays."""
    table, right = (
        arrays["table"],
        arrays["bound"] * np.r_[1, np.full(len(arrays["bound"]) - 1, 100)],
    )
    m, n = table.shape
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = n, m
    lp.col_cost_ = arrays["cost"]
    lp.col_lower_, lp.col_upper_ = np.zeros(n), np.full(n, 100.0)
    equal = np.arange(m) == 0
    lp.row_lower_ = np.where(equal | arrays["at_least"], right, -highspy.kHighsInf)
    lp.row_upper_ = np.where(equal | ~arrays["at_least"], right, highspy.kHighsInf)
    row, column = np.nonzero(table)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.searchsorted(row, np.arange(m + 1)).astype(np.int32)
    lp.a_matrix_.index_ = column.astype(np.int32)
    lp.a_matrix_.value_ = table[row, column]
    highs = highspy._Highs()  # Highs() of some versions prints a banner
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)
    highs.passModel(lp)
    return highs


def by_highs(arrays: dict[str, np.ndarray]) -> np.ndarray:
    """HiGHS alone on the same arrays."""
    highs = loaded(arrays)
    highs.run()
    return np.array(highs.getSolution().col_value)


def sensitivity(model: LinearModel, certificate: Certificate) -> int:
    """Both one-sided prices of every active limit, and every price range."""
    assert certificate.dictionary is not None
    assert certificate.x is not None
    asked = 0
    for i, bound in enumerate(model.bound):
        if model.level(i, certificate.x) == bound:
            for way in (1, -1):
                bound_rate(model, certificate.dictionary, i, way)
                asked += 1
    for j in range(len(model.columns)):
        cost_range(certificate.dictionary, j)
    return asked


def impossible(n: int, m: int, seed: int) -> LinearModel:
    """A formula whose limits are drawn in, all by the same step, until nothing meets them."""
    arrays = formula(n, m, seed)
    way = np.where(arrays["at_least"], 1, -1)
    way[0] = 0
    while True:
        arrays["bound"] = np.round(arrays["bound"] + way * 0.5, 2)
        model = as_model(arrays)
        rows = list(model.rows)
        rows[0] = replace(rows[0], may_be_eased=False, is_said=False)
        model = replace(model, rows=tuple(rows))
        if settle(model)[1].ending is Ending.INFEASIBLE:
            return model


def every_view(model: LinearModel) -> int:
    """The compromise, the conflicts, and each of their limits alone with what it would cost."""
    sizes = [
        abs(Fraction(bound)) or row.step for bound, row in zip(model.bound, model.rows, strict=True)
    ]
    moved = smallest_compromise(model, sizes) or {}
    found = conflicts(model, list(moved))
    for i in {i for conflict in found for i in conflict}:
        reachable = nearest_bound(model, i)
        if reachable is not None:
            settle(model.with_bound(i, reachable))[1]
    for i, level in moved.items():
        model = model.with_bound(i, level)
    settle(model)[1]
    return len(found)


def process(*command: str) -> Callable[[], Step]:
    """A whole process, its output thrown away."""

    def run() -> None:
        subprocess.run(command, check=True, capture_output=True)

    return lambda: run


def exact_ratios() -> None:
    seeds = random.Random(1).sample(range(1000), 3)
    for seed in seeds:
        model = as_model(formula(60, 40, seed))
        solution = solve(model)
        certificate = prove(model, solution.basis)
        assert certificate.proven

        def prepare_pulp(model: LinearModel = model) -> Step:
            cold = fresh(model)
            return lambda: carry(cold)

        def prepare_proof(model: LinearModel = model, basis: object = solution.basis) -> Step:
            cold = fresh(model)
            return lambda: prove(cold, basis)

        def prepare_prices(
            model: LinearModel = model, certificate: Certificate = certificate
        ) -> Step:
            return lambda: sensitivity(model, certificate)

        used = sum(share > 0 for share in certificate.x)
        active = sensitivity(model, certificate) // 2
        print(f"60 x 40, seed {seed}: {used} ingredients used, {active} active limits")
        print("  exact proof / one PuLP solve        (goal 3)  ", end="")
        print(interleaved(prepare_proof, prepare_pulp, 15))
        print("  full sensitivity / one PuLP solve   (goal 15) ", end="")
        print(interleaved(prepare_prices, prepare_pulp, 15))


def explanation_ratios() -> None:
    for seed in random.Random(2).sample(range(1000), 3):
        model = impossible(60, 40, seed)

        def prepare_pulp(model: LinearModel = model) -> Step:
            cold = fresh(model)
            return lambda: carry(cold)

        def prepare_views(model: LinearModel = model) -> Step:
            cold = fresh(model)
            return lambda: every_view(cold)

        print(f"60 x 40, seed {seed}, impossible: ", end="")
        try:
            found = conflicts(model)
        except UnsettledError as problem:
            print(problem)
            continue
        limits = len({i for conflict in found for i in conflict})
        print(f"{len(found)} conflicts of {limits} limits")
        print("  every view of it / one PuLP solve              ", end="")
        print(interleaved(prepare_views, prepare_pulp, 5))


def weighable_figures() -> None:
    """How soon a formula in steps of 0.1 % is there, and how far from its lower bound."""
    for seed in random.Random(3).sample(range(1000), 3):
        arrays = formula(40, 20, seed)
        model = as_model(arrays)
        relaxed = prove(model, solve(model).basis)
        assert relaxed.x is not None
        assert relaxed.cost is not None
        step = Fraction(1, 10)
        scaled = [
            Coefficients(tuple(Fraction(a) * step for a in part.numbers))
            for part in (*model.numerator, model.cost)
        ]
        whole = replace(
            model,
            numerator=tuple(scaled[:-1]),
            cost=scaled[-1],
            upper=(1000,) * 40,
            is_integer=(True,) * 40,
        )
        steps = [share / step for share in relaxed.x]
        near = replace(
            whole,
            lower=tuple(max(0, int(k) - NEAR_STEPS) for k in steps),
            upper=tuple(int(k) + 1 + NEAR_STEPS if k else 0 for k in steps),
        )
        print(f"40 ingredients x 20 limits at 0.1 %, seed {seed}")
        for name, asked in (("near", near), ("free", whole)):
            start = time.perf_counter()
            solution = solve(asked, 5.0)
            taken = time.perf_counter() - start
            cost = None if solution.x is None else float(whole.cost.floats @ solution.x)
            above = "none" if cost is None else f"{100 * (cost / float(relaxed.cost) - 1):.3f} %"
            print(f"  {name}: {solution.status} in {taken:.2f} s, above the bound: {above}")


def candidates_ratio() -> None:
    """Every ingredient that could take the place of one, on a shelf of 60 shipped ones."""
    book, rng = read_book(), random.Random(1)
    recipe = {"shea-butter-refined": 40, "cocoa-butter": 25, "sunflower-oil": 35}
    others = rng.sample([name for name in book.ingredients if name not in recipe], 57)
    price = {name: Fraction(rng.randint(3, 40)) for name in (*recipe, *others)}
    where = Origin("prices.csv")
    offers = tuple(
        Offer(name, "", "1 kg", Fraction(1), Decimal(int(each)), Decimal(0), "", None, "", where)
        for name, each in price.items()
    )
    brief = Brief("", "brief.toml", None, "", None, ("shea-butter-refined",), {}, ())
    request = Request(brief, book, offers)
    reference = Blend(
        request,
        tuple(book.ingredients[name] for name in recipe),
        tuple(price[name] for name in recipe),
        tuple(map(Fraction, recipe.values())),
    )
    aims = [Aim(trait, level_of(trait, reference)) for trait in book.character]
    shelf = Shelf(formulated(request), reference, tuple(aims))
    names, n = shelf.formulation.model.columns, len(_candidates(shelf))
    print(f"{n} candidates among {len(names)} ingredients / one PuLP solve of it ", end="")
    known = shelf.without(
        i for i in names if any(lacks(aim.trait, book.ingredients[i], request) for aim in aims)
    )
    wide = known.widened(fat_weights(aims, reference)).model
    print(interleaved(lambda: lambda: _candidates(shelf), lambda: lambda: carry(fresh(wide)), 3))


def large_ratio() -> None:
    arrays = formula(2000, 150, 7)
    point = solve(as_model(arrays)).x
    assert np.allclose(arrays["cost"] @ point, arrays["cost"] @ by_highs(arrays))
    print("2,000 x 150: build, solve, read / HiGHS on the same arrays (goal 1.5)", end="")
    print(interleaved(lambda: lambda: solve(as_model(arrays)), lambda: lambda: by_highs(arrays), 5))
    built = as_model(arrays)
    print("2,000 x 150: solve, read, model at hand / HiGHS on the arrays        ", end="")
    print(interleaved(lambda: lambda: solve(built), lambda: lambda: by_highs(arrays), 5))


def process_ratios(brief: str | None) -> None:
    found = shutil.which("optimiser", path=str(Path(sys.executable).parent))
    if found is None:
        print("whole processes: skipped, the command `optimiser` is not installed")
        return
    imports = process(sys.executable, "-c", "import pulp, highspy, numpy, typer")
    if brief is None:
        print("optimiser formulate: skipped, no brief was given")
    else:
        print("optimiser formulate / imports of its libraries (goal 1.6)", end="")
        print(interleaved(process(found, "formulate", brief), imports, 15))
    print("optimiser --help / import typer                (goal 1.5)", end="")
    print(interleaved(process(found, "--help"), process(sys.executable, "-c", "import typer"), 15))


if __name__ == "__main__":
    exact_ratios()
    explanation_ratios()
    weighable_figures()
    candidates_ratio()
    large_ratio()
    process_ratios(sys.argv[1] if len(sys.argv) > 1 else None)
