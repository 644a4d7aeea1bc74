"""How a command ends: its answer on standard output, and an exit status."""

from __future__ import annotations

import errno
import io
import os
import sys
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from optimiser.provenance import InputError, Mistake, Origin

ANSWERED, CANNOT_BE_MET, WRONG_INPUT, FAULT = 0, 1, 2, 3

STOPPED = 130
"""As a shell has it of a program that Ctrl-C ended."""

AsJson = Annotated[bool, typer.Option("--json", help="Print the answer as JSON and nothing else.")]
Out = Annotated[
    list[Path] | None,
    typer.Option("--out", help="Also write the answer to FILE; the form goes by its ending."),
]


class ClosedStream(io.StringIO):
    """In the place of a standard output that the caller has closed: it takes nothing."""

    def write(self, text: str) -> int:
        """Refuse.

        Raises:
            OSError: Always.
        """
        raise OSError(errno.EBADF, "it is closed")


def say(text: str, status: int) -> NoReturn:
    """Print an answer and leave with its status."""
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader has gone, as in `| head`; nothing more can be said to it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as problem:
        raise not_printed(problem.strerror or str(problem)) from None
    raise typer.Exit(status)


def not_printed(reason: str) -> InputError:
    """What is said where standard output does not take the answer."""
    return InputError([Mistake(Origin("standard output"), f"not written: {reason}")])


def stopped_said() -> str:
    """What is said when the caller stops it; on a terminal below what stands there."""
    return "\nstopped\n" if sys.stderr.isatty() else "stopped\n"
