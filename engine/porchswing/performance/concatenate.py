"""One performance after another: takes joined into one, each at its own tempo.

Between two takes there may be clicks: a moment to listen, and the pulse of what comes next.
A comparison plays the same bars in two lanes, a drill its tempo ladder; joined, they are one
performance that MIDI, audio and cues share like any other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from porchswing.band.score import Hit, PartScore, Score
from porchswing.chart.model import Meter
from porchswing.errors import OptionError
from porchswing.performance.model import (
    Mark,
    Note,
    PartPerformance,
    Performance,
    TempoEvent,
)
from porchswing.performance.perform import perform
from porchswing.rhythm.tempo import TempoMap, TempoSegment
from porchswing.units import TICKS_PER_BEAT

CLICK_VELOCITY = 0.75


def named(performance: Performance, name: str) -> Performance:
    """Return a performance whose one section mark, at its start, gives its name."""
    kept = tuple(mark for mark in performance.marks if mark.kind != "section")
    return replace(performance, marks=(Mark(0, 0.0, "section", name), *kept))


def join(pieces: Sequence[Performance], title: str) -> Performance:
    """Return the pieces one after another; the first gives meter, key and seed.

    Parts of one name become one part. Ticks and seconds of a piece move by where the ones
    before it end, so each piece keeps its own timing to the microsecond.
    """
    if not pieces:
        raise OptionError("there must be at least one performance to join, got none")
    instruments = {part.name: part.instrument for piece in pieces for part in piece.parts}
    notes: dict[str, list[Note]] = {name: [] for name in instruments}
    tempo_events: list[TempoEvent] = []
    marks: list[Mark] = []
    start_ticks, start_s = 0, 0.0
    for piece in pieces:
        for part in piece.parts:
            notes[part.name].extend(_moved(note, start_ticks, start_s) for note in part.notes)
        for event in piece.tempo_events:
            moved = TempoEvent(
                event.tick + start_ticks, event.us_per_quarter, event.seconds + start_s
            )
            if not tempo_events or tempo_events[-1].us_per_quarter != moved.us_per_quarter:
                tempo_events.append(moved)
        marks.extend(
            replace(mark, tick=mark.tick + start_ticks, seconds=mark.seconds + start_s)
            for mark in piece.marks
        )
        start_ticks += piece.end_ticks
        start_s += piece.end_s
    return replace(
        pieces[0],
        title=title,
        parts=tuple(
            PartPerformance(name, instruments[name], tuple(part)) for name, part in notes.items()
        ),
        tempo_events=tuple(tempo_events),
        marks=tuple(marks),
        end_ticks=start_ticks,
        end_s=start_s,
    )


def clicks(meter: Meter, quarter_bpm: float, count: int = 2) -> Performance:
    """Return ``count`` clicks, one each beat that the meter clicks, and nothing else."""
    beat = meter.click_beats
    hits = tuple(
        Hit(number * beat, "click_low", CLICK_VELOCITY, beat / 2) for number in range(count)
    )
    score = Score(
        title="clicks",
        parts=(PartScore("count", hits, instrument="count"),),
        tempo_map=TempoMap((TempoSegment(Fraction(0), quarter_bpm, 1.0),)),
        labels=(),
        count_in_beats=Fraction(0),
        end_beats=count * beat,
        meter=(meter.count, meter.unit),
    )
    return perform(score, humanize=0.0)


def _moved(note: Note, ticks: int, seconds: float) -> Note:
    beats = Fraction(ticks, TICKS_PER_BEAT)
    return replace(
        note,
        onset_ticks=note.onset_ticks + ticks,
        end_ticks=note.end_ticks + ticks,
        onset_s=note.onset_s + seconds,
        end_s=note.end_s + seconds,
        beats=note.beats + beats,
        beats_end=note.beats_end + beats,
    )
