"""Rows of the plucked voices against what a player does and a listener hears."""

from __future__ import annotations

import numpy as np
import pytest

from bench.sound_report import (
    BANDS_HZ,
    NOTES,
    SOUNDFONT,
    band_levels,
    note_rows,
    rendered,
    single_notes,
    through_fluidsynth as sampled,
)
from porchswing.audio.synth import pluck
from porchswing.audio.synth.voices import LAYERS, PLUCKED, TAKES
from porchswing.chart.language.reader import read_chart
from porchswing.options import Choices
from porchswing.take import take_from_chart

RATE_HZ = 44100
BASS = PLUCKED["bass"]


def place_of(pitch):
    """Return string and fret of a bass note, as low on the neck as can be."""
    reachable = [(pitch - low, len(BASS.open_midi) - at) for at, low in enumerate(BASS.open_midi)]
    return min((fret, string) for fret, string in reachable if fret >= 0)


@pytest.mark.parametrize("take", range(len(TAKES)))
def test_a_bass_note_is_heard_in_its_own_octave(take):
    """Its second partial is well under its first, or a transcriber hears the octave instead."""
    for pitch in range(28, 53):
        fret, string = place_of(pitch)
        first, second = pluck.string_partials(BASS, pitch, string, fret).amplitude[take, 1, :2]
        assert 20 * np.log10(abs(first / second)) > 5.0, pitch


def test_bass_has_partials_to_2_khz_and_a_finger_on_the_string():
    partials = pluck.string_partials(BASS, 40, 2, 2)
    assert partials.hz[-1] > 2000.0
    assert 0.02 <= BASS.attack_s <= 0.04
    assert BASS.noises


@pytest.mark.parametrize(("pitch", "string"), [(33, 3), (43, 1)])
def test_a_loud_bass_note_is_half_again_as_bright_as_a_soft_one(pitch, string):
    layers = tuple(range(LAYERS))
    rows = pluck.plucked(BASS, pitch, string, 0, "pluck", layers, RATE_HZ // 2, RATE_HZ)
    magnitudes = np.abs(np.fft.rfft(rows[:, :8820] * np.hanning(8820), axis=1))
    found = magnitudes @ np.fft.rfftfreq(8820, 1 / RATE_HZ) / magnitudes.sum(axis=1)
    assert list(found) == sorted(found)
    assert found[-1] > 1.5 * found[0]


@pytest.mark.parametrize("name", sorted(PLUCKED))
def test_a_finger_strays_by_about_a_centimetre_on_every_instrument(name):
    places = [PLUCKED[name].pluck_m + take.farther_m for take in TAKES]
    assert min(places) > 0.04
    assert 0.01 < max(places) - min(places) < 0.03


def test_a_ukulele_falls_in_a_third_of_a_second_as_far_as_a_sampled_nylon_guitar(
    need_program, need_file
):
    """And no farther than 5 dB below it in the next: a ukulele is the smaller box."""
    need_program("fluidsynth")
    need_file(SOUNDFONT, "apt install fluid-soundfont-gm")
    take, count = single_notes("ukulele", "chords"), len(NOTES["ukulele"])
    ours, theirs = (
        np.mean(note_rows(sound, count), axis=0) for sound in (rendered(take), sampled(take))
    )
    assert ours[2] == pytest.approx(theirs[2], abs=1.0)
    assert theirs[3] - 5.0 < ours[3] < theirs[3]


def falls_db(sound, count, low_hz=2800.0, high_hz=5600.0):
    """Return by how much the band of every note falls from 0.06 to 0.26 s after its start."""
    hz = np.fft.rfftfreq(4096, 1 / RATE_HZ)
    inside = (hz > low_hz) & (hz < high_hz)
    starts = [
        round((2.0 * note + at_s) * RATE_HZ) for note in range(count) for at_s in (0.06, 0.26)
    ]
    pieces = np.array([sound[start : start + 4096].mean(axis=1) for start in starts])
    power = np.abs(np.fft.rfft(pieces * np.hanning(4096), axis=1))[:, inside] ** 2
    levels = 10 * np.log10(power.sum(axis=1))
    return levels[1::2] - levels[::2]


def test_a_ukuleles_highs_ring_as_nylon_does(need_program, need_file):
    """They fall faster than a sampled guitar's, but not 8 dB more in a fifth of a second."""
    need_program("fluidsynth")
    need_file(SOUNDFONT, "apt install fluid-soundfont-gm")
    take, count = single_notes("ukulele", "chords"), len(NOTES["ukulele"])
    ours, theirs = (falls_db(sound, count).mean() for sound in (rendered(take), sampled(take)))
    assert theirs - 8.0 < ours < theirs


def test_a_strummed_ukulele_has_the_balance_of_a_plucked_nylon_guitar(
    need_program, need_file, root
):
    need_program("fluidsynth")
    need_file(SOUNDFONT, "apt install fluid-soundfont-gm")
    chart = read_chart(root / "demos" / "lantern_street_stroll.changes")
    take = take_from_chart(chart, Choices(without=("bass", "drums", "count"))).performance
    apart = band_levels(rendered(take)) - band_levels(sampled(take))
    near = [one for one, hz in zip(apart, BANDS_HZ, strict=True) if hz in {125.0, 2000.0, 8000.0}]
    assert len(near) == 3
    assert np.abs(near).max() < 3.0
