"""The catalogue of swaps: one row each, by family."""
