"""Fixtures for all tests."""

from __future__ import annotations

import pytest
from formulation_support import Command


@pytest.fixture
def optimiser(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    """The command, run in this process."""
    return Command(capsys, monkeypatch)
