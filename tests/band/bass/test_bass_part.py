"""The bass: rules of the trade over random changes, and each style's own habit."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from porchswing.band.bass.bass_notes import HIGHEST, LOWEST, scale_pcs
from porchswing.band.bass.bass_part import bass_part
from porchswing.band.score import PartScore, Pluck
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.unroll import unroll
from porchswing.errors import OptionError
from porchswing.options import BandStyle
from porchswing.theory.keys import Key
from porchswing.theory.symbols import parse_chord
from support import made
from support.random_charts import random_chart
from support.take_rules import bass_faults

C = Key.parse("C")
STEADY = BandStyle(variation=0.0)


def line(bars: str, style: str, *, meter: str = "4/4", seed: int = 0) -> list[Pluck]:
    roadmap = made.roadmap_of(bars, meter=meter)
    # a strum whose ending is one chord on the first beat: the bass ends with it
    strum = "halves" if meter == "4/4" else None
    part = bass_part(roadmap, replace(STEADY, bass=style, seed=seed, strum=strum), C)
    return [event for event in part.events if isinstance(event, Pluck)]


@pytest.mark.parametrize("seed", range(40))
def test_rules_hold_over_random_charts(seed):
    chart = parse_chart(random_chart(seed))
    roadmap = unroll(chart, lane="plain", choruses=2)
    part = bass_part(roadmap, BandStyle(seed=seed, variation=1.0), chart.key)
    assert list(bass_faults(part, roadmap, chart.key)) == []


@pytest.mark.parametrize("style", ["walk", "two", "ballad", "bossa", "shuffle", "pedal"])
def test_rules_hold_for_every_style_in_four(style):
    for seed in range(8):
        chart = parse_chart(random_chart(seed, meter="4/4"))
        roadmap = unroll(chart, lane="plain", choruses=2)
        part = bass_part(roadmap, BandStyle(bass=style, seed=seed, variation=1.0), chart.key)
        assert list(bass_faults(part, roadmap, chart.key, pedal=style == "pedal")) == []


@pytest.mark.parametrize(
    ("pitches", "fault"),
    [
        ([36, 50, 40, 43], "leap"),
        ([36, 36, 36, 40], "three times"),
        ([36, 20, 31, 28], "out of range"),
        ([38, 36, 40, 43], "entered on"),
        ([36, 37, 40, 43], "left by"),
        ([36, 38, 43, 43], "left by"),
    ],
)
def test_the_rules_find_what_breaks_them(pitches, fault):
    roadmap = made.roadmap_of("| C |")
    plucks = tuple(Pluck(Fraction(n), Fraction(1), pitch) for n, pitch in enumerate(pitches))
    found = list(bass_faults(PartScore("bass", plucks), roadmap, C))
    assert any(fault in each for each in found), found


def test_the_rules_find_a_bass_under_silence_and_an_entry_left_out():
    roadmap = made.roadmap_of("| C | N.C. | G |")
    plucks = (Pluck(Fraction(0), Fraction(6), 36),)
    found = list(bass_faults(PartScore("bass", plucks), roadmap, C))
    assert any("N.C." in each for each in found)
    assert any("G enters unplayed" in each for each in found)


def test_walking_plays_every_beat_and_arrives_on_root_or_third():
    notes = line("| C | A7 | Dm7 | G7 | C | C | G7 | C |", "walk")
    assert [note.onset_beats for note in notes] == [*range(28), 28]  # the last bar is one note
    for chord, beat in (("C", 0), ("A7", 4), ("Dm7", 8), ("G7", 12)):
        root = parse_chord(chord).root.pc
        assert (notes[beat].pitch - root) % 12 in {0, 3, 4}


def test_walking_leads_into_the_next_root_by_a_step_or_a_fifth():
    near = 0
    for seed in range(20):
        notes = line("| C | F | Bb | Eb | Ab | Db | Gb | B |", "walk", seed=seed)
        moves = [abs(notes[beat].pitch - notes[beat - 1].pitch) for beat in range(4, 28, 4)]
        near += sum(move in {1, 2, 5, 7} for move in moves)
    assert near >= 0.9 * 20 * 6  # common practice, no source


def test_two_feel_is_root_and_fifth():
    notes = line("| C | C | F | G7 | C |", "two")
    assert [note.onset_beats for note in notes] == [0, 2, 4, 6, 8, 10, 12, 14, 16]
    assert [note.pitch % 12 for note in notes] == [0, 7, 0, 7, 5, 0, 7, 2, 0]


def test_a_waltz_turns_on_one_and_six_eight_rolls():
    waltz = line("| C | F | G7 | C |", "waltz", meter="3/4")
    assert [note.onset_beats for note in waltz] == [0, 3, 6, 9]
    rolling = line("| C | F |", "six_eight", meter="6/8")
    assert [note.onset_beats for note in rolling][:3] == [0, 1, Fraction(3, 2)]
    march = line("| C | F | C |", "two_four", meter="2/4")
    assert [note.onset_beats for note in march] == [0, 1, 2, 3, 4]


def test_a_pedal_holds_the_dominant_until_the_end():
    notes = line("| C | Dm7 | G7 | C |", "pedal")
    assert {note.pitch % 12 for note in notes[:-1]} == {7}
    assert notes[-1].pitch % 12 == 0


def test_slash_chords_are_honoured_in_every_style():
    for style in ("walk", "two", "pedal", "ballad", "bossa", "shuffle"):
        notes = {note.onset_beats: note for note in line("| C | C/E | F/C G7/D | C |", style)}
        assert notes[Fraction(4)].pitch % 12 == 4
        assert notes[Fraction(8)].pitch % 12 == 0
        assert notes[Fraction(10)].pitch % 12 == 2


def test_silence_and_stops_are_kept():
    notes = line("| C | N.C. | F{stop} | C |", "walk")
    assert not [n for n in notes if 4 <= n.onset_beats < 8]
    assert all(n.onset_beats + n.duration_beats <= 4 for n in notes if n.onset_beats < 4)
    stopped = [n for n in notes if 8 <= n.onset_beats < 12]
    assert [(n.onset_beats, n.duration_beats) for n in stopped] == [(8, Fraction(1, 2))]


def test_a_tune_of_silence_has_no_bass():
    assert line("| N.C. | N.C. |", "walk") == []


def test_the_last_bar_ends_on_the_root_and_a_loop_does_not_stop():
    for style in ("walk", "two", "bossa", "shuffle"):
        last = line("| G7 | C |", style)[-1]
        assert (last.onset_beats, last.duration_beats, last.pitch % 12) == (4, 4, 0)
    roadmap = made.roadmap_of("| G7 | C |")
    looped = bass_part(roadmap, replace(STEADY, bass="walk", loop=True), C)
    assert looped.events[-1].onset_beats == 7


def test_a_meter_without_a_file_is_walked():
    notes = [
        event.onset_beats
        for event in bass_part(made.roadmap_of("| C | F | C |", meter="5/4"), STEADY, C).events
    ]
    assert notes == [*range(15)]  # to the last stroke of the strum


def test_a_style_in_another_meter_is_an_error_that_names_those_that_fit():
    with pytest.raises(OptionError, match=r"walk is in 4/4 and the tune in 3/4.*waltz"):
        line("| C |", "walk", meter="3/4")


def test_by_habit_the_first_strain_is_light_and_the_second_chorus_walks():
    part = bass_part(made.roadmap_of("| C | F | G7 | C |", choruses=2), STEADY, C)
    assert part.patterns == ("bass/two", "bass/walk", "companions")
    onsets = [event.onset_beats for event in part.events]
    assert onsets[:8] == [0, 2, 4, 6, 8, 10, 12, 13]  # the last bar leads into the next chorus
    assert onsets[-7:] == [24, 25, 26, 27, 28, 29, 30]  # four strums on to three, and ends there


def test_two_choruses_differ_and_one_seed_repeats():
    bars = "| C A7 | Dm7 G7 | C A7 | Dm7 G7 |"
    first, again, other = (line(bars, "walk", seed=seed) for seed in (3, 3, 4))
    assert first == again
    assert first != other


def test_passing_tones_come_from_the_key_where_the_chord_leaves_them_open():
    # Em7 in C: F, the key's own second above E, not F sharp (its parent scale, any handbook)
    assert 5 in scale_pcs(parse_chord("Em7"), C)
    assert 6 not in scale_pcs(parse_chord("Em7"), C)
    assert scale_pcs(parse_chord("G7"), C) == {0, 2, 4, 5, 7, 9, 11}
    assert LOWEST == 28  # open E of the double bass (E1)
    assert HIGHEST - LOWEST == 24  # every pitch class at least twice
