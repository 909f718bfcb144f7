"""Play a score: written beats become swung, spread, human notes in whole ticks.

Onsets and ends are rounded to ticks, never durations; seconds follow from the ticks. Within
one part no string, drum or voice sounds twice at once: a new note ends the one before it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from operator import itemgetter
from typing import NamedTuple

from porchswing.band.score import Event, Hit, PartScore, Pluck, Score, Stroke
from porchswing.errors import OptionError
from porchswing.options import DEFAULTS
from porchswing.performance.human import Human, humans
from porchswing.performance.model import Bend, Mark, Note, PartPerformance, Performance
from porchswing.performance.strokes import glides, spread_stroke
from porchswing.performance.timeline import Timeline, timeline_of
from porchswing.units import TICKS_PER_BEAT

REORDER_MARGIN = 0.4
"""A deviation takes at most this share of the gap to the neighbouring onset of its part."""

MIN_NOTE_TICKS = 1
INSTRUMENTS = {
    "chords": "ukulele",
    "line": "ukulele",
    "solo": "ukulele",
    "bass": "bass",
    "drums": "drums",
    "count": "count",
    "melody": "melody",
}
"""The voice of a part whose score names none."""

PERCUSSION_KEYS = {
    "kick": 36,
    "side_stick": 37,
    "sticks": 37,
    "snare": 38,
    "brush_tap": 38,
    "brush_slap": 40,
    "hat_closed": 42,
    "hat_pedal": 44,
    "hat_open": 46,
    "ride": 51,
    "ride_bell": 53,
    "brush_sweep": 40,
    "click_high": 76,
    "click_low": 77,
}
"""GM1 key of every drum piece a :class:`porchswing.band.score.Hit` may name.

Source: General MIDI System Level 1, percussion key map (channel 10, keys 35 to 81). Level 1
has no brushes: a light snare stands for the tap and a snare for the slap; nothing stands for the
sweep, whose key is that of Level 2's brush kit. Keys 33 and 34 (metronome) and the brush kit
belong to Level 2 only.
"""

TOUCHES = {"chuck": "chuck", "slur": "slur", "ghost": "mute", "ring": "ring"}
"""How a stroke or pluck of that kind sounds and ends; any other kind is damped at its end."""


class _Sound(NamedTuple):
    """One note in the making: whole ticks that may still be cut, not yet seconds.

    ``string`` 0 is none.
    """

    onset_ticks: int
    pitch: int
    string: int
    velocity: int
    end_ticks: int
    event: Event
    grid_s: float
    beats_end: Fraction
    touch: str
    piece: str | None = None
    fret: int | None = None
    brightness: float = 0.0
    is_first: bool = True
    is_last: bool = True


class _Moment(NamedTuple):
    """One onset of a part: its swung grid tick, how late it is played, and how loud.

    ``seconds`` is the clock time of the grid tick, ``ticks_per_second`` the tempo there.
    """

    ticks: int
    seconds: float
    ticks_per_second: float
    late_s: float
    loudness: float

    def tick_after(self, offset_s: float) -> int:
        """Return the tick ``offset_s`` seconds after the onset as it is played."""
        return max(0, self.ticks + round((self.late_s + offset_s) * self.ticks_per_second))


class _Hand(NamedTuple):
    """One part's clock and human: where each written event really falls.

    ``even`` holds the beats the part plays as written (:meth:`TempoMap.even_beats`).
    """

    name: str
    timeline: Timeline
    count_in_beats: float
    even: frozenset[int]
    human: Human

    def ticks(self, beats: Fraction) -> int:
        """Return the swung tick of a written beat."""
        warped = self.timeline.tempo_map.warp(beats, part=self.name, even=self.even)
        return round((warped + self.count_in_beats) * TICKS_PER_BEAT)

    def moments(self, events: Sequence[Event]) -> Iterator[_Moment]:
        """Yield the moment of every event; no deviation goes so far as to pass a neighbour."""
        ticks = [self.ticks(event.onset_beats) for event in events]
        beats = {tick: event.onset_beats for tick, event in zip(ticks, events, strict=True)}
        found: dict[int, _Moment] = {}
        onsets = sorted(beats)
        for before, tick, after in zip([None, *onsets], onsets, [*onsets[1:], None], strict=False):
            pace = self.timeline.ticks_per_second(tick)
            late_s, loudness = self.human.deviation(beats[tick], self.timeline.quarter_s(tick))
            neighbour = after if late_s > 0 else before
            if late_s and neighbour is not None:
                most_s = REORDER_MARGIN * (abs(neighbour - tick) / pace)
                late_s = max(-most_s, min(most_s, late_s))
            found[tick] = _Moment(tick, self.timeline.seconds(tick), pace, late_s, loudness)
        return (found[tick] for tick in ticks)


def perform(score: Score, humanize: float = DEFAULTS.humanize) -> Performance:
    """Return the score as played; ``humanize`` 0 is exactly on the grid, 1 the widest.

    The same score and setting give the same performance, in any process. A part's deviations
    depend on the seed, its own name and the place alone: changing one part moves no other.
    """
    if not 0.0 <= humanize <= 1.0:
        raise OptionError(f"humanize must be from 0 to 1, got {humanize}")
    timeline = timeline_of(score)
    end_ticks = timeline.plain_ticks(score.end_beats)
    players = humans((part.name for part in score.parts), humanize, score.seed)
    parts = tuple(
        _perform_part(part, timeline, player, end_ticks)
        for part, player in zip(score.parts, players, strict=True)
    )
    marks = []
    for label in score.labels:
        tick = max(0, timeline.plain_ticks(label.onset_beats))
        marks.append(Mark(tick, timeline.seconds(tick), label.kind, label.text))
    return Performance(
        title=score.title,
        parts=parts,
        tempo_events=timeline.events,
        marks=tuple(sorted(marks, key=lambda mark: mark.tick)),
        end_ticks=end_ticks,
        end_s=timeline.seconds(end_ticks),
        music_start_s=timeline.seconds(timeline.plain_ticks(Fraction(0))),
        meter=score.meter,
        key=score.key,
        seed=score.seed,
    )


def _perform_part(
    part: PartScore, timeline: Timeline, player: Human, end_ticks: int
) -> PartPerformance:
    even = timeline.tempo_map.even_beats(event.onset_beats for event in part.events)
    hand = _Hand(part.name, timeline, float(timeline.count_in_beats), even, player)
    sounds: list[_Sound] = []
    for event, moment in zip(part.events, hand.moments(part.events), strict=True):
        sounds.extend(_PLAY[type(event)](hand, event, moment))
    return PartPerformance(
        name=part.name,
        instrument=part.instrument or INSTRUMENTS.get(part.name, part.name),
        notes=_one_at_a_time(sounds, timeline, end_ticks),
    )


def _play_pluck(hand: _Hand, event: Pluck, moment: _Moment) -> Iterator[_Sound]:
    """Yield the one sound of a note."""
    yield _single(hand, event, moment, event.pitch, TOUCHES.get(event.kind, "damp"))


def _play_hit(hand: _Hand, event: Hit, moment: _Moment) -> Iterator[_Sound]:
    """Yield the one sound of a drum stroke, each limb in its own time."""
    limb_s = hand.human.limb_s(event.piece, event.onset_beats)
    moment = moment._replace(late_s=moment.late_s + limb_s)
    yield _single(hand, event, moment, PERCUSSION_KEYS[event.piece], "damp", event.piece)


def _single(
    hand: _Hand,
    event: Pluck | Hit,
    moment: _Moment,
    pitch: int,
    touch: str,
    piece: str | None = None,
) -> _Sound:
    beats_end = event.onset_beats + event.duration_beats
    return _Sound(
        onset_ticks=moment.tick_after(0.0),
        pitch=pitch,
        string=0,
        velocity=_midi_velocity(event.velocity * moment.loudness),
        end_ticks=hand.timeline.shifted(hand.ticks(beats_end), moment.late_s),
        event=event,
        grid_s=moment.seconds,
        beats_end=beats_end,
        touch=touch,
        piece=piece,
    )


def _play_stroke(hand: _Hand, event: Stroke, moment: _Moment) -> Iterator[_Sound]:
    """Yield the strings of a stroke as the hand crosses them."""
    timeline, grip = hand.timeline, event.grip
    beats_end = event.onset_beats + event.duration_beats
    end = hand.ticks(beats_end)
    last_tick = timeline.shifted(end, moment.late_s)
    length_s = timeline.seconds(end) - moment.seconds
    quarter_bpm = 60.0 / timeline.quarter_s(moment.ticks)
    touch = TOUCHES.get(event.kind, "ring" if event.let_ring else "damp")
    struck: set[int] = set()
    gaps = hand.human.gaps(event.onset_beats)
    for sound in spread_stroke(event, length_s, quarter_bpm, gaps):
        string, end_s = sound.string, sound.end_s
        fret = grip.frets[-string]
        yield _Sound(
            onset_ticks=moment.tick_after(sound.offset_s),
            pitch=grip.tuning.open_midi[-string] + (fret or 0),
            string=string,
            velocity=_midi_velocity(sound.velocity * moment.loudness),
            end_ticks=last_tick if end_s is None else moment.tick_after(end_s),
            event=event,
            grid_s=moment.seconds,
            beats_end=beats_end,
            touch=sound.touch or touch,
            fret=fret,
            brightness=sound.brightness,
            is_first=string not in struck,
            is_last=end_s is None,
        )
        struck.add(string)


_PLAY: dict[type, Callable[..., Iterator[_Sound]]] = {
    Pluck: _play_pluck,
    Hit: _play_hit,
    Stroke: _play_stroke,
}


def _one_at_a_time(sounds: list[_Sound], timeline: Timeline, last_ticks: int) -> tuple[Note, ...]:
    """Return notes by onset, each cut where its own voice sounds again or the music ends.

    A voice is a string, a piece of the kit, or the player. Of two sounds that would start on one
    string at one tick the louder stays. The list is emptied on the way, from the end: an hour of
    sounds is as large as its notes.
    """
    sounds.sort(key=itemgetter(0, 1, 2, 3))  # place and loudness
    notes: list[Note] = []
    later: dict[int | str | None, _Sound] = {}
    while sounds:
        sound = sounds.pop()
        voice = sound.string or sound.piece
        onset_ticks, beats_end = sound.onset_ticks, sound.beats_end
        end_ticks = min(max(sound.end_ticks, onset_ticks + MIN_NOTE_TICKS), last_ticks)
        after = later.get(voice)
        if after is not None and end_ticks > after.onset_ticks:
            end_ticks = after.onset_ticks
            beats_end = min(beats_end, after.event.onset_beats)
        later[voice] = sound
        if end_ticks > onset_ticks:
            notes.append(_note(sound, end_ticks, beats_end, timeline))
    return tuple(reversed(notes))


def _note(sound: _Sound, end_ticks: int, beats_end: Fraction, timeline: Timeline) -> Note:
    """Return the finished note, its seconds taken from its ticks."""
    event, onset_ticks = sound.event, sound.onset_ticks
    onset_s, end_s = timeline.seconds(onset_ticks), timeline.seconds(end_ticks)
    bends: tuple[Bend, ...] = ()
    if isinstance(event, Stroke) and event.is_bent:
        quarter_s = timeline.quarter_s(onset_ticks)
        length_s = end_s - onset_s
        bends = glides(event, length_s, quarter_s, is_first=sound.is_first, is_last=sound.is_last)
    return Note(
        onset_ticks,
        end_ticks,
        onset_s,
        end_s,
        sound.pitch,
        sound.velocity,
        sound.string or None,
        sound.fret,
        sound.touch,
        sound.piece,
        bends,
        event.onset_beats,
        beats_end,
        onset_s - sound.grid_s,
        sound.brightness,
    )


def _midi_velocity(velocity: float) -> int:
    """Return velocity 0 to 1 as MIDI's 1 to 127."""
    return max(1, min(127, round(velocity * 127)))
