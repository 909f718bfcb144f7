"""Play a score: written beats become swung, spread, human notes in whole ticks.

Onsets and ends are rounded to ticks, never durations; seconds follow from the ticks. Within
one part no string, drum or voice sounds twice at once: a new note ends the one before it.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from porchswing.band.score import Event, Hit, PartScore, Pluck, Score, Stroke
from porchswing.errors import OptionError
from porchswing.performance.human import Human, human
from porchswing.performance.model import Bend, Mark, Note, PartPerformance, Performance
from porchswing.performance.percussion import PERCUSSION_KEYS
from porchswing.performance.spread import spread_stroke
from porchswing.performance.timeline import Timeline, timeline_of

REORDER_MARGIN = 0.4
"""A deviation takes at most this share of the gap to the neighbouring onset of its part."""

MIN_NOTE_TICKS = 1
INSTRUMENTS = {
    "chords": "ukulele",
    "line": "ukulele",
    "bass": "bass",
    "drums": "drums",
    "count": "count",
    "melody": "melody",
}
"""The voice of a part whose score names none."""

TOUCHES = {"chuck": "chuck", "slur": "slur", "ghost": "mute", "ring": "ring"}
"""How a stroke or pluck of that kind sounds and ends; any other kind is damped at its end."""

VIBRATO_HZ = 5.5
VIBRATO_SEMITONES = 0.16
VIBRATO_AFTER_S = 0.35
"""A held chord is shaken gently once it has spoken (our choice, no source)."""

FALL_S = 0.25
"""A fall takes the last quarter of a second of a note, or half of it where that is shorter."""


@dataclass(frozen=True, slots=True)
class _Player:
    """One part's clock and hand: where each written onset really falls."""

    name: str
    timeline: Timeline
    human: Human
    even: frozenset[int]
    onsets_ticks: tuple[int, ...]

    def grid(self, event: Event) -> tuple[int, int]:
        """Return the swung ticks of an event's onset and end."""
        ticks = self.timeline.grid_ticks
        onset = ticks(event.onset_beats, self.name, self.even)
        end = ticks(event.onset_beats + event.duration_beats, self.name, self.even)
        return onset, end

    def deviation_s(self, event: Event, onset: int) -> float:
        """Return seconds after (or before) the grid, never so far as to pass a neighbour."""
        timeline = self.timeline
        wanted = self.human.timing_s(event.onset_beats, timeline.quarter_s(onset))
        if not wanted:
            return 0.0
        place = bisect_left(self.onsets_ticks, onset)
        neighbour = place + 1 if wanted > 0 else place - 1
        if 0 <= neighbour < len(self.onsets_ticks):
            gap = abs(self.onsets_ticks[neighbour] - onset) / timeline.ticks_per_second(onset)
            wanted = max(-REORDER_MARGIN * gap, min(REORDER_MARGIN * gap, wanted))
        return wanted

    def note(self, event: Event, onset: int, end: int, offset_s: float, pitch: int) -> Note:
        """Return a note of an event, ``offset_s`` after its grid, with its human velocity."""
        timeline = self.timeline
        onset_ticks = timeline.shifted(onset, offset_s)
        end_ticks = max(timeline.shifted(end, offset_s), onset_ticks + MIN_NOTE_TICKS)
        onset_s = timeline.seconds(onset_ticks)
        return Note(
            onset_ticks=onset_ticks,
            end_ticks=end_ticks,
            onset_s=onset_s,
            end_s=timeline.seconds(end_ticks),
            pitch=pitch,
            velocity=_midi_velocity(self.human.velocity(event.velocity, event.onset_beats)),
            beats=event.onset_beats,
            beats_end=event.onset_beats + event.duration_beats,
            offset_s=onset_s - timeline.seconds(onset),
        )


def perform(score: Score, humanize: float = 0.3) -> Performance:
    """Return the score as played; ``humanize`` 0 is exactly on the grid, 1 the widest.

    The same score and setting give the same performance, in any process. A part's deviations
    depend on the seed, its own name and the place alone: changing one part moves no other.
    """
    if not 0.0 <= humanize <= 1.0:
        raise OptionError(f"humanize must be from 0 to 1, got {humanize}")
    timeline = timeline_of(score)
    end_ticks = timeline.plain_ticks(score.end_beats)
    parts = tuple(
        _perform_part(part, timeline, human(part.name, humanize, score.seed), end_ticks)
        for part in score.parts
    )
    marks = []
    for label in score.labels:
        tick = max(0, timeline.plain_ticks(label.onset_beats))
        marks.append(Mark(tick, timeline.seconds(tick), label.kind, label.text))
    music_start = timeline.seconds(timeline.plain_ticks(score.end_beats * 0))
    return Performance(
        title=score.title,
        parts=parts,
        tempo_events=timeline.events,
        marks=tuple(sorted(marks, key=lambda mark: mark.tick)),
        end_ticks=end_ticks,
        end_s=timeline.seconds(end_ticks),
        music_start_s=music_start,
        meter=score.meter,
        key=score.key,
        seed=score.seed,
    )


def _perform_part(
    part: PartScore, timeline: Timeline, player: Human, end_ticks: int
) -> PartPerformance:
    even = timeline.tempo_map.even_beats(event.onset_beats for event in part.events)
    onsets = {timeline.grid_ticks(event.onset_beats, part.name, even) for event in part.events}
    hand = _Player(part.name, timeline, player, even, tuple(sorted(onsets)))
    notes: list[Note] = []
    for event in part.events:
        notes.extend(_PLAY[type(event)](hand, event))
    return PartPerformance(
        name=part.name,
        instrument=part.instrument or INSTRUMENTS.get(part.name, part.name),
        notes=_one_at_a_time(notes, timeline, end_ticks),
    )


def _play_pluck(hand: _Player, event: Pluck) -> list[Note]:
    onset, end = hand.grid(event)
    note = hand.note(event, onset, end, hand.deviation_s(event, onset), event.pitch)
    return [replace(note, touch=TOUCHES.get(event.kind, "damp"))]


def _play_hit(hand: _Player, event: Hit) -> list[Note]:
    onset, end = hand.grid(event)
    key = PERCUSSION_KEYS[event.piece]
    note = hand.note(event, onset, end, hand.deviation_s(event, onset), key)
    return [replace(note, piece=event.piece)]


def _play_stroke(hand: _Player, event: Stroke) -> list[Note]:
    onset, end = hand.grid(event)
    timeline = hand.timeline
    deviation_s = hand.deviation_s(event, onset)
    length_s = timeline.seconds(end) - timeline.seconds(onset)
    quarter_bpm = 60.0 / timeline.quarter_s(onset)
    touch = TOUCHES.get(event.kind, "ring" if event.let_ring else "damp")
    tuning = event.grip.tuning
    notes = []
    for sound in spread_stroke(event, length_s, quarter_bpm):
        index = tuning.index(sound.string)
        fret, pitch = event.grip.frets[index], event.grip.midi[index]
        if fret is None or pitch is None:
            continue
        note = hand.note(event, onset, end, deviation_s + sound.offset_s, pitch)
        end_ticks = timeline.shifted(end, deviation_s)
        if sound.end_s is not None:
            end_ticks = timeline.shifted(onset, deviation_s + sound.end_s)
        end_ticks = max(end_ticks, note.onset_ticks + MIN_NOTE_TICKS)
        velocity = hand.human.velocity(sound.velocity, event.onset_beats)
        note = replace(
            note,
            end_ticks=end_ticks,
            end_s=timeline.seconds(end_ticks),
            velocity=_midi_velocity(velocity),
            string=sound.string,
            fret=fret,
            touch=sound.touch or touch,
        )
        notes.append(replace(note, bends=_bends(event, note, timeline)))
    return notes


_PLAY: dict[type, Callable[..., list[Note]]] = {
    Pluck: _play_pluck,
    Hit: _play_hit,
    Stroke: _play_stroke,
}


def _bends(event: Stroke, note: Note, timeline: Timeline) -> tuple[Bend, ...]:
    """Return the glide in, the shake and the fall of a stroke's note; linear between points."""
    length_s = note.end_s - note.onset_s
    points: list[Bend] = []
    if event.slide_frets:
        glide_s = float(event.glide_beats) * timeline.quarter_s(note.onset_ticks)
        points.append(Bend(0.0, float(event.slide_frets)))
        points.append(Bend(min(glide_s, length_s), 0.0))
    if event.vibrato:
        settled_s = points[-1].offset_s if points else 0.0
        points.extend(_vibrato(max(VIBRATO_AFTER_S, settled_s), length_s))
    if event.fall_frets:
        fall_s = min(FALL_S, length_s / 2)
        start_s = max(length_s - fall_s, points[-1].offset_s if points else 0.0)
        points = [point for point in points if point.offset_s <= start_s]
        points.append(Bend(start_s, 0.0))
        points.append(Bend(length_s, float(event.fall_frets)))
    return tuple(points)


def _vibrato(start_s: float, end_s: float) -> Iterable[Bend]:
    """Yield the corners of a triangle wave, upward only as a fretting finger bends a string."""
    half_s = 0.5 / VIBRATO_HZ
    count = int((end_s - start_s) / (2 * half_s))
    for turn in range(count):
        at_s = start_s + turn * 2 * half_s
        yield Bend(at_s, 0.0)
        yield Bend(at_s + half_s, VIBRATO_SEMITONES)
    if count > 0:
        yield Bend(start_s + count * 2 * half_s, 0.0)


def _one_at_a_time(notes: list[Note], timeline: Timeline, end_ticks: int) -> tuple[Note, ...]:
    """Return notes by onset, each cut where its string, drum key or voice sounds again.

    Two notes that would start on one string at one tick are one note: the louder.
    """
    ordered = sorted(notes, key=lambda n: (n.onset_ticks, n.pitch, n.string or 0, n.velocity))
    sounding: dict[object, int] = {}
    kept: list[Note | None] = []
    for note in ordered:
        if note.onset_ticks >= end_ticks:
            continue
        voice = (note.string, note.pitch if note.piece else None)
        before = sounding.get(voice)
        if before is not None:
            kept[before] = _cut(kept[before], note.onset_ticks, timeline, note.beats)
        sounding[voice] = len(kept)
        kept.append(_cut(note, end_ticks, timeline))
    return tuple(note for note in kept if note is not None)


def _cut(
    note: Note | None, end_ticks: int, timeline: Timeline, beats: Fraction | None = None
) -> Note | None:
    """Return the note ended no later than ``end_ticks``; ``None`` where nothing is left.

    ``beats`` is the written onset of what cuts it.
    """
    if note is None or note.end_ticks <= end_ticks:
        return note
    if end_ticks <= note.onset_ticks:
        return None
    end_s = timeline.seconds(end_ticks)
    length_s = end_s - note.onset_s
    bends = tuple(bend for bend in note.bends if bend.offset_s <= length_s)
    beats_end = note.beats_end if beats is None else min(note.beats_end, beats)
    return replace(note, end_ticks=end_ticks, end_s=end_s, bends=bends, beats_end=beats_end)


def _midi_velocity(velocity: float) -> int:
    """Return velocity 0 to 1 as MIDI's 1 to 127."""
    return max(1, min(127, round(velocity * 127)))
