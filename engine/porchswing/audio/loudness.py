"""Programme loudness and true peak by ITU-R BS.1770-4, in numpy alone.

The K-weighting is two second-order filters. They run here as a block product: inside rows of
:data:`ROW` samples the output is the row times a triangular matrix, and the four numbers of
state that pass from row to row are solved by doubling. Filter figures for any rate: the
analogue prototype behind the standard's 48 kHz table (shelf 1681.97 Hz, +3.99984 dB, Q 0.70718;
high-pass 38.1355 Hz, Q 0.50033), bilinear transform.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

ROW = 64
STEPS_PER_BLOCK = 4
"""A gating block is 400 ms and moves by 100 ms (75 % overlap)."""

ABSOLUTE_GATE_LUFS = -70.0
RELATIVE_GATE_LU = -10.0
OFFSET_LUFS = -0.691
CHUNK = 64


class Biquad(NamedTuple):
    """Second-order section, ``a0`` being 1."""

    b0: float
    b1: float
    b2: float
    a1: float
    a2: float


def k_weighting(rate_hz: int) -> tuple[Biquad, Biquad]:
    """Return the two sections of the K-weighting at a rate.

    >>> [round(number, 5) for number in k_weighting(48000)[0]]
    [1.53512, -2.69169, 1.19839, -1.69066, 0.73248]
    """
    k = math.tan(math.pi * 1681.974450955533 / rate_hz)
    high, q = 10.0 ** (3.999843853973347 / 20.0), 0.7071752369554196
    band = high**0.4996667741545416
    norm = 1.0 + k / q + k * k
    shelf = Biquad(
        (high + band * k / q + k * k) / norm,
        2.0 * (k * k - high) / norm,
        (high - band * k / q + k * k) / norm,
        2.0 * (k * k - 1.0) / norm,
        (1.0 - k / q + k * k) / norm,
    )
    k, q = math.tan(math.pi * 38.13547087602444 / rate_hz), 0.5003270373238773
    norm = 1.0 + k / q + k * k
    return shelf, Biquad(1.0, -2.0, 1.0, 2.0 * (k * k - 1.0) / norm, (1.0 - k / q + k * k) / norm)


class _BlockFilter(NamedTuple):
    """The cascade over one row: output from input and state, state from input and state."""

    row: NDArray[np.float32]
    from_state: NDArray[np.float64]
    to_state: NDArray[np.float64]
    carry: NDArray[np.float64]


@lru_cache(maxsize=4)
def _block_filter(rate_hz: int) -> _BlockFilter:
    """Return the K-weighting at a rate as matrices over rows (transposed, for row vectors)."""
    a, b, c, d = _state_space(k_weighting(rate_hz))
    observe = np.empty((ROW, 4))
    power = np.eye(4)
    control = np.empty((ROW, 4))
    for place in range(ROW):
        observe[place] = c @ power
        control[ROW - 1 - place] = power @ b
        power = a @ power
    impulse = np.concatenate(([d], observe[:-1] @ b))
    lag = np.arange(ROW)[None, :] - np.arange(ROW)[:, None]
    row = np.where(lag >= 0, impulse[np.maximum(lag, 0)], 0.0)
    return _BlockFilter(row.astype(np.float32), observe.T.copy(), control, power.T.copy())


def _state_space(
    sections: tuple[Biquad, Biquad],
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], float]:
    """Return A, b, c, d of two sections in a row (transposed direct form II)."""
    one, two = sections
    a = np.zeros((4, 4))
    a[0] = [-one.a1, 1.0, 0.0, 0.0]
    a[1] = [-one.a2, 0.0, 0.0, 0.0]
    gain = np.array([two.b1 - two.a1 * two.b0, two.b2 - two.a2 * two.b0])
    a[2:, 0] = gain
    a[2] += [0.0, 0.0, -two.a1, 1.0]
    a[3] += [0.0, 0.0, -two.a2, 0.0]
    b = np.array([one.b1 - one.a1 * one.b0, one.b2 - one.a2 * one.b0, *(gain * one.b0)])
    return a, b, np.array([two.b0, 0.0, 1.0, 0.0]), one.b0 * two.b0


def k_weighted(samples: NDArray[np.float32], rate_hz: int) -> NDArray[np.float32]:
    """Return channels (channels, frames) through the K-weighting, from silence."""
    channels, frames = samples.shape
    rows = -(-frames // ROW)
    padded = samples
    if rows * ROW != frames:
        padded = np.zeros((channels, rows * ROW), np.float32)
        padded[:, :frames] = samples
    table = _block_filter(rate_hz)
    sound = np.ascontiguousarray(padded, np.float32).reshape(channels * rows, ROW)
    states = _states(sound @ table.to_state.astype(np.float32), table.carry, channels)
    out = sound @ table.row
    out += states.astype(np.float32) @ table.from_state.astype(np.float32)
    return out.reshape(channels, rows * ROW)[:, :frames]


def _states(
    driven: NDArray[np.float32], carry: NDArray[np.float64], channels: int
) -> NDArray[np.float64]:
    """Return the state before every row: ``s[n+1] = s[n] carry + driven[n]``, by doubling."""
    states = np.zeros((channels, driven.shape[0] // channels, 4))
    states[:, 1:] = driven.reshape(channels, -1, 4)[:, :-1]
    reach = 1
    while reach < states.shape[1]:
        states[:, reach:] += states[:, :-reach] @ carry
        carry = carry @ carry
        if np.abs(carry).max() < 1e-12:
            break
        reach *= 2
    return states.reshape(-1, 4)


def step_energies(samples: NDArray[np.float32], rate_hz: int) -> NDArray[np.float64]:
    """Return the K-weighted energy of every whole 100 ms step, summed over the channels.

    ``samples`` has shape (channels, frames); both channels count fully (left and right).
    """
    step = step_frames(rate_hz)
    count = samples.shape[1] // step
    weighted = k_weighted(samples, rate_hz)[:, : count * step].reshape(-1, count, step)
    energies: NDArray[np.float64] = np.einsum("cns,cns->n", weighted, weighted) / np.float64(step)
    return energies


def step_frames(rate_hz: int) -> int:
    """Return the frames of one 100 ms step."""
    return round(rate_hz / 10)


def gated_lufs(energies: NDArray[np.float64]) -> float:
    """Return the integrated loudness of 100 ms step energies (``-inf`` for silence)."""
    if energies.size < STEPS_PER_BLOCK:
        mean = float(energies.mean()) if energies.size else 0.0
        return _lufs(mean) if _lufs(mean) > ABSOLUTE_GATE_LUFS else -math.inf
    blocks = _sliding_mean(energies, STEPS_PER_BLOCK)
    loud = blocks[blocks > _energy(ABSOLUTE_GATE_LUFS)]
    if not loud.size:
        return -math.inf
    gate = _energy(_lufs(float(loud.mean())) + RELATIVE_GATE_LU)
    return _lufs(float(loud[loud > gate].mean()))


def sliding_lufs(energies: NDArray[np.float64], steps: int = 30) -> NDArray[np.float64]:
    """Return loudness over a sliding window (30 steps: short-term, 4: momentary), in LUFS."""
    if energies.size < steps:
        return np.empty(0)
    return OFFSET_LUFS + 10.0 * np.log10(np.maximum(_sliding_mean(energies, steps), 1e-12))


def _sliding_mean(energies: NDArray[np.float64], steps: int) -> NDArray[np.float64]:
    total = np.concatenate(([0.0], np.cumsum(energies)))
    return (total[steps:] - total[:-steps]) / steps


def _lufs(energy: float) -> float:
    return OFFSET_LUFS + 10.0 * math.log10(energy) if energy > 0.0 else -math.inf


def _energy(lufs: float) -> float:
    return float(10.0 ** ((lufs - OFFSET_LUFS) / 10.0))


def integrated_lufs(samples: NDArray[np.float32], rate_hz: int) -> float:
    """Return the integrated loudness in LUFS of samples, shape (frames,) or (frames, channels).

    Mono counts as one channel; more than two channels are not weighted as surround.
    """
    return gated_lufs(step_energies(_planar(samples), rate_hz))


def true_peak_dbtp(samples: NDArray[np.float32], rate_hz: int) -> float:
    """Return the true peak in dBTP of samples, shape (frames,) or (frames, channels)."""
    peak = true_peak(_planar(samples), rate_hz)
    return 20.0 * math.log10(peak) if peak > 0.0 else -math.inf


def _planar(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return samples as (channels, frames) float32."""
    planar = np.atleast_2d(np.asarray(samples, np.float32).T)
    return np.ascontiguousarray(planar)


def true_peak(samples: NDArray[np.float32], rate_hz: int, floor: float = 0.0) -> float:
    """Return the largest absolute value between the samples as well (BS.1770-4, annex 2).

    The signal is oversampled four times (twice from 96 kHz on). Only chunks whose samples
    are large enough that a value between them could pass the largest found so far are
    oversampled, which changes nothing of the result. Peaks below ``floor`` are not sought.
    """
    table = _interpolator(2 if rate_hz >= 80000 else 4)
    reach = table.shape[0] - CHUNK
    frames = samples.shape[1]
    chunks = -(-frames // CHUNK)
    padded = np.zeros((samples.shape[0], chunks * CHUNK + reach), np.float32)
    padded[:, reach // 2 : reach // 2 + frames] = samples
    body = np.abs(padded[:, reach // 2 : reach // 2 + chunks * CHUNK])
    peaks = body.reshape(samples.shape[0], chunks, CHUNK).max(axis=2)
    wide = np.pad(peaks, ((0, 0), (1, 1)))
    local = np.maximum(np.maximum(wide[:, :-2], wide[:, 2:]), peaks)
    best = max(floor, float(peaks.max(initial=0.0)))
    bound = float(np.abs(_kernel(4)).sum(axis=0).max())
    order = np.argsort(local, axis=None)[::-1]
    for start in range(0, order.size, 256):
        some = order[start : start + 256]
        if float(local.flat[some[0]]) * bound <= best:
            break
        channel, chunk = np.divmod(some, chunks)
        index = (channel * padded.shape[1] + chunk * CHUNK)[:, None] + np.arange(table.shape[0])
        best = max(best, float(np.abs(padded.reshape(-1)[index] @ table).max()))
    return best


@lru_cache(maxsize=2)
def _kernel(times: int, taps: int = 24) -> NDArray[np.float64]:
    """Return the interpolation filter, shape (taps, times - 1): windowed sinc per phase."""
    phase = np.arange(1, times) / times
    place = np.arange(taps)[:, None] - (taps // 2 - 1) - phase[None, :]
    window = np.i0(7.0 * np.sqrt(np.maximum(0.0, 1.0 - (place / (taps / 2)) ** 2))) / np.i0(7.0)
    kernel = np.sinc(place) * window
    normed: NDArray[np.float64] = kernel / kernel.sum(axis=0)
    return normed


@lru_cache(maxsize=2)
def _interpolator(times: int) -> NDArray[np.float32]:
    """Return the matrix from one chunk and its neighbours to the values between its samples."""
    kernel = _kernel(times)
    taps, phases = kernel.shape
    table = np.zeros((CHUNK + taps - 1, CHUNK * phases), np.float32)
    for place in range(CHUNK):
        table[place : place + taps, place * phases : (place + 1) * phases] = kernel
    return table
