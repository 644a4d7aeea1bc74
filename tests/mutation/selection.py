"""Which tests run a line, from coverage taken test by test.

pytest-cov keeps one context a test (`--cov-context=test`), pytest how long each lasted
(`--durations=0 -vv`). A line that only the loading of its module runs has no test of its own:
there every test that enters the module counts.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable
from itertools import zip_longest
from pathlib import Path

from coverage import CoverageData

DURATION = re.compile(r"^\s*([\d.]+)s (?:call|setup|teardown)\s+(\S.*)$")
QUICK = 8.0
"""Seconds of tests, as they last unchanged, in one quick trial."""

THOROUGH = 60.0
"""The same of a thorough one."""

FILES, OF_EACH = 4, 8
"""The first trial takes so many tests of each of so many files: to load a file costs most."""

FEW = 120
"""At most so many tests are in the second trial."""

OUTSIDE = "tests/test_scale.py"
"""What it holds against an outside model sees most, and goes before others."""

UNTIMED = 0.005
"""Seconds of a test that pytest leaves out of its list of durations."""


class Selection:
    """Tests by line of a source."""

    def __init__(self, covered: Path, durations: Path) -> None:
        self.data = CoverageData(str(covered))
        self.data.read()
        self.measured = {self._inside(path): path for path in self.data.measured_files()}
        self.seconds: dict[str, float] = defaultdict(float)
        for line in durations.read_text(encoding="utf-8").splitlines():
            if found := DURATION.match(line):
                self.seconds[found[2]] += float(found[1])
        tests = {each.rpartition("|")[0] for each in self.data.measured_contexts()}
        self._in_file = Counter(test.partition("::")[0] for test in tests)
        self._lines: dict[str, dict[int, list[str]]] = {}

    def _inside(self, path: str) -> str:
        """A path as written from the root of the project."""
        parts = Path(path).parts
        return "/".join(parts[len(parts) - 1 - parts[::-1].index("optimiser") :])

    def _contexts(self, path: str) -> dict[int, list[str]]:
        if path not in self._lines:
            measured = self.measured.get(path)
            found = self.data.contexts_by_lineno(measured) if measured else {}
            self._lines[path] = dict(found)
        return self._lines[path]

    def tests(self, path: str, line: int) -> tuple[list[str], list[str]]:
        """Tests that run a line: a few of the files that run it most, then others of all files."""
        files = self._by_file(path, line)
        most = sorted(files, key=lambda file: (-len(files[file]), file))[:FILES]
        first = self._within(QUICK, (files[file][:OF_EACH] for file in most))
        turns = [test for turn in zip_longest(*files.values()) for test in turn if test]
        others = [test for test in files.get(OUTSIDE, []) + turns if test not in first]
        return first, self._within(QUICK, [list(dict.fromkeys(others))[:FEW]])

    def thoroughly(self, path: str, line: int) -> list[str]:
        """Tests that run a line, first those of the files that are most about it."""
        files = self._by_file(path, line)
        share = {file: len(tests) / self._in_file[file] for file, tests in files.items()}
        about = sorted(files, key=lambda file: (file != OUTSIDE, -share[file], file))
        return self._within(THOROUGH, (files[file] for file in about))

    def _by_file(self, path: str, line: int) -> dict[str, list[str]]:
        """Tests that run a line, or enter its module where none runs it; quick ones first."""
        by_line = self._contexts(path)
        contexts = {each for each in by_line.get(line, ()) if each}
        if not contexts:
            contexts = {each for all_of in by_line.values() for each in all_of if each}
        files: dict[str, list[str]] = defaultdict(list)
        for test in {each.rpartition("|")[0] for each in contexts}:
            files[test.partition("::")[0]].append(test)
        for tests in files.values():
            tests.sort(key=lambda test: (self.lasting(test), test))
        return files

    def _within(self, seconds: float, groups: Iterable[list[str]]) -> list[str]:
        """As many tests of some groups as last no longer than a trial may, at least one."""
        chosen: list[str] = []
        left = seconds
        for test in (test for group in groups for test in group):
            left -= self.lasting(test)
            if left > 0 or not chosen:
                chosen.append(test)
        return chosen

    def lasting(self, test: str) -> float:
        """Seconds a test took when coverage was measured."""
        return self.seconds.get(test, UNTIMED)
