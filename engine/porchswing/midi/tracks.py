"""One channel of a part as timed MIDI messages: notes, unisons and glides.

Two strings may sound one pitch at once (0232 on gCEA sounds G4 twice). On one channel the
first note-off would end both for many readers, so unisons are merged there; with a channel
for every string each keeps its own. Pitch bend acts on a whole channel, so a glide is
written only where no other stroke sounds on the channel meanwhile.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import groupby, pairwise
from math import ceil
from typing import NamedTuple

from mido import Message

from porchswing.performance.model import Bend, Note

BEND_HALF_RANGE = 8192
BEND_STEP_S = 0.01
"""Glides are written in steps of this many seconds."""

LEAST_RANGE_SEMITONES = 2
"""The range most receivers wake up with; never set narrower."""

UNISON_TICKS = 60
"""Onsets of one pitch this near on one channel are one stroke's unison and become one note."""

SETUP, NOTE_OFF, BEND, NOTE_ON = range(4)
"""At one tick: setup first, then notes end, bends are set, and notes begin."""


class TimedMessage(NamedTuple):
    """A message at a tick; at one tick the lower ``order`` goes first."""

    tick: int
    order: int
    message: Message


def channel_messages(notes: Iterable[Note], channel: int) -> Iterator[TimedMessage]:
    """Yield the messages of all notes of one channel: bend range, glides, notes."""
    sounding = merge_unisons(notes)
    reach = max((abs(bend.semitones) for note in sounding for bend in note.bends), default=0.0)
    if reach:
        semitones = max(LEAST_RANGE_SEMITONES, ceil(reach))
        bend_range = ((101, 0), (100, 0), (6, semitones), (38, 0))  # registered parameter 0
        yield from controls(channel, *bend_range, (101, 127), (100, 127))  # then none
        yield from _glides(sounding, channel, semitones)
    for note in sounding:
        on = _message("note_on", channel, note.pitch, note.velocity)
        yield TimedMessage(note.onset_ticks, NOTE_ON, on)
        off = _message("note_off", channel, note.pitch, 0)
        yield TimedMessage(note.end_ticks, NOTE_OFF, off)


@lru_cache(maxsize=4096)
def _message(kind: str, channel: int, pitch: int, velocity: int) -> Message:
    """Return a note's message, checked once; a track copies it with its time."""
    return Message(kind, channel=channel, note=pitch, velocity=velocity)


def merge_unisons(notes: Iterable[Note]) -> list[Note]:
    """Return notes by onset in which no pitch sounds twice at once.

    Unisons of one stroke become one note, as loud as the loudest and as long as the longest;
    a pitch that is struck again later ends the note before it.
    """
    merged: list[Note] = []
    last_of_pitch: dict[int, int] = {}
    for note in sorted(notes, key=lambda n: (n.onset_ticks, n.pitch)):
        place = last_of_pitch.get(note.pitch)
        if place is not None and merged[place].end_ticks > note.onset_ticks:
            before = merged[place]
            if note.onset_ticks - before.onset_ticks < UNISON_TICKS:
                longest = max(before, note, key=lambda n: n.end_ticks)
                merged[place] = replace(
                    before,
                    end_ticks=longest.end_ticks,
                    end_s=longest.end_s,
                    velocity=max(before.velocity, note.velocity),
                )
                continue
            merged[place] = replace(before, end_ticks=note.onset_ticks, end_s=note.onset_s)
        last_of_pitch[note.pitch] = len(merged)
        merged.append(note)
    return merged


def controls(channel: int, *values: tuple[int, int]) -> Iterator[TimedMessage]:
    """Yield controllers, each with its value, before the first note."""
    for control, value in values:
        message = Message("control_change", channel=channel, control=control, value=value)
        yield TimedMessage(0, SETUP, message)


def _glides(notes: Sequence[Note], channel: int, semitones: int) -> Iterator[TimedMessage]:
    """Yield pitch bends, each stroke's own; the wheel is centred before the next stroke."""
    strokes = [list(group) for _, group in groupby(notes, key=lambda note: note.beats)]
    sounding_until, bent = 0, 0
    for place, stroke in enumerate(strokes):
        onset = stroke[0].onset_ticks
        next_onset = strokes[place + 1][0].onset_ticks if place + 1 < len(strokes) else None
        crossed = max(note.onset_ticks for note in stroke)
        alone = sounding_until <= crossed and all(note.bends for note in stroke)
        steps = _wheel(stroke[0], semitones) if alone else [(onset, 0)]
        for tick, value in steps:
            if value != bent and (next_onset is None or tick < next_onset or tick == onset):
                message = Message("pitchwheel", channel=channel, pitch=value)
                yield TimedMessage(tick, BEND, message)
                bent = value
        sounding_until = max(sounding_until, *(note.end_ticks for note in stroke))
    if bent:
        yield TimedMessage(sounding_until, BEND, Message("pitchwheel", channel=channel, pitch=0))


def _wheel(note: Note, semitones: int) -> list[tuple[int, int]]:
    """Return (tick, wheel) steps of a note's bends, linear between its points."""
    length_s = max(note.end_s - note.onset_s, 1e-9)
    ticks_per_s = (note.end_ticks - note.onset_ticks) / length_s
    steps = []
    for at_s, bend in _steps(note.bends):
        value = round(bend / semitones * BEND_HALF_RANGE)
        tick = note.onset_ticks + round(at_s * ticks_per_s)
        steps.append((tick, max(-BEND_HALF_RANGE, min(BEND_HALF_RANGE - 1, value))))
    return steps


def _steps(bends: Sequence[Bend]) -> Iterator[tuple[float, float]]:
    """Yield (seconds, semitones) from the note's onset on, every step and every point."""
    yield 0.0, bends[0].semitones
    for here, there in pairwise(bends):
        span_s = there.offset_s - here.offset_s
        rise = there.semitones - here.semitones
        count = max(1, ceil(span_s / BEND_STEP_S)) if rise else 1
        for step in range(1, count + 1):
            share = step / count
            yield here.offset_s + share * span_s, here.semitones + share * rise
