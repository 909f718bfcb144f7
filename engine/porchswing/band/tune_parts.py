"""The parts that play the tune: the melody as written, and the solo on top of its grips."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from porchswing.band.score import PartScore, Pluck, Stroke
from porchswing.chart.roadmap import Roadmap, with_onsets

if TYPE_CHECKING:
    from porchswing.grips.melody.solo_model import Solo, SoloSlot

MELODY_VELOCITY = 0.7
CHORD_VELOCITY, NOTE_VELOCITY = 0.68, 0.74
"""Loudness of a gripped note and of one picked alone, which has no chord to carry it."""

PINCHED_STRINGS = 2
"""Most strings that are pinched together; more are brushed."""


def melody_part(roadmap: Roadmap) -> PartScore:
    """Return the melody lane of every played bar; empty where the chart has none."""
    events = tuple(
        Pluck(at, note.beats, note.pitch, MELODY_VELOCITY)
        for bar in roadmap.bars
        for at, note in with_onsets(bar.melody, bar.start_beats)
        if note.pitch is not None
    )
    return PartScore(name="melody", events=events, instrument="melody")


def solo_part(roadmap: Roadmap, solo: Solo) -> PartScore:
    """Return the solo of every played bar; each note rings until the next or its own end."""
    return PartScore("solo", tuple(_strokes(roadmap, solo)), solo.tuning.instrument)


def _strokes(roadmap: Roadmap, solo: Solo) -> Iterator[Stroke]:
    for bar in roadmap.bars:
        for slot in solo.of_bar(bar):
            strings = _strings(slot)
            yield Stroke(
                onset_beats=bar.start_beats + slot.at,
                duration_beats=slot.beats,
                grip=slot.grip,
                direction="down",
                kind="pinch" if len(strings) <= PINCHED_STRINGS else "strum",
                velocity=CHORD_VELOCITY if slot.is_chord else NOTE_VELOCITY,
                strings=strings,
            )


def _strings(slot: SoloSlot) -> tuple[int, ...]:
    """Return the strings a slot sounds, the highest-numbered first."""
    count = slot.grip.tuning.strings
    return tuple(count - i for i, fret in enumerate(slot.grip.frets) if fret is not None)
