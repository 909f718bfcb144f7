"""Our loudness meter against the standard's own test signals and two foreign meters.

Integrated loudness and true peak: EBU Tech 3341 (2016), minimum requirements test signals 1 to 5
(+-0.1 LU) and 15 to 23 (+0.2/-0.4 dB); the signals are described there by level, frequency and
phase and made here from that description (quoted from memory of the document).
"""

from __future__ import annotations

import math
import re
import subprocess

import numpy as np
import pytest

from porchswing.audio.master.loudness import (
    amplified,
    gain_reaching,
    gated_lufs,
    integrated_lufs,
)
from porchswing.audio.master.true_peak import true_peak
from porchswing.audio.mix.mixdown import render_blocks
from porchswing.options import SoundSettings
from support.hand_performances import band
from support.sound_files import true_peak_dbtp, write_audio

RATES_HZ = (44100, pytest.param(48000, marks=pytest.mark.slow))


def tones(rate_hz, *levels_and_seconds):
    """Return a stereo sine of 1 kHz that changes its level, as peak dBFS and seconds."""
    levels = np.concatenate(
        [np.full(round(seconds * rate_hz), level) for level, seconds in levels_and_seconds]
    )
    sine = np.sin(2 * np.pi * 1000.0 * np.arange(levels.size) / rate_hz) * 10 ** (levels / 20)
    return np.column_stack((sine, sine)).astype(np.float32)


@pytest.mark.parametrize("rate_hz", RATES_HZ)
@pytest.mark.parametrize(
    ("case", "parts", "expected_lufs"),
    [
        (1, [(-23, 20)], -23.0),
        (2, [(-33, 20)], -33.0),
        (3, [(-36, 10), (-23, 60), (-36, 10)], -23.0),
        (4, [(-72, 10), (-36, 10), (-23, 60), (-36, 10), (-72, 10)], -23.0),
        (5, [(-26, 20), (-20, 20.1), (-26, 20)], -23.0),
    ],
)
def test_ebu_tech_3341_integrated_loudness(rate_hz, case, parts, expected_lufs):
    measured = integrated_lufs(tones(rate_hz, *parts), rate_hz)
    assert measured == pytest.approx(expected_lufs, abs=0.1), f"case {case}"


@pytest.mark.parametrize("rate_hz", RATES_HZ)
@pytest.mark.parametrize(
    ("case", "divisor", "degrees", "amplitude", "expected_dbtp"),
    [
        (15, 4, 0.0, 0.5, -6.0),
        (16, 4, 45.0, 0.5, -6.0),
        (17, 6, 60.0, 0.5, -6.0),
        (18, 8, 67.5, 0.5, -6.0),
        (19, 4, 45.0, 1.41, 3.0),
    ],
)
def test_ebu_tech_3341_true_peak_of_sines(
    rate_hz, case, divisor, degrees, amplitude, expected_dbtp
):
    turns = np.arange(rate_hz) / divisor + degrees / 360.0
    # steady sines: an abrupt start would be a peak of its own
    ramp = np.minimum(1.0, np.arange(rate_hz) / 2000.0)
    sound = (amplitude * np.sin(2 * np.pi * turns) * ramp * ramp[::-1]).astype(np.float32)
    measured = true_peak_dbtp(np.column_stack((sound, sound)), rate_hz)
    assert expected_dbtp - 0.4 <= measured <= expected_dbtp + 0.2, f"case {case}"


@pytest.mark.parametrize("offset", range(4))
def test_ebu_tech_3341_true_peak_between_samples(offset):
    """In the manner of cases 20 to 23: one louder period of a sine of fs/6, decimated from four
    times the rate at each of four offsets; the truth is the peak before decimation.
    """
    from scipy.signal import firwin, lfilter

    rate_hz = 48000
    place = np.arange(4 * rate_hz)
    middle = 24 * 1000
    amplitude = np.where((place >= middle) & (place < middle + 24), 1.0, 0.5)
    burst = amplitude * np.sin(2 * np.pi * place / 24) * np.hanning(place.size) ** 0.1
    limited = lfilter(firwin(255, 0.24), 1.0, burst)
    sound = limited[offset::4].astype(np.float32)
    measured = true_peak_dbtp(sound, rate_hz)
    truth = 20 * math.log10(np.abs(limited).max())
    assert truth - 0.4 <= measured <= truth + 0.2


def test_full_scale_sine_reads_as_the_standard_says():
    """ITU-R BS.1770-4: 997 Hz at 0 dBFS in one channel reads -3.01 LUFS."""
    sine = np.sin(2 * np.pi * 997.0 * np.arange(48000 * 10) / 48000).astype(np.float32)
    assert integrated_lufs(sine, 48000) == pytest.approx(-3.01, abs=0.01)


def energy(lufs):
    """Return the energy of a loudness: BS.1770-4, equation (2)."""
    return 10 ** ((lufs + 0.691) / 10)


@pytest.mark.parametrize(
    ("levels", "lufs"),
    [
        ([], -math.inf),
        ([-20.0], -20.0),  # less than a block is taken as it is
        ([-20.0] * 3, -20.0),
        ([-69.9], -69.9),
        ([-70.1], -math.inf),
        ([-70.1] * 40, -math.inf),  # under the absolute gate
        ([-69.9] * 40, -69.9),
        ([-20.0] * 4, -20.0),
        ([-20.0] * 40 + [-29.0] * 40, -22.48),  # 9 LU below counts: (1 + 0.126) / 2 = -2.50 dB
        ([-20.0] * 400 + [-33.1] * 400, -20.0),  # 10 LU below the mean of all, -22.8, does not
        ([-20.0] * 400 + [-32.4] * 400, -22.77),
    ],
)
def test_both_gates(levels, lufs):
    """BS.1770-4, annex 1: blocks over -70 LUFS, then those over 10 LU below their mean."""
    measured = gated_lufs(np.array([energy(level) for level in levels]))
    assert measured == pytest.approx(lufs, abs=0.05)


@pytest.mark.parametrize("rate_hz", [22050, 32000, 44100, 48000, 96000])
def test_pyloudnorm_agrees(rate_hz):
    import pyloudnorm

    dice = np.random.default_rng(rate_hz)
    sound = dice.standard_normal((rate_hz * 8, 2)) * 0.1
    sound *= np.repeat(dice.uniform(0.05, 1.0, 16), rate_hz // 2)[:, None]
    witness = pyloudnorm.Meter(rate_hz).integrated_loudness(sound)
    # its default filter reads about 0.045 LU low (measured on the standard's sine)
    assert integrated_lufs(sound.astype(np.float32), rate_hz) == pytest.approx(witness, abs=0.1)


def everywhere(sound):
    """Return the true peak by oversampling every sample."""
    from porchswing.audio.master.true_peak import _kernel

    padded = np.pad(sound, ((0, 0), (30, 30)))
    between = max(
        np.abs(np.convolve(channel, phase[::-1])).max()
        for channel in padded
        for phase in _kernel(4).T
    )
    return max(np.abs(sound).max(), between)


@pytest.mark.parametrize("size", [1, 40, 1000, 5000, 30000])
def test_true_peak_skips_nothing(size):
    """The search that skips what cannot be a peak finds what oversampling everything finds."""
    dice = np.random.default_rng(size)
    sound = (dice.standard_normal((2, size)) * dice.uniform(0.1, 1.0, size)).astype(np.float32)
    assert true_peak(sound, 44100) == pytest.approx(everywhere(sound), rel=1e-5)


@pytest.mark.parametrize("place", [0, 2040, 2047, 2048, 9000, 19976])
def test_true_peak_finds_one_that_hides_between_samples(place):
    """The worst case: samples of one size and the signs of the interpolation filter's taps.

    They stand in silence, and elsewhere is a swell of larger samples.
    """
    from porchswing.audio.master.true_peak import _kernel

    sound = np.zeros(20000)
    sound[13000:15000] = 0.5 * np.hanning(2000)
    sound[place : place + 24] = 0.24 * np.sign(_kernel(4)[:, 1])
    pair = np.stack((sound * 0.2, sound)).astype(np.float32)
    expected = everywhere(pair)
    assert expected > 1.05 * np.abs(pair).max()
    assert true_peak(pair, 44100) == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("seed", range(3))
def test_true_peak_of_music_skips_nothing(seed):
    """A rendered block by itself, with its neighbours beyond its edges, from several floors."""
    sound = np.concatenate(list(render_blocks(band(5.0, seed)))).T[:, 40000:130000]
    expected = everywhere(sound)
    for floor in (0.0, 0.99 * expected):
        measured = true_peak(np.ascontiguousarray(sound), 44100, floor)
        assert measured == pytest.approx(expected, rel=1e-5)
    inside = true_peak(np.ascontiguousarray(sound), 44100, edges=False)
    assert np.abs(sound[:, 32:-32]).max() <= inside <= expected * (1 + 1e-5)
    assert true_peak(sound, 44100, 2.0 * expected) == 2.0 * expected


def test_silence_and_snippets():
    assert integrated_lufs(np.zeros((48000, 2), np.float32), 48000) == -math.inf
    assert true_peak_dbtp(np.zeros((48000, 2), np.float32), 48000) == -math.inf
    assert integrated_lufs(np.zeros((0, 2), np.float32), 48000) == -math.inf


@pytest.mark.parametrize("seed", range(10))
def test_ffmpeg_reads_the_same_from_rendered_tracks(seed, tmp_path, need_program):
    """FFmpeg's ebur128 filter on ten rendered tracks: +-0.1 LU and +-0.4 dB of true peak."""
    ffmpeg = need_program("ffmpeg")
    take = band(8 + seed, seed, tempo_bpm=70 + 20 * seed, loudness=40 + 8 * seed)
    path = tmp_path / "take.wav"
    report = write_audio(take, path, SoundSettings(loudness_lufs=-18.0 - seed % 4))
    meter = "ebur128=peak=true:framelog=verbose"
    said = subprocess.run(
        [ffmpeg, "-nostats", "-i", path, "-af", meter, "-f", "null", "-"],
        capture_output=True,
        text=True,
        check=True,
    ).stderr
    summary = said[said.rindex("Summary:") :]
    lufs = float(re.search(r"I:\s+(-?[\d.]+) LUFS", summary)[1])
    peak = float(re.search(r"Peak:\s+(-?[\d.]+) dBFS", summary)[1])
    assert report.loudness_lufs == pytest.approx(lufs, abs=0.1)
    assert report.true_peak_dbtp == pytest.approx(peak, abs=0.4)
    assert peak < -1.0 + 0.1


def test_a_gain_counts_what_it_lifts_over_the_absolute_gate():
    """Notes that ring out slowly: each dB of gain lets more of their ends count (BS.1770-4)."""
    ringing = 10.0 ** (np.tile(np.arange(-24.0, -78.0, -1.5), 8) / 10.0)
    plain_db = -18.0 - gated_lufs(ringing)
    assert gated_lufs(amplified(ringing, plain_db)) < -18.1  # what one look at it gave
    gain_db = gain_reaching(ringing, -18.0)
    assert gated_lufs(amplified(ringing, gain_db)) == pytest.approx(-18.0, abs=0.02)


def test_silence_is_brought_to_no_loudness():
    assert gain_reaching(np.zeros(20), -18.0) == 0.0


def test_blocks_are_what_the_report_measured(tmp_path):
    take = band(6.0)
    sound = np.concatenate(list(render_blocks(take)))
    report = write_audio(take, tmp_path / "a.wav", SoundSettings(loudness_lufs=None))
    gain_db = report.loudness_lufs - integrated_lufs(sound, 44100)
    assert abs(gain_db) < 0.01 or report.held_back_db > 0
