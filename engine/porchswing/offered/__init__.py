"""Offers: the ways one chord of a tune could be replaced, gripped or played, and the choice."""
