"""The playing marks as offers: what each does to a chord, in the order a player tries them.

Common practice, no source.
"""

from __future__ import annotations

MARK_REASONS: tuple[tuple[str, str], ...] = (
    ("slide", "In from a fret below: the hand and the sound arrive together."),
    ("push", "An eighth early: the chord comes before its beat."),
    ("hold", "Left to ring until the next chord."),
    ("roll", "Three fingers across the strings, one after another."),
    ("chuck", "Damped as it is struck: a click without pitch."),
    ("stop", "Cut off short, then silence."),
    ("fall", "Slides down and away after the stroke."),
)
"""Every mark with one line for a teacher."""
