"""How one written stroke sounds: the hand that crosses the strings, and the hand on the neck.

A down stroke goes from the highest-numbered string to string 1, an up stroke back; a louder
stroke is a faster one; a light up stroke catches only the strings nearest the floor. A hand
does not meet the strings evenly, and a down stroke with the nail is brighter and more even across
the strings than an up stroke with the fingertip (common practice, no source). No
published string-to-string time was found, so the sizes are our choice; the whole spread stays
under 25 ms because wider chords pull the heard beat away from their first note (Hove, Keller &
Krumhansl, Perception & Psychophysics 69, 2007). Rolls and tremolo are wider on purpose.

The hand on the neck slides into a note, shakes it, and lets it fall.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import NamedTuple

from porchswing.band.score import Stroke
from porchswing.performance.model import Bend

SOFT_SPREAD_S = 0.022
LOUD_SPREAD_S = 0.008
"""Time from the first to the last string of a full stroke at velocity 0 and at 1."""

UP_FASTER = 0.85
"""An up stroke's time over a down stroke's."""

MOST_OF_LENGTH = 0.2
"""A stroke's spread takes at most this share of its length."""

LIGHT_UP = 0.5
LIGHTEST_UP = 0.36
"""Below these velocities an up stroke catches three quarters, then half of the strings."""

FADE_ACROSS = {"down": 0.12, "up": 0.3}
"""How much softer the last string of a stroke is than the first."""

BRIGHTNESS = {"down": 0.15, "up": -0.35}
"""How much brighter a stroke is than its loudness says, in loudness layers of the synth."""

UNEVEN = 0.45
"""A gap between two strings strays by at most this share of itself."""

ROLL_FINGERS = 3
ROLL_S = 0.12
ROLL_SHARE = 0.4
ROLL_FIRST_LOUDNESS = 0.7
"""A roll's fingers cross one after another within this time, each louder than the last."""

TREMOLO_HZ = 11.0
TREMOLO_LOUDNESS = 0.8

VIBRATO_HZ = 5.5
VIBRATO_SEMITONES = 0.16
VIBRATO_AFTER_S = 0.35
"""A held chord is shaken gently once it has spoken (our choice, no source)."""

FALL_S = 0.25
"""A fall takes the last quarter of a second of a note, or half of it where that is shorter."""


class StringSound(NamedTuple):
    """One string sounding in a stroke.

    ``offset_s`` is seconds after the stroke's onset, ``velocity`` 0 to 1; ``end_s`` (after the
    stroke's onset too) is ``None`` where the string lasts as long as the stroke; ``touch`` is
    ``None`` where the stroke's kind says how it sounds; ``brightness`` as in
    :class:`~porchswing.performance.model.Note`.
    """

    string: int
    offset_s: float
    velocity: float
    end_s: float | None = None
    touch: str | None = None
    brightness: float = 0.0


def spread_stroke(
    stroke: Stroke, duration_s: float, quarter_bpm: float, gaps: Sequence[float] = ()
) -> tuple[StringSound, ...]:
    """Return the strings of a stroke in the order they sound.

    ``duration_s`` is the stroke's performed length in seconds, ``quarter_bpm`` the tempo in
    quarters per minute. ``gaps`` from -1 to 1 are how uneven the gaps between strings are, used
    over and over (none: even gaps). Strings the grip mutes never sound.
    """
    if stroke.kind == "roll":
        return _roll(stroke, duration_s)
    if stroke.kind == "tremolo":
        return _tremolo(stroke, duration_s, quarter_bpm)
    return _pass(stroke, duration_s, gaps)


def crossed_strings(stroke: Stroke) -> tuple[int, ...]:
    """Return the string numbers a stroke catches, in the order its direction meets them."""
    sounding = stroke.grip.sounding_strings
    if stroke.strings:
        sounding = tuple(s for s in sounding if s in stroke.strings)
    elif stroke.direction == "up" and stroke.kind in {"strum", "ghost"}:
        share = _caught_share(stroke.velocity)
        sounding = sounding[-max(1, math.ceil(len(sounding) * share)) :]
    return sounding if stroke.direction == "down" else sounding[::-1]


def _caught_share(velocity: float) -> float:
    if velocity < LIGHTEST_UP:
        return 0.5
    return 0.75 if velocity < LIGHT_UP else 1.0


def _pass(stroke: Stroke, duration_s: float, gaps: Sequence[float] = ()) -> tuple[StringSound, ...]:
    """Return one pass of the hand over the strings."""
    strings, velocity = crossed_strings(stroke), stroke.velocity
    full = max(len(stroke.grip.frets) - 1, 1)
    if stroke.kind in {"pinch", "slur"}:
        return tuple([StringSound(s, 0.0, velocity) for s in strings])
    spread_s = SOFT_SPREAD_S + (LOUD_SPREAD_S - SOFT_SPREAD_S) * velocity
    if stroke.direction == "up":
        spread_s *= UP_FASTER
    gap_s = min(spread_s, MOST_OF_LENGTH * duration_s) / full
    fade, brightness = FADE_ACROSS[stroke.direction], BRIGHTNESS[stroke.direction]
    sounds, offset_s = [], 0.0
    for i, string in enumerate(strings):
        if i:
            offset_s += gap_s * (1.0 + (UNEVEN * gaps[i % len(gaps)] if gaps else 0.0))
        loudness = velocity * (1.0 - fade * i / full)
        sounds.append(StringSound(string, offset_s, loudness, brightness=brightness))
    return tuple(sounds)


def _roll(stroke: Stroke, duration_s: float) -> tuple[StringSound, ...]:
    """Three fingers cross the strings one after another, growing to the stroke's loudness."""
    every_s = min(ROLL_S, ROLL_SHARE * duration_s) / ROLL_FINGERS
    passes = []
    for finger in range(ROLL_FINGERS):
        loudness = ROLL_FIRST_LOUDNESS + (1.0 - ROLL_FIRST_LOUDNESS) * (finger / (ROLL_FINGERS - 1))
        one = replace(stroke, kind="strum", velocity=stroke.velocity * loudness)
        passes.append(_later(_pass(one, every_s * 4), finger * every_s))
    return _chained(passes)


def _tremolo(stroke: Stroke, duration_s: float, quarter_bpm: float) -> tuple[StringSound, ...]:
    """Let the hand go down and up evenly, as near to its own speed as the beat divides."""
    quarter_s = 60.0 / quarter_bpm
    every_s = quarter_s / max(1, round(quarter_s * TREMOLO_HZ))
    passes = []
    for turn in range(max(1, round(duration_s / every_s))):
        direction = "down" if turn % 2 == 0 else "up"
        loudness = stroke.velocity * (1.0 if turn == 0 else TREMOLO_LOUDNESS)
        one = replace(stroke, kind="strum", direction=direction, velocity=loudness)
        passes.append(_later(_pass(one, min(every_s, duration_s)), turn * every_s))
    return _chained(passes)


def _later(sounds: Sequence[StringSound], by_s: float) -> tuple[StringSound, ...]:
    return tuple(sound._replace(offset_s=sound.offset_s + by_s) for sound in sounds)


def _chained(passes: Sequence[Sequence[StringSound]]) -> tuple[StringSound, ...]:
    """Join passes: a string sounds until the hand strikes it again."""
    joined = sorted((s for sounds in passes for s in sounds), key=lambda s: s.offset_s)
    upcoming: dict[int, float] = {}
    ended: list[StringSound] = []
    for sound in reversed(joined):
        ended.append(sound._replace(end_s=upcoming.get(sound.string)))
        upcoming[sound.string] = sound.offset_s
    return tuple(reversed(ended))


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
