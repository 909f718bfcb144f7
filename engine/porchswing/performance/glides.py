"""What the fretting hand does to a sounding note: the slide in, the shake, the fall."""

from __future__ import annotations

from collections.abc import Iterable

from porchswing.band.score import Stroke
from porchswing.performance.model import Bend

VIBRATO_HZ = 5.5
VIBRATO_SEMITONES = 0.16
VIBRATO_AFTER_S = 0.35
"""A held chord is shaken gently once it has spoken (our choice, no source)."""

FALL_S = 0.25
"""A fall takes the last quarter of a second of a note, or half of it where that is shorter."""


def glides(
    stroke: Stroke, length_s: float, quarter_s: float, *, is_first: bool, is_last: bool
) -> tuple[Bend, ...]:
    """Return the bends of a stroke's note of ``length_s`` seconds, linear between points.

    ``quarter_s`` is the length of a quarter note in seconds. Where a roll or a tremolo sounds
    a string several times, the slide belongs to the first note, shake and fall to the last.
    """
    points: list[Bend] = []
    if stroke.slide_frets and is_first:
        glide_s = float(stroke.glide_beats) * quarter_s
        points.append(Bend(0.0, float(stroke.slide_frets)))
        points.append(Bend(min(glide_s, length_s), 0.0))
    if stroke.vibrato and is_last:
        settled_s = points[-1].offset_s if points else 0.0
        points.extend(_vibrato(max(VIBRATO_AFTER_S, settled_s), length_s))
    if stroke.fall_frets and is_last:
        fall_s = min(FALL_S, length_s / 2)
        start_s = max(length_s - fall_s, points[-1].offset_s if points else 0.0)
        points.append(Bend(start_s, 0.0))
        points.append(Bend(length_s, float(stroke.fall_frets)))
    return tuple(points)


def _vibrato(start_s: float, end_s: float) -> Iterable[Bend]:
    """Yield the corners of a triangle wave, upward only as a fretting finger bends a string."""
    half_s = 0.5 / VIBRATO_HZ
    count = int((end_s - start_s) / (2 * half_s))
    for turn in range(count):
        at_s = start_s + turn * 2 * half_s
        yield Bend(at_s, 0.0)
        yield Bend(at_s + half_s, VIBRATO_SEMITONES)
    if count > 0:
        yield Bend(start_s + count * 2 * half_s, 0.0)
