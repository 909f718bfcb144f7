"""Each distinct sound of a performance once, as mono samples, only as long as it is needed.

:func:`rendered_notes` renders what a :class:`~porchswing.audio.mix.strikes.Schedule` lists; the
renderer and the practice page both play from it.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from porchswing.audio.mix.strikes import NoteKey, Schedule
from porchswing.audio.synth import pluck, struck
from porchswing.audio.synth.glide import frames_read, glide
from porchswing.audio.synth.kit import STRUCK
from porchswing.audio.synth.voices import PLUCKED
from porchswing.options import DEFAULT_SOUND

if TYPE_CHECKING:
    from numpy.typing import NDArray


LENGTH_SHARE = 0.5
"""Sounds of one note longer than this share of the longest are rendered together with it."""


def rendered_notes(
    schedule: Schedule, rate_hz: int = DEFAULT_SOUND.rate_hz
) -> tuple[NDArray[np.float32], ...]:
    """Return the sounds of a schedule in the order of its keys, float32 mono, only to be read.

    The takes and loudness layers of one note are rendered together, those of much the same
    length at once.
    """
    keys, needs_s = schedule.keys, schedule.needs_s
    groups: dict[NoteKey, list[int]] = {}
    for number, key in enumerate(keys):
        variant = key.variant if key.voice == "kit" else 0
        groups.setdefault(key._replace(layer=0, variant=variant), []).append(number)
    sounds: list[NDArray[np.float32]] = [np.empty(0, np.float32)] * len(keys)
    for key, members in groups.items():
        left = sorted(members, key=needs_s.__getitem__, reverse=True)
        while left:
            longest_s = needs_s[left[0]]
            some = [number for number in left if needs_s[number] > longest_s * LENGTH_SHARE]
            left = left[len(some) :]
            frames = round(longest_s * rate_hz) + 1  # a strike's ends are rounded each
            rows = _rows(key, [keys[number] for number in some], frames, rate_hz)
            for number, sound in zip(some, rows, strict=True):
                sounds[number] = sound
    return tuple(sounds)


def _rows(
    key: NoteKey, members: Sequence[NoteKey], frames: int, rate_hz: int
) -> Sequence[NDArray[np.float32]]:
    """Return one note at several loudness layers and in several takes."""
    layers = tuple(member.layer for member in members)
    if key.voice == "kit":
        row = STRUCK[key.piece]
        if row.sweep:
            return list(struck.struck(row, key.variant, layers, frames, rate_hz))
        return [_kit(key.piece, key.variant, layer, frames, rate_hz) for layer in layers]
    voice = PLUCKED[key.voice]
    read = frames_read(key.bends, frames) if key.bends else frames
    takes = tuple(member.variant for member in members)
    steady = pluck.plucked(
        voice, key.pitch, key.string, key.fret, key.touch, layers, read, rate_hz, takes
    )
    if not key.bends:
        return list(steady)
    return [glide(sound, key.bends, frames, rate_hz) for sound in steady]


@lru_cache(maxsize=96)
def _kit(piece: str, variant: int, layer: int, frames: int, rate_hz: int) -> NDArray[np.float32]:
    """Return a sound of the kit: the same in take after take, so made once.

    All sounds but sweeps, which last as long as they are asked to, are some 12 MB.
    """
    sound: NDArray[np.float32] = struck.struck(STRUCK[piece], variant, (layer,), frames, rate_hz)[0]
    sound.flags.writeable = False
    return sound
