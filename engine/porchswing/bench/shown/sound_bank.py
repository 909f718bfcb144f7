"""Every sound the bench has needed so far, rendered once, numbered, handed over as samples.

The page plays from it as the practice page plays from its strip
(:mod:`porchswing.pages.practice.page_sound`): plucked notes in two loudness layers, as long as
they ring, unbent. Nothing is encoded: samples are float32, mono, at 32 kHz.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from threading import Lock
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from porchswing.audio.master.loudness import step_energies
from porchswing.audio.mix.desk import Seat
from porchswing.audio.mix.note_sounds import rendered_notes
from porchswing.audio.mix.strikes import KIT_DAMP_S, NoteKey, Schedule, schedule_of
from porchswing.audio.synth.voices import CONCERT, LAYERS, PLUCKED
from porchswing.grips.shapes.model import Tuning
from porchswing.pages.practice.page_lane import PageLane
from porchswing.pages.practice.page_sound import (
    LONGEST_S,
    RATE_HZ,
    VELOCITY_LAYERS,
    KeptSound,
    SoundStrip,
    StruckNote,
    master_gain_of,
    room_response,
    slow_and_plain,
    struck_notes,
    trimmed,
)

HEARD_S = 0.4
"""How much of a sound counts when two ways to play a bar are made equally loud."""

MOST_CORRECTION = 1.4
"""The largest factor, or its inverse, by which an offer is made as loud as what is there."""

GAMUT_FRETS = 12
"""Frets of every string whose sounds are made ready before they are needed."""


class _Banked(NamedTuple):
    samples: NDArray[np.float32]
    damp_s: float
    energy: float


class SoundBank:
    """The sounds made so far; any thread may add to them."""

    def __init__(self) -> None:
        self._order: list[_Banked] = []
        self._numbers: dict[NoteKey, int] = {}
        self._lock = Lock()
        self._master_gain: float | None = None
        self._room = np.ascontiguousarray(room_response(), np.float32)

    def __len__(self) -> int:
        """Return how many sounds there are."""
        return len(self._order)

    def strip(self, lanes: Sequence[PageLane], *, is_balanced: bool = False) -> SoundStrip:
        """Return how the lanes' notes are struck from the bank, adding what it lacks.

        ``is_balanced`` makes the chords of every lane as loud as those of the first.
        """
        if self._master_gain is None:
            self._master_gain = master_gain_of(lanes[0].performance)
        seats: dict[tuple[str, Seat], int] = {}
        struck: dict[tuple[str, str], tuple[StruckNote, ...]] = {}
        for lane in lanes:
            schedule = schedule_of(slow_and_plain(lane.performance), takes=1)
            self.add(zip(schedule.keys, schedule.needs_s, strict=True))
            kept = {key: self._kept(self._numbers[key]) for key in schedule.keys}
            struck |= struck_notes(lane, schedule, kept, seats)
        if is_balanced:
            struck = self._balanced(lanes, struck)
        return SoundStrip(b"", (), tuple(seats), struck, 1.0, self._master_gain)

    def _kept(self, number: int) -> KeptSound:
        return KeptSound(number, 1.0, self._order[number].samples.size / RATE_HZ)

    def _balanced(
        self, lanes: Sequence[PageLane], struck: dict[tuple[str, str], tuple[StruckNote, ...]]
    ) -> dict[tuple[str, str], tuple[StruckNote, ...]]:
        """Return the strikes with the chords of all lanes as loud as those of the first."""

        def energy(lane: PageLane) -> float:
            notes = struck.get((lane.name, "chords"), ())
            return sum(note.gain**2 * self._order[note.sound].energy for note in notes)

        wanted = energy(lanes[0])
        for lane in lanes[1:]:
            own = energy(lane)
            factor = (wanted / own) ** 0.5 if own and wanted else 1.0
            factor = min(MOST_CORRECTION, max(1 / MOST_CORRECTION, factor))
            key = (lane.name, "chords")
            if key in struck:
                struck[key] = tuple(replace(n, gain=n.gain * factor) for n in struck[key])
        return struck

    def add(self, wanted: Iterable[tuple[NoteKey, float]]) -> None:
        """Render sounds that are not there yet, each with the seconds it is needed for."""
        with self._lock:
            new = {key: _length_s(key, need) for key, need in wanted if key not in self._numbers}
            schedule = Schedule(tuple(new), tuple(new.values()), {}, 0.0)
            for key, samples in zip(new, rendered_notes(schedule, RATE_HZ), strict=True):
                cut = trimmed(samples)
                damp_s = KIT_DAMP_S if key.voice == "kit" else PLUCKED[key.voice].damp_s
                self._order.append(_Banked(cut, damp_s, _loudness_energy(cut)))
                self._numbers[key] = len(self._order) - 1

    def samples(self, first: int) -> bytes:
        """Return every sound from number ``first`` on as one block.

        A header of JSON, its length before it as a little-endian 32-bit number, padded to four
        bytes; then the samples one after another. With ``first`` 0 the room's response comes
        before them, left then right.
        """
        with self._lock:
            sounds = self._order[first:]
        pieces = [sound.samples for sound in sounds]
        room = [] if first else [self._room[0], self._room[1]]
        header = {
            "rate": RATE_HZ,
            "first": first,
            "room": self._room.shape[1] if room else 0,
            "lengths": [piece.size for piece in pieces],
            "damps": [round(sound.damp_s, 4) for sound in sounds],
        }
        text = json.dumps(header).encode()
        text += b" " * (-len(text) % 4)
        return b"".join([struct.pack("<I", len(text)), text, *(p.tobytes() for p in room + pieces)])


def gamut(tuning: Tuning) -> Iterator[list[tuple[NoteKey, float]]]:
    """Yield the notes of an instrument string by string, each in both loudness layers."""
    for index, open_note in enumerate(tuning.open_midi):
        string = tuning.strings - index
        for fret in range(GAMUT_FRETS + 1):
            yield [
                (NoteKey(CONCERT.name, open_note + fret, string, fret, layer, "pluck"), LONGEST_S)
                for layer in {struck * LAYERS // 128 for _, struck in VELOCITY_LAYERS}
            ]


def _length_s(key: NoteKey, need_s: float) -> float:
    """Return how long a sound is rendered: what rings as long as it may, the rest as needed."""
    return max(need_s, LONGEST_S) if key.voice != "kit" and key.touch == "pluck" else need_s


def _loudness_energy(sound: NDArray[np.float32]) -> float:
    """Return the energy of a sound's beginning as an ear weighs it (ITU-R BS.1770's K)."""
    frames = round(HEARD_S * RATE_HZ)
    heard = np.zeros((1, frames), np.float32)
    heard[0, : min(frames, sound.size)] = sound[:frames]
    return float(step_energies(heard, RATE_HZ).sum())
