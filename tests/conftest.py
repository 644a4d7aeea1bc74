"""Fixtures for all tests."""

from __future__ import annotations

import signal

import pytest
from formulation_support import Command

# Where the tests run in the background, Ctrl-C and the end of a terminal may be ignored, and
# whatever they start inherits that.
signal.signal(signal.SIGINT, signal.default_int_handler)
if hasattr(signal, "SIGHUP"):
    signal.signal(signal.SIGHUP, signal.SIG_DFL)


@pytest.fixture
def optimiser(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    """The command, run in this process."""
    return Command(capsys, monkeypatch)
