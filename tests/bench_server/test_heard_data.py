"""What the page plays is what ``render`` writes: its planner's events against the MIDI file.

The MIDI file is read by mido, which neither the page nor its data knows of.
"""

from __future__ import annotations

import io
import json
import subprocess
from functools import cache
from pathlib import Path

import mido
import numpy as np
import pytest

from porchswing.bench.shown.heard_data import heard_offer, heard_tune, offers_at
from porchswing.bench.shown.sound_bank import SoundBank, gamut
from porchswing.bench.shown.tune_reading import choices_of
from porchswing.chart.language.reader import parse_chart
from porchswing.grips.shapes.tunings import tuning
from porchswing.take import take_from_chart

DEMOS = ("lantern_street_stroll", "moth_at_the_window", "pickled_lemon_blues")
MANNERS = ((84, 1.0), (120, 1.7), (190, 2.6))
CASES = [
    pytest.param(
        demo,
        tempo,
        swing,
        lane,
        marks=()
        if (tempo, swing) == MANNERS[DEMOS.index(demo)] and lane == "swing"
        else pytest.mark.slow,
    )
    for demo in DEMOS
    for tempo, _ in MANNERS
    for _, swing in MANNERS
    for lane in ("swing", "plain")
]
"""Three demos at three tempos and three ratios, both lanes; one of each demo is quick."""


@pytest.fixture(scope="module")
def bank() -> SoundBank:
    return SoundBank()


def samples_of(bank: SoundBank, number: int) -> np.ndarray:
    """Return the samples of a sound as the page reads them from the bank's block."""
    data = bank.samples(number)
    start = 4 + int.from_bytes(data[:4], "little")
    header = json.loads(data[4:start])
    after_room = start + 4 * 2 * header["room"]
    return np.frombuffer(data, np.float32, header["lengths"][0], after_room)


def planned(tune: dict, lane: str, node: str) -> list[tuple[str, int, float]]:
    script = Path(__file__).parent / "web" / "planned.mjs"
    done = subprocess.run(
        [node, str(script)],
        input=json.dumps({"tune": tune, "lane": lane}),
        capture_output=True,
        text=True,
        check=True,
    )
    return [tuple(row) for row in json.loads(done.stdout)]


def midi_onsets(data: bytes, part: str) -> list[tuple[int, float]]:
    """Pitch and seconds of every note of one track, as mido counts them by the tempo track."""
    file = mido.MidiFile(file=io.BytesIO(data))
    own = next(track for track in file.tracks if track.name == part)
    at, found = 0.0, []
    for message in mido.MidiFile(
        ticks_per_beat=file.ticks_per_beat, type=1, tracks=[file.tracks[0], own]
    ):
        at += message.time
        if message.type == "note_on" and message.velocity > 0:
            found.append((message.note, at))
    return found


@pytest.mark.parametrize(("demo", "tempo", "swing", "lane"), CASES)
def test_the_page_plays_the_notes_of_the_midi_file(
    demo, tempo, swing, lane, bank, root, need_program
) -> None:
    text = (root / "demos" / f"{demo}.changes").read_text("utf-8")
    controls = {"tempo": tempo, "swing": swing, "lane": lane}
    tune = heard_tune(text, controls, bank)["tune"]
    notes = planned(tune, lane, need_program("node"))
    data = take_from_chart(parse_chart(text), choices_of(controls)).midi_bytes(
        channel_per_string=True
    )
    pitches = {number: key.pitch for key, number in bank._numbers.items()}
    for part in ("chords", "bass"):
        own = sorted((pitches[sound], at) for name, sound, at in notes if name == part)
        written = sorted(midi_onsets(data, part))
        assert [pitch for pitch, _ in own] == [pitch for pitch, _ in written]
        apart = np.array([at for _, at in own]) - np.array([at for _, at in written])
        assert np.abs(apart).max() < 0.002
    for part in ("drums", "count"):  # the kit's pieces have other numbers in General MIDI, or none
        own_s = np.array([at for name, _, at in notes if name == part])
        for _, at in midi_onsets(data, part):
            assert np.abs(own_s - at).min() < 0.002


def test_an_offer_is_heard_with_two_bars_before_and_one_after(bank, root, need_program) -> None:
    text = (root / "demos" / "lantern_street_stroll.changes").read_text("utf-8")
    place = ("A", 3, 1)
    tune = heard_offer(text, place, "swap", 1, {}, bank)["tune"]
    assert [bar["bar"] for bar in tune["bars"]] == [1, 2, 3, 4]
    assert [lane["name"] for lane in tune["lanes"]] == ["now", "offer"]
    node = need_program("node")
    now, offer = (planned(tune, lane, node) for lane in ("now", "offer"))
    assert {part for part, _, _ in now} == {"chords", "bass", "drums"}
    assert now != offer


def test_an_offer_is_heard_where_a_section_is_only_played_as_its_last_time(bank) -> None:
    text = "key: G\n[A]\n| G | Em7 | Am7 | D7 |\n[B]\n| Bm7 | E7 | Am7 | D7 | G | D7 | G | D7 |\n"
    tune = heard_offer(text, ("B", 8, 1), "mark", 1, {}, bank)["tune"]
    assert [bar["bar"] for bar in tune["bars"]] == [6, 7, 8]


def test_an_offer_is_as_loud_as_what_stands_there(bank, root, need_module) -> None:
    """K-weighted energy of the chord part, as pyloudnorm weighs it, within half a decibel."""
    need_module("pyloudnorm")
    import pyloudnorm

    filters = pyloudnorm.Meter(32000)._filters.values()

    @cache
    def energy(sound: int) -> float:
        heard = samples_of(bank, sound)[:12800].astype(float)
        for each in filters:
            heard = each.apply_filter(heard)
        return float(heard @ heard)

    text = (root / "demos" / "pickled_lemon_blues.changes").read_text("utf-8")
    place = ("Blues", 3, 1)
    for number in range(1, len(offers_at(text, place, "swap", choices_of({})))):
        tune = heard_offer(text, place, "swap", number, {}, bank)["tune"]
        energies = []
        for lane in tune["lanes"]:
            rows = next(part["notes"] for part in lane["parts"] if part["name"] == "chords")
            energies.append(sum(energy(row[4]) * row[5] ** 2 for row in rows))
        assert abs(10 * np.log10(energies[1] / energies[0])) < 0.5


def test_the_bank_renders_every_sound_once(bank, root) -> None:
    text = (root / "demos" / "moth_at_the_window.changes").read_text("utf-8")
    first = heard_tune(text, {}, bank)["sounds"]
    assert heard_tune(text, {}, bank)["sounds"] == first
    data = bank.samples(first - 2)
    header = json.loads(data[4 : 4 + int.from_bytes(data[:4], "little")])
    assert header["first"] == first - 2
    assert len(header["lengths"]) == 2
    assert len(data) == 4 + int.from_bytes(data[:4], "little") + 4 * sum(header["lengths"])


def test_the_gamut_holds_every_fret_in_both_layers() -> None:
    keys = [key for wanted in gamut(tuning("gCEA")) for key, _ in wanted]
    assert len(keys) == len(set(keys)) == 4 * 13 * 2
