"""Run the suite with the lowest versions that pyproject.toml allows.

    python tests/packages/lowest.py [TEST_FILE ...]

Reads the lowest Python and the floor of each dependency and of each extra that the tests need,
installs exactly those in a fresh environment of that Python, and runs the named test files or the
whole suite there. What the dependencies themselves need, such as `packaging`, comes as new as it
may be. The exit status is 1 where something cannot be installed or a test fails.
"""

from __future__ import annotations

import sys
import tempfile
import tomllib
from pathlib import Path
from typing import Any

from environments import ROOT, environment, installed, last_line, python_of, said, tested
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet

EXTRAS = ("xlsx", "report", "test")
"""The extras that the tests need; the tools of `check` are not run with old versions."""


def floor(allowed: SpecifierSet, of: str) -> str:
    """The lowest version that is allowed."""
    floors = [part.version for part in allowed if part.operator == ">="]
    if len(floors) != 1:
        raise SystemExit(f"pyproject.toml states no lowest version of {of}")
    return floors[0]


def floors(project: dict[str, Any]) -> dict[str, str]:
    """The lowest version of each package, which all places must state alike."""
    extras = project["optional-dependencies"]
    found: dict[str, str] = {}
    for text in [*project["dependencies"], *(text for name in EXTRAS for text in extras[name])]:
        package = Requirement(text)
        version = floor(package.specifier, package.name)
        if found.setdefault(package.name, version) != version:
            raise SystemExit(f"pyproject.toml states two lowest versions of {package.name}")
    return found


def main() -> int:
    with (ROOT / "pyproject.toml").open("rb") as file:
        project = tomllib.load(file)["project"]
    version = floor(SpecifierSet(project["requires-python"]), "Python")
    python = python_of(version)
    if python is None:
        print(f"Python {version} is not on this machine.")
        return 1
    exactly = [f"{name}=={lowest}" for name, lowest in floors(project).items()]
    print(f"Python {version}:", *exactly, flush=True)
    with tempfile.TemporaryDirectory() as folder:
        inside = environment(python, Path(folder) / "environment")
        code, told = installed(inside, f"{ROOT}[{','.join(EXTRAS)}]", *exactly)
        if code:
            print(told)
            return 1
        pip = [sys.executable, "-m", "pip", "--python", inside]
        print(said([*pip, "freeze"], ROOT)[1], flush=True)
        code, told = tested(inside, sys.argv[1:] or ["tests"])
    print(told if code else last_line(told))
    return 1 if code else 0


if __name__ == "__main__":
    sys.exit(main())
