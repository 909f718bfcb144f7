"""Grips: tunings, playable shapes, and the best way through the changes."""
