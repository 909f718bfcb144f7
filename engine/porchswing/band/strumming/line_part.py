"""The line part: the notes one string plays through the changes, picked alone.

Played only when asked for: it lets a student hear the melody hidden in the grips.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from porchswing.band.score import PartScore, Stroke
from porchswing.band.strumming.grip_spans import Held, held_grips
from porchswing.chart.roadmap import Roadmap
from porchswing.grips.shapes.model import Grip, Tuning, Voicing

LINE_LOUDNESS = 0.72
STEP_SEMITONES = 2
"""A move of at most a whole tone is a step."""


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
    """Return the MIDI note of a string, ``None`` where it is muted or does not exist."""
    if not 1 <= string <= grip.tuning.strings:
        return None
    return grip.midi[grip.tuning.index(string)]
