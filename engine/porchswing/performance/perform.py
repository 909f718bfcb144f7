"""Play a score: written beats become swung, spread, human notes in whole ticks.

Onsets and ends are rounded to ticks, never durations; seconds follow from the ticks. Within
one part no string, drum or voice sounds twice at once: a new note ends the one before it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from porchswing.band.score import Event, Hit, PartScore, Pluck, Score, Stroke
from porchswing.errors import OptionError
from porchswing.performance.glides import glides
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


@dataclass(slots=True)
class _Sound:
    """One note in the making: whole ticks that may still be cut, not yet seconds."""

    event: Event
    grid_ticks: int
    onset_ticks: int
    end_ticks: int
    beats_end: Fraction
    pitch: int
    velocity: int
    touch: str = "damp"
    string: int | None = None
    fret: int | None = None
    piece: str | None = None
    is_first: bool = True
    is_last: bool = True

    @property
    def voice(self) -> tuple[int | None, str | None]:
        """What can sound one note at a time: a string, a piece of the kit, or the player."""
        return self.string, self.piece


class _Moment(NamedTuple):
    """One onset of a part: its swung grid tick, how late it is played, and how loud."""

    ticks: int
    late_s: float
    loudness: float


class _Hand(NamedTuple):
    """One part's clock and human: where each written event really falls."""

    name: str
    timeline: Timeline
    even: frozenset[int]

    def ticks(self, beats: Fraction) -> int:
        """Return the swung tick of a written beat."""
        return self.timeline.grid_ticks(beats, self.name, self.even)

    def moments(self, events: Sequence[Event], human: Human) -> Iterator[_Moment]:
        """Yield the moment of every event; no deviation goes so far as to pass a neighbour."""
        ticks = [self.ticks(event.onset_beats) for event in events]
        beats = {tick: event.onset_beats for tick, event in zip(ticks, events, strict=True)}
        found: dict[int, _Moment] = {}
        onsets = sorted(beats)
        for before, tick, after in zip([None, *onsets], onsets, [*onsets[1:], None], strict=False):
            late_s = human.timing_s(beats[tick], self.timeline.quarter_s(tick))
            neighbour = after if late_s > 0 else before
            if late_s and neighbour is not None:
                gap_s = abs(neighbour - tick) / self.timeline.ticks_per_second(tick)
                late_s = max(-REORDER_MARGIN * gap_s, min(REORDER_MARGIN * gap_s, late_s))
            found[tick] = _Moment(tick, late_s, human.loudness_factor(beats[tick]))
        return (found[tick] for tick in ticks)


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
    hand = _Hand(part.name, timeline, even)
    sounds: list[_Sound] = []
    for event, moment in zip(part.events, hand.moments(part.events, player), strict=True):
        sounds.extend(_PLAY[type(event)](hand, event, moment))
    return PartPerformance(
        name=part.name,
        instrument=part.instrument or INSTRUMENTS.get(part.name, part.name),
        notes=tuple(_note(sound, timeline) for sound in _one_at_a_time(sounds, end_ticks)),
    )


def _play_single(hand: _Hand, event: Pluck | Hit, moment: _Moment) -> Iterator[_Sound]:
    """Yield the one sound of a pluck or a drum stroke."""
    timeline = hand.timeline
    beats_end = event.onset_beats + event.duration_beats
    piece = event.piece if isinstance(event, Hit) else None
    yield _Sound(
        event=event,
        grid_ticks=moment.ticks,
        onset_ticks=timeline.shifted(moment.ticks, moment.late_s),
        end_ticks=timeline.shifted(hand.ticks(beats_end), moment.late_s),
        beats_end=beats_end,
        pitch=PERCUSSION_KEYS[event.piece] if isinstance(event, Hit) else event.pitch,
        velocity=_midi_velocity(event.velocity * moment.loudness),
        touch="damp" if isinstance(event, Hit) else TOUCHES.get(event.kind, "damp"),
        piece=piece,
    )


def _play_stroke(hand: _Hand, event: Stroke, moment: _Moment) -> Iterator[_Sound]:
    """Yield the strings of a stroke as the hand crosses them."""
    timeline, onset, late_s = hand.timeline, moment.ticks, moment.late_s
    beats_end = event.onset_beats + event.duration_beats
    end = hand.ticks(beats_end)
    length_s = timeline.seconds(end) - timeline.seconds(onset)
    touch = TOUCHES.get(event.kind, "ring" if event.let_ring else "damp")
    frets, tuning, pitches = event.grip.frets, event.grip.tuning, event.grip.midi
    struck: set[int] = set()
    for sound in spread_stroke(event, length_s, 60.0 / timeline.quarter_s(onset)):
        index = tuning.index(sound.string)
        pitch = pitches[index]
        if pitch is None:
            continue
        until, after_s = (end, 0.0) if sound.end_s is None else (onset, sound.end_s)
        yield _Sound(
            event=event,
            grid_ticks=onset,
            onset_ticks=timeline.shifted(onset, late_s + sound.offset_s),
            end_ticks=timeline.shifted(until, late_s + after_s),
            beats_end=beats_end,
            pitch=pitch,
            velocity=_midi_velocity(sound.velocity * moment.loudness),
            touch=sound.touch or touch,
            string=sound.string,
            fret=frets[index],
            is_first=sound.string not in struck,
            is_last=sound.end_s is None,
        )
        struck.add(sound.string)


_PLAY: dict[type, Callable[..., Iterator[_Sound]]] = {
    Pluck: _play_single,
    Hit: _play_single,
    Stroke: _play_stroke,
}


def _one_at_a_time(sounds: list[_Sound], end_ticks: int) -> list[_Sound]:
    """Return sounds by onset, each cut where its own voice sounds again or the music ends.

    Of two that would start on one string at one tick the louder stays.
    """
    last: dict[object, _Sound] = {}
    for sound in sorted(sounds, key=lambda s: (s.onset_ticks, s.pitch, s.string or 0, s.velocity)):
        sound.end_ticks = min(max(sound.end_ticks, sound.onset_ticks + MIN_NOTE_TICKS), end_ticks)
        before = last.get(sound.voice)
        if before is not None and before.end_ticks > sound.onset_ticks:
            before.end_ticks = sound.onset_ticks
            before.beats_end = min(before.beats_end, sound.event.onset_beats)
        last[sound.voice] = sound
    kept = [sound for sound in sounds if sound.end_ticks > sound.onset_ticks]
    return sorted(kept, key=lambda s: (s.onset_ticks, s.pitch, s.string or 0))


def _note(sound: _Sound, timeline: Timeline) -> Note:
    """Return the finished note, its seconds taken from its ticks."""
    event = sound.event
    onset_s, end_s = timeline.seconds(sound.onset_ticks), timeline.seconds(sound.end_ticks)
    bends: tuple[Bend, ...] = ()
    if isinstance(event, Stroke):
        bends = glides(
            event,
            end_s - onset_s,
            timeline.quarter_s(sound.onset_ticks),
            is_first=sound.is_first,
            is_last=sound.is_last,
        )
    return Note(
        onset_ticks=sound.onset_ticks,
        end_ticks=sound.end_ticks,
        onset_s=onset_s,
        end_s=end_s,
        pitch=sound.pitch,
        velocity=sound.velocity,
        string=sound.string,
        fret=sound.fret,
        touch=sound.touch,
        piece=sound.piece,
        bends=bends,
        beats=event.onset_beats,
        beats_end=sound.beats_end,
        offset_s=onset_s - timeline.seconds(sound.grid_ticks),
    )


def _midi_velocity(velocity: float) -> int:
    """Return velocity 0 to 1 as MIDI's 1 to 127."""
    return max(1, min(127, round(velocity * 127)))
