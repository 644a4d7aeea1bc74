"""Kill the command at random moments, many times, and look at what is left.

    python tests/faults/kill_while_writing.py [ROUNDS] [SEED]

In each round a random command writes all of its forms over old files and is killed without
warning after a random time. Afterwards every file is the old one, or a new one that can be
read to its end; whatever else is there is named as a part. Parts are counted. Then `start` is
killed likewise, run again, and must end in a folder that `formulate` takes. The default of 60
rounds takes about a minute; the exit status is 1 where anything was torn.
"""

from __future__ import annotations

import random
import subprocess
import sys
import tempfile
import time
import zipfile
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from earlier import EARLIER
from every_command import COMMANDS, Workshop, workshop

LAST = {".json": b"}\n", ".html": b"</html>\n", ".lp": b"End\n", ".mps": b"ENDATA\n"}
"""What a whole file ends with; of the others each is compared with an undisturbed run."""


def command(*words: object) -> list[str]:
    return [sys.executable, "-m", "optimiser", *map(str, words)]


def killed(words: list[str], seconds: float) -> bool:
    """Run a command and kill it after some seconds; whether it was still running."""
    running = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        running.wait(seconds)
    except subprocess.TimeoutExpired:
        running.kill()
        running.wait()
        return True
    return False


def is_whole(path: Path, undisturbed: Path) -> bool:
    data = path.read_bytes()
    if data == EARLIER[path.suffix] or data == undisturbed.read_bytes():
        return True
    if path.suffix == ".xlsx":
        with zipfile.ZipFile(path) as book:
            return book.testzip() is None
    return data.endswith(LAST.get(path.suffix, b"\0"))


def undisturbed(made: Workshop, name: str, into: Path) -> tuple[list[Path], float]:
    """All forms of a command, and how long it took."""
    paths = [into / f"a{form}" for form in COMMANDS[name].forms]
    begin = time.monotonic()
    words = [word for path in paths for word in ("--out", str(path))]
    done = subprocess.run(command(*COMMANDS[name].on(made), *words), capture_output=True)
    if done.returncode not in (0, 1):
        raise SystemExit(done.stderr.decode())
    return paths, time.monotonic() - begin


def main() -> int:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    rng = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    seen: Counter[str] = Counter()
    torn = []
    names = [name for name in COMMANDS if name != "start"]
    with tempfile.TemporaryDirectory() as top:
        made = workshop(Path(top))
        known: dict[str, tuple[list[Path], float]] = {}
        for number in range(rounds):
            name = rng.choice(names)
            if name not in known:
                folder = Path(top) / f"right {name}"
                folder.mkdir()
                known[name] = undisturbed(made, name, folder)
            right, took = known[name]
            out = Path(top) / f"out {number}"
            out.mkdir()
            paths = [out / path.name for path in right]
            for path in paths:
                path.write_bytes(EARLIER[path.suffix])
            words = [word for path in paths for word in ("--out", str(path))]
            # Most of the time is computing; the end of it, where files are written, is hit
            # more often.
            moment = took * rng.choice([rng.random(), rng.uniform(0.85, 1.1)])
            was_running = killed(command(*COMMANDS[name].on(made), *words), moment)
            seen["killed" if was_running else "done before"] += 1
            for path, other in zip(paths, right, strict=True):
                is_old = path.read_bytes() == EARLIER[path.suffix]
                seen["old" if is_old else "new"] += 1
                if not is_whole(path, other):
                    torn.append(f"round {number}, {name}: {path.name}")
            for path in set(out.iterdir()) - set(paths):
                seen["parts"] += 1
                if not path.name.startswith(".part-"):
                    torn.append(f"round {number}, {name}: left {path.name}")
            folder = Path(top) / f"start {number}"
            if killed(command("start", folder), rng.uniform(0.1, 0.4)):
                seen["starts killed"] += 1
                whole = (folder / "brief.toml").exists()
                again = subprocess.run(command("start", folder), capture_output=True)
                if again.returncode != (2 if whole else 0):
                    torn.append(f"round {number}, start: {again.stderr.decode()}")
    print(*(f"{what}: {count}" for what, count in sorted(seen.items())), sep="\n")
    print(*torn, sep="\n")
    print("torn or wrong:", len(torn))
    return 1 if torn else 0


if __name__ == "__main__":
    sys.exit(main())
