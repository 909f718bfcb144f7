"""How far the reharmoniser may go, from 0 (nothing) to the boldest swaps."""

DEFAULT_DEPTH = 2
"""The depth where none is asked for: ii-V's and passing chords, no substitutions."""
