"""A performance becomes blocks of stereo samples: notes added where they sound, and the room.

Every block is a function of the performance alone, never of who rendered the block before it,
so two halves made at once give the same samples as one run, and any length runs in the same
memory. A block adds its notes to one bus a seat of the mixing desk, in order of onset; pans
and room sends of all seats are one small matrix product; the room needs the last half second
of the send before the block, which is remade where it is not at hand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from copy import copy
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from porchswing.audio.cores.blas import one_blas_thread
from porchswing.audio.mix.desk import Seat, pan_gains
from porchswing.audio.mix.note_sounds import rendered_notes
from porchswing.audio.mix.room import PORCH, Room
from porchswing.audio.mix.strikes import Schedule, schedule_of
from porchswing.options import DEFAULT_SOUND
from porchswing.units import db_to_gain, step_frames

if TYPE_CHECKING:
    from collections.abc import Collection

    from numpy.typing import NDArray

    from porchswing.performance.model import Performance

BLOCK_STEPS = 20
"""A block is so many steps of 100 ms, the loudness meter's step."""

TAIL_S = 3.0
"""How long the sound may ring on after the last bar."""


class _Events(NamedTuple):
    """Notes on the sample grid, by onset.

    The rows of ``grid`` are where each starts, where its damping begins and ends, its sound, the
    other sound mixed with it (or -1) and its bus (the seat it is added to); the rows of ``gain``
    are those of the two sounds; ``longest`` is the longest of them, in frames.
    """

    grid: NDArray[np.int64]
    gain: NDArray[np.float64]
    longest: int

    def chosen(self, which: NDArray[np.bool_] | NDArray[np.intp] | slice) -> _Events:
        """Return some of them, in the order given."""
        return _Events(self.grid[:, which], self.gain[:, which], self.longest)

    def moved(self, frames: int) -> _Events:
        """Return them later by so many frames."""
        return self._replace(grid=self.grid + np.array([[frames]] * 3 + [[0]] * 3))

    def within(self, first: int, last: int) -> _Events:
        """Return those that sound between two frames."""
        start, _, end, *_ = self.grid
        low, high = np.searchsorted(start, (first - self.longest, last))
        near = slice(int(low), int(high))
        return self.chosen(near).chosen(end[near] > first)


class Workspace:
    """Buffers reused from block to block by one worker; allocation is expensive.

    ``stereo`` holds the last 100 ms of the block before (where ``has_run_up``), then the block:
    what the loudness meter reads. ``made`` is the block it holds.
    """

    def __init__(self, seats: int, block_frames: int, step_frames: int, room: Room) -> None:
        self.made: int | None = None
        self.has_run_up = False
        self.buses = np.empty((seats, block_frames), np.float32)
        self.scratch, self.louder = np.empty((2, block_frames), np.float32)
        self.mixed = np.empty((3, block_frames), np.float32)
        self.send = np.empty(room.history_frames + block_frames, np.float32)
        self.stereo = np.empty((2, step_frames + block_frames), np.float32)
        self.room = room.buffers()
        self._history, self._step = room.history_frames, step_frames

    def move_send_on(self) -> None:
        """Keep the end of what went to the room as the run-up of the next block."""
        self.send[: self._history] = self.send[-self._history :]

    def move_on(self) -> None:
        """Keep the ends of this block as the run-up of the next."""
        self.move_send_on()
        self.stereo[:, : self._step] = self.stereo[:, -self._step :]
        self.has_run_up = True

    def clear(self) -> None:
        """Forget the block before: silence."""
        self.send[: self._history] = 0.0
        self.stereo[:, : self._step] = 0.0


class Renderer:
    """Everything a block needs; :meth:`block` gives any block."""

    def __init__(
        self,
        schedule: Schedule,
        rate_hz: int = DEFAULT_SOUND.rate_hz,
        *,
        parts: Collection[str] | None = None,
        loop: bool = False,
        fade_s: float = DEFAULT_SOUND.fade_s,
    ) -> None:
        self.rate_hz = rate_hz
        self.step_frames = step_frames(rate_hz)
        self.block_frames = BLOCK_STEPS * self.step_frames
        with one_blas_thread():
            self._room = _porch(rate_hz, self.block_frames)
            self._events, self._seats = _events(schedule, rate_hz, parts)
            self._sounds = rendered_notes(schedule, rate_hz)
        self._looping = loop
        self._fades: dict[int, NDArray[np.float32]] = {}
        end, history = max(1, round(schedule.end_s * rate_hz)), self._room.history_frames
        if loop:
            end += end % 2  # the room works on every second frame, after the seam as before it
            self._events = _wrapped(self._events, end, history)
        else:  # to the last bar's end, or as long as it rings on
            rings = int(self._events.grid[2].max(initial=0)) + history
            end = min(max(end, rings), end + round(TAIL_S * rate_hz))
        self.frames, self.blocks = end, -(-end // self.block_frames)
        self._sends = _desk([row for _, row in self._seats])
        self._fade_frames = round(fade_s * rate_hz)

    def only(self, part: str) -> Renderer:
        """Return a renderer of the same length that plays one part: a stem."""
        stem = copy(self)
        kept = [bus for bus, (name, _) in enumerate(self._seats) if name == part]
        stem._events = self._events.chosen(np.isin(self._events.grid[5], kept))
        return stem

    def workspace(self) -> Workspace:
        """Return the buffers one share renders in."""
        return Workspace(self._sends.shape[1], self.block_frames, self.step_frames, self._room)

    def block(self, index: int, work: Workspace) -> NDArray[np.float32]:
        """Render one block into ``work.stereo`` and return it, shape (2, frames).

        What the block needs of the one before it is taken from ``work`` when that is what it
        made last, and made anew otherwise.
        """
        if work.made == index - 1:
            work.move_on()
        else:
            work.clear()
            if index > 0 or self._looping:
                self._mix(index - 1, work)
                work.move_send_on()
            work.has_run_up = index == 0
        self._mix(index, work)
        stereo = work.stereo[:, self.step_frames :]
        self._room.add(work.send, work.mixed[:2], stereo, work.room)
        work.made = index
        stereo = stereo[:, : min(self.block_frames, self.frames - index * self.block_frames)]
        fade_end(stereo, index * self.block_frames, self.frames, self._fade_frames)
        return stereo

    def _mix(self, index: int, work: Workspace) -> None:
        """Add the block's notes up, one bus a seat; pan them and send them to the room.

        Only seats that sound in the block take a bus, in the order they come in: an idle one
        would cost 17 us of some 400.
        """
        frames = self.block_frames
        buses, scratch, louder, sounds = work.buses, work.scratch, work.louder, self._sounds
        busy: dict[int, NDArray[np.float32]] = {}
        origin = index * frames
        events = self._events.within(origin, origin + frames).moved(-origin)
        gains = events.gain.astype(np.float32)
        for (start, hold, end, number, other, seat), gain, other_gain in zip(
            events.grid.T.tolist(), *gains, strict=True
        ):
            first = start if start > 0 else 0
            last = end if end < frames else frames
            some, heard = scratch[: last - first], slice(first - start, last - start)
            np.multiply(sounds[number][heard], gain, out=some)
            if other >= 0:
                some += np.multiply(sounds[other][heard], other_gain, out=louder[: last - first])
            if hold < last:
                damped = hold if hold > first else first
                fade = self._fades.get(end - hold)
                if fade is None:
                    fade = self._fades[end - hold] = _half_cosine(end - hold)
                some[damped - first :] *= fade[damped - hold : last - hold]
            bus = busy.get(seat)
            if bus is None:
                bus = busy[seat] = buses[len(busy)]
                bus.fill(0.0)
            into = bus[first:last]
            np.add(into, some, out=into)
        np.matmul(self._sends[:, list(busy)], buses[: len(busy)], out=work.mixed)
        work.send[self._room.history_frames :] = work.mixed[2]


def fade_end(stereo: NDArray[np.float32], origin: int, length: int, fade_frames: int) -> None:
    """Fade out what a block holds of the last ``fade_frames`` of a track: 60 dB, then silence.

    The block begins at the frame ``origin`` of ``length``.
    """
    fade_frames = min(length, fade_frames)
    first = max(0, length - fade_frames - origin)
    if fade_frames and first < stereo.shape[1]:
        frames = np.arange(first, stereo.shape[1]) + origin
        done = (frames - (length - fade_frames) + 1.0) / fade_frames
        stereo[:, first:] *= (10.0 ** (-3.0 * done**2) * (1.0 - done)).astype(np.float32)


def render_blocks(
    performance: Performance,
    rate_hz: int = DEFAULT_SOUND.rate_hz,
    *,
    parts: Collection[str] | None = None,
    loop: bool = False,
    fade_s: float = DEFAULT_SOUND.fade_s,
) -> Iterator[NDArray[np.float32]]:
    """Yield the performance as blocks of stereo samples, float32, shape (frames, 2).

    Parameters
    ----------
    performance
        What was played.
    rate_hz
        Samples a second, 8000 to 192000.
    parts
        Names of the parts to hear (all of them where it is None).
    loop
        Make exactly the length of the music, its tail wrapped round to the front.
    fade_s
        Fade out over the last seconds.

    Notes
    -----
    Nothing is normalised here: levels are the mixing desk's, and a sample may pass 1.0.
    """
    renderer = Renderer(schedule_of(performance), rate_hz, parts=parts, loop=loop, fade_s=fade_s)
    work = renderer.workspace()
    for index in range(renderer.blocks):
        with one_blas_thread():
            stereo = renderer.block(index, work)
        yield np.ascontiguousarray(stereo.T)


def _events(
    schedule: Schedule, rate_hz: int, parts: Collection[str] | None
) -> tuple[_Events, tuple[tuple[str, Seat], ...]]:
    """Return all strikes on the sample grid, by onset, and the seats of every part."""
    buses: dict[tuple[str, Seat], int] = {}
    grids, gains = [np.empty((6, 0), np.int64)], [np.empty((2, 0))]
    for name, strikes in schedule.strikes.items():
        if parts is not None and name not in parts:
            continue
        seats = [buses.setdefault((name, row), len(buses)) for row in strikes.seats]
        seconds = (strikes.start_s, strikes.stop_s, strikes.damp_s)
        start, stop, damp = np.rint(np.multiply(seconds, rate_hz)).astype(np.int64)
        bus = np.array(seats, np.int64)[np.array(strikes.seat, np.int64)]
        grids.append(np.stack((start, stop, stop + damp, strikes.sound, strikes.other, bus)))
        gains.append(np.array((strikes.gain, strikes.other_gain)))
    grid = np.concatenate(grids, axis=1)
    longest = int((grid[2] - grid[0]).max(initial=0))
    events = _Events(grid, np.concatenate(gains, axis=1), longest)
    return events.chosen(np.argsort(grid[0], kind="stable")), tuple(buses)


def _half_cosine(frames: int) -> NDArray[np.float32]:
    """Return how a damped note falls: half a cosine from 1 to 0."""
    turn = (np.arange(frames, dtype=np.float32) + np.float32(0.5)) / np.float32(frames)
    fade: NDArray[np.float32] = 0.5 + 0.5 * np.cos(np.float32(math.pi) * turn)
    return fade.astype(np.float32)


def _wrapped(events: _Events, length: int, history: int) -> _Events:
    """Return the events of a loop: what sounds over its end comes again before its start."""
    inside = events.chosen(events.grid[0] < length)
    again = inside.chosen(inside.grid[2] > length - history).moved(-length)
    grid = np.concatenate((again.grid, inside.grid), axis=1)
    return _Events(grid, np.concatenate((again.gain, inside.gain), axis=1), events.longest)


@lru_cache(maxsize=2)
def _porch(rate_hz: int, block_frames: int) -> Room:
    """Return the room around the band, the same in take after take."""
    return Room(PORCH, rate_hz, block_frames)


def _desk(seats: Sequence[Seat]) -> NDArray[np.float32]:
    """Return every seat's gain to left, to right and to the room, shape (3, seats)."""
    sends = np.zeros((3, max(1, len(seats))), np.float32)
    for place, row in enumerate(seats):
        level = db_to_gain(row.level_db)
        left, right = pan_gains(row.pan)
        sends[:, place] = level * left, level * right, level * db_to_gain(row.send_db)
    return sends
