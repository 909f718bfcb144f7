"""Glides of a pure tone, against the tone at the integral of its frequency."""

from __future__ import annotations

import numpy as np
import pytest

from porchswing.audio.synth.glide import frames_read, glide
from porchswing.performance.model import Bend

RATE_HZ = 44100
HZ = 880.0

SLIDE_UP = (Bend(0.0, -2.0), Bend(0.1, 0.0))
SLIDE_DOWN = (Bend(0.0, 3.0), Bend(0.1, 0.0))
FALL = (Bend(0.2, 0.0), Bend(0.4, -3.0))
PUSH = (Bend(0.2, 0.0), Bend(0.4, 2.0))
SHAKE = (Bend(0.1, 0.0), Bend(0.15, 0.2), Bend(0.2, 0.0), Bend(0.25, 0.2), Bend(0.3, 0.0))


@pytest.mark.parametrize("bends", [SLIDE_UP, SLIDE_DOWN, FALL, PUSH, SHAKE])
def test_a_tone_follows_its_bends(bends):
    """The phase is the integral of the frequency; of an interpolated tone, to -60 dB."""
    frames = round(0.5 * RATE_HZ)
    time = np.arange(frames_read(bends, frames)) / RATE_HZ
    steady = np.cos(2 * np.pi * HZ * time).astype(np.float32)
    found = glide(steady, bends, frames, RATE_HZ)
    at_s, semitones = np.array([(bend.offset_s, bend.semitones) for bend in bends]).T
    hz = HZ * 2 ** (np.interp(np.arange(frames) / RATE_HZ, at_s, semitones) / 12)
    phase = 2 * np.pi * np.cumsum(hz) / RATE_HZ
    # up to a constant: a glide begins less than a sample in
    turned = [np.mean(found * wave(phase)) for wave in (np.cos, np.sin)]
    expected = np.cos(phase - np.arctan2(turned[1], turned[0]))
    inside = slice(20, -20)
    np.testing.assert_allclose(found[inside], expected[inside], atol=2e-3)


def test_a_glide_nowhere_is_the_steady_note():
    steady = np.random.default_rng(1).standard_normal(5000).astype(np.float32)
    bends = (Bend(0.0, 0.0), Bend(0.05, 0.0))
    np.testing.assert_array_equal(glide(steady, bends, 4000, RATE_HZ), steady[:4000])


def test_the_strings_of_a_chord_glide_alike():
    """What one string leaves behind for the next changes neither of them."""
    dice = np.random.default_rng(2)
    first, second = dice.standard_normal((2, 9000)).astype(np.float32)
    alone = glide(second, SLIDE_UP, 8000, RATE_HZ)
    glide(first, SLIDE_DOWN, 7000, RATE_HZ)
    glide(first, SLIDE_UP, 8000, RATE_HZ)
    np.testing.assert_array_equal(glide(second, SLIDE_UP, 8000, RATE_HZ), alone)
