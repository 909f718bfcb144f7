"""The limiter: never over the ceiling, at the loudness asked for, one gentle curve for all."""

from __future__ import annotations

from io import BytesIO
from typing import NamedTuple

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings, strategies as st

from porchswing.audio.master.audio_files import write_files, write_samples, write_stems
from porchswing.audio.master.limiter import (
    ATTACK_DB_PER_S,
    MOST_REDUCTION_DB,
    Loudness,
    Mastered,
    master,
)
from porchswing.audio.master.loudness import integrated_lufs, step_energies
from porchswing.audio.master.mastering import Spool
from porchswing.audio.master.true_peak import bounds_from, peak_and_bounds
from porchswing.audio.mix.strikes import schedule_of
from porchswing.options import SoundSettings
from support.hand_performances import band
from support.sound_files import write_audio

RATE_HZ = 44100
CEILING = -1.0


class Sound(NamedTuple):
    """Samples, shape (2, frames), as a limiter's source."""

    planar: np.ndarray
    rate_hz: int = RATE_HZ

    @property
    def frames(self):
        return self.planar.shape[1]

    def read(self, first, last):
        padded = np.pad(self.planar, ((0, 0), (5000, 5000)))
        return padded[:, first + 5000 : last + 5000]


def mastered(planar, target_lufs=-18.0, *, rate_hz=RATE_HZ, coarse=1, loop=False) -> Mastered:
    """Master a sound; ``coarse`` bounds, each for so many pieces, let more pieces be looked at."""
    peak, bounds = peak_and_bounds(planar, rate_hz)
    bounds = bounds_from([(0, bounds)], planar.shape[1])
    largest = np.maximum.reduceat(bounds, np.arange(0, bounds.size, coarse))
    bounds = np.repeat(largest, coarse)[: bounds.size]
    loudness = Loudness(step_energies(planar, rate_hz), peak, bounds)
    return master(Sound(planar, rate_hz), loudness, target_lufs, CEILING, loop=loop)


def clicks(seed=0, seconds=4.0, spike=0.9, rate_hz=RATE_HZ):
    """Quiet noise with short loud sounds in it, as drums over a bass, up to a third of the rate."""
    random = np.random.default_rng(seed)
    frames = round(seconds * rate_hz)
    sound = 0.09 * random.standard_normal((2, frames))
    for start in random.integers(0, frames - 400, 12):
        fall = np.exp(-np.arange(400) / 60.0)
        sound[:, start : start + 400] += spike * fall * random.standard_normal(400) / 2
    spectrum = np.fft.rfft(sound)
    spectrum[:, spectrum.shape[1] * 2 // 3 :] = 0.0
    return np.fft.irfft(spectrum, frames).astype(np.float32)


def true_peak_db(planar, rate_hz=RATE_HZ):
    """Oversampled as the standard says by scipy's polyphase filter, which is not ours."""
    from scipy.signal import resample_poly  # here, since to load it takes half a second

    times = 2 if rate_hz >= 80000 else 4
    return 20 * np.log10(np.abs(resample_poly(planar.astype(np.float64), times, 1, axis=1)).max())


def over_the_ceiling(planar, extra_db, rate_hz=RATE_HZ):
    """Return the loudness at which the peaks pass the ceiling by so much."""
    peak_db = 20 * np.log10(peak_and_bounds(planar, rate_hz)[0])
    return integrated_lufs(planar.T, rate_hz) + CEILING - peak_db + extra_db


@pytest.mark.parametrize("rate_hz", [22050, 44100, 96000])
def test_the_loudness_is_reached_under_the_ceiling(rate_hz):
    planar = clicks(rate_hz=rate_hz)
    target = over_the_ceiling(planar, 2.0, rate_hz)
    made = mastered(planar, target, rate_hz=rate_hz)
    out = planar * made.gains(0, planar.shape[1])
    assert 1.0 < made.reduction_db <= MOST_REDUCTION_DB
    assert integrated_lufs(out.T, rate_hz) == pytest.approx(target, abs=0.02)
    assert made.loudness_lufs == pytest.approx(integrated_lufs(out.T, rate_hz), abs=0.02)
    assert true_peak_db(out, rate_hz) <= CEILING + 0.05
    assert made.true_peak_dbtp == pytest.approx(true_peak_db(out, rate_hz), abs=0.1)
    assert made.held_back_db == 0.0


def test_three_decibels_are_the_most_and_the_level_reached_is_reported():
    planar = clicks(spike=2.5)
    made = mastered(planar, -12.0)
    out = planar * made.gains(0, planar.shape[1])
    assert made.reduction_db <= MOST_REDUCTION_DB
    assert made.held_back_db > 1.0
    assert made.loudness_lufs == pytest.approx(-12.0 - made.held_back_db)
    assert integrated_lufs(out.T, RATE_HZ) == pytest.approx(made.loudness_lufs, abs=0.02)
    assert true_peak_db(out) <= CEILING + 0.05


@pytest.mark.parametrize("rate_hz", [8000, 44100])
def test_the_peak_reported_is_the_peak_of_what_comes_out(rate_hz):
    """A loud tone that goes on where the limiter's part ends has no peak at that border."""
    time = np.arange(3 * rate_hz) / rate_hz
    tone = 0.7 * np.cos(2 * np.pi * 50.0 * time)  # its crests lie on the borders of 100 ms steps
    tone[rate_hz : rate_hz + 40] += 0.15
    planar = np.stack((tone, tone)).astype(np.float32)
    made = mastered(planar, over_the_ceiling(planar, 1.5, rate_hz), rate_hz=rate_hz)
    out = planar * made.gains(0, planar.shape[1])
    assert made.reduction_db > 1.0
    inside = np.pad(out, ((0, 0), (64, 64)), mode="reflect")  # the sound itself begins at a crest
    assert made.true_peak_dbtp == pytest.approx(true_peak_db(inside, rate_hz), abs=0.05)


def test_what_stays_under_the_ceiling_is_only_scaled():
    planar = clicks(spike=0.0)
    made = mastered(planar, -25.0)
    assert made.edges is None
    assert made.reduction_db == 0.0
    assert made.gains(100, 50).size == 1


def test_the_curve_moves_gently_and_ahead_of_the_peak():
    planar = np.full((2, RATE_HZ), 0.05, np.float32)
    planar *= np.cos(0.3 * np.arange(RATE_HZ)).astype(np.float32)
    planar[:, 20000:20040] += 0.6
    made = mastered(planar, over_the_ceiling(planar, 2.0))
    gain_db = 20 * np.log10(made.gains(0, RATE_HZ))
    drop = gain_db - gain_db.max()
    assert drop.min() < -0.5
    assert np.abs(np.diff(gain_db)).max() * RATE_HZ <= ATTACK_DB_PER_S * 1.05
    assert drop[20000] <= drop.min() + 0.05  # it is there when the peak comes
    assert drop[: 20000 - round(0.008 * RATE_HZ)].min() == pytest.approx(0.0, abs=1e-3)
    assert drop[20000 + round(0.2 * RATE_HZ) :].min() == pytest.approx(0.0, abs=1e-3)


@settings(max_examples=12, deadline=None)
@given(seed=st.integers(0, 1000), coarse=st.integers(2, 30), extra=st.floats(0.0, 3.0))
def test_never_over_the_ceiling_and_the_same_for_any_bounds(seed, coarse, extra):
    planar = clicks(seed, seconds=1.0)
    target = over_the_ceiling(planar, extra)
    whole, parts = mastered(planar, target), mastered(planar, target, coarse=coarse)
    frames = planar.shape[1]
    still = np.zeros(frames, np.float32)
    np.testing.assert_array_equal(whole.gains(0, frames) + still, parts.gains(0, frames) + still)
    assert true_peak_db(planar * whole.gains(0, frames)) <= CEILING + 0.05
    some = whole.gains(777, 333) + np.zeros(333, np.float32)
    np.testing.assert_array_equal(
        some, (whole.gains(0, frames) + np.zeros(frames, np.float32))[777:1110]
    )


def test_a_spool_of_any_block_size_gives_one_curve(tmp_path):
    planar = clicks(3, seconds=5.0)
    found = []
    for block_frames in (44100, 88200, 13230):
        with (tmp_path / f"{block_frames}").open("w+b", buffering=0) as file:
            spool = Spool(file, planar.shape[1], block_frames, RATE_HZ)
            before = np.zeros((2, 4410), np.float32)
            for index in range(spool.blocks):
                some = planar[:, index * block_frames :][:, :block_frames]
                spool.put(index, np.ascontiguousarray(some))
                joined = np.concatenate((before, some), axis=1)
                spool.measured[index] = spool.measure(index, joined, 0.0)
                before = joined[:, -4410:]
            np.testing.assert_array_equal(spool.read(40000, 95000), planar[:, 40000:95000])
            found.append(spool.master(-14.0))
    assert found[0].reduction_db > 0.5
    for other in found[1:]:
        np.testing.assert_allclose(other.edges, found[0].edges, atol=2e-4)
        assert other.loudness_lufs == pytest.approx(found[0].loudness_lufs, abs=0.003)


def test_a_loop_has_no_step_at_its_seam():
    planar = clicks(seconds=2.0)
    planar[:, :60] += 1.2
    made = mastered(planar, -14.0, loop=True)
    frames = planar.shape[1]
    twice = np.concatenate([made.gains(0, frames)] * 2)
    steps = np.abs(np.diff(20 * np.log10(twice)))
    assert steps[frames - 1] <= steps.max() < ATTACK_DB_PER_S / RATE_HZ * 1.05
    assert twice[frames - 30] < twice[:frames].max() * 0.98  # the end looks ahead to the start


def test_stems_sum_to_their_limited_mix(tmp_path):
    schedule = schedule_of(band(6.0))
    sound = SoundSettings(loudness_lufs=-11.0)
    names = ["chords", "bass", "drums"]
    paths = {name: tmp_path / f"{name}.wav" for name in names}
    report = write_stems(schedule, paths, sound)
    whole = write_files(schedule, [tmp_path / "mix.wav"], sound)
    assert whole.reduction_db == report.reduction_db > 0.1
    mix, _ = soundfile.read(tmp_path / "mix.wav", dtype="int16")
    stems = sum(soundfile.read(path, dtype="int16")[0].astype(np.int32) for path in paths.values())
    # a mix adds its parts in another order: one step of rounding
    np.testing.assert_allclose(stems, mix, atol=1)


@pytest.mark.parametrize("bit_depth", [16, 24])
def test_a_limited_mix_keeps_its_bytes_with_any_threads(tmp_path, bit_depth):
    found = set()
    for threads in (1, 2, 3):
        path = tmp_path / f"{threads}.wav"
        sound = SoundSettings(loudness_lufs=-11.0, bit_depth=bit_depth)
        assert write_audio(band(9.0), path, sound, threads=threads).reduction_db > 0.1
        found.add(path.read_bytes())
    assert len(found) == 1


def test_samples_at_hand_are_limited_too(tmp_path):
    sound = SoundSettings(loudness_lufs=-14.0)
    report = write_samples(clicks().T, [tmp_path / "a.wav"], sound)
    out, _ = soundfile.read(BytesIO((tmp_path / "a.wav").read_bytes()), dtype="float32")
    assert report.loudness_lufs == pytest.approx(integrated_lufs(out, RATE_HZ), abs=0.03)
    assert true_peak_db(out.T) <= CEILING + 0.05
