"""Print what a price scenario costs beside a hot-started solver, and memory for a million.

    python tests/benchmarks/scenarios.py [brief.toml]

The loop keeps one HiGHS, changes all costs and solves on from the last basis; both run in this
process, one after the other. The memory is that of the
installed command on a brief.
"""

from __future__ import annotations

import resource
import shutil
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
from ratios import as_model, formula, loaded

from optimiser.postoptimal.corners import Corners
from optimiser.solve import settle

MILLION = 1_000_000
BLOCK = 100_000
LOOP = 2_000


def compared(seed: int, spread: float) -> None:
    arrays = formula(40, 20, seed)
    model = as_model(arrays)
    basis = settle(model)[1].dictionary.basis()
    rng = np.random.default_rng(seed)

    def draw(count: int) -> np.ndarray:
        return np.exp(rng.standard_normal((count, 40)) * np.log1p(spread)) * arrays["cost"]

    highs, places = loaded(arrays), np.arange(40, dtype=np.int32)
    highs.run()
    costs = draw(LOOP)
    loop = []
    start = time.perf_counter()
    for cost in costs:
        highs.changeColsCost(40, places, cost)
        highs.run()
        loop.append(highs.getInfo().objective_function_value)
    each = (time.perf_counter() - start) / LOOP * 1e6
    corners = Corners(model, basis)
    found = corners.cheapest(costs).cost
    worst = np.max(np.abs(found - loop) / np.abs(loop))
    corners, taken, exactly = Corners(model, basis), 0.0, 0
    for _ in range(MILLION // BLOCK):
        block = draw(BLOCK)
        start = time.perf_counter()
        exactly += corners.cheapest(block).exactly
        taken += time.perf_counter() - start
    ours = taken / MILLION * 1e6
    used = sum(count > 0 for count in corners.counts)
    print(
        f"40 x 20, seed {seed}, spread {spread:4.0%}: {ours:5.2f} us a scenario, loop {each:4.0f} "
        f"us, {each / ours:4.0f} times faster; {used} formulas, {exactly} settled exactly, "
        f"largest difference {worst:.0e}"
    )


def memory(brief: str) -> None:
    command = shutil.which("optimiser", path=str(Path(sys.executable).parent))
    if command is None:
        print("memory: skipped, the command `optimiser` is not installed")
        return
    for draws in (1_000, MILLION):
        start = time.perf_counter()
        words = [command, "reprice", brief, "--spread", "15%", "--draws", str(draws), "--json"]
        subprocess.run(words, check=True, capture_output=True)
        taken = time.perf_counter() - start
        peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
        print(f"reprice, {draws:9,} scenarios: {taken:5.2f} s, peak {peak:.0f} MB")


if __name__ == "__main__":
    # First, as a child counts the memory of the process that it comes from.
    if len(sys.argv) > 1:
        memory(sys.argv[1])
    for seed in (1, 7):
        for spread in (0.05, 0.15, 0.30):
            compared(seed, spread)
