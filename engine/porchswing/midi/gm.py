"""General MIDI numbers: programs, banks, and Level 2 percussion.

Sources: General MIDI System Level 1 (programs, zero-based here as the bytes are; percussion
on channel 10, zero-based 9) and General MIDI 2 (bank select 121 for melodic variations,
where bank 121/1 program 24 is the ukulele, and bank 120 program 40 is the brush kit).
"""

from __future__ import annotations

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
CLARINET = Program(71)
UKULELE_GM2 = Program(24, msb=121, lsb=1)
STANDARD_KIT = Program(0, msb=120)
BRUSH_KIT_GM2 = Program(40, msb=120)

PROGRAMS = {"ukulele": NYLON_GUITAR, "bass": ACOUSTIC_BASS, "melody": CLARINET}
"""Level 1 program of every pitched voice; Level 1 has no ukulele, nylon guitar is nearest."""

PROGRAMS_GM2 = PROGRAMS | {"ukulele": UKULELE_GM2}

BRUSH_KEYS_GM2 = {"brush_tap": 38, "brush_slap": 39, "brush_sweep": 40, "sticks": 31}
"""Keys that differ from Level 1 on Level 2's brush kit."""
