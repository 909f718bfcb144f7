"""True peak by ITU-R BS.1770-4, annex 2: the largest value between the samples as well."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

TAPS = 24
"""Samples that a value between samples depends on."""

CHUNK = 32
"""Samples oversampled by one row of a product."""

PIECE = 64 * CHUNK
"""Samples judged at once: could there be a larger true peak among them?"""

EDGE_FRAMES = 32
"""More than half the interpolation filter: what a peak at an edge needs on either side."""


def planar_of(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return samples as (channels, frames) float32."""
    return np.ascontiguousarray(np.atleast_2d(np.asarray(samples, np.float32).T))


def true_peak(
    samples: NDArray[np.float32], rate_hz: int, floor: float = 0.0, *, edges: bool = True
) -> float:
    """Return the largest absolute value between the samples as well (BS.1770-4, annex 2).

    The signal, shape (channels, frames), is oversampled four times (twice from 80 kHz on), but
    only in pieces where a value between samples could pass the largest found so far, which
    changes nothing of the result: some 1 in 100 of rendered music (oversampling wherever there
    was a sample as large as 1/2.25 of the largest took three times as long). Peaks below
    ``floor`` are not sought. Without ``edges`` the first and last :data:`EDGE_FRAMES` are only
    there for what lies between them.
    """
    return peak_and_bounds(samples, rate_hz, floor, edges=edges)[0]


def peak_and_bounds(
    samples: NDArray[np.float32], rate_hz: int, floor: float = 0.0, *, edges: bool = True
) -> tuple[float, NDArray[np.float32]]:
    """Return the true peak as :func:`true_peak` does, and a value that it cannot pass, by piece.

    The second is found from the samples alone, whatever the floor; :func:`bounds_from` says where
    its pieces lie.
    """
    times = _times(rate_hz)
    if edges:
        samples = np.pad(samples, ((0, 0), (EDGE_FRAMES, EDGE_FRAMES + PIECE)))
    reach = PIECE + TAPS - 1
    last = samples.shape[1] - reach
    starts = np.minimum(np.arange(0, last + PIECE, PIECE), last)
    bounds = np.stack((starts, starts + reach), axis=1).ravel()[:-1]
    size = _largest(samples, bounds)
    best = max(floor, float(size.max()))
    could_be = size + np.float32(_leap(times)) * _largest(np.diff(samples, axis=1), bounds)
    for place in np.argsort(-could_be, axis=None).tolist():
        channel, piece = divmod(place, starts.size)
        if could_be[channel, piece] <= best:
            break
        sound = samples[channel, starts[piece] : starts[piece] + reach]
        windows = np.lib.stride_tricks.sliding_window_view(sound, CHUNK + TAPS - 1)[::CHUNK]
        between = np.ascontiguousarray(windows) @ _interpolator(times)
        best = max(best, float(between.max()), -float(between.min()))
    return best, could_be.max(axis=0)


def bounds_from(
    found: Iterable[tuple[int, NDArray[np.float32]]], frames: int
) -> NDArray[np.float32]:
    """Return for every :data:`PIECE` frames of a sound a value that no true peak in them passes.

    ``found`` are the frames at which samples given to :func:`peak_and_bounds` began, with the
    bounds it found.
    """
    bounds = np.zeros(-(-frames // PIECE), np.float32)
    for start, some in found:
        firsts = start - EDGE_FRAMES + PIECE * np.arange(some.size)
        for reached in (firsts, firsts + PIECE, firsts + PIECE + 2 * EDGE_FRAMES):
            np.maximum.at(bounds, np.clip(reached // PIECE, 0, bounds.size - 1), some)
    return bounds


def piece_peaks(
    read: Callable[[int, int], NDArray[np.float32]], first: int, last: int, rate_hz: int
) -> NDArray[np.float32]:
    """Return the true peak of each :data:`CHUNK` frames of pieces ``first`` to ``last``.

    The larger of both channels, shape (pieces, cells). ``read`` returns frames from one number to
    another, shape (2, frames). Every piece is a product of one shape on one grid, so a cell's peak
    does not depend on which pieces are asked for.
    """
    before = TAPS // 2 - 1
    sound = read(first * PIECE - before, last * PIECE + TAPS - before - 1)
    windows = np.lib.stride_tricks.sliding_window_view(sound, CHUNK + TAPS - 1, axis=1)
    rows = windows[:, ::CHUNK].reshape(2, last - first, PIECE // CHUNK, -1)
    between = np.abs(rows @ _interpolator(_times(rate_hz))).max(axis=(0, 3))
    own = np.abs(sound[:, before : before + (last - first) * PIECE]).reshape(*rows.shape[:3], CHUNK)
    peaks: NDArray[np.float32] = np.maximum(between, own.max(axis=(0, 3)))
    return peaks


def _times(rate_hz: int) -> int:
    """Return how often true peaks are oversampled at a rate."""
    return 2 if rate_hz >= 80000 else 4


def _largest(samples: NDArray[np.float32], bounds: NDArray[np.intp]) -> NDArray[np.float32]:
    """Return the largest absolute value from every even bound to the next, by channel."""
    high = np.maximum.reduceat(samples, bounds, axis=1)
    low = np.minimum.reduceat(samples, bounds, axis=1)
    largest: NDArray[np.float32] = np.maximum(high, -low)[:, ::2]
    return largest


@lru_cache(maxsize=2)
def _leap(times: int) -> float:
    """Return how far a value between samples can pass them all, in largest steps between them.

    The interpolation filter is the straight line between two samples plus a filter whose taps
    add up to 0, which is a filter of the steps from sample to sample: their running sum. A
    value is at most the larger neighbour plus the largest step times the sizes of that sum.
    """
    straight = np.zeros((TAPS, times - 1))
    straight[TAPS // 2] = np.arange(1, times) / times
    straight[TAPS // 2 - 1] = 1.0 - straight[TAPS // 2]
    return float(np.abs(np.cumsum(_kernel(times) - straight, axis=0)).sum(axis=0).max())


@lru_cache(maxsize=2)
def _kernel(times: int) -> NDArray[np.float64]:
    """Return the interpolation filter, shape (TAPS, times - 1): windowed sinc per phase."""
    phase = np.arange(1, times) / times
    place = np.arange(TAPS)[:, None] - (TAPS // 2 - 1) - phase[None, :]
    window = np.i0(7.0 * np.sqrt(np.maximum(0.0, 1.0 - (place / (TAPS / 2)) ** 2))) / np.i0(7.0)
    kernel = np.sinc(place) * window
    normed: NDArray[np.float64] = kernel / kernel.sum(axis=0)
    return normed


@lru_cache(maxsize=2)
def _interpolator(times: int) -> NDArray[np.float32]:
    """Return the matrix from one chunk and its neighbours to the values between its samples."""
    kernel, phases = _kernel(times), times - 1
    table = np.zeros((CHUNK + TAPS - 1, CHUNK * phases), np.float32)
    for place in range(CHUNK):
        table[place : place + TAPS, place * phases : (place + 1) * phases] = kernel
    return table
