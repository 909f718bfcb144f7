"""The band's arc: grooves that vary by phrase, a lift at the bridge, one last beat for all."""

from __future__ import annotations

from fractions import Fraction
from itertools import groupby

import pytest

from porchswing.band.bass.bass_part import bass_part
from porchswing.band.drumming.drum_part import drums_part
from porchswing.options import BandStyle
from porchswing.rhythm.patterns import pattern_names
from porchswing.rhythm.strum import load_strum
from support import made

STRUMS = pattern_names("strum")
FOUR = "title: T\nkey: C\nmeter: {meter}\ntempo: {tempo}\nstrum: {strum}\n\n[A]\n{bars}\n"


def parts(text: str, **style: object):
    chart = made.parse_chart(text)
    roadmap = made.unroll(chart, lane="plain")
    voicing = made.voice(chart, lane="plain", grips="any")
    return made.compose_score(chart, roadmap, voicing, BandStyle(**style)).parts[:3]


@pytest.mark.parametrize("bars", ["| C | F | G7 | C |", "| C | G7 C |"])
@pytest.mark.parametrize("strum", STRUMS)
def test_all_parts_play_their_last_note_on_one_beat(strum, bars):
    meter = str(load_strum(strum).meter)
    if meter == "3/4":
        bars = bars.replace("G7 C |", "G7 / C |")
    for tempo in (60, 140):
        found = parts(FOUR.format(meter=meter, tempo=tempo, strum=strum, bars=bars))
        assert len({part.events[-1].onset_beats for part in found}) == 1


@pytest.mark.parametrize("bars", ["| C | F{hold} |", "| C | F{stop} |", "| C | F G7{hold} |"])
def test_a_held_or_stopped_last_chord_is_the_last_note_of_all(bars):
    found = parts(FOUR.format(meter="4/4", tempo=140, strum="four", bars=bars))
    assert len({part.events[-1].onset_beats for part in found}) == 1


def test_the_band_falls_silent_with_the_chords():
    found = parts(FOUR.format(meter="4/4", tempo=140, strum="four", bars="| C | F N.C. |"))
    assert {part.events[-1].onset_beats for part in found} == {Fraction(5)}  # the stroke on two


@pytest.mark.parametrize(
    ("strum", "tempo"),
    [("ballad", 60), ("waltz", 100), ("waltz", 60), ("six_eight", 80), ("six_eight", 50),
     ("twelve_eight", 60), ("four", 140), ("bossa", 130), ("island", 100), ("island", 60),
     ("two_beat", 110), ("polka", 120), ("shuffle", 120), ("waltz_picked", 80)],
)  # fmt: skip
def test_no_drum_bar_is_played_more_than_three_times_running(strum, tempo):
    meter = load_strum(strum).meter
    bars = "| C | F | G7 | C " * 4 + "|"
    text = (
        f"title: T\nkey: C\nmeter: {meter}\ntempo: {tempo}\nstrum: {strum}\nform: A A B A\n\n"
        f"[A]\n{bars}\n[B]\n{bars}\n"
    )
    roadmap = made.unroll(made.parse_chart(text), lane="plain")
    part = drums_part(roadmap, BandStyle())
    played = []
    for bar in roadmap.bars:
        end = bar.start_beats + bar.beats
        played.append(tuple(
            (hit.onset_beats - bar.start_beats, hit.piece)
            for hit in part.events if bar.start_beats <= hit.onset_beats < end
        ))  # fmt: skip
    assert max(len(list(run)) for _, run in groupby(played)) <= 3


@pytest.mark.parametrize(
    ("strum", "tempo"),
    [("ballad", 60), ("waltz", 100), ("waltz", 60), ("six_eight", 80), ("six_eight", 55),
     ("twelve_eight", 60), ("island", 100)],
)  # fmt: skip
def test_the_bridge_is_lifted(strum, tempo):
    meter = load_strum(strum).meter
    text = (
        f"title: T\nkey: C\nmeter: {meter}\ntempo: {tempo}\nstrum: {strum}\nform: A B\n\n"
        "[A]\n| C | F | G7 | C |\n[B]\n| F | F | G7 | G7 |\n"
    )
    roadmap = made.unroll(made.parse_chart(text), lane="plain")
    names = [name for name in drums_part(roadmap, BandStyle()).patterns if "/" in name]
    assert len(names) == 2


def test_walking_bars_end_a_semitone_a_step_or_a_fifth_from_the_next_root():
    bars = "| C | A7 | Dm7 | G7 | Em7 | Ebdim7 | F | Fm6 | C/G | C#dim7 | D7 | G7 " * 2 + "|"
    for seed in range(12):
        roadmap = made.roadmap_of(bars, choruses=2)
        events = bass_part(roadmap, BandStyle(bass="walk", seed=seed, variation=1.0)).events
        for bar, after in zip(roadmap.bars[:-2], roadmap.bars[1:], strict=False):
            last = [e for e in events if bar.start_beats <= e.onset_beats < after.start_beats][-1]
            root = after.slots[0].chord.bass_note.pc
            assert (last.pitch - root) % 12 in {1, 2, 5, 7, 10, 11}
