"""Drums and the count-in: grooves, fills, stops, endings, and how a leader counts."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import groupby
from statistics import mean

import pytest

from porchswing.band.bass.bass_part import load_bass_style, parse_bass_style
from porchswing.band.drumming.count_part import count_hits, count_part, usual_bars
from porchswing.band.drumming.drum_part import (
    PIECES,
    drums_part,
    load_drum_groove,
    parse_drum_groove,
)
from porchswing.band.score import Hit
from porchswing.chart.model import Meter
from porchswing.errors import OptionError, PatternError
from porchswing.options import BandStyle
from porchswing.performance.perform import perform
from porchswing.rhythm.patterns import pattern_names, read_pattern_text
from support import made

STEADY = BandStyle(variation=0.0)
GROOVES = pattern_names("drums")


def hits(bars: str, groove: str | None, *, meter: str = "4/4", **style: object) -> list[Hit]:
    roadmap = made.roadmap_of(bars, meter=meter)
    part = drums_part(roadmap, replace(STEADY, drums=groove, **style))
    return [event for event in part.events if isinstance(event, Hit)]


def test_there_are_eight_of_each_and_every_file_reads():
    assert len(GROOVES) >= 8
    assert len(pattern_names("bass")) >= 8
    for name in GROOVES:
        groove = load_drum_groove(name)
        assert groove.when.endswith(".")
        assert {"groove", "ending"} <= {bar.place for bar in groove.bars}
        for bar in groove.bars:
            assert all(
                h.onset_beats + h.duration_beats <= groove.meter.bar_beats for h in bar.cells
            )
    for name in pattern_names("bass"):
        style = load_bass_style(name)
        assert style.when.endswith(".")
        for bar in style.bars:
            assert bar.cells[0].onset_beats == 0
            ends = [c.onset_beats + c.duration_beats for c in bar.cells]
            assert ends == [*(c.onset_beats for c in bar.cells[1:]), style.meter.bar_beats]


def test_every_meter_that_must_groove_has_a_bass_and_drums():
    for kind, load in (("bass", load_bass_style), ("drums", load_drum_groove)):
        meters = {str(load(name).meter) for name in pattern_names(kind)}
        assert {"4/4", "3/4", "2/4", "6/8"} <= meters


@pytest.mark.parametrize("groove", ["ride", "cross_stick"])
def test_the_ride_leans_on_two_and_four_as_measured(groove):
    # Groove MIDI Dataset (CC BY 4.0): ride velocity on 2 and 4 over 1 and 3, median 1.21
    score = made.score_of(style=BandStyle(drums=groove))
    take = perform(score, humanize=0.3)
    rides = [n for n in take.part("drums").notes if n.piece == "ride" and n.beats.denominator == 1]
    body = [n for n in rides if n.beats < score.end_beats - 4]
    strong = mean(n.velocity for n in body if n.beats % 2 == 1)
    weak = mean(n.velocity for n in body if n.beats % 2 == 0)
    assert 1.1 <= strong / weak <= 1.3


@pytest.mark.parametrize("groove", ["ride", "brushes", "cross_stick", "hat"])
def test_the_hat_closes_on_two_and_four(groove):
    # Groove MIDI Dataset: hat pedal on 2 and 4 in 86 to 100 % of straightforward takes
    played = hits("| C | F | G7 | C |", groove)
    beats = {h.onset_beats % 4 for h in played if h.piece == "hat_pedal"}
    assert beats == {1, 3}


def test_brushes_sweep_and_tap():
    played = hits("| C | F |", "brushes", strum="halves")
    sweeps = [h for h in played if h.piece == "brush_sweep"]
    assert [h.onset_beats for h in sweeps] == [0, 1, 2, 3]
    assert all(h.duration_beats == 1 for h in sweeps)
    assert {h.onset_beats for h in played if h.piece == "brush_tap"} >= {1, 3}


def test_fills_lead_into_a_new_section():
    text = "title: T\nkey: C\nform: A B A\n\n[A]\n| C | F | G7 | C |\n[B]\n| F | F | G7 | G7 |\n"
    part = drums_part(
        made.unroll(made.parse_chart(text), lane="plain"), replace(STEADY, drums="ride")
    )
    plain = [h for h in part.events if h.onset_beats < 4]
    fills = {
        start: [h for h in part.events if start <= h.onset_beats < start + 4] for start in (12, 28)
    }
    for fill in fills.values():
        assert len([h for h in fill if h.piece == "snare"]) >= 3
    assert not [h for h in plain if h.piece == "snare"]


def test_an_ending_ends_and_a_loop_goes_on():
    for name in GROOVES:
        meter = str(load_drum_groove(name).meter)
        strum = "halves" if meter == "4/4" else None  # ends with one chord on the first beat
        played = hits("| C | C |", name, meter=meter, strum=strum)
        start = load_drum_groove(name).meter.bar_beats
        assert {h.onset_beats for h in played if h.onset_beats >= start} == {start}
        looped = hits("| C | C |", name, meter=meter, loop=True)
        assert any(h.onset_beats > start for h in looped)


def test_a_stop_is_one_hit_and_silence():
    played = hits("| C | F{stop} | C |", "ride")
    assert {h.onset_beats for h in played if 4 <= h.onset_beats < 8} == {4}


def test_any_meter_grooves_and_a_wrong_one_is_an_error():
    onsets = {h.onset_beats for h in hits("| C | F |", None, meter="7/8", loop=True)}
    assert onsets >= {Fraction(n, 2) for n in range(14)}
    fives = {h.onset_beats for h in hits("| C | F |", "ride", meter="5/4", loop=True)}
    assert fives >= set(range(10))
    with pytest.raises(OptionError, match=r"ride is in 4/4 and the tune in 3/4.*ride_waltz"):
        hits("| C |", "ride", meter="3/4")


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ('count = "1 & 2 & 3 &"\nride = "5 . 6 . 5 ."', r"bars\[0\].count does not fill the bar"),
        (
            'count = "1 & let 2 3 4"\nride = "5 . . . 6 ."',
            "mixes triplets with & e a inside beat 1",
        ),
        ('count = "1 2 3 4"\nride = "5 . 6"', r"bars\[0\].ride must have 4 cells"),
        ('count = "1 2 3 4"\nride = "5 . x ."', r"bars\[0\].ride\[2\] must be a loudness"),
        ('count = "1 2 3 4"\nride = "- . 6 ."', r"bars\[0\].ride\[0\] has nothing before"),
        ('count = "1 2 3 4"\nrid = "5 . 6 ."', r"unknown key 'bars\[0\].rid'; did you mean"),
        ('count = "1 2 3 4"', r"bars\[0\] plays nothing"),
        ('place = "fill"\ncount = "1 2 3 4"\nride = "5 . 6 ."', r"bars\[0\].place must be one of"),
        ('place = "any"\ncount = "1 2 3 4"\nride = "5 . 6 ."', "needs at least one bar"),
    ],
)
def test_a_broken_groove_names_file_and_key_path(line, message):
    text = f'title = "T"\nwhen = "W."\nmeter = "4/4"\n\n[[bars]]\n{line}\n'
    data = read_pattern_text("drums", "t", "patterns/drums/t.toml", text)
    with pytest.raises(PatternError, match=rf"patterns/drums/t.toml: .*{message}"):
        parse_drum_groove(data)


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ('count = "1 2 3 4"\nnotes = "root walk walk"', r"bars\[0\].notes must have 4 cells"),
        ('count = "1 2 3 4"\nnotes = "root x walk walk"', r"bars\[0\].notes\[1\] must be one of"),
        (
            'count = "1 2 3 4"\nnotes = "- root walk walk"',
            r"bars\[0\].notes\[0\] has nothing before",
        ),
        ('count = "1 2"\nnotes = "root walk"', r"bars\[0\].count does not fill the bar"),
        ('count = "1 2 3 4"\nnotes = "root . . ."\nloud = "0 . . ."', r"loud\[0\] must be"),
        ('count = "1 2 3 4"', r"bars\[0\].notes must be a text"),
    ],
)
def test_a_broken_bass_style_names_file_and_key_path(line, message):
    text = f'title = "T"\nwhen = "W."\nmeter = "4/4"\n\n[[bars]]\n{line}\n'
    data = read_pattern_text("bass", "t", "patterns/bass/t.toml", text)
    with pytest.raises(PatternError, match=rf"patterns/bass/t.toml: .*{message}"):
        parse_bass_style(data)


@pytest.mark.parametrize(
    ("meter", "tempo", "onsets"),
    # common practice: two bars, 1 and 3, then 1 2 3 4; one bar when slow; others likewise
    [
        (Meter(4, 4), 160, [-8, -6, -4, -3, -2, -1]),
        (Meter(4, 4), 66, [-4, -3, -2, -1]),
        (Meter(3, 4), 150, [-6, -3, -2, -1]),
        (Meter(3, 4), 80, [-3, -2, -1]),
        (Meter(2, 4), 110, [-4, -2, -1]),
        (Meter(6, 8), 90, [-6, -4.5, -3, -2.5, -2, -1.5, -1, -0.5]),
        (Meter(5, 4), 140, [-10, -8, -5, -4, -3, -2, -1]),
    ],
)
def test_a_leader_counts_by_meter_and_tempo(meter, tempo, onsets):
    part, labels = count_part(meter, tempo)
    assert [float(h.onset_beats) for h in part.events] == onsets
    assert [label.onset_beats for label in labels] == [h.onset_beats for h in part.events]


def test_the_spoken_numbers_are_one_two_one_two_three_four():
    _, labels = count_part(Meter(4, 4), 160)
    assert [label.text for label in labels] == ["1", "2", "1", "2", "3", "4"]
    assert {label.kind for label in labels} == {"count"}


def test_bars_of_count_in_can_be_asked_for():
    part, _ = count_part(Meter(4, 4), 160, bars=0)
    assert part.events == ()
    part, _ = count_part(Meter(4, 4), 160, bars=3)
    assert [h.onset_beats for h in part.events] == [-12, -10, -8, -6, -4, -3, -2, -1]
    assert usual_bars(Meter(7, 8), 90) == 1
    for bars in (-1, 17):
        with pytest.raises(OptionError, match="from 0 to 16 bars"):
            count_part(Meter(4, 4), 160, bars=bars)


def test_a_count_can_stand_inside_a_loop_too():
    clicks, labels = count_hits(Meter(4, 4), 1, Fraction(16))
    assert [h.onset_beats for h in clicks] == [16, 17, 18, 19]
    assert clicks[0].piece == "click_high"
    assert {h.piece for h in clicks[1:]} == {"click_low"}
    assert labels[-1].text == "4"


def test_the_kit_is_what_general_midi_has_keys_for():
    from porchswing.performance.perform import PERCUSSION_KEYS

    assert set(PERCUSSION_KEYS) == {*PIECES, "click_high", "click_low"}
    assert all(35 <= key <= 81 for key in PERCUSSION_KEYS.values())  # General MIDI Level 1


@pytest.mark.parametrize("name", [name for name in GROOVES if name != "hat"])
def test_no_drum_bar_comes_more_than_three_times_running(name):
    """Two choruses of four phrases; a bar is its strokes' places, whatever their loudness.

    The hat alone (a metronome of two and four) is meant to stay the same.
    """
    meter = load_drum_groove(name).meter
    bar = meter.bar_beats
    for seed in range(6):
        roadmap = made.roadmap_of("| C | F | G7 | C " * 4 + "|", meter=str(meter), choruses=2)
        part = drums_part(roadmap, BandStyle(drums=name, seed=seed))
        bars: dict[int, list[tuple[Fraction, str]]] = {}
        for hit in part.events:
            if isinstance(hit, Hit):
                bars.setdefault(int(hit.onset_beats // bar), []).append(
                    (hit.onset_beats % bar, hit.piece)
                )
        assert sorted(bars) == list(range(32))
        runs = [len(list(run)) for _, run in groupby(bars[number] for number in range(32))]
        assert max(runs) <= 3, (seed, runs)
