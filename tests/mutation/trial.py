"""One mutant tried: its module is loaded changed, in a process of its own, and tests are run."""

from __future__ import annotations

import contextlib
import importlib.abc
import importlib.machinery
import importlib.util
import os
import resource
import select
import signal
import sys
import time
import traceback
from collections.abc import Sequence
from pathlib import Path
from types import CodeType, ModuleType

CAUGHT, SURVIVED, TIMED_OUT, BROKEN = "caught", "survived", "timed out", "broken"
NO_TRIAL = 70
"""Exit status of a trial that came to no test."""

MEMORY = 8 * 2**30
"""Bytes a trial may take: a mutant that never stops collecting ends by itself."""


class _Changed(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Finds one module and loads changed text in its place."""

    def __init__(self, module: str, file: Path, source: bytes) -> None:
        self.module = module
        self.file = file
        self.source = source

    def find_spec(
        self, name: str, path: object = None, target: object = None
    ) -> importlib.machinery.ModuleSpec | None:
        if name != self.module:
            return None
        return importlib.util.spec_from_file_location(name, self.file, loader=self)

    def create_module(self, spec: importlib.machinery.ModuleSpec) -> ModuleType | None:
        return None

    def exec_module(self, module: ModuleType) -> None:
        code: CodeType = compile(self.source, str(self.file), "exec")
        exec(code, module.__dict__)


def _run(changed: _Changed | None, tests: Sequence[str]) -> int:
    """Tests in this process; pytest's exit status."""
    import pytest
    from hypothesis import settings

    if changed is not None:
        sys.meta_path.insert(0, changed)
    settings.register_profile("mutation", derandomize=True, database=None, deadline=None)
    # Libraries are loaded before pytest is, which it warns of.
    unwarned = ["-W", "ignore::pytest.PytestAssertRewriteWarning"]
    options = ["-x", "-q", "-p", "no:cacheprovider", "--no-header", "--tb=line", *unwarned]
    options.append("--hypothesis-profile=mutation")
    return int(pytest.main([*options, *tests]))


def tried(
    module: str, file: Path, source: bytes | None, tests: Sequence[str], seconds: float
) -> tuple[str, float, str]:
    """Outcome, seconds and the last lines said; a `source` of None changes nothing."""
    begun = time.monotonic()
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        status = NO_TRIAL
        try:
            os.setsid()
            os.close(reading)
            os.dup2(writing, 1)
            os.dup2(writing, 2)
            resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
            changed = None if source is None else _Changed(module, file, source)
            status = _run(changed, tests)
            sys.stdout.flush()
        except BaseException:
            traceback.print_exc()
            sys.stderr.flush()
        finally:
            os._exit(status)
    os.close(writing)
    said, status = _awaited(child, reading, begun + seconds)
    os.close(reading)
    lasted = time.monotonic() - begun
    if status is None:
        return TIMED_OUT, lasted, ""
    if status == 0:
        return SURVIVED, lasted, said
    # 4 and 5: no such test, unless the change already broke the loading of its file.
    is_broken = status == NO_TRIAL or (status in (4, 5) and "Error" not in said)
    return BROKEN if is_broken else CAUGHT, lasted, said


def _awaited(child: int, reading: int, until: float) -> tuple[str, int | None]:
    """What a process said and its status; None if it was ended at its time."""
    said = b""
    ended: int | None = None
    while True:
        ready, _, _ = select.select([reading], [], [], max(0.0, min(0.5, until - time.monotonic())))
        if ready:
            chunk = os.read(reading, 65536)
            said = (said + chunk)[-4000:]
            if not chunk:
                _, raw = os.waitpid(child, 0)
                ended = os.waitstatus_to_exitcode(raw)
                break
        done, raw = os.waitpid(child, os.WNOHANG)
        if done:
            ended = os.waitstatus_to_exitcode(raw)
            break
        if time.monotonic() > until:
            break
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
    if ended is None:
        os.waitpid(child, 0)
    return said.decode(errors="replace"), ended
