"""Read one file in a process of its own, with little memory and few seconds.

    python tests/bounded_reading.py prices.csv FOLDER

The folder has the file already. What comes of it is printed: the messages, or `read`.
"""

from __future__ import annotations

import resource
import subprocess
import sys
from pathlib import Path

SECONDS = 30
"""Of processor time; the slowest of the caps takes five, and ten where others use the processor."""

BYTES = 1_500_000_000
"""Of memory."""


def read_bounded(folder: Path, name: str, data: bytes) -> tuple[str, ...]:
    """The first and last message on reading the bytes under this name, or `read`."""
    (folder / name).write_bytes(data)
    done = subprocess.run(
        [sys.executable, __file__, name, str(folder)],
        capture_output=True,
        text=True,
        timeout=4 * SECONDS,
        check=False,
    )
    assert done.returncode == 0, f"status {done.returncode}: {done.stderr[-2000:]}"
    return tuple(done.stdout.splitlines())


def main() -> None:
    """Bound this process and read."""
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (BYTES, BYTES))
    from hostile_support import outcome

    name, folder = sys.argv[1], Path(sys.argv[2])
    found = outcome(folder, name, (folder / name).read_bytes())
    said = found.messages or ("read",)
    sys.stdout.write("\n".join((said[0], said[-1]) if len(said) > 1 else said))


if __name__ == "__main__":
    main()
