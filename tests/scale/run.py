"""Hold thousands of random briefs against an outside exact solver.

    python tests/scale/run.py --count 10000 --seed 1 [--from 0] [--share 0.1] [--log FILE]

Prints the counts of each family, the comparisons of each kind, and every disagreement with its
place; `--from PLACE --count 1` looks at one brief again. `--log` keeps one line a brief and
goes on where it stopped. `--share` is the part of all programmes that `esolver` (Debian:
`apt-get install qsopt-ex`) settles beside the tableau of the tests; the first of each brief it
always does.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
import time
from collections import Counter
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent), str(HERE.parent.parent)]

from scale.briefs import FAMILIES, drawn  # noqa: E402  the folders are found above
from scale.findings import Findings  # noqa: E402
from scale.held import held  # noqa: E402
from scale.outside import Both, Esolver  # noqa: E402

EVERY = 500
"""Progress is told after so many briefs."""


def looked_at(place: int, seed: int, solver: Both) -> dict[str, object]:
    """One brief as a line of the log."""
    family, request = drawn(seed, place)
    begun = time.perf_counter()
    before = Counter(solver.counts)
    try:
        found = held(request, solver)
    except Exception as fault:
        found = Findings()
        found.hold("a fault", False, f"{type(fault).__name__}: {fault}")
    return {
        "place": place,
        "family": family,
        "outcomes": found.outcomes,
        "compared": found.compared,
        "disagreements": found.disagreements,
        "unproven": found.unproven,
        "unasked": found.unasked,
        "solved": solver.counts - before,
        "seconds": round(time.perf_counter() - begun, 4),
    }


def told(lines: list[dict[str, object]]) -> None:
    """Counts per family and kind, then what is wrong."""
    families: dict[str, Counter[str]] = {family: Counter() for family in FAMILIES}
    sums = {name: Counter() for name in ("compared", "unproven", "unasked", "solved")}
    for line in lines:
        families[line["family"]].update(line["outcomes"])
        for name, total in sums.items():
            total.update(line[name])
    for family, outcomes in families.items():
        print(f"{family:20}", ", ".join(f"{n} {what}" for what, n in sorted(outcomes.items())))
    for name, total in sums.items():
        print(f"\n{name}: {sum(total.values())}")
        for what, n in sorted(total.items()):
            print(f"{n:9} {what}")
    wrong = [(line, words) for line in lines for words in line["disagreements"]]
    print(f"\ndisagreements: {len(wrong)}")
    for line, words in wrong:
        print(f"  {line['place']} ({line['family']}) {words}")
    print(f"\n{len(lines)} briefs, {sum(line['seconds'] for line in lines):.0f} s")


def main() -> int:
    """Look at so many briefs; 1 where something disagrees."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--from", type=int, default=0, dest="first")
    parser.add_argument("--share", type=float, default=0.1)
    parser.add_argument("--log", type=Path)
    options = parser.parse_args()
    lines: list[dict[str, object]] = []
    if options.log and options.log.exists():
        lines = [json.loads(line) for line in options.log.read_text().splitlines()]
    done = {line["place"] for line in lines}
    if not Esolver.is_installed():
        print("esolver is not installed; every programme is settled by the tests' tableau alone.")
    esolver = Esolver() if Esolver.is_installed() else None
    solver = Both(esolver, options.share, random.Random(options.seed))
    for place in range(options.first, options.first + options.count):
        if place in done:
            continue
        line = looked_at(place, options.seed, solver)
        lines.append(line)
        for words in line["disagreements"]:
            print(f"{place} ({line['family']}) {words}", flush=True)
        if options.log:
            with options.log.open("a") as log:
                log.write(json.dumps(line) + "\n")
        if len(lines) % EVERY == 0:
            print(f"{len(lines)} briefs", flush=True)
    told(lines)
    return 1 if any(line["disagreements"] for line in lines) else 0


if __name__ == "__main__":
    sys.exit(main())
