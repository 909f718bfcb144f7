"""The lines of the strings, and the work from grip to grip."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest
from hypothesis import given, strategies as st

from porchswing.band.strumming.stroke_times import stroke_times
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.unroll import unroll
from porchswing.grips.drawings.lines import best_line, line_runs, string_lines
from porchswing.grips.drawings.moves import hardest_moves, moves, top_tempo_bpm
from porchswing.grips.names.naming import read_grip
from porchswing.grips.search.cost import (
    MOVE_TERMS,
    change_costs,
    grip_costs,
    grip_terms,
    move_terms,
)
from porchswing.grips.search.table import grip_table
from porchswing.grips.search.voice import voice
from porchswing.grips.shapes.hand import CLOSED_HAND, Weights
from porchswing.grips.shapes.model import Grip
from porchswing.grips.shapes.tunings import tuning
from porchswing.grips.shapes.work import change_time_ms, hand_columns, needed_ms
from porchswing.options import BandStyle
from porchswing.theory.symbols import parse_chord
from support.exhaustive_grips import hand_counts
from support.made import move_cost

UKE = tuning("gCEA")


def grip(text):
    return read_grip(text, UKE)


@pytest.mark.parametrize(
    ("before", "after", "counts"),
    [
        # semitones, frets shifted, fingers placed anew, slid and swapped, slides
        ("7877", "5655", (8, 2, 0, 0, 0, 1)),
        ("5333", "4333", (1, 0, 1, 0, 0, 0)),
        ("3333", "3333", (0, 0, 0, 0, 0, 0)),
        ("0003", "0000", (3, 0, 0, 0, 0, 0)),
        ("7877", "6777", (2, 1, 2, 0, 2, 0)),  # two strings of the barre go to the ring finger
        ("7988", "7778", (3, 0, 0, 0, 0, 0)),  # the first finger grows to a barre, the lay shrinks
    ],
)
def test_what_a_move_counts(before, after, counts):
    assert tuple(number for _, number, _ in move_terms(grip(before), grip(after))) == counts


def test_sliding_a_shape_is_nearly_free():
    slide = move_cost(grip("7877"), grip("6766"))
    assert slide < move_cost(grip("7877"), grip("6677"))
    weights = {name: cost for name, _, cost in move_terms(grip("7877"), grip("6766"))}
    assert weights["finger_placed"] == 0


any_grip = st.lists(st.sampled_from([None, *range(9)]), min_size=4, max_size=4).map(
    lambda frets: Grip(tuple(frets), UKE)
)


@given(any_grip, any_grip)
def test_what_is_counted_is_what_is_seen_finger_by_finger(before, after):
    """Against a count that walks the fingers one by one (support.exhaustive_grips)."""
    counts = {name: number for name, number, _ in move_terms(before, after)}
    assert counts == hand_counts(before, after)


@given(any_grip, any_grip)
def test_fingers_that_stay_keep_their_number_their_string_and_their_fret(before, after):
    """What a change does not place, slide or lift is on the same fret under the same finger."""
    placed = {name: number for name, number, _ in move_terms(before, after)}["finger_placed"]
    down = {press.finger: press for press in after.held.presses}
    moved = {
        finger
        for finger, press in down.items()
        if not any(
            before.frets[index] == press.fret and before.fingers[index] == finger
            for index in range(press.first, press.last + 1)
        )
    }
    assert placed <= len(moved) + sum(press.is_barre for press in before.held.presses)


closed = st.lists(st.integers(1, 12), min_size=4, max_size=4).map(lambda f: Grip(tuple(f), UKE))


@given(closed, closed)
def test_semitones_and_shift_are_the_same_both_ways(one, other):
    there = {name: number for name, number, _ in move_terms(one, other)}
    back = {name: number for name, number, _ in move_terms(other, one)}
    for name in ("semitone", "shift", "slide"):
        assert there[name] == back[name]


@given(closed, closed, closed)
def test_voice_leading_size_keeps_the_triangle_inequality(one, other, third):
    """Taxicab distance (Tymoczko): no detour is shorter."""

    def size(a, b):
        return {name: number for name, number, _ in move_terms(a, b)}["semitone"]

    assert size(one, third) <= size(one, other) + size(other, third)


def test_tables_and_single_moves_agree():
    chord, next_chord = parse_chord("E7"), parse_chord("A9")
    starts = [grip(text) for text in ("7877", "4445", "1202")]
    goals = [grip(text) for text in ("6777", "4434", "2132")]
    before = grip_table([(chord, g) for g in starts])
    after = grip_table([(next_chord, g) for g in goals])
    costs = change_costs(before, after, CLOSED_HAND)
    for row, start in enumerate(starts):
        for column, goal in enumerate(goals):
            forming = sum(cost for _, _, cost in grip_terms(next_chord, goal, CLOSED_HAND))
            assert costs[row, column] == round(1000 * (move_cost(start, goal) + forming))
    assert (grip_costs(after, CLOSED_HAND) >= 0).all()
    assert {name for name, _ in MOVE_TERMS} <= {field.name for field in fields(Weights)}


def test_keeping_the_grip_is_free_under_its_chord_and_dear_under_another():
    c6, am7 = parse_chord("C6"), parse_chord("Am7")
    here = grip_table([(c6, grip("0000"))])
    assert change_costs(here, here, CLOSED_HAND)[0, 0] == 0
    there = grip_table([(am7, grip("0000"))])
    forming = grip_costs(there, CLOSED_HAND)[0]
    assert change_costs(here, there, CLOSED_HAND)[0, 0] == forming + 5000


def test_the_bridge_line_by_line():
    voicing = voice(parse_chart("[B]\n| E7 | A9 | D7 | G9 |"))
    lines = string_lines(voicing)
    assert [line.string for line in lines] == [4, 3, 2, 1]
    assert lines[0].midi == (74, 73, 72, 71)
    assert (lines[0].steps_down, lines[0].steps_up, lines[0].held, lines[0].leaps) == (3, 0, 0, 0)
    assert lines[2].notes == ("B4", "B4", "A4", "A4")
    assert (lines[2].steps_down, lines[2].held) == (1, 2)


def test_lines_pause_over_repeated_chords_and_held_notes():
    voicing = voice(parse_chart("[B]\n| E7 | % | A9 | % | D7 | G9 |"), frets=(4, 8))
    run = line_runs(voicing, "B")[0]
    assert run.notes == ("D5", "C#5", "C5", "B4")
    assert run.places == (0, 2, 4, 5)
    assert run.semitones == run.steps == 3


def test_no_line_is_no_line():
    assert best_line(voice(parse_chart("[A]\n| C6 | % |"))) is None


def test_lines_end_with_their_section():
    chart = parse_chart("form: A B\n[A]\n| E7 | A9 |\n[B]\n| D7 | G9 |")
    voicing = voice(chart, frets=(4, 8))
    assert all(run.steps < 3 for run in line_runs(voicing))


def test_moves_are_counted_as_played():
    chart = parse_chart("form: A A\n[A]\n| C6 A7 | Dm7 G7 |")
    voicing = voice(chart)
    found = moves(voicing, unroll(chart))
    assert [(move.start, move.goal, move.times) for move in found] == [
        (0, 1, 2), (1, 2, 2), (2, 3, 2), (3, 0, 1)
    ]  # fmt: skip
    assert {move.has_ms for move in found} == {60_000 / unroll(chart).tempo_bpm}


def test_a_move_under_a_rest_has_its_time():
    chart = parse_chart("[A]\n| C6 | N.C. | A7 |")
    move = moves(voice(chart), unroll(chart))[0]
    assert (move.start, move.goal, move.times) == (0, 2, 1)
    assert move.has_ms == 60_000 / unroll(chart).tempo_bpm
    chart = parse_chart("meter: 6/8\n[A]\n| C6 N.C. A7 / / / |")
    (move,) = moves(voice(chart), unroll(chart))
    two_eighths_ms = 60_000 / unroll(chart).tempo_bpm * 2 / 3  # of a dotted quarter
    assert move.has_ms == pytest.approx(two_eighths_ms)


def test_the_hardest_change_is_the_one_with_most_work_and_least_time():
    chart = parse_chart("[A]\n| C6@2433 G13@10-12-12-14 C6@2433 F6@5555 | F6 | Bb6@7768 |")
    hardest = hardest_moves(voice(chart), unroll(chart), 3)
    assert (
        str(hardest[0].after.grip) == "10-12-12-14" or str(hardest[0].before.grip) == "10-12-12-14"
    )
    assert [move.hardness for move in hardest] == sorted(
        (move.hardness for move in hardest), reverse=True
    )
    assert "frets" in str(hardest[0])


def test_the_time_a_change_has_follows_tempo_and_strum():
    chart = parse_chart("tempo: 120\nstrum: four\n[A]\n| C6@2433 Bb6@7768 | C6@2433 Bb6@7768 |")
    voicing, road = voice(chart), unroll(chart)
    slow = moves(voicing, road, strokes=stroke_times(road, BandStyle(tempo_bpm=60, seed=0)))
    fast = moves(voicing, road, strokes=stroke_times(road, BandStyle(tempo_bpm=180, seed=0)))
    for one, other in zip(slow, fast, strict=True):
        assert one.needs_ms == other.needs_ms > 0
        assert one.has_ms > 2 * other.has_ms
        assert one.top_bpm > 0
    assert "needs about" in fast[0].time_words
    assert "at 180 bpm" in fast[0].time_words
    slower = moves(replace(voicing, hand=replace(voicing.hand, pace=2.0)), road)
    assert slower[0].needs_ms == 2 * fast[0].needs_ms
    assert top_tempo_bpm(fast) == min(move.top_bpm for move in fast)


def test_the_hand_takes_longer_for_more():
    near = change_time_ms(grip("7877"), grip("6766"))
    far = change_time_ms(grip("2213"), grip("9-9-8-10"))
    assert 0 < near < far < 500
    assert change_time_ms(grip("7877"), grip("6766"), pace=2) == 2 * near


@given(any_grip, any_grip)
def test_time_is_never_negative_and_nothing_only_where_every_finger_rests(before, after):
    time = needed_ms(hand_columns(before), hand_columns(after))
    assert time >= 0
    assert (time == 0) == (before.held.presses == after.held.presses)
