"""Swing by tempo against published measurements, and the warp's own laws."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, strategies as st

from porchswing.rhythm.swing import auto_ratio, even_beats, part_ratio, swing_fraction
from porchswing.rhythm.tempo import TempoMap, TempoSegment

# Jazz Trio Database (Cheston, Schlichting, Cross & Harrison, TISMIR 2024,
# doi 10.5334/tismir.186, MIT): ride ratio's interquartile range by tempo bin, computed from its
# data explorer (1,294 tracks, density peak of the log2 beat-upbeat ratio of each).
JTD_DRUMS = [
    (100, 120, 2.50, 2.89),
    (120, 140, 2.51, 2.94),
    (140, 160, 2.30, 2.77),
    (160, 180, 2.06, 2.52),
    (180, 200, 2.01, 2.37),
    (200, 220, 1.79, 2.12),
    (220, 240, 1.56, 1.95),
    (240, 260, 1.41, 1.70),
    (260, 280, 1.28, 1.62),
    (280, 300, 1.22, 1.46),
]


@pytest.mark.parametrize(("low", "high", "q1", "q3"), JTD_DRUMS)
def test_auto_lies_in_the_interquartile_range_everywhere_in_every_bin(
    low: int, high: int, q1: float, q3: float
) -> None:
    for bpm in range(low, high + 1):
        assert q1 <= auto_ratio(bpm) <= q3, bpm


def test_auto_never_rises_from_120_to_300() -> None:
    ratios = [auto_ratio(bpm / 2) for bpm in range(240, 601)]
    assert ratios == sorted(ratios, reverse=True)


# Regression data: halfway between the medians that were computed from the database, by bin
HALFWAY_BPM = (80, 110, 135, 160, 180, 200, 220, 240, 260, 280, 300, 355)
HALFWAY = {
    "ride": (2.34, 2.68, 2.62, 2.455, 2.275, 2.095, 1.855, 1.63, 1.47, 1.355, 1.265, 1.11),
    "bass": (2.245, 2.49, 2.48, 2.36, 2.185, 2.025, 1.825, 1.63, 1.47, 1.34, 1.24, 1.1),
    "solo": (1.835, 1.97, 1.835, 1.58, 1.43, 1.36, 1.31, 1.28, 1.24, 1.15, 1.065, 1.025),
}


@pytest.mark.parametrize("player", HALFWAY)
def test_auto_gives_what_was_computed_between_the_bins(player: str) -> None:
    assert [auto_ratio(bpm, player) for bpm in HALFWAY_BPM] == pytest.approx(HALFWAY[player])


def test_auto_crosses_the_triplet_near_205() -> None:
    # JTD: the drums' median passes 2:1 between the bins 180-200 (2.20) and 200-220 (1.99)
    crossing = next(bpm for bpm in range(120, 300) if auto_ratio(bpm) < 2.0)
    assert 190 <= crossing <= 220


def test_short_note_is_about_100_ms_from_180_to_300() -> None:
    # Friberg & Sundström, Music Perception 19(3), 2002: about 100 ms at medium to fast tempi
    for bpm in range(180, 301):
        short_ms = 60_000 / bpm / (1 + auto_ratio(bpm))
        assert 85 <= short_ms <= 115, bpm


def test_auto_stays_within_the_published_bounds_at_every_tempo() -> None:
    # Friberg & Sundström 2002: from 3.5:1 slow to 1:1 fast
    assert all(1.0 <= auto_ratio(bpm) <= 3.5 for bpm in range(30, 601))


@pytest.mark.parametrize(("low", "high"), [(row[0], row[1]) for row in JTD_DRUMS])
@pytest.mark.parametrize("part", ["chords", "line"])
def test_hand_and_soloist_swing_less_than_the_ride_when_parts_may_differ(
    low: int, high: int, part: str
) -> None:
    # JTD, and Friberg & Sundström 2002: the soloists' ratio is smaller in every bin
    for bpm in range(low, high + 1):
        ride = part_ratio(auto_ratio(bpm), bpm, "drums", 1.0)
        assert ride == auto_ratio(bpm)
        assert 1.0 < part_ratio(auto_ratio(bpm), bpm, part, 1.0) < ride


@given(st.floats(1.0, 4.0), st.floats(30, 400), st.sampled_from(["chords", "bass", "line"]))
def test_without_feel_all_parts_swing_alike_and_straight_stays_straight(
    ratio: float, bpm: float, part: str
) -> None:
    assert part_ratio(ratio, bpm, part, 0.0) == ratio
    assert part_ratio(1.0, bpm, part, 1.0) == 1.0
    assert 1.0 <= part_ratio(ratio, bpm, part, 1.0) <= 4.0


@pytest.mark.parametrize(("ratio", "tick"), [(1, 480), (1.5, 576), (2, 640), (3, 720), (4, 768)])
def test_off_beat_falls_exactly_at_its_tick(ratio: float, tick: int) -> None:
    tempo = TempoMap((TempoSegment(Fraction(0), 120.0, ratio),))
    for beat in (-4, 0, 1, 400):
        warped = tempo.warp(beat + Fraction(1, 2))
        assert tempo.ticks(warped) == beat * 960 + tick
        assert warped - beat == pytest.approx(ratio / (ratio + 1), abs=1e-12)


places = st.fractions(min_value=-8, max_value=64, max_denominator=12)


@given(st.lists(places, min_size=2, max_size=40, unique=True), st.floats(1.0, 4.0))
def test_warp_never_reorders_and_never_moves_a_beat(onsets: list[Fraction], ratio: float) -> None:
    tempo = TempoMap((TempoSegment(Fraction(0), 120.0, ratio),))
    even = tempo.even_beats(onsets)
    warped = [tempo.warp(onset, even=even) for onset in sorted(onsets)]
    assert all(earlier < later for earlier, later in pairwise(warped))
    for onset in sorted(onsets):
        if onset.denominator == 1:
            assert tempo.warp(onset, even=even) == onset


@given(st.integers(0, 60), st.floats(1.0, 4.0))
def test_triplets_and_sixteenths_stay_in_place(beat: int, ratio: float) -> None:
    tempo = TempoMap((TempoSegment(Fraction(0), 120.0, ratio),))
    for parts in (3, 4, 6):
        onsets = [beat + Fraction(part, parts) for part in range(parts)]
        even = tempo.even_beats(onsets)
        assert even == {beat}
        assert [tempo.warp(onset, even=even) for onset in onsets] == [float(o) for o in onsets]


def test_a_beat_with_its_half_alone_swings() -> None:
    onsets = [Fraction(0), Fraction(1, 2), Fraction(1), Fraction(4, 3)]
    assert even_beats(onsets) == {1}


def test_in_eighths_the_eighth_is_what_swings() -> None:
    tempo = TempoMap((TempoSegment(Fraction(0), 90.0, 2.0),), swing_unit_beats=Fraction(1, 2))
    assert tempo.warp(Fraction(1, 2)) == 0.5
    assert tempo.warp(Fraction(1, 4)) == pytest.approx(1 / 3)


@given(st.floats(0, 1), st.floats(0, 1), st.floats(1, 4))
def test_swing_fraction_rises(one: float, other: float, ratio: float) -> None:
    if one < other:
        assert swing_fraction(one, ratio) <= swing_fraction(other, ratio)
    assert swing_fraction(0, ratio) == 0
    assert swing_fraction(1, ratio) == 1
