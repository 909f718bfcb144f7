"""The whole band: parts, labels, tempo, and what must hold of any take."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from fractions import Fraction
from io import BytesIO

import mido
import pytest
from hypothesis import HealthCheck, assume, given, settings

from porchswing.band.score import PartScore
from porchswing.chart.model import SwingSetting
from porchswing.errors import GripError
from porchswing.midi.smf import midi_bytes
from porchswing.options import PARTS, BandStyle
from porchswing.performance.perform import perform
from support import made
from support.strategies import charts
from support.take_rules import bar_faults, bass_faults, faults_of, midi_faults, performance_faults

MELODY = "title: T\nkey: C\n\n[A]\n| C | G7 |\nmelody | C5:2 r:1 E5:1 | D5:4 |\n"


@pytest.fixture(scope="module")
def score():
    return made.score_of()


@pytest.mark.parametrize("seed", range(1000, 1024))
def test_nothing_breaks_over_random_charts(seed):
    # a thousand of them: tests/bench/band_thousand.py
    assert faults_of(seed) == []


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(charts(swing=False))
def test_any_valid_chart_plays(chart):
    unsaid = {"strum": None, "bass": None, "drums": None}  # a generated name is no pattern's
    roadmap = made.unroll(chart, lane="plain")
    bars = tuple(replace(bar, settings=replace(bar.settings, **unsaid)) for bar in roadmap.bars)
    roadmap = replace(roadmap, bars=bars)
    try:
        voicing = made.voice(chart, lane="plain", grips="any")
    except GripError:
        assume(False)
    score = made.compose_score(chart, roadmap, voicing, BandStyle(seed=chart.seed))
    assert list(performance_faults(perform(score, humanize=1.0))) == []
    assert list(bass_faults(score.parts[1], roadmap, chart.key)) == []


def test_the_checks_find_planted_faults(score):
    take = perform(score)
    chords = take.part("chords")
    early = replace(chords.notes[0], onset_ticks=-5, onset_s=-0.01)
    endless = replace(chords.notes[0], end_ticks=10**9)
    again = replace(chords.notes[0], onset_ticks=chords.notes[0].onset_ticks + 1)
    for notes, fault in (
        ((early,), "before the start"),
        ((endless,), "ends at"),
        ((chords.notes[0], again), "still sounds"),
    ):
        broken = replace(take, parts=(replace(chords, notes=notes),))
        assert any(fault in each for each in performance_faults(broken))
    track = mido.MidiTrack([mido.Message("note_on", note=60), mido.Message("note_on", note=60)])
    found = list(midi_faults(mido.MidiFile(tracks=[track])))
    assert [word for word in ("begins twice", "stuck", "no end") if word in " ".join(found)] == [
        "begins twice",
        "stuck",
        "no end",
    ]
    silent = replace(score, parts=(PartScore("bass", ()),))
    assert list(bar_faults(silent, made.unroll(made.parse_chart(made.TUNE), lane="plain")))


def test_the_band_is_chords_bass_drums_and_count(score):
    assert [part.name for part in score.parts] == ["chords", "bass", "drums", "count"]
    assert all(part.events for part in score.parts)
    assert all(part.name in PARTS for part in score.parts)
    for part in score.parts:
        onsets = [event.onset_beats for event in part.events]
        assert onsets == sorted(onsets)


def test_line_and_melody_play_only_when_asked():
    assert len(made.score_of(MELODY).parts) == 4
    asked = made.score_of(MELODY, extra_parts=("melody", "line"))
    assert [part.name for part in asked.parts][4:] == ["line", "melody"]
    melody = asked.parts[-1]
    assert [(e.onset_beats, e.duration_beats, e.pitch) for e in melody.events] == [
        (0, 2, 72),
        (3, 1, 76),
        (4, 4, 74),
    ]


def test_labels_name_sections_chords_and_grips(score):
    sections = [label for label in score.labels if label.kind == "section"]
    assert [(label.onset_beats, label.text) for label in sections] == [
        (0, "A"),
        (32, "A"),
        (64, "B"),
        (96, "A"),
        (128, "Tag"),
    ]
    chords = [label for label in score.labels if label.kind == "chord"]
    assert [label.text for label in chords][:4] == ["F", "Dm7", "Gm7", "C7"]
    grips = [label for label in score.labels if label.kind == "grip"]
    assert grips[0].text.startswith("F ")
    assert [label.onset_beats for label in grips] == [label.onset_beats for label in chords]


def test_the_count_in_stands_before_the_first_beat(score):
    assert score.count_in_beats == 8
    assert score.parts[3].events[0].onset_beats == -8
    slow = made.score_of(style=BandStyle(tempo_bpm=60))
    assert slow.count_in_beats == 4
    assert made.score_of(style=BandStyle(count_in_bars=0)).count_in_beats == 0


def test_a_loop_is_counted_in_only_when_asked():
    assert made.score_of(style=BandStyle(loop=True)).count_in_beats == 0
    assert made.score_of(style=BandStyle(loop=True, count_in_bars=1)).count_in_beats == 4


def test_other_drums_change_no_other_part(score):
    for drums in ("ride", "sticks", "hat", "shuffle"):
        other = made.score_of(style=BandStyle(drums=drums))
        for before, after in zip(score.parts, other.parts, strict=True):
            assert (before == after) == (before.name != "drums")
        played, expected = perform(other), perform(score)
        for name in ("chords", "bass", "count"):
            assert played.part(name) == expected.part(name)


def test_leaving_a_part_out_moves_nothing_else(score):
    whole = perform(score)
    alone = perform(replace(score, parts=score.parts[1:2]))
    assert alone.part("bass") == whole.part("bass")


def test_the_last_chord_is_held_by_everyone(score):
    last_bar = score.end_beats - 4
    for name in ("chords", "bass"):
        part = next(part for part in score.parts if part.name == name)
        final = part.events[-1]
        assert (final.onset_beats, final.duration_beats) == (last_bar, 4)


def test_one_seed_gives_the_same_bytes_in_another_process():
    program = (
        "import sys; sys.path.insert(0, 'tests'); from support import made;"
        "from porchswing.performance.perform import perform;"
        "from porchswing.midi.smf import midi_bytes;"
        "sys.stdout.buffer.write(midi_bytes(perform(made.score_of())))"
    )
    files = [
        subprocess.run(
            [sys.executable, "-c", program],
            capture_output=True,
            check=True,
            cwd=made.ROOT,
            env=os.environ | {"PYTHONHASHSEED": hash_seed},
        ).stdout
        for hash_seed in ("1", "4711")
    ]
    assert files[0] == files[1] == midi_bytes(perform(made.score_of()))


def test_another_seed_gives_another_take():
    assert midi_bytes(perform(made.score_of(style=BandStyle(seed=2)))) != midi_bytes(
        perform(made.score_of(style=BandStyle(seed=3)))
    )


@pytest.mark.parametrize("ratio", [1.0, 1.5, 2.0, 3.0])
@pytest.mark.parametrize("bpm", [60.0, 120.0, 240.0])
def test_the_swing_in_the_file_is_the_swing_asked_for(ratio, bpm, need_module):
    need_module("pretty_midi")
    pretty_midi = pytest.importorskip("pretty_midi")
    style = BandStyle(
        tempo_bpm=bpm, swing=SwingSetting(Fraction(ratio)), drums="sticks", variation=0.0
    )
    data = midi_bytes(perform(made.score_of(style=style)))  # human timing as by default
    heard = pretty_midi.PrettyMIDI(BytesIO(data))
    drums = next(i for i in heard.instruments if i.name == "drums")
    hats = [note.start * bpm / 60 for note in drums.notes if note.pitch == 42]  # in beats
    ons = {round(at): at for at in hats if abs(at - round(at)) < 0.15}
    offs = {int(at): at for at in hats if abs(at - round(at)) >= 0.15}
    pairs = [
        (off - ons[beat], ons[beat + 1] - off)
        for beat, off in offs.items()
        if beat in ons and beat + 1 in ons
    ]
    measured = sum(long for long, _ in pairs) / sum(short for _, short in pairs)
    assert len(pairs) > 100
    assert measured == pytest.approx(ratio, rel=0.01)
