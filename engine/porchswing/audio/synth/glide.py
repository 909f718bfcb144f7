"""True glides: all partials of a sounding note move together, as when a finger slides.

The steady note is read at a speed that follows the bend, ``2^(semitones / 12)``, by
four-point cubic interpolation (Catmull-Rom); below 5 kHz, where a plucked note lives, its
error stays under -60 dB at 44.1 kHz.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from porchswing.performance.model import Bend


def glide(
    steady: NDArray[np.float32], bends: tuple[Bend, ...], frames: int, rate_hz: int
) -> NDArray[np.float32]:
    """Return the note played along ``bends``: linear between points, held outside them.

    Where the last point is the note's own pitch, what follows it is the steady note itself.
    ``steady`` has at least :func:`frames_read` frames.
    """
    moving = frames
    if bends[-1].semitones == 0.0:
        moving = min(frames, max(1, round(bends[-1].offset_s * rate_hz)))
    place = _place(bends, moving, rate_hz)
    out = np.empty(frames, np.float32)
    out[:moving] = _read_at(steady, place)
    rest = steady[place.landed :][: frames - moving]
    out[moving : moving + rest.size] = rest
    out[moving + rest.size :] = 0.0
    return out


class _Place(NamedTuple):
    """Where a glide reads the steady note: whole samples and parts of one; where it lands."""

    whole: NDArray[np.intp]
    part: NDArray[np.float32]
    landed: int


@lru_cache(maxsize=1)
def _place(bends: tuple[Bend, ...], moving: int, rate_hz: int) -> _Place:
    """Return where a glide reads: two thirds of its work, and a chord's strings glide together."""
    semitones = np.interp(
        np.arange(moving) / rate_hz,
        [bend.offset_s for bend in bends],
        [bend.semitones for bend in bends],
    )
    speed = np.exp2(semitones / 12.0)
    place = np.cumsum(speed) - speed[0]
    # begin less than a sample in, so that the glide ends on a whole one
    place += np.ceil(place[-1]) - place[-1]
    whole = place.astype(np.intp)
    return _Place(whole, (place - whole).astype(np.float32), round(place[-1]) + 1)


def frames_read(bends: tuple[Bend, ...], frames: int) -> int:
    """Return how many frames of the steady note a glide may read."""
    highest = max([0.0, *(bend.semitones for bend in bends)])
    return int(frames * 2.0 ** (highest / 12.0)) + 4


def _read_at(sound: NDArray[np.float32], place: _Place) -> NDArray[np.float32]:
    """Return the sound between its samples, zero outside it."""
    needed = sound[: place.landed + 2]
    padded = np.concatenate((np.zeros(1, np.float32), needed, np.zeros(3, np.float32)))
    before, here, after, beyond = (padded[step:][place.whole] for step in range(4))
    t = place.part
    slope = 0.5 * (after - before)
    curve = before - 2.5 * here + 2.0 * after - 0.5 * beyond
    cube = 0.5 * (beyond - before) + 1.5 * (here - after)
    out: NDArray[np.float32] = here + t * (slope + t * (curve + t * cube))
    return out
