"""How a command ends: its answer on standard output, and an exit status."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from optimiser.provenance import InputError, Mistake, Origin

ANSWERED, CANNOT_BE_MET, WRONG_INPUT, FAULT = 0, 1, 2, 3

AsJson = Annotated[bool, typer.Option("--json", help="Print the answer as JSON and nothing else.")]
Out = Annotated[
    list[Path] | None,
    typer.Option("--out", help="Also write the answer to FILE; the form goes by its ending."),
]


def say(text: str, status: int) -> NoReturn:
    """Print an answer and leave with its status."""
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader has gone, as in `| head`; nothing more can be said to it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as problem:
        reason = problem.strerror or str(problem)
        raise InputError([Mistake(Origin("standard output"), f"not written: {reason}")]) from None
    raise typer.Exit(status)
