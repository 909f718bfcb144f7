"""True glides: all partials of a sounding note move together, as when a finger slides.

The steady note is read at a speed that follows the bend, ``2^(semitones / 12)``, by
four-point cubic interpolation (Catmull-Rom); below 5 kHz, where a plucked note lives, its
error stays under -60 dB at 44.1 kHz.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from porchswing.performance.model import Bend


def glide(
    steady: NDArray[np.float32], bends: tuple[Bend, ...], frames: int, rate_hz: int
) -> NDArray[np.float32]:
    """Return the note played along ``bends``: linear between points, held outside them.

    Where the last point is the note's own pitch, what follows it is the steady note itself.
    """
    moving = frames
    if bends[-1].semitones == 0.0:
        moving = min(frames, max(1, round(bends[-1].offset_s * rate_hz)))
    semitones = np.interp(
        np.arange(moving) / rate_hz,
        [bend.offset_s for bend in bends],
        [bend.semitones for bend in bends],
    )
    speed = np.exp2(semitones / 12.0)
    place = np.cumsum(speed) - speed[0]
    # begin less than a sample in, so that the glide ends on a whole one
    place += np.ceil(place[-1]) - place[-1]
    out = np.zeros(frames, np.float32)
    out[:moving] = read_at(steady, place)
    rest = steady[round(place[-1]) + 1 :][: frames - moving]
    out[moving : moving + rest.size] = rest
    return out


def frames_read(bends: tuple[Bend, ...], frames: int) -> int:
    """Return how many frames of the steady note a glide may read."""
    highest = max([0.0, *(bend.semitones for bend in bends)])
    return int(frames * 2.0 ** (highest / 12.0)) + 4


def read_at(sound: NDArray[np.float32], place: NDArray[np.float64]) -> NDArray[np.float32]:
    """Return the sound between its samples, zero outside it."""
    reach = min(sound.size, int(place[-1]) + 3)
    padded = np.concatenate((np.zeros(1, np.float32), sound[:reach], np.zeros(3, np.float32)))
    index = np.minimum(place.astype(np.int32), sound.size)
    t = (place - index).astype(np.float32)
    before, here, after, beyond = (padded[index + step] for step in range(4))
    slope = 0.5 * (after - before)
    curve = before - 2.5 * here + 2.0 * after - 0.5 * beyond
    cube = 0.5 * (beyond - before) + 1.5 * (here - after)
    out: NDArray[np.float32] = here + t * (slope + t * (curve + t * cube))
    return out
