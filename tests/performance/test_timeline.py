"""The clock of a take: ticks and seconds where the tempo changes."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from porchswing.performance.timeline import Timeline, timeline_of
from porchswing.rhythm.tempo import TempoMap, TempoSegment
from support import made


def clock(*segments: tuple[Fraction | int, float], count_in_beats: int = 0) -> Timeline:
    tempo_map = TempoMap(tuple(TempoSegment(Fraction(at), bpm, 1.0) for at, bpm in segments))
    score = made.hand_made(made.rides(8), count_in_beats=count_in_beats)
    return timeline_of(replace(score, tempo_map=tempo_map))


def events(timeline: Timeline) -> list[tuple[int, int, float]]:
    return [(event.tick, event.us_per_quarter, event.seconds) for event in timeline.events]


def test_events_come_where_the_tempo_changes_after_the_count_in():
    timeline = clock((0, 120.0), (4, 60.0), (6, 60.0), (8, 240.0), count_in_beats=2)
    assert events(timeline) == [
        (0, 500_000, 0.0),
        (6 * 960, 1_000_000, 3.0),  # six beats of half a second
        (10 * 960, 250_000, 7.0),
    ]


def test_of_two_tempi_on_one_tick_the_later_holds():
    near = Fraction(1, 10_000)  # of a beat: the same tick
    assert events(clock((0, 120.0), (near, 60.0))) == [(0, 1_000_000, 0.0)]
    both = clock((0, 120.0), (4, 60.0), (4 + near, 240.0))
    assert events(both) == [(0, 500_000, 0.0), (3840, 250_000, 2.0)]


def test_a_tick_has_the_tempo_of_the_event_that_began_there_or_before():
    timeline = clock((0, 120.0), (4, 60.0))
    assert [timeline.quarter_s(tick) for tick in (0, 3839, 3840, 9999)] == [0.5, 0.5, 1.0, 1.0]
    assert [timeline.ticks_per_second(tick) for tick in (0, 3839, 3840)] == [1920, 1920, 960]
    assert [timeline.seconds(tick) for tick in (0, 1920, 3840, 4800)] == [0.0, 1.0, 2.0, 3.0]
    assert timeline.seconds(-960) == -0.5  # the first tempo holds before the start too


def test_a_tick_is_shifted_by_seconds_but_never_before_the_start():
    timeline = clock((0, 120.0), (4, 60.0))
    assert timeline.shifted(960, 0.25) == 1440
    assert timeline.shifted(960, -0.25) == 480
    assert timeline.shifted(3840, -0.25) == 3600  # at the tempo of where it stood
    assert timeline.shifted(100, -1.0) == 0


@pytest.mark.parametrize(("beats", "tick"), [(0, 1920), (Fraction(1, 3), 2240), (-2, 0)])
def test_a_written_beat_is_counted_from_the_count_in(beats, tick):
    assert clock((0, 120.0), count_in_beats=2).plain_ticks(Fraction(beats)) == tick
