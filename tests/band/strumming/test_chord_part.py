"""The chord part over random charts (properties) and over small ones (what a player would do)."""

from __future__ import annotations

import time
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings, strategies as st

from porchswing.band.score import Stroke
from porchswing.band.strumming.chord_part import chords_part
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.unroll import unroll
from porchswing.grips.shapes.model import Grip, VoicedSlot, Voicing
from porchswing.options import BandStyle
from porchswing.rhythm.patterns import pattern_names
from porchswing.rhythm.strum import load_strum
from support.made import UKULELE
from support.strategies import Arrangement, arrangements
from support.strum_rules import EIGHTH, missing_faults, ringing_faults, slide_faults, string_faults

styles = st.builds(
    BandStyle,
    density=st.floats(0, 1),
    variation=st.floats(0, 1),
    slides=st.floats(0, 1),
    backbeat=st.none() | st.floats(0, 1),
    loop=st.booleans(),
    seed=st.integers(0, 999),
)


@settings(max_examples=80, deadline=None)
@given(arrangements(), styles)
def test_nothing_rings_across_a_change_or_overlaps_and_every_bar_and_change_sounds(
    arrangement: Arrangement, style: BandStyle
) -> None:
    _, roadmap, voicing = arrangement
    events = chords_part(roadmap, voicing, style).events
    assert not list(ringing_faults(roadmap, voicing, events))
    assert not list(missing_faults(roadmap, voicing, events))
    assert not list(string_faults(events))


@settings(max_examples=80, deadline=None)
@given(arrangements(marked=False), st.integers(0, 999))
def test_slides_keep_the_shape_and_are_never_on_two_changes_running(
    arrangement: Arrangement, seed: int
) -> None:
    _, roadmap, voicing = arrangement
    style = BandStyle(slides=1.0, seed=seed, loop=True)
    assert not list(slide_faults(chords_part(roadmap, voicing, style).events))


@settings(max_examples=60, deadline=None)
@given(arrangements(), styles, st.sampled_from(pattern_names("drums") or ("none",)))
def test_same_seed_same_part_and_other_drums_change_nothing(
    arrangement: Arrangement, style: BandStyle, drums: str
) -> None:
    _, roadmap, voicing = arrangement
    part = chords_part(roadmap, voicing, style)
    assert chords_part(roadmap, voicing, style) == part
    assert chords_part(roadmap, voicing, replace(style, drums=drums)) == part


# --- small charts ----------------------------------------------------------------------------

GRIPS = {
    "F6": (5, 5, 5, 5),
    "D7": (5, 6, 5, 5),
    "E7": (7, 8, 7, 7),
    "C9": (9, 10, 10, 10),
    "F": (2, 0, 1, 0),
    "C7": (0, 0, 0, 1),
    "Am": (2, 0, 0, 0),
}
STEADY = BandStyle(strum="four", variation=0.0, density=0.0, slides=0.0, loop=True)


def part_of(bars: str, style: BandStyle = STEADY, meter: str = "4/4") -> tuple[Stroke, ...]:
    head = f"title: Small\nkey: F\nmeter: {meter}\ntempo: 120\n\n[A]\n"
    chart = parse_chart(head + bars + "\n")
    slots = []
    for number, bar in enumerate(chart.sections[0].plain, 1):
        for index, slot in enumerate(bar.slots):
            frets = None if slot.chord is None else GRIPS[slot.chord.symbol]
            grip = None if frets is None else Grip(frets, UKULELE)
            slots.append(VoicedSlot("A", number, index, Fraction(1), slot.chord, grip))
    voicing = Voicing(UKULELE, tuple(slots), 0.0, "plain")
    events = chords_part(unroll(chart, lane="plain"), voicing, style).events
    return tuple(event for event in events if isinstance(event, Stroke))


def onsets(strokes: tuple[Stroke, ...], symbol: str) -> list[Fraction]:
    return [s.onset_beats for s in strokes if s.grip.frets == GRIPS[symbol]]


def test_four_to_the_bar_strikes_every_beat_with_the_chord_that_stands_there() -> None:
    strokes = part_of("| F6 D7 | E7 |")
    assert [s.onset_beats for s in strokes][:6] == [0, 1, 2, 3, 4, 5]
    assert onsets(strokes, "D7") == [2, 3]
    assert {s.direction for s in strokes if s.onset_beats.denominator == 1} == {"down"}


def test_closed_grips_are_let_go_and_open_ones_ring() -> None:
    closed, opened = part_of("| F6 | F6 |"), part_of("| F | F |")
    assert closed[0].duration_beats < Fraction(3, 4)
    assert opened[0].duration_beats == 1


def test_push_enters_an_eighth_early_and_ties_over_the_beat() -> None:
    strokes = part_of("| F6 | D7{push} |")
    assert onsets(strokes, "D7")[0] == Fraction(7, 2)
    assert 4 not in onsets(strokes, "D7")


def test_the_first_chord_of_all_cannot_be_pushed() -> None:
    assert part_of("| F6{push} | D7 |")[0].onset_beats == 0


def test_hold_strikes_once_and_rings() -> None:
    held = [s for s in part_of("| F6{hold} | D7 |") if s.onset_beats < 4]
    assert [(s.onset_beats, s.duration_beats > 3) for s in held] == [(0, True)]


def test_stop_strikes_once_and_is_silent() -> None:
    stopped = [s for s in part_of("| F6{stop} | D7 |") if s.onset_beats < 4]
    assert [(s.onset_beats, s.duration_beats <= EIGHTH) for s in stopped] == [(0, True)]


def test_chuck_and_roll_change_the_strokes_they_stand_over() -> None:
    strokes = part_of("| F6{chuck} D7{roll} | E7 |")
    kinds = {s.onset_beats: s.kind for s in strokes}
    assert [kinds[Fraction(beat)] for beat in range(5)] == [
        "chuck",
        "chuck",
        "roll",
        "strum",
        "strum",
    ]


def test_slide_comes_from_a_fret_below_without_a_second_pluck() -> None:
    strokes = part_of("| F6 | D7{slide} |")
    slid = [s for s in strokes if s.slide_frets]
    assert [(s.onset_beats, s.slide_frets) for s in slid] == [(4, -1)]
    assert sum(1 for s in strokes if 4 <= s.onset_beats < 5) == 1


def test_an_open_grip_cannot_slide_or_fall() -> None:
    assert not any(s.slide_frets or s.fall_frets for s in part_of("| F6 | F{slide,fall} |"))


def test_fall_leaves_the_last_stroke_of_its_chord_downward() -> None:
    strokes = part_of("| E7{fall} | F6 |")
    assert [(s.onset_beats, s.fall_frets) for s in strokes if s.fall_frets] == [(3, -3)]


def test_no_chord_is_silence() -> None:
    strokes = part_of("| F6 N.C. | D7 |")
    assert not [s for s in strokes if 2 <= s.onset_beats < 4]
    assert all(s.onset_beats + s.duration_beats <= 2 for s in strokes if s.onset_beats < 2)


@pytest.mark.parametrize("name", pattern_names("strum"))
def test_four_chords_in_a_bar_are_all_heard_in_every_pattern(name: str) -> None:
    meter = load_strum(name).meter
    symbols = ["F6", "D7", "E7", "C9", "F6", "D7", "E7", "C9", "F6", "D7", "E7", "C9"]
    bar = "| " + " ".join(symbols[: meter.count]) + " |"
    strokes = part_of(bar * 2, replace(STEADY, strum=name), str(meter))
    for number in range(meter.count):
        at = number * meter.unit_beats
        heard = [
            s for s in strokes
            if s.grip.frets == GRIPS[symbols[number]] and at - EIGHTH <= s.onset_beats < at + 1
        ]  # fmt: skip
        assert any(s.kind not in {"chuck", "ghost"} for s in heard), (name, number)


def test_a_harder_change_shortens_the_stroke_before_it_more() -> None:
    easy = part_of("| F6 | D7 |", replace(STEADY, strum="whole"))[0]
    hard = part_of("| F6 | C9 |", replace(STEADY, strum="whole"))[0]
    assert hard.duration_beats < easy.duration_beats < 4


def test_last_chord_is_held_with_a_shake_on_a_closed_grip_only() -> None:
    ends = replace(STEADY, loop=False)
    closed, opened = part_of("| D7 | F6{hold} |", ends)[-1], part_of("| D7 | F{hold} |", ends)[-1]
    assert closed.vibrato
    assert closed.let_ring
    assert not opened.vibrato
    assert opened.onset_beats + opened.duration_beats == 8


def test_backbeat_leans_on_two_and_four_and_zero_is_even() -> None:
    even = part_of("| F6 | F6 |", replace(STEADY, backbeat=0.0))
    lean = part_of("| F6 | F6 |", replace(STEADY, backbeat=1.0))
    assert len({s.velocity for s in even[:4]}) == 1
    assert lean[1].velocity - lean[0].velocity == pytest.approx(0.22, abs=1e-3)


def test_density_adds_strokes() -> None:
    sparse = part_of("| F6 | F6 |" * 4, replace(STEADY, strum="lilt", density=0.0))
    full = part_of("| F6 | F6 |" * 4, replace(STEADY, strum="lilt", density=1.0))
    assert len(full) > len(sparse)


def test_hammer_lifts_one_finger_and_sets_it_on_the_and() -> None:
    style = replace(STEADY, slides=1.0, strum="whole")
    found = [part_of("| F6 | C7 | F6 | Am |" * 2, replace(style, seed=s)) for s in range(20)]
    slurs = [
        (before, stroke)
        for part in found
        for before, stroke in pairwise(part)
        if stroke.kind == "slur"
    ]
    assert slurs
    for before, stroke in slurs:
        assert stroke.onset_beats - before.onset_beats == EIGHTH
        string = stroke.strings[0]
        assert before.grip.frets[UKULELE.index(string)] == 0
        assert stroke.grip.frets[UKULELE.index(string)] in {1, 2}


def test_pull_leaves_the_string_open_that_the_next_grip_wants_open() -> None:
    style = replace(STEADY, slides=1.0, strum="whole")
    found = [part_of("| F6 | C7 | Am | C7 | Am |", replace(style, seed=s)) for s in range(20)]
    pulls = [
        (before, stroke, after)
        for part in found
        for before, stroke, after in zip(part, part[1:], part[2:], strict=False)
        if stroke.kind == "slur" and before.grip.frets != after.grip.frets
        and stroke.grip.frets[UKULELE.index(stroke.strings[0])] == 0
    ]  # fmt: skip
    assert pulls
    for before, stroke, after in pulls:
        index = UKULELE.index(stroke.strings[0])
        assert before.grip.frets[index] in {1, 2}
        assert after.grip.frets[index] == 0
        assert stroke.onset_beats + stroke.duration_beats == after.onset_beats


def test_a_thousand_bars_take_well_under_a_second() -> None:
    bars = "| F6 D7 | E7 C9 | F6 | D7 |" * 250
    part_of("| F6 |")
    start = time.process_time()
    strokes = part_of(bars, BandStyle())
    assert len(strokes) > 3000
    assert time.process_time() - start < 3.0  # reading and unrolling included, on a busy machine
