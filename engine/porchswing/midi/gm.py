"""General MIDI numbers: programs, banks, and Level 2 percussion.

Sources: General MIDI System Level 1 (programs, zero-based here as the bytes are; percussion
on channel 10, zero-based 9) and General MIDI 2 (bank select 121 for melodic variations,
where bank 121/1 program 24 is the ukulele, 121/2 program 25 the mandolin, and bank 120 program 40
is the brush kit). Controllers 7 (volume) and 10 (pan) as in the recommended practice for General
MIDI: a gain of ``40 log10(value / 127)`` dB, and 64 for the middle.
"""

from __future__ import annotations

import math
from typing import NamedTuple

PERCUSSION_CHANNEL = 9
CHANNELS = tuple(channel for channel in range(16) if channel != PERCUSSION_CHANNEL)
"""Channels for pitched parts, in the order they are given out."""


class Program(NamedTuple):
    """A sound: zero-based ``program`` and, for Level 2, bank select ``msb`` and ``lsb``."""

    program: int
    msb: int = 121
    lsb: int = 0


NYLON_GUITAR = Program(24)
ACOUSTIC_BASS = Program(32)
STEEL_GUITAR = Program(25)
CLARINET = Program(71)
BANJO = Program(105)
MANDOLIN_GM2 = Program(25, msb=121, lsb=2)
UKULELE_GM2 = Program(24, msb=121, lsb=1)
BRUSH_KIT_GM2 = Program(40, msb=120)

UKULELES = (
    "ukulele", "soprano", "concert", "tenor", "baritone", "soprano ukulele", "concert ukulele",
    "tenor ukulele", "baritone ukulele",
)  # fmt: skip

PROGRAMS = dict.fromkeys(UKULELES, NYLON_GUITAR) | {
    "guitar": NYLON_GUITAR,
    "tenor banjo": BANJO,
    "mandolin": STEEL_GUITAR,
    "bass": ACOUSTIC_BASS,
    "melody": CLARINET,
}
"""Level 1 program of every pitched voice; Level 1 has no ukulele and no mandolin: the nearest."""

PROGRAMS_GM2 = PROGRAMS | dict.fromkeys(UKULELES, UKULELE_GM2) | {"mandolin": MANDOLIN_GM2}

BRUSH_KEYS_GM2 = {"brush_tap": 38, "brush_slap": 39, "brush_sweep": 40, "sticks": 31}
"""Keys that differ from Level 1 on Level 2's brush kit."""

SILENT_ON_GM1 = frozenset({"brush_sweep"})
"""Pieces that Level 1's kit has nothing for: left out of its files rather than misplayed."""


class Seat(NamedTuple):
    """Where a part sits: its level in dB, as at the mixing desk, and its place from -1 to 1."""

    level_db: float
    pan: float


SEATS = {
    "chords": Seat(-19.0, -0.16),
    "line": Seat(-19.0, 0.2),
    "melody": Seat(-18.0, 0.1),
    "solo": Seat(-17.0, 0.0),
    "bass": Seat(-15.0, 0.0),
    "drums": Seat(-20.0, 0.0),
    "count": Seat(-23.0, 0.0),
}
"""The band's balance and places, those of :mod:`porchswing.audio.mix.desk` (a test compares)."""

USUAL_VOLUME, USUAL_LEVEL_DB = 100, -19.0
"""The chord part keeps the volume that receivers start with; the others are set against it."""


def volume(part: str) -> int:
    """Return controller 7 of a part: its level against the chords'.

    >>> volume("chords"), volume("bass"), volume("count")
    (100, 126, 79)
    """
    level_db = SEATS.get(part, SEATS["melody"]).level_db - USUAL_LEVEL_DB
    return max(1, min(127, math.floor(0.5 + USUAL_VOLUME * math.pow(10.0, level_db / 40.0))))


def pan(part: str) -> int:
    """Return controller 10 of a part, 64 in the middle, 1 and 127 at the sides.

    >>> pan("bass"), pan("chords")
    (64, 54)
    """
    return math.floor(64.5 + 63.0 * SEATS.get(part, SEATS["melody"]).pan)
