"""Voices, kit and desk as tables: rows valid, names unique, nothing missing."""

from __future__ import annotations

import math

import numpy as np
import pytest

from porchswing.audio.mix.desk import PARTS, pan_gains, seat
from porchswing.audio.synth.kit import GM_PIECES, STRUCK
from porchswing.audio.synth.struck import struck
from porchswing.audio.synth.voices import PLUCKED
from porchswing.grips.shapes.tunings import ROWS as TUNING_ROWS
from porchswing.options import PARTS as SCORE_PARTS
from porchswing.performance.perform import INSTRUMENTS

PIECES = {
    "ride", "ride_bell", "hat_pedal", "hat_closed", "hat_open", "brush_tap", "brush_sweep",
    "brush_slap", "kick", "snare", "side_stick", "sticks", "click_high", "click_low",
}  # fmt: skip


VOICES = {voice.name: voice for voice in PLUCKED.values()}.values()


def test_every_piece_of_the_score_has_a_sound():
    assert set(STRUCK) >= PIECES
    assert set(GM_PIECES.values()) <= set(STRUCK)


def test_every_part_of_the_score_has_a_seat():
    assert set(SCORE_PARTS) <= set(PARTS)


def test_bass_and_count_sit_in_the_middle_and_chords_slightly_off():
    assert PARTS["bass"].pan == PARTS["count"].pan == 0.0
    assert 0.0 < abs(PARTS["chords"].pan) < 0.4
    assert seat("drums", "ride").pan > 0.0 > seat("drums", "hat_pedal").pan


@pytest.mark.parametrize("pan", np.linspace(-1, 1, 9))
def test_pans_keep_the_power(pan):
    left, right = pan_gains(pan)
    assert left**2 + right**2 == pytest.approx(1.0)


@pytest.mark.parametrize("voice", VOICES, ids=lambda voice: voice.name)
def test_voices_are_possible(voice):
    assert len(voice.strings) == len(voice.open_midi)
    assert 0.0 < voice.pluck_m < voice.scale_m
    assert voice.soft_hz < voice.hard_hz < 20000
    assert 0.0 < voice.slow_share < 1.0
    assert 0.0 < voice.slow_ratio < 1.0
    assert 0.5e-3 <= voice.loss_factor <= 4e-3
    assert all(mode.q > 1 and mode.hz > 0 for mode in voice.body)


def test_every_tuning_and_part_has_its_voice():
    instruments = {row[2] for row in TUNING_ROWS} | set(INSTRUMENTS.values())
    assert instruments <= set(PLUCKED) | {"drums", "count"}


def test_bodies_grow_lower():
    air = [
        PLUCKED[name].body[0].hz for name in ("soprano", "concert", "tenor", "baritone", "guitar")
    ]
    assert air == sorted(air, reverse=True)


@pytest.mark.parametrize("row", STRUCK.values(), ids=lambda row: row.name)
def test_struck_sounds_are_finite_even_and_without_dc(row):
    frames = round(row.seconds * 44100)
    sound = struck(row, 0, (0, 1, 2), frames, 44100)
    assert sound.shape == (3, frames)
    assert np.isfinite(sound).all()
    assert np.abs(sound.mean(axis=1)).max() < 1e-4
    span_s = row.seconds if row.sweep else 0.25
    level = np.sqrt(np.square(sound).sum(axis=1) / 44100 / span_s)
    np.testing.assert_allclose(20 * np.log10(level), row.level_db, atol=0.1)


@pytest.mark.parametrize(
    "row", [r for r in STRUCK.values() if r.variants > 1], ids=lambda r: r.name
)
def test_takes_of_one_sound_differ(row):
    one, two = (struck(row, variant, (1,), 8820, 44100)[0] for variant in (0, 1))
    likeness = np.dot(one, two) / math.sqrt(np.dot(one, one) * np.dot(two, two))
    assert likeness < 0.9
