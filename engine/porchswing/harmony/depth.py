"""How far the reharmoniser may go, from 0 (nothing) to the boldest swaps."""

MAX_DEPTH = 4
"""The depth that takes every swap in."""

DEFAULT_DEPTH = 2
"""The depth where none is asked for: ii-V's and passing chords, no substitutions."""
