"""Fresh environments of a Python of the machine, and the tests run in them.

What is tested there is what was installed: the tests are started in an empty folder, so that the
packages of the repository are not on their path.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent

ELSEWHERE = ("PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV")
"""What would lead an environment to the packages of another."""


def python_of(version: str) -> Path | None:
    """A Python of a version such as `3.12`: this one, on the path, kept by pyenv, or None.

    A name on the path is tried, as pyenv puts names there that only some folders may use.
    """
    kept = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv")) / "versions"
    newest_first = sorted(
        (path for path in kept.glob(f"{version}.*") if path.name[len(version) + 1 :].isdigit()),
        key=lambda path: int(path.name[len(version) + 1 :]),
        reverse=True,
    )
    on_path = shutil.which(f"python{version}")
    asked = "import sys, venv; print('%d.%d' % sys.version_info[:2])"
    elsewhere = [path / "bin" / "python" for path in newest_first]
    for python in [sys.executable, *filter(None, [on_path]), *elsewhere]:
        try:
            answer = subprocess.run([python, "-c", asked], capture_output=True, text=True)
        except OSError:
            continue
        if answer.returncode == 0 and answer.stdout.strip() == version:
            return Path(python)
    return None


def environment(python: Path, folder: Path) -> Path:
    """The Python of a new environment in a folder; `installed` brings packages into it."""
    subprocess.run([python, "-m", "venv", "--without-pip", folder], check=True)
    windows = sys.platform == "win32"
    return folder / "Scripts" / "python.exe" if windows else folder / "bin" / "python"


def own_variables() -> dict[str, str]:
    """The variables of this process without those that lead elsewhere."""
    return {name: text for name, text in os.environ.items() if name not in ELSEWHERE}


def said(words: list[object], folder: Path) -> tuple[int, str]:
    """The exit status of a programme that is run in a folder, and all that it said."""
    done = subprocess.run(
        [str(word) for word in words], cwd=folder, env=own_variables(), stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, encoding="utf-8",
        errors="replace", check=False,
    )  # fmt: skip
    # A run that is killed closes with no line of its own.
    killed = f"\nended by signal {-done.returncode}\n" if done.returncode < 0 else ""
    return done.returncode, done.stdout + killed


def installed(python: Path, *wanted: object) -> tuple[int, str]:
    """Install with the pip of this process, which saves each environment one of its own."""
    # Compiled is only what the tests import, when they do; all of it takes half a minute more.
    pip = [sys.executable, "-m", "pip", "--python", python, "install", "--quiet", "--no-compile"]
    return said([*pip, *wanted], ROOT)


def tested(python: Path, tests: list[str]) -> tuple[int, str]:
    """Run test files, named as in the repository, on what is installed in an environment."""
    with tempfile.TemporaryDirectory() as empty:
        where = "import optimiser; print(optimiser.__file__)"
        code, told = said([python, "-c", where], Path(empty))
        home = python.parent.parent.resolve()
        if code or not Path(told.strip()).resolve().is_relative_to(home):
            return 1, f"optimiser does not come from the environment: {told}"
        pytest = [python, "-m", "pytest", "-p", "no:cacheprovider", "-c", ROOT / "pyproject.toml"]
        files = [ROOT / test for test in tests]
        return said([*pytest, "--rootdir", ROOT, *files], Path(empty))


def last_line(told: str) -> str:
    """What a run of the tests said at its end: the counts and the time."""
    lines = told.strip().splitlines()
    return lines[-1] if lines else "nothing was said"
