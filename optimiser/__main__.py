"""`python -m optimiser`: the same as the command `optimiser`."""

from optimiser.cli import main

main()
