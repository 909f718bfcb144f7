"""How big a chart may be; every limit has one name and is checked in one place.

They are far beyond any tune and keep hostile text from taking a machine's time or memory.
"""

from __future__ import annotations

MAX_CHART_CHARACTERS = 1_000_000
"""Longest chart text, in characters."""

MAX_LINES = 20_000
"""Most lines in one chart, comments and blank ones included."""

MAX_WRITTEN_BARS = 2_500
"""Most bars written in one chart, all sections and the longest lane of each."""

MAX_PLAYED_BARS = 10_000
"""Most bars an unrolled chart may have, all choruses together."""

MAX_CHORUSES = 200
"""Most choruses one track may have."""

MAX_SECTIONS = 100
"""Most sections one chart may have."""

MAX_FORM = 200
"""Most sections one chorus may play."""

MAX_REPEATS = 16
"""Most times a repeat (``:|x16``) or a section of the form (``x16``) may be played."""

MAX_METER_COUNT = 24
"""Most units in a bar: the largest ``n`` of ``n/4`` and ``n/8``."""

MAX_BAR_NOTES = 64
"""Most chords, slashes or melody notes in one bar."""

MAX_VERSES = 20
"""Most verses of a section."""

MAX_SYLLABLE_CHARACTERS = 60
"""Longest syllable of the words lane, in characters."""

MAX_VALUE_CHARACTERS = 2_000
"""Longest header value, in characters."""

MAX_FRET = 24
"""Highest fret a grip lock or a fret window may name."""

MAX_STRINGS = 6
"""Most strings a grip lock may have; the fewest are :data:`MIN_STRINGS`."""

MIN_STRINGS = 3
"""Fewest strings of an instrument."""

MAX_PROBLEMS = 100
"""Most problems one run lists; the rest are summed up in a last line."""

MAX_DEPTH = 4
"""The depth of reharmonising that takes every swap in."""
