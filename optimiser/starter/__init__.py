"""The files that `optimiser start` puts into a new folder."""
