"""How a command starts: what it loads, and what happens if it is stopped before it can speak."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from every_command import COMMANDS, workshop

EXTRAS = ("openpyxl", "jinja2", "matplotlib", "scipy", "hypothesis", "markdown_it", "pytest")
"""What comes with an extra; the tests have all of it, a maker perhaps nothing."""

OPTIONAL = (*EXTRAS, "pandas", "IPython", "rich", "pydantic")
"""What no answer in plain words needs."""


def test_no_command_loads_what_only_some_forms_need(tmp_path: Path) -> None:
    """Answers for the terminal and for scripts come without the packages of other forms."""
    made = workshop(tmp_path)
    asked = {name: asking.on(made) for name, asking in COMMANDS.items()}
    script = (
        "import io, json, sys\n"
        "from optimiser.cli import main\n"
        f"asked = json.loads({json.dumps(json.dumps(asked))})\n"
        "console, loaded = sys.stdout, {}\n"
        "for name, words in asked.items():\n"
        "    for more in ([], ['--json']):\n"
        "        if name == 'start' and more: continue\n"
        "        sys.argv = ['optimiser', *words, *more]\n"
        "        sys.stdout = io.StringIO()\n"
        "        try: main()\n"
        "        except SystemExit as leaving: assert leaving.code in (0, 1), (name, more)\n"
        "        finally: sys.stdout = console\n"
        f"        loaded[name] = sorted(set({OPTIONAL!r}) & set(sys.modules))\n"
        "print(json.dumps(loaded))\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr.decode()
    assert json.loads(done.stdout) == {name: [] for name in COMMANDS}


def test_stopped_while_it_loads() -> None:
    """Ctrl-C in the first moment is no traceback either."""
    script = (
        "import sys\n"
        "class Stops:\n"
        "    def find_spec(self, name, *_):\n"
        "        if name == 'typer': raise KeyboardInterrupt\n"
        "sys.meta_path.insert(0, Stops())\n"
        "from optimiser.__main__ import run\n"
        "run()\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (130, b"", b"stopped\n")
