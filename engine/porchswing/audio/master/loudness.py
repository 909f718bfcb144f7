"""Programme loudness by ITU-R BS.1770-4: energies of 100 ms steps, and the gate.

Numbers in brackets are the equations of the standard's annex 1.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from porchswing.audio.master.k_weighting import k_weighted, row_frames
from porchswing.audio.master.true_peak import planar_of
from porchswing.units import step_frames

if TYPE_CHECKING:
    from numpy.typing import NDArray

STEPS_PER_BLOCK = 4
"""A gating block is 400 ms and moves by 100 ms (75 % overlap)."""

ABSOLUTE_GATE_LUFS = -70.0
RELATIVE_GATE_LU = -10.0
OFFSET_LUFS = -0.691

GAIN_PASSES, GAIN_WITHIN_LU = 3, 0.01
"""How often a gain is tried again, and how near its loudness must come (ours)."""

PIECE_STEPS = 21
"""Steps measured at once: a rendered block and its run-up."""


def step_energies(samples: NDArray[np.float32], rate_hz: int) -> NDArray[np.float64]:
    """Return the K-weighted energy of every whole 100 ms step, summed over the channels.

    ``samples`` has shape (channels, frames); both channels count fully (left and right). Long
    sounds are measured in pieces, each with a step of run-up, which leaves 1e-9 of the filter's
    memory behind.
    """
    step = step_frames(rate_hz)
    channels, count = samples.shape[0], samples.shape[1] // step
    pieces = []
    for start in range(0, count, PIECE_STEPS):
        first, last = max(0, start - 1), min(count, start + PIECE_STEPS)
        rows = k_weighted(samples[:, first * step : last * step], rate_hz)
        width = step * rows.shape[2] // row_frames(step)
        by_step = rows.reshape(channels, -1)[:, : (last - first) * width]
        by_step = by_step.reshape(channels, last - first, width)
        # a dot product for every step takes half the time of one einsum
        energies = np.matmul(by_step[:, :, None, :], by_step[:, :, :, None])
        pieces.append(energies.sum(axis=0).ravel()[start - first :])
    return np.concatenate(pieces).astype(np.float64) / step if pieces else np.empty(0)


def gated_lufs(energies: NDArray[np.float64]) -> float:
    """Return the integrated loudness of 100 ms step energies (``-inf`` for silence)."""
    if energies.size < STEPS_PER_BLOCK:
        mean = float(energies.mean()) if energies.size else 0.0
        return _lufs(mean) if _lufs(mean) > ABSOLUTE_GATE_LUFS else -math.inf
    total = np.concatenate(([0.0], np.cumsum(energies)))
    # equation (3), summed over the channels
    blocks = (total[STEPS_PER_BLOCK:] - total[:-STEPS_PER_BLOCK]) / STEPS_PER_BLOCK
    loud = blocks[blocks > _energy(ABSOLUTE_GATE_LUFS)]  # l_j of (4) over the absolute threshold
    if not loud.size:
        return -math.inf
    gate = _energy(_lufs(float(loud.mean())) + RELATIVE_GATE_LU)  # (6), the relative threshold
    return _lufs(float(loud[loud > gate].mean()))  # (7), the gated loudness


def gain_reaching(energies: NDArray[np.float64], target_lufs: float) -> float:
    """Return the gain in dB that brings 100 ms step energies to a loudness; 0 for silence.

    Louder, more of the quiet blocks pass the absolute gate and count: a string that rings out
    between its notes came 0.26 LU short. So the loudness is measured again with the gain.
    """
    measured = gated_lufs(energies)
    if not math.isfinite(measured):
        return 0.0
    gain_db = target_lufs - measured
    for _ in range(GAIN_PASSES):
        missing = target_lufs - gated_lufs(amplified(energies, gain_db))
        if abs(missing) <= GAIN_WITHIN_LU or not math.isfinite(missing):
            break
        gain_db += missing
    return gain_db


def amplified(energies: NDArray[np.float64], gain_db: float) -> NDArray[np.float64]:
    """Return step energies of a sound that is so much louder."""
    return energies * float(10.0 ** (gain_db / 10.0))


def _lufs(energy: float) -> float:
    """Return the loudness of an energy, equation (2)."""
    return OFFSET_LUFS + 10.0 * math.log10(energy) if energy > 0.0 else -math.inf


def _energy(lufs: float) -> float:
    return float(10.0 ** ((lufs - OFFSET_LUFS) / 10.0))


def integrated_lufs(samples: NDArray[np.float32], rate_hz: int) -> float:
    """Return the integrated loudness in LUFS of samples, shape (frames,) or (frames, channels).

    Mono counts as one channel; more than two channels are not weighted as surround.
    """
    return gated_lufs(step_energies(planar_of(samples), rate_hz))
