"""How a command starts: what it loads, and what happens if it is stopped before it can speak."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from every_command import COMMANDS, workshop
from formulation_support import ROOT

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


STOPS = {
    "raised": "raise KeyboardInterrupt",
    "sent": "signal.raise_signal(signal.SIGINT)",
    # As compiled modules do that load another one.
    "taken for a failure": """\
            try: signal.raise_signal(signal.SIGINT)
            except BaseException: raise ImportError(name) from None""",
}


@pytest.mark.parametrize("stops", STOPS.values(), ids=STOPS)
@pytest.mark.parametrize("module", ["optimiser.cli", "typer", "optimiser.provenance"])
def test_stopped_while_it_loads(module: str, stops: str) -> None:
    """Ctrl-C in the first moment is no traceback either."""
    script = (
        "import signal, sys\n"
        "class Stops:\n"
        "    def find_spec(self, name, *_):\n"
        f"        if name == {module!r}:\n"
        f"            {stops.strip()}\n"
        "sys.meta_path.insert(0, Stops())\n"
        "from optimiser.__main__ import run\n"
        "run()\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (130, b"", b"stopped\n")


def test_nothing_is_loaded_before_ctrl_c_is_listened_to() -> None:
    """What comes before it would end in a traceback; without site, as that loads some itself."""
    script = (
        f"import sys; sys.path.insert(0, {str(ROOT)!r}); before = set(sys.modules)\n"
        "import optimiser.__main__; print(sorted(set(sys.modules) - before))\n"
    )
    words = [sys.executable, "-S", "-c", script]
    done = subprocess.run(words, capture_output=True, check=True, text=True)
    loaded = ["__future__", "optimiser", "optimiser.__main__"]
    assert done.stdout == f"{loaded}\n"


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
def test_ctrl_c_that_is_ignored_stays_so() -> None:
    """As for a command that a shell runs in the background."""
    script = (
        "import signal, sys\n"
        "signal.signal(signal.SIGINT, signal.SIG_IGN)\n"
        "class Stops:\n"
        "    def find_spec(self, name, *_):\n"
        "        if name == 'typer': signal.raise_signal(signal.SIGINT)\n"
        "sys.meta_path.insert(0, Stops())\n"
        "sys.argv = ['optimiser', '--version']\n"
        "from optimiser.__main__ import run\n"
        "run()\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, check=False)
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.startswith(b"optimiser ")
