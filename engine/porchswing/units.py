"""Conversions between the units of musical time, clock time, pitch and level.

Musical time is in beats (quarter notes, exact fractions), clock time in seconds, MIDI
time in ticks at :data:`TICKS_PER_BEAT`, pitch as MIDI note number (60 = middle C),
level in dB relative to full scale.
"""

from __future__ import annotations

TICKS_PER_BEAT = 960
"""MIDI resolution: ticks per quarter note."""

CONCERT_A_HZ = 440.0
"""Frequency of MIDI note 69 (ISO 16:1975)."""


def counted(number: int, noun: str) -> str:
    """Return a number with what it counts.

    >>> counted(1, "fret"), counted(2, "fret")
    ('1 fret', '2 frets')
    """
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def midi_to_hz(pitch: float) -> float:
    """Return the equal-tempered frequency in Hz of a MIDI note number.

    >>> midi_to_hz(69)
    440.0
    """
    return CONCERT_A_HZ * float(2.0 ** ((pitch - 69) / 12))


def db_to_gain(level_db: float) -> float:
    """Return the amplitude factor of a level in dB.

    >>> db_to_gain(-20)
    0.1
    """
    return float(10.0 ** (level_db / 20.0))


def step_frames(rate_hz: int) -> int:
    """Return the frames of 100 ms, the step in which loudness is measured.

    >>> step_frames(44_100)
    4410
    """
    return round(rate_hz / 10)


def clock(duration_s: float) -> str:
    """Return a length in minutes and seconds.

    >>> clock(125.6)
    '2:06'
    """
    minutes, seconds = divmod(round(duration_s), 60)
    return f"{minutes}:{seconds:02}"
