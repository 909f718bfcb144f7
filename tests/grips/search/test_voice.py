"""Grips for whole charts: ties, locks, windows, lines, loops, offers, odd instruments."""

from __future__ import annotations

from inspect import signature
from itertools import pairwise

import pytest
from hypothesis import given, settings

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import LineTarget
from porchswing.chart.unroll import unroll
from porchswing.errors import GripError
from porchswing.grips.drawings.lines import string_lines
from porchswing.grips.names.readings import sounds_chord
from porchswing.grips.search.voice import request_of, voice, voicings
from porchswing.grips.shapes.model import section_slots
from support.strategies import charts

SONG = (
    "key: F\nform: A A B A\nintro: In\nending: Out\n"
    "[In]\n| F6 | C7 |\n[A]\n| F6 D7 | Gm7 C7 | F6 | % |\n"
    "[B]\n| A7 | D7 | G7 | C7 |\n[Out]\n| Gm7 C7 | F6 |"
)


def frets_of(voicing, section=None):
    return [str(s.grip) for s in voicing.slots if section in (None, s.section)]


def test_every_written_slot_is_voiced_once_in_order():
    chart = parse_chart(SONG)
    voicing = voice(chart)
    keys = [(slot.section, slot.bar, slot.slot) for slot in voicing.slots]
    assert len(keys) == len(set(keys)) == 2 + 6 + 4 + 3
    assert [name for name, _, _ in keys[:3]] == ["In", "In", "A"]
    assert all(slot.pass_number == 0 for slot in voicing.slots)
    road = unroll(chart, choruses=3)
    for bar in road.bars:
        voiced = voicing.voiced(bar)
        assert [slot.chord for slot in voiced] == [slot.chord for slot in bar.slots]


def test_beats_count_in_meter_units():
    voicing = voice(parse_chart("meter: 6/8\n[A]\n| F6 C7 | F6 |"))
    assert [slot.beat for slot in voicing.slots] == [1, 4, 1]


def test_a_repeated_chord_keeps_its_grip_and_costs_nothing():
    short = voice(parse_chart("[A]\n| C6 | A7 |"))
    long = voice(parse_chart("[A]\n| C6 | % | C6 C6 | A7 | % |"))
    assert long.cost == short.cost
    assert len(set(frets_of(long)[:4])) == 1


def test_no_chord_is_no_grip_and_no_reason_to_move():
    with_rest = voice(parse_chart("[A]\n| C6 | N.C. | C6 | A7 |"))
    assert with_rest.slots[1].grip is None
    assert with_rest.slots[1].chord is None
    assert with_rest.cost == voice(parse_chart("[A]\n| C6 | A7 |")).cost
    assert voice(parse_chart("[A]\n| N.C. |")).cost == 0


def test_locks_hold_and_the_rest_goes_along():
    chart = parse_chart("[A]\n| E7@4445 | A9 | D7@x655 | G9 |")
    voicing = voice(chart)
    assert frets_of(voicing)[0] == "4445"
    assert frets_of(voicing)[2] == "x655"
    assert [slot.locked for slot in voicing.slots] == [True, False, True, False]


def test_a_lock_with_the_wrong_number_of_frets_says_so():
    with pytest.raises(GripError, match="section A, bar 1: the grip locked under E7 has 4 frets"):
        voice(parse_chart("tuning: guitar\n[A]\n| E7@4445 |"))


def test_locks_are_let_go_on_strings_of_other_notes():
    chart = parse_chart("[A]\n| E7@4445 | A9 |")
    assert frets_of(voice(chart, tuning="low-g"))[0] == "4445"
    for name in ("guitar", "baritone"):
        slot = voice(chart, tuning=name).slots[0]
        assert not slot.locked
        assert sounds_chord(slot.grip, slot.chord)


def test_a_line_on_a_string_that_is_not_there_is_let_go_with_the_tuning():
    chart = parse_chart("[A]\nline: 4 down\n| E7 | A9 | D7 | G9 |")
    assert voice(chart, tuning="g3 c4 e4").slots[0].grip is not None
    own = parse_chart("tuning: g3 c4 e4\n[A]\nline: 4 down\n| E7 | A9 |")
    with pytest.raises(GripError, match="no string 4"):
        voice(own)


def test_another_tuning_saves_a_chart_whose_own_is_unknown():
    chart = parse_chart("tuning: lute\n[A]\n| E7@4445 | A9 |")
    assert not voice(chart, tuning="gCEA").slots[0].locked


def test_windows_hold_in_their_section():
    chart = parse_chart("form: A B\n[A]\n| C6 | F6 |\n[B]\nfrets: 7-10\n| C6 | F6 |")
    for slot in voice(chart).slots:
        pressed = [fret for fret in slot.grip.frets if fret]
        if slot.section == "B":
            assert min(pressed) >= 7
            assert max(pressed) <= 10


def test_a_window_above_the_usual_frets_is_meant():
    voicing = voice(parse_chart("[A]\nfrets: 11-15\n| C6 | Am7 |"))
    assert all(min(slot.grip.frets) >= 11 for slot in voicing.slots)
    with pytest.raises(GripError):
        voice(parse_chart("[A]\nfrets: 11-15\n| C6 |"), max_fret=9)


def test_a_window_is_not_for_beginners_by_the_nut():
    chart = parse_chart("[A]\nfrets: 5-9\n| C | G7 |")
    assert frets_of(voice(chart, lane="plain")) == ["0003", "0212"]
    assert min(min(slot.grip.frets) for slot in voice(chart).slots) >= 5


def test_without_ties_each_pass_is_free():
    chart = parse_chart("form: A A\n[A]\n| E7 | A9 |")
    tied, free = voice(chart), voice(chart, tied=False)
    assert len(tied.slots) == 2
    assert len(free.slots) == 4
    assert free.cost <= tied.cost
    passes = unroll(chart).bars
    assert free.voiced(passes[0])[0].pass_number == 1
    assert free.voiced(passes[2])[0].pass_number == 2


LAST = (
    "form: A A B A-last\n[A]\n| Eb6 | Edim7 | Fm9 | Bb9{%s} |\n"
    "[B]\n| Gm7 | C9 | F9 | Ddim7 |\n[A-last]\n| Eb6 | Edim7 | Fm9 | %s |"
)


@pytest.mark.parametrize("bar", ["Bb9 Eb6", "E9", "Bb9"])
def test_bars_that_are_alike_the_last_time_keep_their_grips(bar):
    voicing = voice(parse_chart(LAST % ("hold", bar)))
    grips, last = frets_of(voicing, "A"), frets_of(voicing, "A-last")
    assert last[:3] == grips[:3]
    assert len(last) == 3 + len(bar.split())
    assert (last[3:] == grips[3:]) == (bar == "Bb9")


def test_what_differs_the_last_time_is_free_and_a_lock_of_the_section_holds_there():
    alone = frets_of(voice(parse_chart("[B]\n| Gm7 | C9 | F9 | Ddim7 |\n[C]\n| Eb6 | Edim7 |")))
    assert alone[4] == "3333"  # where nothing was taught, the hand stays where it is
    locked = LAST.replace("[A]\n| Eb6 |", "[A]\n| Eb6@8766 |") % ("push", "Bb9")
    voicing = voice(parse_chart(locked))
    assert frets_of(voicing, "A")[0] == frets_of(voicing, "A-last")[0] == "8766"
    own = voice(parse_chart(locked.replace("[A-last]\n| Eb6", "[A-last]\n| Eb6@5766")))
    assert frets_of(own, "A-last")[0] == "5766"


def test_a_line_asked_for_goes_on_through_the_last_time():
    chart = parse_chart(
        "form: A A-last\n[A]\nline: 4 down\n| Cm | Cm(maj7) | Cm7 | Cm6 |\n"
        "[A-last]\nline: 4 down\n| Cm | Cm(maj7) | Cm7 | F9 |"
    )
    line = [slot.grip.midi[0] for slot in voice(chart).slots if slot.section == "A-last"]
    assert len(line) == 4
    assert all(later < earlier for earlier, later in pairwise(line))


def test_a_loop_counts_the_way_back():
    chart = parse_chart("[A]\n| C6 | A7 | Dm7 | G7 |")
    once, looped = voice(chart), voice(chart, loop=True)
    assert looped.cost > once.cost
    first, last = looped.slots[0].grip, looped.slots[-1].grip
    assert abs(first.frets[0] - last.frets[0]) <= 4


@pytest.mark.parametrize(("string", "direction"), [(4, "down"), (1, "down"), (2, "up")])
def test_a_line_asked_for_moves_that_string(string, direction):
    chart = parse_chart("[A]\n| Cm | Cm(maj7) | Cm7 | Cm6 |")
    voicing = voice(chart, line=LineTarget(string, direction))
    line = string_lines(voicing)[4 - string]
    steps = line.steps_down if direction == "down" else line.steps_up
    free = string_lines(voice(chart))[4 - string]
    assert steps >= (free.steps_down if direction == "down" else free.steps_up)
    if (string, direction) == (4, "down"):
        assert line.notes == ("C5", "B4", "Bb4", "A4")


def test_the_chart_may_ask_for_the_line_and_the_call_stands_over_it():
    asked = parse_chart("[A]\nline: 1 down\n| E7 | A9 | D7 | G9 |")
    assert voice(asked).cost != voice(asked, line=LineTarget(4, "down")).cost
    auto = voice(asked, line=LineTarget())
    assert string_lines(auto)[0].steps_down == 3


def test_a_line_on_a_string_that_is_not_there():
    with pytest.raises(GripError, match="no string 5"):
        voice(parse_chart("[A]\n| C6 | F6 |"), line=5)


def test_k_best_are_different_and_rise():
    ways = voicings(parse_chart(SONG), best=6)
    assert len({tuple(frets_of(way)) for way in ways}) == 6
    assert [way.cost for way in ways] == sorted(way.cost for way in ways)


def test_varied_ways_differ_in_a_tenth_of_their_grips_and_say_when_there_are_no_more():
    chart = parse_chart(SONG)
    ways = voicings(chart, best=5, varied=True)
    assert len(ways) == 5
    assert ways[0].cost == voice(chart).cost
    runs = len({(slot.section, slot.bar, slot.slot) for slot in ways[0].slots})
    for place, way in enumerate(ways):
        for other in ways[:place]:
            same = sum(a == b for a, b in zip(frets_of(way), frets_of(other), strict=True))
            assert runs - same >= 0.1 * runs
    assert [way.cost for way in ways[1:]] == sorted(way.cost for way in ways[1:])
    locked = parse_chart("[A]\n| E7@4445 | A9@6777 |")
    assert len(voicings(locked, best=5, varied=True)) == 1


def test_where_a_single_grip_is_free_it_alone_makes_the_ways_differ():
    ways = voicings(parse_chart("[A]\n| E7@4445 | A9 |"), best=3, varied=True)
    assert len({frets_of(way)[1] for way in ways}) == len(ways) == 3


def test_a_wish_left_out_is_the_same_for_one_way_and_for_several():
    one, several = (signature(each).parameters for each in (voice, request_of))
    assert {name: each.default for name, each in one.items()} == {
        name: each.default for name, each in several.items()
    }


def test_offers_are_read_and_refused():
    chart = parse_chart("[A]\n| C | G7 | C |")
    richer = voice(chart, offers=["C|C6|Cmaj7", "7|9|13"])
    assert str(richer.slots[0].chord) in {"C", "C6", "Cmaj7"}
    for offer, message in (("E7", "two chords or more"), ("E7|", "two chords"), ("E7|Q", "offer")):
        with pytest.raises(GripError, match=message):
            voice(chart, offers=[offer])


def test_open_grips_lie_by_the_nut():
    voicing = voice(parse_chart("[A]\n| C | Am | F | G7 |"), lane="plain")
    assert frets_of(voicing) == ["0003", "2000", "2010", "0212"]
    closed = voice(parse_chart("[A]\n| C | Am | F | G7 |"), lane="plain", grips="closed")
    assert all(slot.grip.is_closed for slot in closed.slots)


def test_a_section_outside_the_form_is_voiced_for_those_who_play_it_alone():
    chart = parse_chart("form: A\n[A]\n| C6 | A7 |\n[Vamp]\n| D9 | G7 |")
    voicing = voice(chart)
    assert len(section_slots(voicing, "Vamp")) == 2
    assert voicing.cost == voice(parse_chart("[A]\n| C6 | A7 |")).cost


def test_only_the_bass_changes():
    voicing = voice(parse_chart("[A]\n| C6 | C6/G | F6 |"))
    assert frets_of(voicing)[0] == frets_of(voicing)[1]
    assert [str(slot.chord) for slot in voicing.slots] == ["C6", "C6/G", "F6"]


def test_a_slash_bass_is_the_lowest_note_where_it_is_heard():
    chart = parse_chart("[A]\n| C | C/E | C/G | F |")
    voicing = voice(chart, tuning="guitar", grips="any")
    for slot in voicing.slots:
        if slot.chord.bass:
            assert min(slot.grip.midi) % 12 == slot.chord.bass.pc


@pytest.mark.parametrize(
    "tuning",
    ["GCEA", "aDF#B", "baritone", "guitar", "guitar 4321", "guitar 6432", "banjo", "mandolin",
     "g4 c4 e4", "c4 c4 g4 g4", "e4 c4 a3 c4 e4 g4"],
)  # fmt: skip
@pytest.mark.parametrize("kind", ["closed", "open", "any"])
def test_every_instrument_gets_through(tuning, kind):
    chart = parse_chart("[A]\n| C7 | F7 | Gm7 C9 | Am7 D7 | G7 | C |")
    voicing = voice(chart, tuning=tuning, grips=kind, max_stretch=5)
    assert all(sounds_chord(slot.grip, slot.chord) for slot in voicing.slots)


def test_where_there_are_too_many_grips_the_easiest_are_weighed_and_nothing_is_claimed():
    chart = parse_chart("[A]\n| A9 | D9 | G9 |")
    voicing = voice(chart, tuning="guitar", grips="any", mutes=True)
    assert not voicing.is_proven
    assert all(sounds_chord(slot.grip, slot.chord) for slot in voicing.slots)
    assert voice(chart, tuning="guitar", grips="any").is_proven


def test_the_same_chart_gives_the_same_grips_twice():
    assert voice(parse_chart(SONG)) == voice(parse_chart(SONG))


@settings(deadline=None, max_examples=40)
@given(charts())
def test_any_chart_is_voiced_or_says_why_not(chart):
    for lane in ("plain", "swing"):
        try:
            voicing = voice(chart, tuning="gCEA", lane=lane)
        except GripError:
            continue  # five frets in a window may leave a chord without a grip
        locked = {slot.grip for slot in voicing.slots if slot.locked}
        for slot in voicing.slots:
            assert (slot.grip is None) == (slot.chord is None)
            if slot.grip is not None and slot.grip not in locked:
                assert sounds_chord(slot.grip, slot.chord)
        for bar in unroll(chart, lane=lane).bars:
            assert len(voicing.voiced(bar)) == len(bar.slots)
