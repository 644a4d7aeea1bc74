"""Build the wheel and the source archive, look into them, and use each by itself.

    python tests/packages/built.py [WHEEL_FOLDER]

Both are built by `python -m build`, which must be installed. The wheel must hold the package
with its templates and starter, the ingredient data, the licence, and nothing else; the archive
also tests, examples and documents. Each is installed in an empty environment of the running
Python, where the README's first command and a new workshop are run in a folder outside of the
repository, with the name of the program and without any extra. A folder that is named gets the
wheel. Takes half a minute; the exit status is 1 where something is missing.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
import zipfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from environments import ROOT, environment, installed, said

BRIEF = "examples/quillfern/whipped_hand_butter.toml"

PACKAGES = ("optimiser", "ingredient_data")


def shipped() -> set[str]:
    """What the packages consist of, as the repository has it."""
    return {
        path.relative_to(ROOT).as_posix()
        for package in PACKAGES
        for path in (ROOT / package).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


def in_wheel(wheel: Path) -> list[str]:
    """What is wrong with the contents of the wheel."""
    with zipfile.ZipFile(wheel) as parts:
        names = {name for name in parts.namelist() if not name.endswith("/")}
    info = {name for name in names if name.split("/")[0].endswith(".dist-info")}
    wrong = [f"not in the wheel: {name}" for name in sorted(shipped() - names)]
    wrong += [f"too much in the wheel: {name}" for name in sorted(names - info - shipped())]
    for wanted in ("licenses/LICENSE", "METADATA", "entry_points.txt"):
        if not any(name.endswith(f".dist-info/{wanted}") for name in info):
            wrong.append(f"not in the wheel: {wanted}")
    return wrong


def in_archive(archive: Path) -> list[str]:
    """What is missing in the source archive."""
    with tarfile.open(archive) as parts:
        names = {name.partition("/")[2] for name in parts.getnames()}
    wanted = shipped() | {
        path.relative_to(ROOT).as_posix()
        for folder in ("tests", "examples")
        for path in (ROOT / folder).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    wanted |= {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml"}
    return [f"not in the archive: {name}" for name in sorted(wanted - names)]


def used(package: Path, folder: Path) -> list[str]:
    """What fails where the package is installed by itself, outside of the repository."""
    inside = environment(Path(sys.executable), folder / "environment")
    workshop = folder / "somewhere"
    shutil.copytree((ROOT / BRIEF).parent, workshop / Path(BRIEF).parent)
    code, told = installed(inside, package)
    if code:
        return [f"{package.name}: not installed: {told[-2000:]}"]
    wrong = []

    def run(*words: object, wanted: str = "") -> None:
        code, told = said([*words], workshop)
        if code or wanted not in told:
            wrong.append(f"{package.name}: {' '.join(map(str, words[1:]))}: {told[-2000:]}")

    optimiser = inside.parent / "optimiser"
    run(optimiser, "formulate", BRIEF, wanted="Proven in exact arithmetic")
    run(optimiser, "formulate", BRIEF, "--out", "a.lp", "--out", "a.md", "--out", "a.csv")
    run(optimiser, "start", "mine", wanted="optimiser formulate")
    run(optimiser, "formulate", Path("mine") / "brief.toml", wanted="Proven in exact arithmetic")
    run(optimiser, "ingredients", "shea-butter-refined", wanted="source")
    run(inside, "-m", "optimiser", "--version", wanted="optimiser ")
    return wrong


def main() -> int:
    with tempfile.TemporaryDirectory() as top:
        folder = Path(top)
        words = [sys.executable, "-m", "build", "--outdir", str(folder), str(ROOT)]
        subprocess.run(words, check=True, stdout=subprocess.DEVNULL)
        (wheel,), (archive,) = folder.glob("*.whl"), folder.glob("*.tar.gz")
        wrong = in_wheel(wheel) + in_archive(archive)
        with ThreadPoolExecutor(max_workers=os.cpu_count()) as side_by_side:
            uses = [
                side_by_side.submit(used, package, folder / package.name.rpartition(".")[2])
                for package in (wheel, archive)
            ]
            for use in uses:
                wrong += use.result()
        if len(sys.argv) > 1:
            shutil.copy(wheel, sys.argv[1])
    print(*wrong, sep="\n", end="\n" if wrong else "")
    print("packages:", "wrong" if wrong else "as they should be")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
