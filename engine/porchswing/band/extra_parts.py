"""The parts that are silent unless asked for: the line, the melody and the solo.

The line is what one string plays through the changes, picked alone, so that a student hears the
melody hidden in the grips; the melody is the tune as written, the solo the tune on top of its
grips.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from porchswing.band.score import PartScore, Pluck, Stroke
from porchswing.band.strumming.grip_spans import Held, held_grips
from porchswing.chart.roadmap import Roadmap, with_onsets
from porchswing.grips.shapes.model import Grip, Tuning, Voicing

if TYPE_CHECKING:
    from porchswing.grips.melody.solo_notes import Solo

LINE_LOUDNESS = 0.72
STEP_SEMITONES = 2
"""A move of at most a whole tone is a step."""

MELODY_VELOCITY = 0.7
CHORD_VELOCITY, NOTE_VELOCITY = 0.68, 0.74
"""Loudness of a gripped note and of one picked alone, which has no chord to carry it."""

PINCHED_STRINGS = 2
"""Most strings that are pinched together; more are brushed."""


def line_part(roadmap: Roadmap, voicing: Voicing, line_string: int | None = None) -> PartScore:
    """Return one plucked note for every grip held: the string asked for, else the smoothest.

    A string is asked for by ``line_string``, else by the chart's ``line:`` in force.
    Where that string is muted the line rests; a tuning that has no such string plays the
    smoothest.
    """
    held = held_grips(roadmap, voicing)
    default = smoothest_string(held, voicing.tuning)
    events = []
    for each in held:
        target = roadmap.bars[each.bar].settings.line
        string = line_string or (target and target.string) or default
        if string > voicing.tuning.strings:
            string = default
        if each.grip is None or _note(each.grip, string) is None:
            continue
        events.append(
            Stroke(
                onset_beats=each.onset_beats,
                duration_beats=each.end_beats - each.onset_beats,
                grip=each.grip,
                kind="pinch",
                velocity=LINE_LOUDNESS,
                strings=(string,),
            )
        )
    return PartScore("line", tuple(events), voicing.tuning.instrument)


def smoothest_string(held: Sequence[Held], tuning: Tuning) -> int:
    """Return the string whose notes move by step most often, the nearer the floor on a tie."""
    grips = [each.grip for each in held if each.grip is not None]
    return max(range(1, tuning.strings + 1), key=lambda s: (_steps(grips, s), -s))


def _steps(grips: Sequence[Grip], string: int) -> int:
    notes = [_note(grip, string) for grip in grips]
    pairs = [(a, b) for a, b in pairwise(notes) if a is not None and b is not None]
    return sum(1 for a, b in pairs if 0 < abs(a - b) <= STEP_SEMITONES)


def _note(grip: Grip, string: int) -> int | None:
    """Return the MIDI note of a string, ``None`` where it is muted."""
    return grip.midi[grip.tuning.index(string)]


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
    return PartScore("solo", tuple(_solo_strokes(roadmap, solo)), solo.tuning.instrument)


def _solo_strokes(roadmap: Roadmap, solo: Solo) -> Iterator[Stroke]:
    for bar in roadmap.bars:
        for slot in solo.of_bar(bar):
            strings = slot.grip.sounding_strings
            yield Stroke(
                onset_beats=bar.start_beats + slot.at,
                duration_beats=slot.beats,
                grip=slot.grip,
                direction="down",
                kind="pinch" if len(strings) <= PINCHED_STRINGS else "strum",
                velocity=CHORD_VELOCITY if slot.is_chord else NOTE_VELOCITY,
                strings=strings,
            )
