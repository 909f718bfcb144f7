"""Drill forms: ladders, alternate phrases, a fading part, a loop of two changes; the line."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, strategies as st

from porchswing.band.extra_parts import line_part
from porchswing.band.practice_forms import (
    change_loop,
    doubled_phrases,
    fading_by_chorus,
    in_alternate_phrases,
    ladder_tempos,
    on_ladder,
)
from porchswing.band.score import PartScore, Stroke
from porchswing.band.strumming.chord_part import chords_part
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import unroll
from porchswing.errors import OptionError
from porchswing.grips.search.voice import voice
from porchswing.grips.shapes.model import Voicing
from porchswing.options import BandStyle
from porchswing.rhythm.tempo import tempo_map_for
from support.made import TUNE, roadmap_of

STYLE = BandStyle(slides=0.0)


def arranged(choruses: int = 1) -> tuple[Roadmap, Voicing, PartScore]:
    chart = parse_chart(TUNE)
    roadmap = unroll(chart, lane="plain", choruses=choruses)
    voicing = voice(chart, lane="plain", grips="closed")
    return roadmap, voicing, chords_part(roadmap, voicing, STYLE)


@given(st.floats(30, 200), st.floats(1.0, 2.0), st.sampled_from([0.04, 0.045, 0.05]))
def test_ladders_climb_evenly_to_the_goal(start: float, more: float, step: float) -> None:
    goal = start * more
    tempos = ladder_tempos(start, goal, step)
    assert (tempos[0], tempos[-1]) == (start, goal)
    ratios = [b / a for a, b in pairwise(tempos)]
    assert all(abs(ratio - ratios[0]) < 1e-9 for ratio in ratios)
    wanted = math.log(goal / start) / math.log1p(step)
    if wanted > 1:
        assert abs(len(ratios) - wanted) <= 0.5 + 1e-6, "another number of rungs would be nearer"


def test_default_steps_are_those_of_the_classic_metronome() -> None:
    # its marks step by 3.4 to 5.6 % (40 to 60 by 2, to 72 by 3, to 120 by 4, to 144 by 6, …)
    for start, goal in [(60, 90), (80, 120), (60, 138), (100, 150)]:
        for low, high in pairwise(ladder_tempos(start, goal)):
            assert 1.04 <= high / low <= 1.05


@pytest.mark.parametrize(("start", "goal", "step"), [(100, 90, 0.05), (0, 90, 0.05), (60, 90, 0.9)])
def test_ladders_that_cannot_be_climbed_are_refused(start: float, goal: float, step: float) -> None:
    with pytest.raises(OptionError):
        ladder_tempos(start, goal, step)


def test_a_ladder_reaches_the_tempo_map_chorus_by_chorus() -> None:
    roadmap = roadmap_of("| C | G |", choruses=3)
    tempo = tempo_map_for(roadmap, on_ladder(BandStyle(), (60, 63, 66)))
    assert [tempo.segment_at(beat).quarter_bpm for beat in (0, 8, 16)] == [60, 63, 66]


def test_every_phrase_is_doubled_and_the_second_left_to_the_student() -> None:
    roadmap, voicing, _ = arranged()
    doubled = doubled_phrases(roadmap, 4)
    assert len(doubled.bars) == 2 * len(roadmap.bars)
    assert [bar.start_beats for bar in doubled.bars] == [4 * n for n in range(len(doubled.bars))]
    first, second = doubled.bars[:4], doubled.bars[4:8]
    assert [bar.slots for bar in first] == [bar.slots for bar in second]
    part = chords_part(doubled, voicing, STYLE)
    alternating = in_alternate_phrases(part, doubled, 4)
    for event in alternating.events:
        phrase = int(event.onset_beats // 16)
        assert phrase % 2 == 0
        assert event.onset_beats + event.duration_beats <= 16 * (phrase + 1)
    kept = [event.onset_beats for event in alternating.events]
    assert kept == [e.onset_beats for e in part.events if int(e.onset_beats // 16) % 2 == 0]


def test_a_part_fades_by_chorus_to_silence() -> None:
    roadmap, _, part = arranged(choruses=3)
    faded = fading_by_chorus(part, roadmap)
    by_onset = {event.onset_beats: event.velocity for event in part.events}
    chorus_of = {bar.start_beats: bar.chorus for bar in roadmap.bars}
    for event in faded.events:
        bar = max(start for start in chorus_of if start <= event.onset_beats)
        level = {1: 1.0, 2: 0.5}[chorus_of[bar]]
        assert event.velocity == pytest.approx(by_onset[event.onset_beats] * level, abs=1e-3)
    last = min(bar.start_beats for bar in roadmap.bars if bar.chorus == 3)
    assert max(event.onset_beats for event in faded.events) < last


def test_a_phrase_of_no_bar_is_refused() -> None:
    roadmap, _, part = arranged()
    with pytest.raises(OptionError, match="a phrase has at least one bar"):
        in_alternate_phrases(part, roadmap, 0)


@pytest.mark.parametrize(("beats_each", "bars"), [(None, 8), (Fraction(4), 8), (Fraction(2), 4)])
def test_a_loop_of_two_changes_goes_back_and_forth(beats_each: Fraction | None, bars: int) -> None:
    roadmap, voicing, _ = arranged()
    before, after = voicing.slots[0], voicing.slots[1]
    loop, grips = change_loop(roadmap, voicing, before, after, beats_each=beats_each, times=4)
    assert len(loop.bars) == bars
    assert loop.beats == 4 * bars
    part = chords_part(loop, grips, BandStyle(strum="four", slides=0.0, loop=True, variation=0))
    found = [e.grip for e in part.events if isinstance(e, Stroke)]
    changes = [b for a, b in pairwise(found) if a != b]
    assert set(found) == {before.grip, after.grip}
    assert len(changes) == 7


def test_a_loop_refuses_lengths_that_do_not_fit() -> None:
    roadmap, voicing, _ = arranged()
    one, two = voicing.slots[:2]
    with pytest.raises(OptionError, match="a bar"):
        change_loop(roadmap, voicing, one, two, beats_each=Fraction(3))
    with pytest.raises(OptionError, match="times"):
        change_loop(roadmap, voicing, one, two, times=0)


def test_the_line_is_one_string_of_every_grip() -> None:
    roadmap, voicing, _ = arranged()
    for string in (1, 2, 3, 4):
        part = line_part(roadmap, voicing, string)
        assert part.events
        for event in part.events:
            assert isinstance(event, Stroke)
            assert event.strings == (string,)
        ends = [e.onset_beats + e.duration_beats for e in part.events]
        assert all(end <= e.onset_beats for end, e in zip(ends, part.events[1:], strict=False))


def test_without_a_wish_the_smoothest_string_plays() -> None:
    roadmap, voicing, _ = arranged()

    def steps(string: int) -> int:
        events = line_part(roadmap, voicing, string).events
        index = voicing.tuning.index(string)
        notes = [e.grip.midi[index] for e in events if isinstance(e, Stroke)]
        return sum(1 for a, b in pairwise(notes) if a and b and 0 < abs(a - b) <= 2)

    chosen = line_part(roadmap, voicing).events[0]
    assert isinstance(chosen, Stroke)
    assert steps(chosen.strings[0]) == max(steps(string) for string in (1, 2, 3, 4))
