"""The tempo map: seconds as a MIDI reader counts them, ladders, ritardando, tempo lines."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import mido
import pytest
from hypothesis import given, strategies as st

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import SwingSetting
from porchswing.chart.unroll import unroll
from porchswing.options import BandStyle
from porchswing.rhythm.swing import auto_ratio
from porchswing.rhythm.tempo import TempoMap, TempoSegment, tempo_map_for
from support.made import roadmap_of

segments = st.lists(st.tuples(st.integers(1, 64), st.floats(30, 400)), min_size=1, max_size=8).map(
    lambda rows: TempoMap(
        tuple(
            TempoSegment(Fraction(sum(length for length, _ in rows[:i])), bpm, 2.0)
            for i, (_, bpm) in enumerate(rows)
        )
    )
)


@given(segments, st.floats(0, 512))
def test_seconds_are_those_of_a_midi_reader(tempo: TempoMap, beats: float) -> None:
    # mido.tick2second is the reference: ticks through whole microseconds per quarter
    seconds = 0.0
    for index, segment in enumerate(tempo.segments):
        start = float(segment.start_beats)
        end = (
            float(tempo.segments[index + 1].start_beats) if index + 1 < len(tempo.segments) else 1e9
        )
        passed = max(0.0, min(beats, end) - start)
        seconds += mido.tick2second(passed * 960, 960, segment.us_per_quarter)
    assert tempo.seconds(beats) == pytest.approx(seconds, abs=1e-9)
    assert tempo.beats(tempo.seconds(beats)) == pytest.approx(beats, abs=1e-9)


def test_whole_microseconds_drift_less_than_a_millisecond_in_five_minutes() -> None:
    for bpm in range(30, 401):
        tempo = TempoMap((TempoSegment(Fraction(0), float(bpm), 1.0),))
        assert abs(tempo.seconds(bpm * 5) - 300.0) < 0.001


def test_count_in_lies_before_zero_at_the_first_tempo() -> None:
    tempo = TempoMap((TempoSegment(Fraction(0), 60.0), TempoSegment(Fraction(4), 120.0)))
    assert tempo.seconds(-4) == -4.0
    assert tempo.seconds(5) == 4.5


@pytest.mark.parametrize("starts", [(), (0, 4, 4), (4, 0)])
def test_segments_must_rise(starts: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="segment"):
        TempoMap(tuple(TempoSegment(Fraction(start), 100.0) for start in starts))


CHART = """title: Steps
key: C
meter: 4/4
tempo: 120
form: A B
ending: Z

[A]
| C | F | G | C |

[B]
tempo: 90
swing: 1.5
| C | F | G | C |

[Z]
| C | C |
"""


def _map(style: BandStyle, *, choruses: int = 1) -> TempoMap:
    return tempo_map_for(unroll(parse_chart(CHART), lane="plain", choruses=choruses), style)


def test_a_tempo_and_a_swing_line_hold_to_the_sections_end() -> None:
    rows = [(s.start_beats, s.quarter_bpm, s.ratio) for s in _map(BandStyle()).segments]
    assert rows == [(0, 120, auto_ratio(120)), (16, 90, 1.5), (32, 120, auto_ratio(120))]


def test_another_tempo_scales_the_slower_section_too() -> None:
    rows = [s.quarter_bpm for s in _map(BandStyle(tempo_bpm=60)).segments]
    assert rows == [60, 45, 60]


def test_a_ladder_gives_each_chorus_its_tempo_and_the_last_rung_holds() -> None:
    tempo = _map(BandStyle(chorus_tempos_bpm=(80, 100)), choruses=3)
    firsts = [tempo.segment_at(beat).quarter_bpm for beat in (0, 32, 64)]
    assert firsts == [80, 100, 100]


def test_ritardando_slows_beat_by_beat_into_the_ending_and_nowhere_else() -> None:
    tempo = _map(BandStyle(ritardando=0.3))
    ending = [s for s in tempo.segments if s.start_beats >= 32]
    bpms = [s.quarter_bpm for s in ending]
    assert [s.start_beats for s in ending] == list(range(32, 40))
    assert bpms == sorted(bpms, reverse=True)
    assert bpms[0] < 120
    assert 120 * 0.7 < bpms[-1] < 120 * 0.8
    # Friberg & Sundberg 1999: the slowing grows towards the end
    steps = [a - b for a, b in pairwise(bpms)]
    assert steps == sorted(steps)
    assert _map(BandStyle(ritardando=0.3, loop=True)) == _map(BandStyle(loop=True))


def _slowed_beats(text: str) -> list[Fraction]:
    roadmap = unroll(parse_chart(text), lane="plain")
    tempo = tempo_map_for(roadmap, BandStyle(ritardando=0.3))
    bpm = tempo.segments[0].quarter_bpm
    return [s.start_beats for s in tempo.segments if s.quarter_bpm < bpm]


def test_ritardando_takes_the_last_two_bars_or_the_last_four_of_an_ending() -> None:
    song = "tempo: 120\nswing: 2\n[A]\n| C | F | G | C |\n"
    assert _slowed_beats(song) == list(range(8, 16))
    tag = "[Tag]\n| C | F | C | F | G | C |\n"
    assert _slowed_beats("ending: Tag\n" + song + tag) == list(range(24, 40))


def test_ritardando_of_a_single_bar() -> None:
    assert _slowed_beats("ending: B\n[A]\n| F |\n[B]\n| C |\n") == [4, 5, 6, 7]


def test_a_tune_without_bars_keeps_the_tempo_it_is_given() -> None:
    empty = replace(roadmap_of("| C |", meter="6/8"), bars=())
    (segment,) = tempo_map_for(empty, BandStyle(tempo_bpm=80)).segments
    assert (segment.quarter_bpm, segment.ratio) == (120, 1.0)  # a dotted quarter at 80


def test_the_players_swing_overrules_the_chart() -> None:
    tempo = _map(BandStyle(swing=SwingSetting(Fraction(3))))
    assert {s.ratio for s in tempo.segments} == {3.0}


@pytest.mark.parametrize("meter", ["6/8", "12/8", "7/8"])
def test_meters_in_eighths_are_straight_unless_said(meter: str) -> None:
    roadmap = roadmap_of("| C |", meter=meter)
    assert tempo_map_for(roadmap, BandStyle()).segments[0].ratio == 1.0
    said = tempo_map_for(roadmap, BandStyle(swing=SwingSetting(Fraction(2))))
    assert said.segments[0].ratio == 2.0


def test_compound_tempo_counts_dotted_quarters() -> None:
    assert (
        tempo_map_for(roadmap_of("| C |", meter="6/8", tempo=60), BandStyle())
        .segments[0]
        .quarter_bpm
        == 90
    )


def test_a_straight_strum_makes_the_band_even_unless_a_ratio_is_asked() -> None:
    roadmap = roadmap_of("| C |", tempo=140)
    assert tempo_map_for(roadmap, BandStyle(strum="bossa")).segments[0].ratio == 1.0
    assert tempo_map_for(roadmap, BandStyle(strum="four")).segments[0].ratio > 2.0
    assert tempo_map_for(roadmap, BandStyle(drums="bossa")) == tempo_map_for(roadmap, BandStyle())
    asked = BandStyle(strum="bossa", swing=SwingSetting(Fraction(2)))
    assert tempo_map_for(roadmap, asked).segments[0].ratio == 2.0
