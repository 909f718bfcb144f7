"""Playing a score: ticks, swing, strings, ends, and nothing before the start."""

from __future__ import annotations

import tracemalloc
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest

from porchswing.band.score import Hit, Label, PartScore, Pluck, Stroke
from porchswing.errors import OptionError
from porchswing.grips.shapes.model import Grip
from porchswing.performance.model import Performance
from porchswing.performance.perform import perform
from porchswing.rhythm.tempo import TempoMap, TempoSegment
from porchswing.units import TICKS_PER_BEAT
from support import made


@pytest.fixture(scope="module")
def tune() -> Performance:
    return perform(made.score_of(choruses=2))


@pytest.mark.parametrize(
    ("ratio", "offbeat_tick"),
    # the off-beat falls at r/(r+1) of the beat: 640 of 960 ticks at the triplet
    [(1.0, 480), (1.5, 576), (2.0, 640), (3.0, 720)],
)
def test_an_offbeat_falls_where_the_ratio_says(ratio, offbeat_tick):
    take = perform(made.hand_made(made.rides(4), ratio=ratio, beats=4), humanize=0)
    onsets = [note.onset_ticks for note in take.part("drums").notes]
    assert onsets == [tick + 960 * beat for beat in range(4) for tick in (0, offbeat_tick)]


def test_at_zero_everything_stands_exactly_on_the_grid():
    score = made.hand_made(made.rides(4), made.walks([40, 43, 45, 47]), beats=4)
    take = perform(score, humanize=0)
    for note in (*take.part("drums").notes, *take.part("bass").notes):
        assert note.offset_s == 0.0
        assert note.velocity == round(0.7 * 127)


def test_seconds_are_what_the_tempo_table_gives_for_the_ticks(tune):
    first = tune.tempo_events[0]
    for part in tune.parts:
        for note in part.notes:
            assert note.onset_s == note.onset_ticks * first.us_per_quarter / (TICKS_PER_BEAT * 1e6)
            assert note.end_s == note.end_ticks * first.us_per_quarter / (TICKS_PER_BEAT * 1e6)


def test_tempo_changes_carry_over_to_seconds():
    segments = (
        TempoSegment(Fraction(0), 120.0, 1.0),
        TempoSegment(Fraction(4), 60.0, 1.0),
    )
    score = replace(
        made.hand_made(made.walks([40] * 8), count_in_beats=4), tempo_map=TempoMap(segments)
    )
    take = perform(score, humanize=0)
    assert [event.tick for event in take.tempo_events] == [0, 8 * 960]
    assert take.music_start_s == 2.0
    onsets = [note.onset_s for note in take.part("bass").notes]
    assert onsets == [2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0, 7.0]
    assert take.end_s == 8.0


def test_nothing_sounds_before_the_start_and_every_note_ends_inside(tune):
    for seed in range(20):
        score = made.hand_made(made.rides(4), made.walks([40] * 4), beats=4, seed=seed)
        for take in (perform(score, humanize=1.0), tune):
            for part in take.parts:
                for note in part.notes:
                    assert 0 <= note.onset_ticks < note.end_ticks <= take.end_ticks
                    assert 1 <= note.velocity <= 127


def test_a_string_plucked_again_ends_the_note_before_it(tune):
    for name in ("chords", "bass"):
        by_string: dict[int | None, list[tuple[int, int]]] = {}
        for note in tune.part(name).notes:
            by_string.setdefault(note.string, []).append((note.onset_ticks, note.end_ticks))
        assert len(by_string) == (4 if name == "chords" else 1)
        for spans in by_string.values():
            for (_, end), (onset, _) in pairwise(spans):
                assert end <= onset


def test_a_drum_struck_again_ends_the_stroke_before_it():
    hits = tuple(Hit(Fraction(n, 2), "ride", 0.7, Fraction(4)) for n in range(8))
    take = perform(made.hand_made(PartScore("drums", hits, "drums")), humanize=0.5)
    notes = take.part("drums").notes
    assert all(a.end_ticks <= b.onset_ticks for a, b in pairwise(notes))


def test_deviations_never_change_the_order_of_a_parts_events():
    eighths = tuple(Pluck(Fraction(n, 4), Fraction(1, 4), 40 + n % 12) for n in range(256))
    for seed in range(10):
        score = made.hand_made(PartScore("bass", eighths, "bass"), quarter_bpm=300, seed=seed)
        notes = perform(replace(score, end_beats=Fraction(64)), humanize=1.0).part("bass").notes
        assert [note.beats for note in notes] == [pluck.onset_beats for pluck in eighths]
        assert all(a.onset_ticks < b.onset_ticks for a, b in pairwise(notes))


def test_a_note_can_be_played_again_from_its_beats_and_offset(tune):
    # what the practice page does at another tempo: the warp of the written beat, plus the offset
    score = made.score_of(choruses=2)
    for name in ("bass", "drums"):
        part = next(part for part in score.parts if part.name == name)
        even = score.tempo_map.even_beats(event.onset_beats for event in part.events)
        for note in tune.part(name).notes:
            beat = score.tempo_map.warp(note.beats, part=name, even=even)
            grid_s = score.tempo_map.seconds(beat + float(score.count_in_beats))
            assert grid_s + note.offset_s == pytest.approx(note.onset_s, abs=0.5 / 960)


def test_a_down_stroke_crosses_from_the_highest_numbered_string_to_string_one():
    strokes = (
        Stroke(Fraction(0), Fraction(1), Grip((5, 5, 5, 5), made.UKULELE), "down", velocity=0.8),
        Stroke(Fraction(1), Fraction(1), Grip((5, 5, 5, 5), made.UKULELE), "up", velocity=0.8),
    )
    take = perform(made.hand_made(PartScore("chords", strokes)), humanize=0)
    notes = sorted(take.part("chords").notes, key=lambda note: note.onset_ticks)
    assert [note.string for note in notes] == [4, 3, 2, 1, 1, 2, 3, 4]
    assert notes[0].onset_ticks == 0
    assert notes[4].onset_ticks == 960
    # wider spreads move the heard beat to the second onset (Hove, Keller & Krumhansl)
    assert notes[3].onset_s - notes[0].onset_s < 0.025


def test_a_slide_glides_from_its_fret_without_a_second_pluck():
    score = made.hand_made(
        made.strums((7, 7, 7, 7), slide_frets=-1, glide_beats=Fraction(1, 4)), beats=1
    )
    notes = perform(score, humanize=0).part("chords").notes
    assert len(notes) == 4
    for note in notes:
        assert [bend.semitones for bend in note.bends] == [-1.0, 0.0]
        assert [bend.offset_s for bend in note.bends] == [0.0, pytest.approx(0.125)]


def test_a_fall_ends_below_and_vibrato_returns_to_pitch():
    fall = made.hand_made(made.strums((7, 7, 7, 7), fall_frets=-3), beats=1)
    for note in perform(fall, humanize=0).part("chords").notes:
        assert note.bends[-1].semitones == -3.0
        assert note.bends[-1].offset_s == pytest.approx(note.end_s - note.onset_s, abs=1e-6)
    long = Stroke(Fraction(0), Fraction(8), Grip((7, 7, 7, 7), made.UKULELE), vibrato=True)
    notes = perform(made.hand_made(PartScore("chords", (long,))), humanize=0).part("chords").notes
    for note in notes:
        assert len(note.bends) > 10
        assert note.bends[0].semitones == note.bends[-1].semitones == 0.0
        assert all(0 <= bend.semitones < 0.2 for bend in note.bends)
        assert all(a.offset_s < b.offset_s for a, b in pairwise(note.bends))


def test_a_rolled_chord_slides_once_and_falls_once():
    rolled = made.strums((7, 7, 7, 7), kind="roll", slide_frets=-1, fall_frets=-2)
    notes = perform(made.hand_made(rolled, beats=2), humanize=0).part("chords").notes
    for string in (4, 3, 2, 1):
        own = [note for note in notes if note.string == string]
        assert len(own) == 3
        assert own[0].bends[0].semitones == -1.0
        assert own[1].bends == ()
        assert [bend.semitones for bend in own[2].bends] == [0.0, -2.0]


def test_touches_follow_the_stroke():
    for details, touch in (
        ({"kind": "chuck"}, "chuck"),
        ({"kind": "slur"}, "slur"),
        ({"kind": "ghost"}, "mute"),
        ({"let_ring": True}, "ring"),
        ({}, "damp"),
    ):
        score = made.hand_made(made.strums((5, 5, 5, 5), **details), beats=1)
        assert {note.touch for note in perform(score).part("chords").notes} == {touch}


def test_muted_strings_do_not_sound():
    score = made.hand_made(made.strums((5, None, 5, None)), beats=1)
    assert {note.string for note in perform(score).part("chords").notes} == {4, 2}


def test_labels_become_marks_in_order_at_their_seconds():
    labels = (Label(Fraction(4), "section", "B"), Label(Fraction(0), "section", "A"))
    take = perform(made.hand_made(made.rides(8), labels=labels, count_in_beats=4))
    assert [(mark.text, mark.seconds) for mark in take.marks] == [("A", 2.0), ("B", 4.0)]


@pytest.mark.parametrize("humanize", [-0.1, 1.1])
def test_humanize_outside_its_range_is_refused(humanize):
    with pytest.raises(OptionError, match="from 0 to 1"):
        perform(made.hand_made(made.rides(1)), humanize=humanize)


def test_lateness_is_bounded_by_the_gap_it_moves_into():
    """A short note's neighbour limits it on that side alone: late ones by what comes after."""
    pairs = tuple(
        Pluck(Fraction(n) + place, Fraction(1, 8), 40)
        for n in range(64)
        for place in (Fraction(0), Fraction(1, 8))
    )
    most = 0.4 * 120 + 1  # of the 120 ticks between the notes of a pair, and rounding
    first, second = [], []
    for seed in range(6):
        part = PartScore("bass", pairs, "bass")
        score = made.hand_made(part, quarter_bpm=300, ratio=1.0, beats=64, seed=seed)
        for note in perform(score, humanize=1.0).part("bass").notes:
            late = note.onset_ticks - note.beats * 960
            (second if note.beats.denominator == 8 else first).append(late)
    assert most - 2 < max(first) <= most
    assert -most <= min(second) < 2 - most
    assert min(first[1:]) < -most  # a whole beat is free on the other side
    assert max(second) > most


def test_a_note_cut_by_the_next_is_written_no_longer_than_it_sounds():
    hits = tuple(Hit(Fraction(n, 2), "ride", 0.7, Fraction(4)) for n in range(8))
    take = perform(made.hand_made(PartScore("drums", hits, "drums"), beats=16))
    notes = take.part("drums").notes
    assert [note.beats_end for note in notes[:-1]] == [note.beats for note in notes[1:]]
    assert notes[-1].beats_end == hits[-1].onset_beats + 4


def test_the_shortest_note_sounds_for_one_tick():
    instant = Fraction(1, 10_000)
    places = (0, 959, 1920, 2881)  # ticks, even and odd
    plucks = tuple(Pluck(Fraction(at, 960), instant, 40) for at in places)
    take = perform(made.hand_made(PartScore("bass", plucks), ratio=1.0), humanize=0)
    notes = take.part("bass").notes
    assert [(note.onset_ticks, note.end_ticks) for note in notes] == [(at, at + 1) for at in places]


def test_a_short_stroke_is_spread_over_a_fifth_of_it_anywhere_in_the_tune():
    grip = Grip((5, 5, 5, 5), made.UKULELE)
    strokes = tuple(Stroke(Fraction(beat), Fraction(1, 16), grip) for beat in range(6))
    take = perform(made.hand_made(PartScore("chords", strokes), ratio=1.0), humanize=0)
    notes = take.part("chords").notes
    for beat in range(6):
        own = [note.onset_ticks for note in notes if note.beats == beat]
        assert max(own) - min(own) == pytest.approx(0.2 * 60, abs=1)


@pytest.mark.parametrize(("written", "heard"), [(0.001, 1), (1.0, 127)])
def test_the_softest_note_is_no_note_off_and_the_loudest_fits_a_byte(written, heard):
    """Velocity 0 ends a note, and above 127 there is no byte (MIDI 1.0, Table II, note-on)."""
    plucks = tuple(Pluck(Fraction(n), Fraction(1), 40, velocity=written) for n in range(32))
    take = perform(made.hand_made(PartScore("bass", plucks, "bass"), beats=32), humanize=1.0)
    velocities = [note.velocity for note in take.part("bass").notes]
    assert heard in velocities
    assert all(1 <= velocity <= 127 for velocity in velocities)


@pytest.mark.parametrize("loudness", [(0.3, 0.9), (0.9, 0.3)])
def test_of_two_strokes_at_once_on_one_drum_the_louder_is_heard(loudness):
    hits = tuple(Hit(Fraction(0), "snare", velocity, Fraction(1)) for velocity in loudness)
    take = perform(made.hand_made(PartScore("drums", hits, "drums")), humanize=0)
    assert [note.velocity for note in take.part("drums").notes] == [round(0.9 * 127)]


@pytest.mark.parametrize("kind", ["pluck", "stroke"])
def test_a_late_note_ends_as_late_as_it_began(kind):
    grip = Grip((5, None, None, None), made.UKULELE)
    events = tuple(
        Pluck(Fraction(n), Fraction(1, 2), 40)
        if kind == "pluck"
        else Stroke(Fraction(n), Fraction(1, 2), grip)
        for n in range(1, 32)  # on beat 0 an early one is cut: no file begins before its start
    )
    part = PartScore("bass" if kind == "pluck" else "chords", events)
    take = perform(made.hand_made(part, ratio=1.0, beats=32), humanize=1.0)
    notes = take.part(part.name).notes
    assert max(abs(note.offset_s) for note in notes) > 0.01
    assert all(abs(note.end_ticks - note.onset_ticks - 480) <= 1 for note in notes)


def test_performing_takes_little_more_memory_than_the_notes_that_come_of_it():
    """Twice as much at most: an hour of music is to be performed in little."""
    score = made.score_of(choruses=3)
    tracemalloc.start()
    try:
        take = perform(score)
        kept, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert sum(len(part.notes) for part in take.parts) > 1000
    assert most < 2.0 * kept
