"""Bodies of the four ukulele sizes against what is published of them.

Read where we could: South Coast Ukes, "Tuning below the resonance" (a baritone's average after
D. Hurd), D. Hurd's "Sizes" (ukuleles.com: which lowest strings lie near the calculated air), and
J. Meyer's guitars (Journal of Guitar Acoustics 5) for the top over the air.
"""

from __future__ import annotations

from itertools import pairwise
from math import log2

import pytest

from porchswing.audio.synth.bodies import BODIES, ukulele_body
from porchswing.audio.synth.voices import PLUCKED
from porchswing.units import midi_to_hz

LOWEST = {"soprano": 60, "tenor": 55, "baritone": 50}
"""C4; G3, strung low; D3: each "near the air resonance"."""


def semitones(hz: float, pitch: int) -> float:
    return 12.0 * log2(hz / midi_to_hz(pitch))


def test_a_baritones_air_is_half_a_step_above_its_lowest_string():
    assert ukulele_body("baritone")[0].hz == pytest.approx(midi_to_hz(51), rel=0.002)


@pytest.mark.parametrize("size", LOWEST)
def test_air_lies_near_the_lowest_string(size):
    assert abs(semitones(ukulele_body(size)[0].hz, LOWEST[size])) < 1.5


def test_a_concert_has_no_string_near_its_air():
    assert semitones(ukulele_body("concert")[0].hz, 60) < -2.5


@pytest.mark.parametrize("size", BODIES)
def test_a_top_sounds_above_its_air_as_guitars_do(size):
    air, top, *_ = ukulele_body(size)
    assert top.hz / air.hz == pytest.approx(1.8, abs=0.01)
    assert PLUCKED[size].body == ukulele_body(size)


def test_every_resonance_falls_as_bodies_grow():
    bodies = [ukulele_body(size) for size in BODIES]
    for small, large in pairwise(bodies):
        assert all(one.hz > other.hz for one, other in zip(small, large, strict=True))
        assert [(one.q, one.gain) for one in small] == [(one.q, one.gain) for one in large]
