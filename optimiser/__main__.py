"""`python -m optimiser`, and the command `optimiser`: the command line, from its first moment."""

import sys
from typing import NoReturn


def run() -> NoReturn:
    """Load the command line and run it; Ctrl-C while it loads ends it without a traceback."""
    try:
        from optimiser.cli import main
    except KeyboardInterrupt:
        sys.stderr.write("stopped\n")
        sys.exit(130)
    main()


if __name__ == "__main__":
    run()
