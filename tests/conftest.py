"""Fixtures for all tests."""

from __future__ import annotations

import signal

import pytest
from formulation_support import Command
from hypothesis import HealthCheck, settings

# Where the tests run in the background, Ctrl-C and the end of a terminal may be ignored, and
# whatever they start inherits that.
signal.signal(signal.SIGINT, signal.default_int_handler)
if hasattr(signal, "SIGHUP"):
    signal.signal(signal.SIGHUP, signal.SIG_DFL)

# No test fails by the clock, however busy the machine.
settings.register_profile("patient", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("patient")


@pytest.fixture
def optimiser(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    """The command, run in this process."""
    return Command(capsys, monkeypatch)
