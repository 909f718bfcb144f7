"""The noise generator against its published stream, and its shapes."""

from __future__ import annotations

import numpy as np
import pytest

from porchswing.audio.synth.noise import band_noise, dither_table, random_bits, uniform, white


def test_the_published_stream():
    """SplitMix64 (Steele, Lea & Flood 2014), seed 1234567: the values widely printed as a check."""
    assert random_bits(1234567, 5).tolist() == [
        6457827717110365317,
        3203168211198807973,
        9817491932198370423,
        4593380528125082431,
        16408922859458223821,
    ]


def test_uniform_and_white_are_spread():
    assert abs(uniform(3, 100_000).mean() - 0.5) < 0.005
    assert white(3, 100_000).std() == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize(("low_hz", "high_hz"), [(300, 900), (1000, 6000), (3500, 12500)])
def test_most_of_a_band_is_inside_it(low_hz, high_hz):
    sound = band_noise(7, 44100, low_hz, high_hz, 44100)
    power = np.abs(np.fft.rfft(sound)) ** 2
    hz = np.fft.rfftfreq(44100, 1 / 44100)
    inside = (hz > low_hz / 1.4) & (hz < high_hz * 1.4)
    assert power[inside].sum() > 0.85 * power.sum()


def test_dither_is_triangular_one_step_each_way():
    """TPDF: variance 1/6 step squared, never past one step (Lipshitz et al. 1992)."""
    table = dither_table()
    assert np.abs(table).max() < 1.0
    assert table.var() == pytest.approx(1 / 6, rel=0.01)
    assert abs(table.mean()) < 1e-3
