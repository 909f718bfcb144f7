"""Sums of decaying sines as one small matrix product.

A note is ``K`` partials ``c_k exp((-a_k + i w_k) t)``. With ``t = n B + m`` (``B`` samples a
row) the sum over ``k`` splits into ``E`` (rows by ``K``, the partials at the start of every
row) times ``F`` (``K`` by ``B``, the partials inside one row). Both tables are powers of one
complex number per partial, made by repeated doubling in float64, so that the tuning is exact
to the rounding of float64; only the product itself is float32.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

ROW = 128
"""Samples in one row of the product; 128 was the fastest of 32 to 512 tried."""

SHORTEST_SPLIT = 4096
"""From four times so many frames on, partials that have died are dropped on the way."""

INAUDIBLE = 1e-5
"""A partial this far (100 dB) under the strongest one at the start is dropped."""


def powers(base: NDArray[np.complex128], count: int) -> NDArray[np.complex128]:
    """Return ``base ** 0 … base ** (count - 1)``, shape (count, K), by repeated doubling."""
    table = np.empty((count, base.size), np.complex128)
    table[0] = 1.0
    filled, step = 1, base
    while filled < count:
        take = min(filled, count - filled)
        np.multiply(table[:take], step, out=table[filled : filled + take])
        filled, step = filled * 2, step * step
    return table


def decaying_sines(
    coefficients: NDArray[np.complex128],
    hz: NDArray[np.float64],
    decay_per_s: NDArray[np.float64],
    frames: int,
    rate_hz: int,
) -> NDArray[np.float32]:
    """Return the real part of ``sum_k c_k exp((-a_k + 2 pi i f_k) t)`` for each row of ``c``.

    Parameters
    ----------
    coefficients
        Complex amplitudes, shape (layers, K): several loudness layers share one product.
    hz, decay_per_s
        Frequency and amplitude decay of each partial, shape (K,).
    frames, rate_hz
        How many samples, at which rate.

    Returns
    -------
    numpy.ndarray
        float32, shape (layers, frames).
    """
    sound = np.empty((coefficients.shape[0], -(-frames // ROW), ROW), np.float32)
    split = frames // 4 // ROW
    if split * ROW < SHORTEST_SPLIT:
        _fill(sound, coefficients, hz, decay_per_s, rate_hz)
    else:
        # after a quarter of the time most high partials are below hearing: go on without them
        grown = np.exp((2j * np.pi * hz - decay_per_s) * (split * ROW / rate_hz))
        later = coefficients * grown
        stay = np.abs(later).max(axis=0) > INAUDIBLE * np.abs(coefficients).max()
        _fill(sound[:, :split], coefficients, hz, decay_per_s, rate_hz)
        _fill(sound[:, split:], later[:, stay], hz[stay], decay_per_s[stay], rate_hz)
    return sound.reshape(coefficients.shape[0], -1)[:, :frames]


def _fill(
    sound: NDArray[np.float32],
    coefficients: NDArray[np.complex128],
    hz: NDArray[np.float64],
    decay_per_s: NDArray[np.float64],
    rate_hz: int,
) -> None:
    """Write the sum of all partials to a sound, shape (layers, rows, ROW), as one product."""
    step = (2j * np.pi * hz - decay_per_s) / rate_hz
    inside = np.conj(powers(np.exp(step), ROW)).astype(np.complex64).view(np.float32)
    starts = powers(np.exp(step * ROW), sound.shape[1]).astype(np.complex64)
    left = coefficients.astype(np.complex64, order="C")[:, None, :] * starts
    np.matmul(left.view(np.float32), inside.T, out=sound)
