"""The messages of one channel: unisons, and glides at their very ticks."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from porchswing.midi.tracks import BEND, UNISON_TICKS, channel_messages, merge_unisons
from porchswing.performance.model import Bend, Note

TICKS_PER_S = 960


def note(onset: int, end: int, pitch: int = 60, velocity: int = 80, bends: tuple = ()) -> Note:
    seconds = (onset / TICKS_PER_S, end / TICKS_PER_S)
    return Note(onset, end, *seconds, pitch, velocity, bends=bends, beats=Fraction(onset, 480))


def wheel(*notes: Note) -> list[tuple[int, int]]:
    found = sorted(channel_messages(notes, 0), key=lambda timed: (timed.tick, timed.order))
    return [(each.tick, each.message.pitch) for each in found if each.order == BEND]


def test_a_glide_rises_in_equal_steps_at_their_times():
    # -2 to 0 semitones in 0.04 s: four steps of 10 ms, 9.6 ticks each at 960 a second
    glide = (Bend(0.0, -2.0), Bend(0.04, 0.0))
    rise = [(480, -8192), (490, -6144), (499, -4096), (509, -2048), (518, 0)]
    assert wheel(note(480, 1440, bends=glide)) == rise


def test_a_bend_upwards_stays_in_the_wheels_range():
    bent = (Bend(0.0, 0.0), Bend(0.01, 2.0))
    # 16383 of 16384 places is as far up as the wheel goes; it is centred when the note ends
    assert wheel(note(0, 960, bends=bent)) == [(10, 8191), (960, 0)]


def test_a_step_that_falls_on_the_next_stroke_is_left_out():
    late = (Bend(0.0, -2.0), Bend(0.5, -2.0), Bend(0.515, -1.0))  # two steps: ticks 487 and 494
    first = note(0, 470, bends=late)
    assert wheel(first, note(494, 900, 62)) == [(0, -8192), (487, -6144), (494, 0)]
    assert wheel(first, note(495, 900, 62)) == [(0, -8192), (487, -6144), (494, -4096), (495, 0)]


def test_a_glide_stops_where_the_first_string_of_the_next_stroke_sounds():
    late = (Bend(0.0, -2.0), Bend(0.5, -2.0), Bend(0.515, -1.0))  # two steps: ticks 487 and 494
    across = [replace(note(at, 900, at - 432), beats=Fraction(1)) for at in (494, 500)]
    assert wheel(note(0, 470, bends=late), *across) == [(0, -8192), (487, -6144), (494, 0)]


def test_a_glide_between_two_strokes_is_written_whole():
    glide = (Bend(0.0, -2.0), Bend(0.04, 0.0))
    rise = [(480, -8192), (490, -6144), (499, -4096), (509, -2048), (518, 0)]
    assert wheel(note(0, 480), note(480, 960, bends=glide), note(960, 1440)) == rise


def test_strokes_as_far_apart_as_a_unison_reaches_are_two():
    near, far = (merge_unisons([note(0, 900), note(UNISON_TICKS - at, 800)]) for at in (1, 0))
    assert [(each.onset_ticks, each.end_ticks) for each in near] == [(0, 900)]
    assert [(each.onset_ticks, each.end_ticks) for each in far] == [(0, 60), (60, 800)]


def test_a_unison_is_as_loud_as_its_louder_and_as_long_as_its_longer():
    (one,) = merge_unisons([note(0, 500, velocity=90), note(10, 700, velocity=40)])
    assert (one.velocity, one.end_ticks, one.end_s) == (90, 700, 700 / TICKS_PER_S)
    (one,) = merge_unisons([note(0, 700, velocity=40), note(10, 500, velocity=90)])
    assert (one.onset_ticks, one.velocity, one.end_ticks) == (0, 90, 700)
    (one,) = merge_unisons([note(960, 1500), note(980, 1400)])  # later in the tune too
    assert (one.onset_ticks, one.end_ticks) == (960, 1500)
    # a note that only begins when the other ends is no unison
    assert len(merge_unisons([note(0, 30), note(30, 90)])) == 2
