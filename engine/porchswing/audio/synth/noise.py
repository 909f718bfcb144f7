"""Noise that is the same on every machine: a counter-based generator and shaped bursts.

The generator is SplitMix64 (Steele, Lea & Flood, "Fast splittable pseudorandom number
generators", OOPSLA 2014) run over a counter, so any stretch of it can be made at once and
nothing depends on the release of a library.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

_GAMMA = 0x9E3779B97F4A7C15
_MIX_A = np.uint64(0xBF58476D1CE4E5B9)
_MIX_B = np.uint64(0x94D049BB133111EB)


def random_bits(seed: int, count: int) -> NDArray[np.uint64]:
    """Return ``count`` 64-bit words of the SplitMix64 stream that starts at ``seed``."""
    state = np.arange(1, count + 1, dtype=np.uint64)
    state *= np.uint64(_GAMMA)
    state += np.uint64(seed & 0xFFFFFFFFFFFFFFFF)
    shifted = state >> np.uint64(30)
    state ^= shifted
    state *= _MIX_A
    np.right_shift(state, np.uint64(27), out=shifted)
    state ^= shifted
    state *= _MIX_B
    np.right_shift(state, np.uint64(31), out=shifted)
    state ^= shifted
    return state


def uniform(seed: int, count: int) -> NDArray[np.float64]:
    """Return ``count`` numbers evenly spread over 0 to 1 (1 excluded)."""
    return (random_bits(seed, count) >> np.uint64(11)).astype(np.float64) * 2.0**-53


def white(seed: int, frames: int) -> NDArray[np.float32]:
    """Return white noise of variance 1 (evenly distributed), float32."""
    words = random_bits(seed, -(-frames // 2)).view(np.int32)[:frames]
    return words.astype(np.float32) * np.float32(3.0**0.5 / 2.0**31)


def band_noise(
    seed: int, frames: int, low_hz: float, high_hz: float, rate_hz: int
) -> NDArray[np.float32]:
    """Return noise of variance 1 with most of its energy between two frequencies.

    The band has a second-order shoulder below and a fourth-order one above, shaped in the
    frequency domain; the result has no DC.
    """
    size = even_size(frames)
    spectrum = np.fft.rfft(white(seed, size))
    hz = np.arange(1, spectrum.size, dtype=np.float32) * np.float32(rate_hz / size)
    # squares of squares, which take a third of the time of powers
    below = np.square(np.square(np.float32(low_hz) / hz))
    above = np.square(np.square(np.square(hz / np.float32(high_hz))))
    spectrum[0] = 0.0
    spectrum[1:] /= np.sqrt((1.0 + below) * (1.0 + above))
    sound = np.fft.irfft(spectrum, size)[:frames]
    scale = np.sqrt(np.mean(np.square(sound))) or np.float32(1.0)
    return (sound / scale).astype(np.float32)


def even_size(frames: int) -> int:
    """Return a length at least ``frames`` that the FFT likes: a power of two times 1 or 3/4."""
    size = 16
    while size < frames:
        size *= 2
    return size * 3 // 4 if size * 3 // 4 >= frames and size >= 64 else size


@lru_cache(maxsize=1)
def dither_table() -> NDArray[np.float32]:
    """Return triangular (TPDF) dither of one step each way, made once and read at any offset.

    Fresh noise for a whole track costs more than the rest of the mastering; a table of 2**17
    values (three seconds' worth) read from a different offset for every block is as good to the
    ear.
    Triangular density of two steps' width: Lipshitz, Wannamaker & Vanderkooy, JAES 40(5), 1992.
    """
    words = random_bits(0x64697468, 1 << 17).view(np.uint32).reshape(-1, 2)
    pair = words.astype(np.float32) * np.float32(2.0**-32)
    return np.ascontiguousarray(pair[:, 0] - pair[:, 1])
