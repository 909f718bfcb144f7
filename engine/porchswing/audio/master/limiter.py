"""A transparent limiter: one slowly moving gain that keeps true peaks under the ceiling.

The gain is found for the whole sound before any of it is written, on a fixed grid of cells of 32
frames: what each cell's true peak needs, spread over a few milliseconds before (the look-ahead)
and released over some tens of milliseconds after, straight in dB, then smoothed. It is a function
of the sound alone, so samples do not depend on threads or block sizes, and the same curve is
applied to every stem, so that stems still sum to their mix. Where nothing passes the ceiling the
sound is only scaled.

Principle: true peaks found by oversampling (ITU-R BS.1770-4, annex 2); a gain that is smooth over
the interpolation filter's length changes them as it changes the samples.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple, Protocol

import numpy as np

from porchswing.audio.master.loudness import (
    amplified,
    gain_reaching,
    gated_lufs,
    step_energies,
)
from porchswing.audio.master.true_peak import CHUNK, EDGE_FRAMES, PIECE, piece_peaks, true_peak
from porchswing.units import db_to_gain, step_frames

if TYPE_CHECKING:
    from numpy.typing import NDArray

MOST_REDUCTION_DB = 3.0
"""The most the limiter takes off a peak: more would be heard (our choice)."""

SMOOTH_S = 0.0016
"""Half the smoothing of the gain, and how long before and after a peak it is held."""

ATTACK_DB_PER_S = 1000.0
RELEASE_DB_PER_S = 40.0
"""How fast the gain falls before a peak (3 dB in 3 ms) and rises after it (3 dB in 75 ms)."""

MARGIN_DB = 0.1
"""How far peaks stay under the ceiling: what meters differ by, and what a moving gain may add."""

CLOSE_ENOUGH_LU = 0.01
MOST_PASSES = 4
NEAR_STEPS = 2
"""Steps of 100 ms with this many between them are measured in one go."""


class Source(Protocol):
    """A rendered sound that can be read anywhere: ``frames`` at ``rate_hz``, two channels."""

    frames: int
    rate_hz: int

    def read(self, first: int, last: int) -> NDArray[np.float32]:
        """Return frames ``first`` to ``last``, shape (2, last - first), zero outside the sound."""


class Loudness(NamedTuple):
    """What a sound measured: K-weighted energy of its 100 ms steps, and its true peak.

    ``bounds`` has a value for every piece that no true peak in it passes
    (:func:`~porchswing.audio.master.true_peak.bounds_from`).
    """

    energies: NDArray[np.float64]
    peak: float
    bounds: NDArray[np.float32]


class Mastered(NamedTuple):
    """What was decided for a sound and how it comes out.

    ``gain_db`` is applied to all of it; ``edges`` is the limiter's gain at the borders of its
    cells, or None where it does nothing; ``reduction_db`` is the most it takes off.
    ``held_back_db`` is how far under the loudness asked for the sound stays.
    """

    gain_db: float
    loudness_lufs: float
    true_peak_dbtp: float
    held_back_db: float
    reduction_db: float = 0.0
    frames: int = 0
    edges: NDArray[np.float32] | None = None

    def gains(self, first: int, frames: int) -> NDArray[np.float32]:
        """Return the gain of frames from ``first`` on: one number, or one for every frame."""
        flat = np.float32(db_to_gain(self.gain_db))
        if self.edges is None:
            return np.array(flat)
        low, high = first // CHUNK, -(-(first + frames) // CHUNK)
        edges = self.edges[low : high + 1]
        if edges.size == 0 or edges.min() == 1.0:
            return np.array(flat)
        return _between(edges, low, self.frames)[first - low * CHUNK :][:frames] * flat


def _between(edges: NDArray[np.float32], first_cell: int, frames: int) -> NDArray[np.float32]:
    """Return the gain of every frame between edges, straight; the last cell may be shorter."""
    place = np.arange(CHUNK, dtype=np.float32) / np.float32(CHUNK)
    gains = edges[:-1, None] + (edges[1:] - edges[:-1])[:, None] * place
    last = frames // CHUNK
    if frames % CHUNK and first_cell <= last < first_cell + edges.size - 1:
        cell = last - first_cell
        place = np.minimum(np.arange(CHUNK, dtype=np.float32) / np.float32(frames % CHUNK), 1.0)
        gains[cell] = edges[cell] + (edges[cell + 1] - edges[cell]) * place
    return gains.reshape(-1)


def master(
    source: Source,
    loudness: Loudness,
    loudness_lufs: float | None,
    ceiling_dbtp: float,
    *,
    loop: bool = False,
) -> Mastered:
    """Return the gain, and the limiter's curve, that reach a loudness under a true-peak ceiling.

    ``loudness_lufs`` None leaves the level as it is (the ceiling still holds). The end of a
    ``loop`` runs into its beginning, and so does the curve.
    """
    peak_db = 20.0 * math.log10(loudness.peak) if loudness.peak > 0.0 else -math.inf
    wanted_db = 0.0
    if loudness_lufs is not None:
        wanted_db = gain_reaching(loudness.energies, loudness_lufs)
    if wanted_db + peak_db <= ceiling_dbtp:
        return _as_a_whole(source, loudness, _floor(wanted_db), peak_db)
    if loudness_lufs is None or not math.isfinite(gated_lufs(loudness.energies)):
        # nobody asked for a loudness: the sound is turned down as a whole
        gain_db = _floor(ceiling_dbtp - peak_db)
        held_db = max(0.0, wanted_db - gain_db - 0.001)
        return _as_a_whole(source, loudness, gain_db, peak_db)._replace(held_back_db=held_db)
    return _limited(source, loudness, loudness_lufs, ceiling_dbtp, wanted_db, peak_db, loop=loop)


def _as_a_whole(source: Source, loudness: Loudness, gain_db: float, peak_db: float) -> Mastered:
    """Return the master of a sound that no limiter touches."""
    reached = gated_lufs(amplified(loudness.energies, gain_db))
    return Mastered(gain_db, reached, peak_db + gain_db, 0.0, 0.0, source.frames)


def _floor(gain_db: float) -> float:
    """Return a gain rounded down to a thousandth of a dB: the rounding of sums never shows."""
    return math.floor(gain_db * 1000.0) / 1000.0


def _limited(
    source: Source,
    loudness: Loudness,
    target_lufs: float,
    ceiling_dbtp: float,
    wanted_db: float,
    peak_db: float,
    *,
    loop: bool,
) -> Mastered:
    """Return the master of a sound whose peaks pass the ceiling at the loudness asked for."""
    most_db = _floor(ceiling_dbtp - peak_db + MOST_REDUCTION_DB - MARGIN_DB)
    peaks = _peaks_over(source, loudness, ceiling_dbtp - MARGIN_DB - most_db)
    gain_db = min(_floor(wanted_db), most_db)
    for _ in range(MOST_PASSES):
        over = peaks.louder(gain_db - ceiling_dbtp + MARGIN_DB)
        edges = _edges(over, -(-source.frames // CHUNK), source.rate_hz, loop=loop)
        trial = Mastered(gain_db, 0.0, 0.0, 0.0, 0.0, source.frames, edges)
        reached, peak = _measured(source, loudness, trial, edges, db_to_gain(ceiling_dbtp - 1.0))
        missing = target_lufs - reached
        if abs(missing) <= CLOSE_ENOUGH_LU or (gain_db >= most_db and missing > 0.0):
            break
        # what is added is limited in its turn, by about as much again
        gain_db = min(_floor(gain_db + missing * 1.1), most_db)
    still = (edges[peaks.cells] == 1.0) & (edges[peaks.cells + 1] == 1.0)
    peak_dbtp = max(20.0 * math.log10(peak), float(peaks.db[still].max(initial=-300.0)) + gain_db)
    return trial._replace(
        loudness_lufs=reached,
        true_peak_dbtp=peak_dbtp,
        held_back_db=missing if missing > 0.05 else 0.0,
        reduction_db=-20.0 * math.log10(float(edges.min())),
    )


class _Peaks(NamedTuple):
    """The cells whose true peak passes something, rising, and their peaks in dB.

    They are few: an hour has five million cells.
    """

    cells: NDArray[np.intp]
    db: NDArray[np.float64]

    def louder(self, by_db: float) -> _Peaks:
        """Return those that are over 0 dB when all are so much louder."""
        db = self.db + by_db
        return _Peaks(self.cells[db > 0.0], db[db > 0.0])


def _peaks_over(source: Source, loudness: Loudness, threshold_db: float) -> _Peaks:
    """Return the cells whose true peak passes a threshold."""
    threshold, per_piece = db_to_gain(threshold_db), PIECE // CHUNK
    cells, peaks = [np.empty(0, np.intp)], [np.empty(0)]
    for first, last in _runs(np.flatnonzero(loudness.bounds > threshold)):
        found = piece_peaks(source.read, first, last, source.rate_hz).reshape(-1)
        over = np.flatnonzero(found > threshold)
        cells.append(over + first * per_piece)
        peaks.append(found[over].astype(np.float64))
    inside = np.concatenate(cells) < -(-source.frames // CHUNK)
    return _Peaks(np.concatenate(cells)[inside], 20.0 * np.log10(np.concatenate(peaks)[inside]))


def _edges(over: _Peaks, cells: int, rate_hz: int, *, loop: bool) -> NDArray[np.float32]:
    """Return the limiter's gain at every border of cells, for those that pass the ceiling.

    Peaks so far apart that they do not meet are limited one after the other.
    """
    edges = np.ones(cells + 1, np.float32)
    if not over.cells.size:
        return edges
    half = max(1, round(SMOOTH_S * rate_hz / CHUNK))
    cell_s = CHUNK / rate_hz
    reach = math.ceil(float(over.db.max()) / (RELEASE_DB_PER_S * cell_s)) + 2 * half + 2
    if loop:  # what is near one end is near the other, too
        turns = [over.cells + turn * cells for turn in (-1, 0, 1)]
        over = _Peaks(np.concatenate(turns), np.tile(over.db, 3))
    for first, last in _runs(over.cells, 2 * reach):
        low, high = first - reach, last + reach
        if not loop:
            low, high = max(0, low), min(cells, high)
        start, end = np.searchsorted(over.cells, (first, last))
        need = np.zeros(high - low)
        need[over.cells[start:end] - low] = -over.db[start:end]
        gains = _gains(need, half, cell_s)
        kept = slice(max(0, -low), max(0, cells + 1 - low))
        edges[max(0, low) : max(0, high + 1)] = gains[kept]
    if loop:
        edges[-1] = edges[0]
    return edges


def _gains(need: NDArray[np.float64], half: int, cell_s: float) -> NDArray[np.float32]:
    """Return the gain at every border of cells that need to be so many dB louder."""
    # a border serves the cells on both its sides
    need = np.minimum(np.concatenate(([0.0], need)), np.concatenate((need, [0.0])))
    padded, held = np.pad(need, half), need.copy()
    for shift in range(2 * half + 1):
        np.minimum(held, padded[shift : shift + held.size], out=held)
    ramps = _ramp(_ramp(held, RELEASE_DB_PER_S * cell_s)[::-1], ATTACK_DB_PER_S * cell_s)[::-1]
    window = np.hanning(2 * half + 3)[1:-1]
    smooth = np.convolve(np.pad(ramps, half, mode="edge"), window / window.sum(), "valid")
    smooth[smooth > -1e-6] = 0.0
    return (10.0 ** (smooth / 20.0)).astype(np.float32)


def _ramp(need: NDArray[np.float64], slope_db: float) -> NDArray[np.float64]:
    """Return the least gain that rises by no more than a slope a cell after every fall."""
    rise = slope_db * np.arange(need.size)
    ramp: NDArray[np.float64] = np.minimum.accumulate(need - rise) + rise
    return np.minimum(ramp, 0.0)


def _measured(
    source: Source,
    loudness: Loudness,
    trial: Mastered,
    edges: NDArray[np.float32],
    floor: float,
) -> tuple[float, float]:
    """Return the loudness in LUFS of a sound under a trial's gains, and the true peak.

    Only the steps in which the limiter moves are measured again; elsewhere a gain is a gain. The
    peak is theirs alone, none below ``floor`` being sought.
    """
    energies = loudness.energies * db_to_gain(trial.gain_db) ** 2
    step, highest = step_frames(source.rate_hz), floor
    # runs of steps in which the limiter's gain is not 1
    last_step = -(-source.frames // step) - 1
    moving = np.minimum(np.flatnonzero(edges < 1.0) * CHUNK // step, last_step)
    for first, last in _runs(moving, NEAR_STEPS + 1):
        start = max(0, first - 1) * step
        end = min(source.frames, last * step)
        peaks_end = first * step + max((last - first) * step, PIECE) + EDGE_FRAMES
        until = min(source.frames, peaks_end)
        sound = source.read(start, until) * trial.gains(start, until - start)
        found = step_energies(sound[:, : end - start], source.rate_hz)[first - start // step :]
        known = energies[first:last]
        known[: found.size] = found[: known.size]
        # a peak at a border needs what sounds beyond it: cut off there, a tone would overshoot
        skipped = first * step - EDGE_FRAMES - start
        near = np.pad(sound, ((0, 0), (max(0, -skipped), peaks_end - until)))
        highest = true_peak(near[:, max(0, skipped) :], source.rate_hz, highest, edges=False)
    return gated_lufs(energies), highest


def _runs(places: NDArray[np.intp], reach: int = 1) -> Iterator[tuple[int, int]]:
    """Yield the first place and the end of all runs whose places lie within a reach."""
    for run in np.split(places, np.flatnonzero(np.diff(places) > reach) + 1):
        if run.size:
            yield int(run[0]), int(run[-1]) + 1
