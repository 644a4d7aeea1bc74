"""Put small mistakes into the mathematics, one at a time, and see whether the tests notice.

    pip install -e '.[test]' pytest-cov
    python tests/mutation/run.py --log mutants.jsonl [--seed 1] [--count 1000] [--minutes 60]
        [--only optimiser/exact] [--worker 0/2] [--unchanged]
    python tests/mutation/run.py --log mutants.jsonl --again     those that survived before
    python tests/mutation/run.py --log mutants.jsonl --told      what the log says

First the whole suite runs once to see which test runs which line; that is kept beside the log.
Mutants come in a random order of the seed, so the first so many are a sample of all. Each is
tried in a process of its own against quick tests that run its line; `--again` tries those that
survived on all tests that run it, as far as a minute of tests goes, or on `--tests`. One line a
mutant is kept in the log, and a second run goes on where the first stopped. What survives is
listed with its place: it wants a test, or a reason in `justified.toml` why the change changes
nothing. `--unchanged` tries the tests of each mutant without it: all must survive.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import subprocess
import sys
import time
import tomllib
from collections import Counter
from dataclasses import asdict
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
sys.path[:0] = [str(HERE), str(HERE.parent), str(ROOT)]

from changes import Mutant, mutants
from selection import Selection
from trial import BROKEN, CAUGHT, SURVIVED, TIMED_OUT, tried

MATHEMATICS = (
    "conflicts.py",
    "formulation.py",
    "linear_model.py",
    "pulp_model.py",
    "repair.py",
    "skin_content.py",
    "solve.py",
    "statements.py",
    "weighable_model.py",
    "exact",
    "postoptimal",
    "answers",
)
REASONS = HERE / "justified.toml"


def sources() -> list[str]:
    """The mathematics, as paths from the root of the project."""
    found: list[str] = []
    for name in MATHEMATICS:
        place = ROOT / "optimiser" / name
        files = [place] if place.is_file() else sorted(place.rglob("*.py"))
        found.extend(str(file.relative_to(ROOT)) for file in files)
    return found


def all_mutants() -> list[Mutant]:
    """Every mutant of every source, in the order of the text."""
    return [each for path in sources() for each in mutants(path, (ROOT / path).read_bytes())]


def lines_of(log: Path) -> dict[str, dict[str, object]]:
    """The newest line of each mutant."""
    if not log.exists():
        return {}
    lines = map(json.loads, log.read_text(encoding="utf-8").splitlines())
    return {str(line["name"]): line for line in lines}


def measure(covered: Path, durations: Path) -> None:
    """Run the suite once, keeping which test runs which line and how long each lasts."""
    print("the suite is run once to see which test runs which line", flush=True)
    options = ["--cov=optimiser", "--cov-context=test", "--cov-report=", "--durations=0", "-vv"]
    words = [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", *options]
    around = os.environ | {"COVERAGE_FILE": str(covered), "COVERAGE_CORE": "ctrace"}
    with durations.open("w", encoding="utf-8") as kept:
        subprocess.run(words, cwd=ROOT, env=around, stdout=kept, check=True)


def ready() -> None:
    """Load what every trial needs, unchanged by any mutant, before processes part."""
    import highspy
    import hypothesis
    import jinja2
    import matplotlib.figure
    import numpy
    import openpyxl
    import pandas
    import pulp
    import pytest
    import scipy.optimize
    import typer

    del highspy, hypothesis, jinja2, matplotlib, numpy, openpyxl, pandas, pulp, pytest, scipy
    del typer


def judged(mutant: Mutant, selection: Selection, options: argparse.Namespace) -> dict[str, object]:
    """One mutant against its tests, as a line of the log."""
    source = None if options.unchanged else mutant.applied((ROOT / mutant.path).read_bytes())
    module = mutant.path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
    file = ROOT / mutant.path
    outcome, lasted, said, tests = SURVIVED, 0.0, "", 0
    stages = [(90.0, chosen) for chosen in selection.tests(mutant.path, mutant.line)]
    if options.again:
        stages = [(600.0, options.tests or selection.thoroughly(mutant.path, mutant.line))]
    for allowed, chosen in stages:
        if chosen and outcome == SURVIVED:
            outcome, more, said = tried(module, file, source, chosen, allowed)
            lasted, tests = lasted + more, tests + len(chosen)
    killer = [line for line in said.splitlines() if line.startswith("FAILED")]
    return {
        "name": mutant.name,
        "outcome": outcome,
        "was": mutant.was,
        "text": mutant.text,
        "tests": tests,
        "seconds": round(lasted, 2),
        "by": killer[0][:200] if killer else said[-200:] if outcome == "broken" else "",
    }


def justified(mutant: Mutant, reasons: list[dict[str, str]]) -> str | None:
    """Why a mutant changes nothing, where that is written down."""
    line = (ROOT / mutant.path).read_text(encoding="utf-8").splitlines()[mutant.line - 1]
    facts = asdict(mutant)
    for reason in reasons:
        exact = reason.keys() - {"why", "line"}
        if reason.get("line", "") in line and all(facts[key] == reason[key] for key in exact):
            return reason["why"]
    return None


def told(log: Path) -> int:
    """Counts of each source and each survivor; how many survive without a reason."""
    reasons = tomllib.loads(REASONS.read_text(encoding="utf-8"))["mutant"]
    lines = lines_of(log)
    known = all_mutants()
    counts: dict[str, Counter[str]] = {}
    for mutant in known:
        if mutant.name not in lines:
            continue
        outcome = str(lines[mutant.name]["outcome"])
        if outcome in (SURVIVED, BROKEN):
            why = justified(mutant, reasons)
            change = f"{mutant.was[:90]!r} -> {mutant.text[:60]!r}"
            print(f"{outcome}: {mutant.name}\n    {change}" + (f"\n    {why}" if why else ""))
            outcome = "justified" if why else outcome
        counts.setdefault(mutant.path, Counter())[outcome] += 1
    for path, count in sorted(counts.items()):
        print(path, dict(count))
    total = sum(counts.values(), Counter[str]())
    tries, caught = total.total(), total[CAUGHT] + total[TIMED_OUT]
    left = total[SURVIVED] + total[BROKEN]
    print(f"{tries} of {len(known)} mutants tried, {caught} caught", end="")
    print(f" ({100 * caught / tries:.1f} %)" if tries else "", end="")
    print(f", {total['justified']} survive for a reason, {left} survive")
    return left


def main() -> None:
    """Read the command, try mutants, tell."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--log", type=Path, required=True)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=10**9)
    parser.add_argument("--minutes", type=float, default=10**6)
    parser.add_argument("--only", default="optimiser/")
    parser.add_argument("--worker", default="0/1", help="this part of so many")
    parser.add_argument("--again", action="store_true", help="those that survived before")
    parser.add_argument("--tests", nargs="+", help="with --again: these tests alone")
    parser.add_argument("--unchanged", action="store_true", help="the tests without the mutants")
    parser.add_argument("--told", action="store_true", help="only tell what the log says")
    options = parser.parse_args()
    if options.told:
        sys.exit(1 if told(options.log) else 0)
    log = options.log.resolve()
    covered, durations = log.with_suffix(".coverage"), log.with_suffix(".durations.txt")
    os.chdir(ROOT)
    if not covered.exists():
        measure(covered, durations)
    ready()
    selection = Selection(covered, durations)
    place, workers = map(int, options.worker.split("/"))
    order = all_mutants()
    random.Random(options.seed).shuffle(order)
    before = lines_of(log)
    until = time.monotonic() + 60 * options.minutes
    for number, mutant in enumerate(order[: options.count]):
        if number % workers != place or not mutant.path.startswith(options.only):
            continue
        line = before.get(mutant.name)
        if (line is None) if options.again else (line is not None):
            continue
        if options.again and line["outcome"] in ("caught", "timed out"):
            continue
        if time.monotonic() > until:
            break
        result = judged(mutant, selection, options)
        with log.open("a", encoding="utf-8") as kept:
            kept.write(json.dumps(result) + "\n")
    told(log)


if __name__ == "__main__":
    main()
