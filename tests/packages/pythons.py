"""Run tests on the other Pythons that pyproject.toml names, with the package installed.

    python tests/packages/pythons.py [--wheel FILE] [--only 3.12] [--whole | TEST_FILE ...]

Every Python of the classifiers but the running one is looked for, gets an environment with the
wheel (or what pip builds of the repository) and the extra `test`, and runs the tests chosen below,
those that are named, or the whole suite; the Pythons side by side, as far as there are processors.
One that the machine does not have is told and passed over. The exit status is 1 where a test fails.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
import tomllib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from environments import ROOT, environment, installed, last_line, python_of, tested

CHOSEN = (
    # Golden models, exact proofs, published figures: the arithmetic that all else stands on.
    "test_formulation.py",
    "test_skin_limits.py",
    "test_pulp_model.py",
    "test_proof.py",
    "test_published_cases.py",
    # What is read goes through tomllib, csv, zipfile, expat and the tables of Unicode, which come
    # with Python and change with it.
    "test_reading_*.py",
    "test_hostile_paths.py",
    "test_label_data.py",
    # How a command starts, speaks, writes and stops, through files, processes and consoles.
    "test_starting.py",
    "test_command_line.py",
    "test_console.py",
    "test_output_files.py",
    "test_tables.py",
    "test_starter.py",
    # Whole answers as they are printed.
    "test_readme.py",
    "test_examples.py",
    "test_declaration.py",
)
"""What another Python could break, in about 45 seconds; laws on random models take minutes and
stand on the same arithmetic, and pages, workbooks and faults are for the whole suite."""

NAMED = "Programming Language :: Python :: "


def versions() -> list[str]:
    """The Pythons that the classifiers name, without the running one."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        classifiers = tomllib.load(file)["project"]["classifiers"]
    running = "{}.{}".format(*sys.version_info)
    named = [text.removeprefix(NAMED) for text in classifiers if text.startswith(NAMED)]
    return [version for version in named if version != running]


def chosen() -> list[str]:
    """The chosen files; a pattern that nothing meets stays, for pytest to refuse."""
    return [
        name
        for pattern in CHOSEN
        for name in sorted(f"tests/{path.name}" for path in (ROOT / "tests").glob(pattern))
        or [f"tests/{pattern}"]
    ]


def held(version: str, package: Path, tests: list[str]) -> tuple[int, str]:
    """The exit status of the tests on one Python, and what is told of them."""
    python = python_of(version)
    if python is None:
        return 0, f"Python {version}: not on this machine, passed over."
    with tempfile.TemporaryDirectory() as folder:
        begun = time.monotonic()
        inside = environment(python, Path(folder) / "environment")
        code, told = installed(inside, f"{package}[test]")
        ready = time.monotonic()
        if code:
            return 1, f"{told}\nPython {version}: not installed."
        code, told = tested(inside, tests)
        seconds = f"installed in {ready - begun:.0f} s, tested in {time.monotonic() - ready:.0f} s"
    line = f"Python {version}, {seconds}: {last_line(told)}"
    return code, f"{told}\n{line}" if code else line


def main() -> int:
    parser = argparse.ArgumentParser(description="Tests on the other Pythons of this machine.")
    parser.add_argument("--wheel", type=Path, default=ROOT, help="what is installed")
    parser.add_argument("--only", action="append", help="this Python alone, as 3.12")
    parser.add_argument("--whole", action="store_true", help="all tests")
    parser.add_argument("tests", nargs="*", help="test files, as tests/test_proof.py")
    asked = parser.parse_args()
    tests = ["tests"] if asked.whole else asked.tests or chosen()
    package = asked.wheel.resolve()
    with ThreadPoolExecutor(max_workers=os.cpu_count()) as side_by_side:
        runs = [
            side_by_side.submit(held, version, package, tests)
            for version in asked.only or versions()
        ]
        worst = 0
        for run in runs:
            code, told = run.result()
            print(told, flush=True)
            worst = max(worst, 1 if code else 0)
    return worst


if __name__ == "__main__":
    sys.exit(main())
