"""A performance becomes blocks of stereo samples: notes added where they sound, and the room.

Every block is a function of the performance alone, never of who rendered the block before it,
so two threads over two halves give the same samples as one, and any length runs in the same
memory. A block adds its notes to one bus a seat of the mixing desk, in order of onset; pans
and room sends of all seats are one small matrix product; the room needs the last half second
of the send before the block, which is remade where it is not at hand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from copy import copy
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from porchswing.audio.blas import one_blas_thread
from porchswing.audio.desk import Seat, pan_gains
from porchswing.audio.notes import NoteBank, note_bank
from porchswing.audio.room import PORCH, Room
from porchswing.errors import OptionError
from porchswing.units import db_to_gain

if TYPE_CHECKING:
    from collections.abc import Collection

    from numpy.typing import NDArray

    from porchswing.performance.model import Performance

BLOCK_STEPS = 40
"""A block is 40 steps of 100 ms, the loudness meter's step."""

TAIL_S = 3.0
"""How long the sound may ring on after the last bar."""

MIN_RATE_HZ, MAX_RATE_HZ = 8000, 192000


class _Event(NamedTuple):
    """A note on the sample grid; damped from ``hold`` to ``end`` by ``fade``."""

    start: int
    hold: int
    end: int
    sound: NDArray[np.float32]
    gain: np.float32
    fade: NDArray[np.float32]
    bus: int


class Renderer:
    """Everything a block needs; :meth:`block` gives any block, :meth:`send` its room send."""

    def __init__(
        self,
        performance: Performance,
        rate_hz: int = 44100,
        *,
        parts: Collection[str] | None = None,
        loop: bool = False,
        fade_s: float = 0.0,
    ) -> None:
        if not MIN_RATE_HZ <= rate_hz <= MAX_RATE_HZ or rate_hz % 20:
            raise OptionError(
                f"rate must be a multiple of 20 from {MIN_RATE_HZ} to {MAX_RATE_HZ} Hz, "
                f"got {rate_hz}"
            )
        self.rate_hz = rate_hz
        self.block_frames = BLOCK_STEPS * rate_hz // 10
        with one_blas_thread():
            self._room = Room(PORCH, rate_hz, self.block_frames)
            bank = note_bank(performance, rate_hz)
        events, self._seats = _events(bank, parts)
        end = max(1, round(performance.end_s * rate_hz))
        self.frames = end if loop else _length(events, end, self._room.history_frames, rate_hz)
        self.blocks = -(-self.frames // self.block_frames)
        if loop:
            events = _wrapped(events, end, self._room.history_frames)
        self._buckets = _buckets(events, self.block_frames)
        self._gains, self._sends = _desk([row for _, row in self._seats])
        self._fade_frames = min(self.frames, round(fade_s * rate_hz))

    def only(self, part: str) -> Renderer:
        """Return a renderer of the same length that plays one part: a stem."""
        stem = copy(self)
        kept = {bus for bus, (name, _) in enumerate(self._seats) if name == part}
        stem._buckets = {
            index: [event for event in events if event.bus in kept]
            for index, events in self._buckets.items()
        }
        return stem

    def block(
        self, index: int, before: NDArray[np.float32] | None = None
    ) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """Return one block, shape (2, frames), and its whole room send.

        ``before`` is the room send of the block before it, made anew where it is not given.
        """
        if before is None:
            before = self.send(index - 1)
        buses = self._buses(index)
        stereo = self._gains @ buses
        send = self._sends @ buses
        even, odd = self._room.wet(before[-self._room.history_frames :], send)
        stereo[:, 0::2] += even
        stereo[:, 1::2] += odd
        frames = min(self.block_frames, self.frames - index * self.block_frames)
        stereo = stereo[:, :frames]
        self._fade(stereo, index * self.block_frames)
        return stereo, send

    def send(self, index: int) -> NDArray[np.float32]:
        """Return the room send of a block; before the music begins it is silent."""
        if index < 0 and index not in self._buckets:
            return np.zeros(self.block_frames, np.float32)
        send: NDArray[np.float32] = self._sends @ self._buses(index)
        return send

    def _buses(self, index: int) -> NDArray[np.float32]:
        """Return the block's notes added up, one row a seat."""
        frames = self.block_frames
        buses = np.zeros((self._sends.size, frames), np.float32)
        scratch = np.empty(frames, np.float32)
        origin = index * frames
        for start, hold, end, sound, gain, fade, bus in self._buckets.get(index, ()):
            shift = start - origin
            first = max(shift, 0)
            last = min(hold - origin, frames)
            if first < last:
                part = np.multiply(sound[first - shift : last - shift], gain, scratch[first:last])
                buses[bus, first:last] += part
            first = max(hold - origin, 0)
            last = min(end - origin, frames)
            if first < last:
                part = np.multiply(sound[first - shift : last - shift], gain, scratch[first:last])
                part *= fade[first + origin - hold : last + origin - hold]
                buses[bus, first:last] += part
        return buses

    def _fade(self, stereo: NDArray[np.float32], origin: int) -> None:
        """Fade the end of the track out, if asked: straight in dB over 60 dB, to silence."""
        start = self.frames - self._fade_frames
        if not self._fade_frames or origin + stereo.shape[1] <= start:
            return
        first = max(0, start - origin)
        done = (np.arange(first, stereo.shape[1]) + origin - start + 1.0) / self._fade_frames
        stereo[:, first:] *= (10.0 ** (-3.0 * done**2) * (1.0 - done)).astype(np.float32)


def render_blocks(
    performance: Performance,
    rate_hz: int = 44100,
    *,
    parts: Collection[str] | None = None,
    loop: bool = False,
    fade_s: float = 0.0,
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
    renderer = Renderer(performance, rate_hz, parts=parts, loop=loop, fade_s=fade_s)
    before = None
    for index in range(renderer.blocks):
        with one_blas_thread():
            stereo, before = renderer.block(index, before)
        yield np.ascontiguousarray(stereo.T)


def _events(
    bank: NoteBank, parts: Collection[str] | None
) -> tuple[list[_Event], tuple[tuple[str, Seat], ...]]:
    """Return all strikes on the sample grid, by onset, and the seats of every part."""
    rate_hz = bank.rate_hz
    buses: dict[tuple[str, Seat], int] = {}
    fades: dict[int, NDArray[np.float32]] = {}
    events = []
    for name, strikes in bank.strikes.items():
        if parts is not None and name not in parts:
            continue
        for strike in strikes:
            sound = bank.sounds[strike.sound]
            start = round(strike.start_s * rate_hz)
            hold = min(start + sound.size, round(strike.stop_s * rate_hz))
            length = max(1, min(round(strike.damp_s * rate_hz), start + sound.size - hold))
            if length not in fades:
                turn = (np.arange(length, dtype=np.float32) + np.float32(0.5)) / length
                half = np.cos(np.float32(math.pi) * turn)
                fades[length] = (0.5 + 0.5 * half).astype(np.float32)
            end = min(hold + length, start + sound.size)
            bus = buses.setdefault((name, strike.seat), len(buses))
            events.append(
                _Event(start, hold, end, sound, np.float32(strike.gain), fades[length], bus)
            )
    events.sort(key=lambda event: event.start)
    return events, tuple(buses)


def _length(events: list[_Event], end: int, history: int, rate_hz: int) -> int:
    """Return the frames of the track: to the last bar's end, or as long as it rings on."""
    rings = max((event.end for event in events), default=0) + history
    return min(max(end, rings), end + round(TAIL_S * rate_hz))


def _wrapped(events: list[_Event], length: int, history: int) -> list[_Event]:
    """Return the events of a loop: what sounds over its end comes again before its start."""
    inside = [event for event in events if event.start < length]
    again = [
        event._replace(start=event.start - length, hold=event.hold - length, end=event.end - length)
        for event in inside
        if event.end > length - history
    ]
    return again + inside


def _buckets(events: list[_Event], block_frames: int) -> dict[int, list[_Event]]:
    """Return the events that sound in every block, in order of onset."""
    buckets: dict[int, list[_Event]] = {}
    for event in events:
        last = max(event.start, event.end - 1) // block_frames
        for index in range(event.start // block_frames, last + 1):
            buckets.setdefault(index, []).append(event)
    return buckets


def _desk(seats: Sequence[Seat]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return the gains to left and right, shape (2, seats), and the sends, shape (seats,)."""
    gains = np.zeros((2, max(1, len(seats))), np.float32)
    sends = np.zeros(max(1, len(seats)), np.float32)
    for place, row in enumerate(seats):
        level = db_to_gain(row.level_db)
        gains[:, place] = [level * side for side in pan_gains(row.pan)]
        sends[place] = level * db_to_gain(row.send_db)
    return gains, sends
