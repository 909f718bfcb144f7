"""The tempo map that MIDI and audio share: tempo and swing over written beats.

Tempo is piecewise constant (a ritardando is a run of small steps), so one table turns
beats into seconds and ticks without drift. Beat 0 is the first bar of music; a count-in
lies at negative beats and takes the tempo of the first segment.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class TempoSegment:
    """From ``start_beats`` on: quarters per minute and the swing ratio (None: by tempo)."""

    start_beats: Fraction
    quarter_bpm: float
    swing_ratio: float | None = None


@dataclass(frozen=True, slots=True)
class TempoMap:
    """Tempo and swing over the whole tune, segments in rising order of beats."""

    segments: tuple[TempoSegment, ...]
