"""Each distinct sound of a performance once, as mono samples, only as long as it is needed.

:func:`rendered_notes` renders what a :class:`~porchswing.audio.strikes.Schedule` lists; the
renderer and the practice page both play from it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from porchswing.audio import pluck, struck
from porchswing.audio.glide import frames_read, glide
from porchswing.audio.kit import STRUCK
from porchswing.audio.shares import run_shares, shared_floats
from porchswing.audio.strikes import NoteKey, Schedule
from porchswing.audio.voices import PLUCKED

if TYPE_CHECKING:
    from numpy.typing import NDArray

_GROUP_FRAMES = 20_000
"""What a group of notes costs besides its frames, in frames: for sharing them out evenly."""


def rendered_notes(
    schedule: Schedule, rate_hz: int = 44100, threads: int = 1
) -> tuple[NDArray[np.float32], ...]:
    """Return the sounds of a schedule in the order of its keys, float32 mono.

    The loudness layers of one note are rendered together.
    """
    keys, needs_s = schedule.keys, schedule.needs_s
    groups: dict[NoteKey, list[int]] = {}
    for number, key in enumerate(keys):
        groups.setdefault(key._replace(layer=0), []).append(number)
    lengths = {
        key: round(max(needs_s[number] for number in members) * rate_hz) + 1
        for key, members in groups.items()
    }
    sounds = _room_for(groups, lengths, len(keys))
    # the longest first, each to the share with the least to do
    shares: list[list[NoteKey]] = [[] for _ in range(threads)]
    burdens = [0] * threads
    for key in sorted(groups, key=lambda key: -lengths[key]):
        least = burdens.index(min(burdens))
        shares[least].append(key)
        burdens[least] += lengths[key] * len(groups[key]) + _GROUP_FRAMES

    def work(share: int) -> None:
        for key in shares[share]:
            members = groups[key]
            layers = tuple(keys[number].layer for number in members)
            rendered = _layers(key, layers, lengths[key], rate_hz)
            for number, sound in zip(members, rendered, strict=True):
                sounds[number][:] = sound

    run_shares(work, threads)
    return tuple(sounds)


def _room_for(
    groups: Mapping[NoteKey, Sequence[int]], lengths: Mapping[NoteKey, int], count: int
) -> list[NDArray[np.float32]]:
    """Return an empty sound of the right length for every key, all in one shared stretch."""
    whole = shared_floats(sum(lengths[key] * len(members) for key, members in groups.items()))
    sounds: list[NDArray[np.float32]] = [whole[:0]] * count
    start = 0
    for key, members in groups.items():
        for number in members:
            sounds[number] = whole[start : start + lengths[key]]
            start += lengths[key]
    return sounds


def _layers(
    key: NoteKey, layers: tuple[int, ...], frames: int, rate_hz: int
) -> Sequence[NDArray[np.float32]]:
    """Return one note at several loudness layers."""
    if key.voice == "kit":
        row = STRUCK[key.piece]
        return list(struck.struck(row, key.variant, layers, frames, rate_hz))
    voice = PLUCKED[key.voice]
    read = frames_read(key.bends, frames) if key.bends else frames
    steady = pluck.plucked(voice, key.pitch, key.string, key.fret, key.touch, layers, read, rate_hz)
    if not key.bends:
        return list(steady)
    return [glide(sound, key.bends, frames, rate_hz) for sound in steady]
