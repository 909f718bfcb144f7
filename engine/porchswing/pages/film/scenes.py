"""What every frame of a film shows, from the marks and the strokes of the performance.

Chords and grips change where the cues say so, strokes light up where they sound and beats where
the bar has them, each in the frame whose start is nearest. A frame holds from ``number / rate`` on.

Nothing may flash more than three times in a second (WCAG 2.3.1): a bar lights every stroke and
beat once, so a bar shorter than a third of a second is shown without lights.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby
from math import ceil
from typing import Any, NamedTuple

from porchswing.band.score import Score, Stroke
from porchswing.band.strumming.grip_spans import Held, written_grips
from porchswing.chart.model import Chart, Meter
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.chart.unroll import section_title
from porchswing.grips.shapes.model import Voicing
from porchswing.pages.handout.strum_drawing import LOUD, WEAK, felt_beats
from porchswing.performance.model import Performance
from porchswing.performance.timeline import Timeline, timeline_of
from porchswing.rhythm.strum import StrumCell

MOST_FLASHES_HZ = 3
"""Most flashes in a second: WCAG 2.3.1 (W3C Recommendation), the same in 2.0, 2.1 and 2.2."""

COUNT_IN = "count-in"

FRETTED_ALONE = frozenset({"slur"})
"""Strokes that the fretting hand makes alone: they are no strum."""

LOUDNESSES = (0.0, WEAK, LOUD)
"""What an arrow can say of a loudness: barely, usual, accented."""


@dataclass(frozen=True, slots=True)
class Scene:
    """What one picture shows.

    ``place`` says in words where we are, ``count`` is the number counted before the music.
    ``now`` and ``next`` are the grips; ``cells`` the strokes of the bar, of which ``lit`` was
    struck last; ``beat`` is the felt beat of the bar, both from 0, ``None`` where none is lit.
    """

    place: str = COUNT_IN
    count: str = ""
    now: Held | None = None
    next: Held | None = None
    cells: tuple[StrumCell, ...] = ()
    lit: int | None = None
    beat: int | None = None


class Shot(NamedTuple):
    """A scene that is seen from ``first_frame`` on for a number of ``frames``."""

    first_frame: int
    frames: int
    scene: Scene


class StruckStroke(NamedTuple):
    """A stroke of the strumming hand: where it is drawn and when its first string sounds.

    ``hand`` says in words how the fretting hand bends it, empty where it does not.
    """

    cell: StrumCell
    beats: Fraction
    onset_s: float
    hand: str = ""


@dataclass(frozen=True, slots=True)
class FilmBar:
    """One played bar: its start in seconds, its length, its chords, strokes and felt beats.

    ``chords_s`` pairs every chord with the moment of its cue, ``beats_s`` the place of each felt
    beat, in quarters, with its moment.
    """

    bar: PlayedBar
    place: str
    start_s: float
    length_s: float
    chords_s: tuple[tuple[Held, float], ...]
    strokes: tuple[StruckStroke, ...]
    beats_s: tuple[tuple[Fraction, float], ...]

    @property
    def has_lights(self) -> bool:
        """Whether it is long enough that lights in every bar are no flashing."""
        return self.length_s * MOST_FLASHES_HZ >= 1


@dataclass(frozen=True, slots=True)
class Film:
    """The shots of a tune without gaps from frame 0, at ``rate`` frames a second."""

    title: str
    rate: Fraction
    meter: Meter
    bars: tuple[FilmBar, ...]
    shots: tuple[Shot, ...]

    @property
    def is_left_handed(self) -> bool:
        """Whether its grips are drawn for a left-handed player."""
        grips = (held.grip for bar in self.bars for held, _ in bar.chords_s)
        return any(grip is not None and grip.tuning.is_left_handed for grip in grips)

    @property
    def frames(self) -> int:
        """Number of frames."""
        return sum(shot.frames for shot in self.shots)

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return float(self.frames / self.rate)


class _Change(NamedTuple):
    """What is new in a scene from a frame on."""

    frame: int
    order: int
    fields: dict[str, Any]


def film_of(
    chart: Chart,
    roadmap: Roadmap,
    voicing: Voicing,
    score: Score,
    performance: Performance,
    rate: Fraction,
) -> Film:
    """Return the film of a roadmap with its grips, as they are written and performed."""
    cues = [mark for mark in performance.marks if mark.kind == "chord"]
    held = [
        (each, mark.seconds)
        for each, mark in zip(written_grips(roadmap, voicing), cues, strict=True)
    ]
    strokes = _struck(score, performance, [each for each, _ in held])
    bars = tuple(_film_bars(chart, roadmap, held, strokes, timeline_of(score)))
    frames = ceil(performance.end_s * rate)
    counted = (
        _Change(frame_at(mark.seconds, rate), 0, {"count": mark.text})
        for mark in performance.count_in_marks
    )
    in_bars = (change for bar in bars for change in _bar_changes(bar, rate))
    changes = [*counted, *_held_changes(held, rate), *in_bars]
    first = Scene(next=held[0][0], cells=_cells(bars[0]))
    return Film(chart.title, rate, roadmap.meter, bars, tuple(_shots(first, changes, frames)))


def frame_at(seconds: float, rate: Fraction) -> int:
    """Return the frame whose start is nearest to a moment.

    >>> frame_at(1.0, Fraction(30000, 1001))
    30
    """
    return max(0, round(seconds * rate))


def _shots(scene: Scene, changes: list[_Change], frames: int) -> Iterator[Shot]:
    """Yield the scenes one after another; what changes in one frame changes at once."""
    first = 0
    in_time = (each for each in changes if each.frame < frames)
    ordered = sorted(in_time, key=lambda each: (each.frame, each.order))
    for frame, together in groupby(ordered, key=lambda each: each.frame):
        new = {name: value for change in together for name, value in change.fields.items()}
        after = replace(scene, **new)
        if frame > first and after != scene:
            yield Shot(first, frame - first, scene)
            first = frame
        scene = after
    yield Shot(first, frames - first, scene)


def _held_changes(held: list[tuple[Held, float]], rate: Fraction) -> Iterator[_Change]:
    """Yield the change to every chord, where its cue begins."""
    for index, (now, cue_s) in enumerate(held):
        rest = (each for each, _ in held[index + 1 :])
        after = next((each for each in rest if looks(each) != looks(now)), None)
        yield _Change(frame_at(cue_s, rate), 1, {"now": now, "next": after, "count": ""})


def looks(held: Held) -> tuple[Any, ...]:
    """Return what of a held grip is drawn."""
    return held.symbol, held.grip, held.marks


def _bar_changes(bar: FilmBar, rate: Fraction) -> Iterator[_Change]:
    """Yield what is new in a bar: its place and strokes, then its lights."""
    start = frame_at(bar.start_s, rate)
    yield _Change(start, 0, {"place": bar.place, "cells": _cells(bar), "lit": None, "beat": None})
    if not bar.has_lights:
        return
    for number, (_, beat_s) in enumerate(bar.beats_s):
        yield _Change(frame_at(beat_s, rate), 2, {"beat": number})
    for number in range(len(bar.strokes)):
        yield _Change(max(start, lit_frame(bar, number, rate)), 2, {"lit": number})


def lit_frame(bar: FilmBar, number: int, rate: Fraction) -> int:
    """Return the frame in which a stroke of a bar lights up.

    A stroke on a beat lights with the beat where that is not more than a frame away, so that a
    hand a hundredth of a second late makes no picture of its own.
    """
    stroke = bar.strokes[number]
    beat_s = dict(bar.beats_s).get(stroke.cell.at)
    if beat_s is not None:
        frame = frame_at(beat_s, rate)
        if abs(frame - stroke.onset_s * rate) <= 1:
            return frame
    return frame_at(stroke.onset_s, rate)


def _cells(bar: FilmBar) -> tuple[StrumCell, ...]:
    return tuple(stroke.cell for stroke in bar.strokes)


def _film_bars(
    chart: Chart,
    roadmap: Roadmap,
    held: list[tuple[Held, float]],
    strokes: list[StruckStroke],
    timeline: Timeline,
) -> Iterator[FilmBar]:
    for index, bar in enumerate(roadmap.bars):
        end_beats = bar.start_beats + bar.beats
        start_s, end_s = (_seconds(timeline, at) for at in (bar.start_beats, end_beats))
        inside = [each for each in strokes if bar.start_beats <= each.beats < end_beats]
        total = len(chart.section(bar.section).plain)
        yield FilmBar(
            bar,
            f"{section_title(chart, bar.section)}, bar {bar.bar} of {total}",
            start_s,
            end_s - start_s,
            tuple(each for each in held if each[0].bar == index),
            tuple(
                each._replace(cell=replace(each.cell, at=each.beats - bar.start_beats))
                for each in inside
            ),
            tuple(
                (at, _seconds(timeline, bar.start_beats + at))
                for at in felt_beats(roadmap.meter)
                if at < bar.beats
            ),
        )


def _seconds(timeline: Timeline, beats: Fraction) -> float:
    return timeline.seconds(timeline.plain_ticks(beats))


def _struck(score: Score, performance: Performance, held: list[Held]) -> list[StruckStroke]:
    """Return the strokes of the strumming hand that sound, in order, one a moment."""
    part = next(part for part in score.parts if part.name == "chords")
    onsets: dict[Fraction, float] = {}
    for note in performance.part("chords").notes:
        onsets[note.beats] = min(note.onset_s, onsets.get(note.beats, note.onset_s))
    found: dict[Fraction, StruckStroke] = {}
    for event in part.events:
        at = event.onset_beats
        if isinstance(event, Stroke) and event.kind not in FRETTED_ALONE and at in onsets:
            found.setdefault(at, StruckStroke(_cell(event, held), at, onsets[at], _hand(event)))
    return list(found.values())


def _hand(stroke: Stroke) -> str:
    """Return in words how the fretting hand bends a stroke."""
    ways = (
        ("slid in", stroke.slide_frets),
        ("falling off", stroke.fall_frets),
        ("shaken", stroke.vibrato),
    )
    return ", ".join(words for words, is_so in ways if is_so)


def _cell(stroke: Stroke, held: list[Held]) -> StrumCell:
    at = stroke.onset_beats
    written = next((each for each in held if each.onset_beats <= at < each.end_beats), None)
    return StrumCell(
        at,
        stroke.kind,
        stroke.direction,
        LOUDNESSES[bisect(LOUDNESSES, stroke.velocity) - 1],
        stroke.strings,
        is_ahead=written is not None and stroke.grip != written.grip,
    )
