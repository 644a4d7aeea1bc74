"""`python -m optimiser`, and the command `optimiser`: the command line, from its first moment.

Nothing is loaded here before Ctrl-C is listened to.
"""

from __future__ import annotations

import sys

TYPE_CHECKING = False
"""As type checkers know it; `typing` itself takes a while to load."""

if TYPE_CHECKING:
    from typing import NoReturn


def run() -> NoReturn:
    """Load the command line and run it; Ctrl-C while it loads ends it without a traceback.

    Raises:
        SystemExit: Always, with the exit status.
    """
    try:
        import signal

        usual = signal.getsignal(signal.SIGINT)
        listens = usual is signal.default_int_handler
        # What is raised while a module loads may be taken for a failure of that module.
        if listens:
            signal.signal(signal.SIGINT, _leave)
        from optimiser.cli import main

        if listens:
            signal.signal(signal.SIGINT, usual)
        main()
    except KeyboardInterrupt:
        _leave()


def _leave(*_: object) -> NoReturn:
    """Say that the program was stopped, and leave at once: nothing has been begun."""
    import os

    if sys.stderr is not None:  # None: closed by the caller
        sys.stderr.write("\nstopped\n" if sys.stderr.isatty() else "stopped\n")
        sys.stderr.flush()
    os._exit(130)


if __name__ == "__main__":
    run()
