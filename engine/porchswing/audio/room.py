"""The porch around the band: a stereo room response, convolved at half the sample rate.

The send is halved in rate, convolved with a generated response by overlap-save FFT and
doubled again. Quarter rate would be cheaper but leaves audible images; at half rate the
response itself carries almost nothing near the images. The response is noise whose highs die
first, behind a few early reflections, different left and right.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from porchswing.audio.noise import white

if TYPE_CHECKING:
    from numpy.typing import NDArray


class RoomRow(NamedTuple):
    """A room: its length, decays to 1/e low and high, band, and when its sound begins."""

    name: str
    seconds: float
    low_decay_s: float
    high_decay_s: float
    low_hz: float
    high_hz: float
    delay_s: float
    early: tuple[tuple[float, float, float], ...]
    early_gain: float


PORCH = RoomRow(
    "porch",
    seconds=0.52,
    low_decay_s=0.085,
    high_decay_s=0.030,
    low_hz=220.0,
    high_hz=5200.0,
    delay_s=0.006,
    # (seconds, left, right): the boards, the wall behind, the rail
    early=(
        (0.0047, 0.7, 0.4),
        (0.0083, 0.35, 0.65),
        (0.0127, 0.5, 0.3),
        (0.0179, 0.25, 0.45),
        (0.0241, 0.3, 0.2),
    ),
    early_gain=0.6,
)

_CENTRE = np.float32(0.5)
_TAPS = ((1, np.float32(150 / 512)), (3, np.float32(-25 / 512)), (5, np.float32(3 / 512)))
"""Half-band filter by Lagrange interpolation over six points: 11 taps."""

EDGE = 6
"""Half-rate samples the two rate changes need from before the block."""


def response(row: RoomRow, rate_hz: int, frames: int) -> NDArray[np.float32]:
    """Return the room's response, shape (2, frames), energy 1 a side, without DC."""
    time = np.arange(frames) / rate_hz
    sides = []
    for side in range(2):
        noise = white(0x706F726368 + side, frames).astype(np.float64)
        dull = _one_pole(noise, 1100.0, rate_hz)
        tail = dull * 0.9 * np.exp(-time / row.low_decay_s)
        tail += (noise - dull) * np.exp(-time / row.high_decay_s)
        tail *= np.clip((time - row.delay_s) / 0.012, 0.0, 1.0)
        tail /= np.sqrt(np.sum(tail**2))
        for at_s, *gains in row.early:
            tail[round(at_s * rate_hz)] += row.early_gain * gains[side]
        tail = _one_pole(_one_pole(tail, row.high_hz, rate_hz), row.high_hz, rate_hz)
        tail -= _one_pole(tail, row.low_hz, rate_hz)
        tail *= np.clip((row.seconds - time) / 0.05, 0.0, 1.0)
        tail -= tail.mean()
        sides.append(tail / np.sqrt(np.sum(tail**2)))
    return np.asarray(sides, np.float32)


def _one_pole(sound: NDArray[np.float64], hz: float, rate_hz: int) -> NDArray[np.float64]:
    """Return the sound through a one-pole low-pass, as a truncated convolution."""
    decay = np.exp(-2.0 * np.pi * hz / rate_hz)
    taps = int(min(sound.size, np.ceil(-12.0 / np.log(decay)))) + 1
    size = 1 << int(np.ceil(np.log2(sound.size + taps)))
    kernel = (1.0 - decay) * decay ** np.arange(taps)
    spectrum = np.fft.rfft(sound, size) * np.fft.rfft(kernel, size)
    return np.fft.irfft(spectrum, size)[: sound.size]


class Room:
    """A room at one rate and block length; :meth:`wet` is a pure function of its arguments."""

    def __init__(self, row: RoomRow, rate_hz: int, block_frames: int) -> None:
        self._half = block_frames // 2
        frames = round(row.seconds * rate_hz / 2)
        self._reach = frames + EDGE
        self.history_frames = 2 * (self._reach + EDGE)
        self._size = _fast_size(self._reach + self._half + EDGE)
        impulse = response(row, rate_hz // 2, frames)
        self._spectra = np.fft.rfft(impulse, self._size)

    def wet(
        self, before: NDArray[np.float32], send: NDArray[np.float32]
    ) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """Return the room's sound of one block as (even samples, odd samples), each (2, half).

        ``before`` are the last :attr:`history_frames` of the send before this block.
        """
        slow = _halve(np.concatenate((before, send)))
        spectrum = np.fft.rfft(slow, self._size) * self._spectra
        sound: NDArray[np.float32] = np.fft.irfft(spectrum, self._size)  # type: ignore[assignment]
        end = slow.size
        start = end - self._half
        even = sound[:, start - 3 : end - 3]
        odd = np.zeros_like(even)
        for reach, tap in _TAPS:
            step = (reach + 1) // 2
            near = sound[:, start - 3 + step : end - 3 + step]
            odd += (2.0 * tap) * (near + sound[:, start - 2 - step : end - 2 - step])
        return even, odd


def _halve(sound: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return every second sample through the half-band filter, five samples shorter each end."""
    centre = sound[6:-5:2] * _CENTRE
    for reach, tap in _TAPS:
        centre += tap * (sound[6 - reach : -5 - reach : 2] + sound[6 + reach :: 2][: centre.size])
    return centre


@lru_cache(maxsize=8)
def _fast_size(least: int) -> int:
    """Return the smallest even length of factors 2, 3 and 5 that is at least ``least``."""
    best = 1 << least.bit_length()
    five = 1
    while five < best:
        three = five
        while three < best:
            size = three * 2
            while size < least:
                size *= 2
            best = min(best, size)
            three *= 3
        five *= 5
    return best
