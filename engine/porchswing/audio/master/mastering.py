"""From a rendered mix to whole numbers: measure, set the level, dither, round.

The mix is spooled to a nameless file while it is measured, because its gain is known only at
its end; an hour of music then needs no more memory than a minute. Contiguous
halves are rendered at once; since every block is a function of the performance alone, the samples
are the same as from one run.
"""

from __future__ import annotations

import errno
import math
import os
import sys
import tempfile
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from porchswing.audio.cores.blas import one_blas_thread
from porchswing.audio.cores.shares import run_shares
from porchswing.audio.master.limiter import Loudness, Mastered, master
from porchswing.audio.master.loudness import step_energies
from porchswing.audio.master.true_peak import EDGE_FRAMES, bounds_from, peak_and_bounds
from porchswing.audio.mix.mixdown import BLOCK_STEPS, Renderer, fade_end
from porchswing.audio.synth.noise import dither_table, random_bits
from porchswing.outputs.files import cannot_write
from porchswing.units import step_frames

if TYPE_CHECKING:
    from numpy.typing import NDArray

Progress = Callable[[float], None]
"""Called with how much is done, 0 to 1, from any thread."""

CEILING_DBTP = -1.0
"""No true peak of a file passes it."""

_BYTES = 4


def level_gain_db(
    measured_lufs: float, measured_peak: float, loudness_lufs: float, ceiling_dbtp: float
) -> float:
    """Return the one gain that reaches a loudness without passing the true-peak ceiling.

    Without a limiter (:mod:`porchswing.audio.master.limiter`): what is short and already small.
    """
    wanted = loudness_lufs - measured_lufs if math.isfinite(measured_lufs) else 0.0
    room = ceiling_dbtp - 20.0 * math.log10(measured_peak) if measured_peak > 0.0 else math.inf
    # a thousandth of a dB is far below hearing and keeps the gain off the rounding of a sum
    return math.floor(min(wanted, room) * 1000.0) / 1000.0


class Spool:
    """A mix on its way to a file: (2, frames) blocks of float32, kept on disk, measured.

    Blocks may be stored and read by several threads or processes at once.
    """

    def __init__(self, file: Any, frames: int, block_frames: int, rate_hz: int) -> None:
        self._file, self._lock = file, threading.Lock()
        self.frames, self.block_frames, self.rate_hz = frames, block_frames, rate_hz
        self.blocks = -(-frames // block_frames)
        self.measured: dict[int, Loudness] = {}

    def put(self, index: int, stereo: NDArray[np.float32]) -> None:
        """Store one block."""
        place = index * self.block_frames * 2 * _BYTES
        for channel in stereo:
            data = channel.data.cast("B")
            if self._write_at(place, data) != len(data):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            place += len(data)

    def get(self, index: int) -> NDArray[np.float32]:
        """Return one block."""
        frames = min(self.block_frames, self.frames - index * self.block_frames)
        stereo = np.empty((2, frames), np.float32)
        self._read_at(index * self.block_frames * 2 * _BYTES, stereo.data.cast("B"))
        return stereo

    def _write_at(self, place: int, data: memoryview) -> int:
        if hasattr(os, "pwrite"):
            return os.pwrite(self._file.fileno(), data, place)
        with self._lock:  # Windows has no writing beside the file's own position
            self._file.seek(place)
            return int(self._file.write(data))

    def _read_at(self, place: int, into: memoryview) -> None:
        if hasattr(os, "preadv"):
            os.preadv(self._file.fileno(), [into], place)
            return
        with self._lock:
            self._file.seek(place)
            self._file.readinto(into)

    def measure(self, index: int, stereo: NDArray[np.float32], floor: float) -> Loudness:
        """Measure one block; ``stereo`` begins with the 100 ms before it.

        100 ms of run-up leave 1e-9 of the filter's memory, so a block can be measured by itself.
        Peaks below ``floor`` are of no interest.
        """
        run_up = step_frames(self.rate_hz)
        energies = step_energies(stereo, self.rate_hz)[1:]
        near = stereo[:, run_up - 2 * EDGE_FRAMES :]
        is_last = index == self.blocks - 1
        return Loudness(energies, *peak_and_bounds(near, self.rate_hz, floor, edges=is_last))

    def read(self, first: int, last: int) -> NDArray[np.float32]:
        """Return frames from one number to another, zero outside the sound."""
        stereo = np.zeros((2, last - first), np.float32)
        at, end = max(0, first), min(last, self.frames)
        while at < end:
            index, inside = divmod(at, self.block_frames)
            some = min(end, (index + 1) * self.block_frames) - at
            block_frames = min(self.block_frames, self.frames - index * self.block_frames)
            place = index * self.block_frames * 2 + inside
            for channel, into in enumerate(stereo):
                start = (place + channel * block_frames) * _BYTES
                self._read_at(start, into[at - first : at - first + some].data.cast("B"))
            at += some
        return stereo

    def master(self, loudness_lufs: float | None, *, loop: bool = False) -> Mastered:
        """Return the gain, and the limiter's curve, that the whole needs."""
        blocks = [self.measured[index] for index in range(self.blocks)]
        starts = range(-2 * EDGE_FRAMES, self.frames, self.block_frames)
        bounds = zip(starts, (block.bounds for block in blocks), strict=False)
        loudness = Loudness(
            np.concatenate([block.energies for block in blocks]),
            max(block.peak for block in blocks),
            bounds_from(bounds, self.frames),
        )
        with one_blas_thread():
            return master(self, loudness, loudness_lufs, CEILING_DBTP, loop=loop)


@contextmanager
def spooled(
    renderer: Renderer, folder: Path, threads: int = 2, progress: Progress | None = None
) -> Iterator[Spool]:
    """Render everything into a nameless file in ``folder`` and yield it, measured."""
    with _spool(folder, renderer.frames, renderer.rate_hz) as spool:
        with one_blas_thread():
            _fill(spool, renderer, threads, progress)
        del renderer  # an hour's sounds are 54 MB, which the master can use
        yield spool


@contextmanager
def spooled_blocks(
    blocks: Iterable[NDArray[np.float32]],
    frames: int,
    rate_hz: int,
    folder: Path,
    progress: Progress | None = None,
    *,
    fade_s: float,
) -> Iterator[Spool]:
    """Put blocks made elsewhere, (2, frames) each of the renderer's length, into a spool.

    The last ``fade_s`` seconds are faded out.
    """
    run_up = step_frames(rate_hz)
    with _spool(folder, frames, rate_hz) as spool, one_blas_thread():
        before = np.zeros((2, run_up), np.float32)
        for index, stereo in enumerate(blocks):
            fade_end(stereo, index * spool.block_frames, frames, round(fade_s * rate_hz))
            spool.put(index, stereo)
            joined = np.concatenate((before, stereo), axis=1)
            spool.measured[index] = spool.measure(index, joined, 0.0)
            before = joined[:, -run_up:]
            if progress is not None:
                progress((index + 1) / spool.blocks)
        yield spool


@contextmanager
def _spool(folder: Path, frames: int, rate_hz: int) -> Iterator[Spool]:
    """Yield an empty spool in a nameless file in ``folder``, its room on the disk reserved.

    Reserving it at once says before the work where a disk is too full for it, and spares a third
    of the writing.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder, buffering=0) as file:
            _reserve(file.fileno(), frames * 2 * _BYTES)
            yield Spool(file, frames, BLOCK_STEPS * step_frames(rate_hz), rate_hz)
    except OSError as error:
        raise cannot_write(folder, error) from error


def _reserve(handle: int, size: int) -> None:
    """Reserve room on the disk; where a file system cannot, it is found when it is written."""
    if hasattr(os, "posix_fallocate"):
        try:
            os.posix_fallocate(handle, 0, size)
        except OSError as error:
            if error.errno == errno.ENOSPC:
                raise


def _fill(spool: Spool, renderer: Renderer, threads: int, progress: Progress | None) -> None:
    """Render and measure every block, in contiguous shares of them."""
    shares = max(1, min(threads, renderer.blocks))
    bounds = [renderer.blocks * share // shares for share in range(shares + 1)]

    def work_share(share: int) -> dict[int, Loudness]:
        work, peak = renderer.workspace(), 0.0
        measured: dict[int, Loudness] = {}
        for index in range(bounds[share], bounds[share + 1]):
            stereo = renderer.block(index, work)
            spool.put(index, stereo)
            if work.has_run_up:
                ready = work.stereo[:, : renderer.step_frames + stereo.shape[1]]
                measured[index] = spool.measure(index, ready, peak)
                peak = max(peak, measured[index].peak)
            if progress is not None and share == 0:  # the others are as far
                progress((index + 1) / bounds[1])
        return measured

    for measured in run_shares(work_share, shares):
        spool.measured |= measured
    for index in bounds[1:-1]:  # where a share begins, what came before was another's
        before = spool.get(index - 1)[:, -renderer.step_frames :]
        joined = np.concatenate((before, spool.get(index)), axis=1)
        spool.measured[index] = spool.measure(index, joined, 0.0)


def to_integers(
    stereo: NDArray[np.float32], gain: NDArray[np.float32], bits: int, seed: int
) -> NDArray[np.int16] | NDArray[np.int32]:
    """Return (2, frames) floats as whole numbers of ``bits`` (16 or 24), shape (frames, 2).

    ``gain`` is one number or one for every frame.
    16 bits are dithered (triangular, one step each way) from a table read at an offset that
    ``seed`` chooses; 24 bits lie below any noise a speaker makes and are only rounded.
    """
    full = float(1 << (bits - 1))
    scaled = stereo * (gain * np.float32(full))
    if bits == 16:
        table = dither_table()
        offsets = random_bits(seed, 2) % np.uint64(table.size)
        for channel, offset in zip(scaled, offsets.tolist(), strict=True):
            _add_cyclic(channel, table, offset)
    np.rint(scaled, out=scaled)
    if scaled.size and max(scaled.max(), -scaled.min()) > full - 1.0:
        np.clip(scaled, -full, full - 1.0, out=scaled)
    planar = scaled.astype(np.int32)
    if bits == 16:
        return _pairs(planar)
    # two plain passes are four times faster than one that casts and interleaves
    whole = np.empty((planar.shape[1], 2), np.int32)
    whole[:, 0], whole[:, 1] = planar
    return whole


def _pairs(planar: NDArray[np.int32]) -> NDArray[np.int16]:
    """Return (2, frames) numbers of 16 bits as (frames, 2): a pair is one number of 32 bits.

    Shifting and joining in place takes half the time of writing every second number twice.
    """
    low, high = planar if sys.byteorder == "little" else planar[::-1]
    high <<= 16
    low &= 0xFFFF
    high |= low
    pairs: NDArray[np.int16] = high.view(np.int16).reshape(-1, 2)
    return pairs


def _add_cyclic(channel: NDArray[np.float32], table: NDArray[np.float32], offset: int) -> None:
    """Add a table to a channel, from an offset, over and over."""
    done = 0
    while done < channel.size:
        some = min(channel.size - done, table.size - offset)
        channel[done : done + some] += table[offset : offset + some]
        done, offset = done + some, 0
