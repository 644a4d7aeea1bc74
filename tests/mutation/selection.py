"""Which tests run a line, from coverage taken test by test.

pytest-cov keeps one context a test (`--cov-context=test`), pytest how long each lasted
(`--durations=0 -vv`). A line that only the loading of its module runs has no test of its own:
there every test that enters the module counts.
"""

from __future__ import annotations

import re
from collections import defaultdict
from pathlib import Path

from coverage import CoverageData

DURATION = re.compile(r"^\s*([\d.]+)s (?:call|setup|teardown)\s+(\S.*)$")
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

    def tests(self, path: str, line: int) -> list[str]:
        """Tests that run a line, files in turn and quick ones first."""
        by_line = self._contexts(path)
        contexts = {each for each in by_line.get(line, ()) if each}
        if not contexts:
            contexts = {each for all_of in by_line.values() for each in all_of if each}
        return self._in_turn({each.rpartition("|")[0] for each in contexts})

    def whole_files(self, path: str) -> list[str]:
        """Files of every test that enters a module, those that enter it most first."""
        times: dict[str, int] = defaultdict(int)
        for contexts in self._contexts(path).values():
            for each in contexts:
                if each:
                    times[each.partition("::")[0]] += 1
        return sorted(times, key=lambda file: -times[file])

    def lasting(self, test: str) -> float:
        """Seconds a test took when coverage was measured."""
        return self.seconds.get(test, UNTIMED)

    def _in_turn(self, chosen: set[str]) -> list[str]:
        """One test of each file after the other, so that no file hides the rest."""
        files: dict[str, list[str]] = defaultdict(list)
        for test in chosen:
            files[test.partition("::")[0]].append(test)
        ranked = []
        for tests in files.values():
            tests.sort(key=lambda test: (self.lasting(test), test))
            ranked.extend((place, self.lasting(test), test) for place, test in enumerate(tests))
        return [test for _, _, test in sorted(ranked)]
