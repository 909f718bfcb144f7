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
from porchswing.audio.synth.kit import LAYERS, STRUCK
from porchswing.audio.synth.voices import PLUCKED
from porchswing.options import DEFAULT_SOUND

if TYPE_CHECKING:
    from numpy.typing import NDArray


def rendered_notes(
    schedule: Schedule, rate_hz: int = DEFAULT_SOUND.rate_hz
) -> tuple[NDArray[np.float32], ...]:
    """Return the sounds of a schedule in the order of its keys, float32 mono, only to be read.

    The loudness layers of one note are rendered together.
    """
    keys, needs_s = schedule.keys, schedule.needs_s
    groups: dict[NoteKey, list[int]] = {}
    for number, key in enumerate(keys):
        groups.setdefault(key._replace(layer=0), []).append(number)
    sounds: list[NDArray[np.float32]] = [np.empty(0, np.float32)] * len(keys)
    for key, members in groups.items():
        frames = round(max(needs_s[number] for number in members) * rate_hz) + 1
        layers = tuple(keys[number].layer for number in members)
        for number, sound in zip(members, _layers(key, layers, frames, rate_hz), strict=True):
            sounds[number] = sound
    return tuple(sounds)


def _layers(
    key: NoteKey, layers: tuple[int, ...], frames: int, rate_hz: int
) -> Sequence[NDArray[np.float32]]:
    """Return one note at several loudness layers."""
    if key.voice == "kit":
        row = STRUCK[key.piece]
        if row.sweep:
            return list(struck.struck(row, key.variant, layers, frames, rate_hz))
        struck_layers = _kit(key.piece, key.variant, frames, rate_hz)
        return [struck_layers[layer] for layer in layers]
    voice = PLUCKED[key.voice]
    read = frames_read(key.bends, frames) if key.bends else frames
    steady = pluck.plucked(voice, key.pitch, key.string, key.fret, key.touch, layers, read, rate_hz)
    if not key.bends:
        return list(steady)
    return [glide(sound, key.bends, frames, rate_hz) for sound in steady]


@lru_cache(maxsize=32)
def _kit(piece: str, variant: int, frames: int, rate_hz: int) -> NDArray[np.float32]:
    """Return a sound of the kit at every layer: the same in take after take, so made once.

    All sounds but sweeps, which last as long as they are asked to, are some 12 MB.
    """
    sound = struck.struck(STRUCK[piece], variant, tuple(range(LAYERS)), frames, rate_hz)
    sound.flags.writeable = False
    return sound
