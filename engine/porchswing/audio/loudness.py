"""Programme loudness and true peak by ITU-R BS.1770-4, in numpy alone.

The K-weighting is two second-order filters. They run here as a block product: inside rows of
about 64 samples the output is the row times a triangular matrix, and the four numbers of
state that pass from row to row are solved in groups of rows, by matrices again. Filter
figures for any rate: the analogue prototype behind the standard's 48 kHz table (shelf
1681.97 Hz, +3.99984 dB, Q 0.70718; high-pass 38.1355 Hz, Q 0.50033), bilinear transform.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

STEPS_PER_BLOCK = 4
"""A gating block is 400 ms and moves by 100 ms (75 % overlap)."""

ABSOLUTE_GATE_LUFS = -70.0
RELATIVE_GATE_LU = -10.0
OFFSET_LUFS = -0.691
CHUNK = 32
"""Samples oversampled at once where a true peak may be."""

GROUP = 32
"""Rows whose states are found at once."""

PIECE_STEPS = 21
"""Steps measured at once: a rendered block and its run-up."""


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
    """The cascade over one row, for row vectors.

    ``row`` gives the output from the input, ``to_state`` what the input leaves in the state,
    ``from_state`` what the state adds to the output, ``carry`` the state after a silent row from
    the one before it.
    """

    row: NDArray[np.float32]
    to_state: NDArray[np.float32]
    from_state: NDArray[np.float32]
    carry: NDArray[np.float64]


class _Ladder(NamedTuple):
    """A state's way over ``count`` rungs, from what each of them leaves in it.

    ``within`` gives the states before every rung, ``onward`` the one after the last, ``spread``
    what a state before the first is before every rung, ``carry`` what it is after the last.
    """

    within: NDArray[np.float64]
    onward: NDArray[np.float64]
    spread: NDArray[np.float64]
    carry: NDArray[np.float64]


@lru_cache(maxsize=4)
def _block_filter(rate_hz: int, length: int) -> _BlockFilter:
    """Return the K-weighting at a rate as matrices over rows of ``length`` samples."""
    a, b, c, d = _state_space(k_weighting(rate_hz))
    observe = np.empty((length, 4))
    control = np.empty((length, 4))
    power = np.eye(4)
    for place in range(length):
        observe[place] = c @ power
        control[length - 1 - place] = power @ b
        power = a @ power
    impulse = np.concatenate(([d], observe[:-1] @ b))
    lag = np.arange(length)[None, :] - np.arange(length)[:, None]
    row = np.where(lag >= 0, impulse[np.maximum(lag, 0)], 0.0)
    return _BlockFilter(
        row.astype(np.float32), control.astype(np.float32), observe.T.astype(np.float32), power.T
    )


@lru_cache(maxsize=8)
def _ladders(rate_hz: int, length: int, groups: int) -> tuple[_Ladder, _Ladder]:
    """Return the ladder over the rows of a group, and over the groups."""
    rows = _ladder(_block_filter(rate_hz, length).carry, GROUP)
    return rows, _ladder(rows.carry, groups)


def _ladder(carry: NDArray[np.float64], count: int) -> _Ladder:
    powers = [np.eye(4)]
    for _ in range(count):
        powers.append(powers[-1] @ carry)
    within = np.zeros((count, 4, count, 4))
    for source in range(count):
        for target in range(source + 1, count):
            within[source, :, target] = powers[target - source - 1]
    return _Ladder(
        within.reshape(count * 4, count * 4),
        np.concatenate(powers[count - 1 :: -1]),
        np.concatenate(powers[:count], axis=1),
        powers[count],
    )


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


@lru_cache(maxsize=4)
def row_frames(step: int) -> int:
    """Return a row length near 64 that divides a step, or 64 where none does.

    >>> row_frames(4410), row_frames(4800)
    (63, 64)
    """
    return next((size for size in (64, 63, 60, 58, 56, 50, 49, 48, 40) if step % size == 0), 64)


def _k_weighted(samples: NDArray[np.float32], rate_hz: int) -> NDArray[np.float32]:
    """Return channels (channels, frames) through the K-weighting, from silence."""
    channels, frames = samples.shape
    length = row_frames(step_frames(rate_hz))
    rows = -(-frames // length)
    if rows * length != frames:
        padded = np.zeros((channels, rows * length), np.float32)
        padded[:, :frames] = samples
        samples = padded
    table = _block_filter(rate_hz, length)
    sound = np.ascontiguousarray(samples, np.float32).reshape(channels * rows, length)
    states = _states(sound @ table.to_state, rate_hz, length, channels)
    out = sound @ table.row
    out += states @ table.from_state
    return out.reshape(channels, rows * length)[:, :frames]


def _states(
    driven: NDArray[np.float32], rate_hz: int, length: int, channels: int
) -> NDArray[np.float32]:
    """Return the state before every row from what each row leaves in it, shape (rows, 4)."""
    rows = driven.shape[0] // channels
    groups = -(-rows // GROUP)
    by_row, by_group = _ladders(rate_hz, length, groups)
    left = np.zeros((channels, groups * GROUP, 4))
    left[:, :rows] = driven.reshape(channels, rows, 4)
    left = left.reshape(channels * groups, GROUP * 4)
    starts = (left @ by_row.onward).reshape(channels, groups * 4) @ by_group.within
    states = left @ by_row.within
    states += starts.reshape(channels * groups, 4) @ by_row.spread
    return states.reshape(channels, groups * GROUP, 4)[:, :rows].reshape(-1, 4).astype(np.float32)


def step_energies(samples: NDArray[np.float32], rate_hz: int) -> NDArray[np.float64]:
    """Return the K-weighted energy of every whole 100 ms step, summed over the channels.

    ``samples`` has shape (channels, frames); both channels count fully (left and right). Long
    sounds are measured in pieces, each with a step of run-up, which leaves 1e-9 of the filter's
    memory behind.
    """
    step = step_frames(rate_hz)
    count = samples.shape[1] // step
    pieces = []
    for start in range(0, count, PIECE_STEPS):
        first, last = max(0, start - 1), min(count, start + PIECE_STEPS)
        weighted = _k_weighted(samples[:, first * step : last * step], rate_hz)
        by_step = weighted.reshape(samples.shape[0], last - first, step)
        pieces.append(np.einsum("cns,cns->n", by_step, by_step)[start - first :])
    return np.concatenate(pieces).astype(np.float64) / step if pieces else np.empty(0)


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

    The signal, shape (channels, frames), is oversampled four times (twice from 80 kHz on), but
    only near samples large enough that a value between them could pass the largest found so
    far, which changes nothing of the result. Peaks below ``floor`` are not sought.
    """
    table = _interpolator(2 if rate_hz >= 80000 else 4)
    width = table.shape[0]
    margin = (width - CHUNK) // 2
    channels, frames = samples.shape
    padded = np.zeros((channels, frames + CHUNK + 2 * margin), np.float32)
    padded[:, margin : margin + frames] = samples
    sizes = np.abs(padded).reshape(-1)
    flat = padded.reshape(-1)
    loudest = int(sizes.argmax())
    best = max(floor, float(sizes[loudest]))
    if best <= 0.0:
        return best
    windows = np.lib.stride_tricks.sliding_window_view(flat, width)
    first = min(max(0, loudest - margin - CHUNK // 2), windows.shape[0] - 1)
    best = max(best, float(np.abs(windows[first] @ table).max()))
    large = np.flatnonzero(sizes > best / _overshoot()) // CHUNK
    if not large.size:
        return best
    # a value between samples depends on samples up to 12 away: its own chunk or the next
    chunks = np.unique(np.concatenate((large - 1, large, large + 1)))
    starts = np.clip(chunks * CHUNK - margin, 0, windows.shape[0] - 1)
    for some in np.array_split(starts, -(-starts.size // 512)):
        best = max(best, float(np.abs(windows[some] @ table).max()))
    return best


@lru_cache(maxsize=1)
def _overshoot() -> float:
    """Return how far a value between samples can pass all samples near it."""
    return float(np.abs(_kernel(4)).sum(axis=0).max())


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
