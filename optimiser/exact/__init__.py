"""Exact arithmetic: proofs and prices of limits without rounding."""
