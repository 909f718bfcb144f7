"""The K-weighting against the standard's table and scipy's sample-by-sample filter."""

from __future__ import annotations

import numpy as np
import pytest

from porchswing.audio.master.k_weighting import Biquad, _state_space, k_weighting
from porchswing.audio.master.loudness import step_energies


def test_filters_are_those_of_the_standards_table():
    """ITU-R BS.1770-4, tables 1 and 2 (48 kHz)."""
    shelf, high_pass = k_weighting(48000)
    table = (1.53512485958697, -2.69169618940638, 1.19839281085285)
    assert shelf[:3] == pytest.approx(table, abs=1e-6)
    assert shelf[3:] == pytest.approx((-1.69065929318241, 0.73248077421585), abs=1e-6)
    assert high_pass[3:] == pytest.approx((-1.99004745483398, 0.99007225036621), abs=1e-6)


def filtered(sound, section):
    """Return a sound through one section by scipy's sample-by-sample filter."""
    from scipy.signal import lfilter  # here, since to load it takes half a second

    return lfilter(section[:3], (1.0, *section[3:]), sound, axis=-1)


def test_block_product_is_the_filter():
    """The block product against scipy's sample-by-sample filter."""
    rate_hz = 44100
    noise = np.random.default_rng(3).standard_normal((2, rate_hz * 5)).astype(np.float32)
    expected = noise.astype(np.float64)
    for section in k_weighting(rate_hz):
        expected = filtered(expected, section)
    energies = np.square(expected).reshape(2, -1, 4410).mean(axis=2).sum(axis=0)
    np.testing.assert_allclose(step_energies(noise, rate_hz), energies, rtol=2e-5)


def test_any_two_sections_are_one_state_space():
    """The matrices' impulse response against scipy's filter, with sections all of whose five
    numbers count: the K-weighting's second one begins with 1.
    """
    sections = Biquad(0.9, -0.4, 0.3, -0.6, 0.5), Biquad(0.7, 0.2, -0.5, 0.3, 0.4)
    expected = np.eye(1, 40)[0]
    for section in sections:
        expected = filtered(expected, section)
    a, b, c, d = _state_space(sections)
    found = [d, *(c @ np.linalg.matrix_power(a, lag) @ b for lag in range(39))]
    np.testing.assert_allclose(found, expected, atol=1e-12)


@pytest.mark.parametrize("rate_hz", [8000, 10070, 11020, 16000, 22050, 48000])
@pytest.mark.parametrize("steps", [1, 21, 22, 50])
def test_every_step_of_any_length_is_measured_at_any_rate(rate_hz, steps):
    """Rows of 29 to 40 frames or, where none fits a step, of 32; pieces of 21 steps."""
    step = rate_hz // 10
    noise = np.random.default_rng(steps).standard_normal((2, steps * step + 7)).astype(np.float32)
    expected = noise.astype(np.float64)
    for section in k_weighting(rate_hz):
        expected = filtered(expected, section)
    by_step = expected[:, : steps * step].reshape(2, steps, step)
    energies = np.square(by_step).mean(axis=2).sum(axis=0)
    np.testing.assert_allclose(step_energies(noise, rate_hz), energies, rtol=5e-5)
