"""Every drum sounds at any length and rate; the longest sweep once failed at a slow tempo."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from porchswing.audio.mix.mixdown import render_blocks
from porchswing.audio.synth.kit import STRUCK
from porchswing.performance.model import Note, PartPerformance, Performance, TempoEvent


@pytest.mark.parametrize("length_s", [0.02, 0.5, 1.99, 2.0, 2.01, 7.0])
@pytest.mark.parametrize("rate_hz", [8000, 44100, 48000])
def test_a_drum_of_any_length_sounds(length_s: float, rate_hz: int) -> None:
    ticks = round(length_s * 1920)
    for name in STRUCK:
        note = Note(0, ticks, 0.0, length_s, 40, 80, piece=name, beats_end=Fraction(ticks, 960))
        part = PartPerformance("drums", "drums", (note,))
        whole = Performance("x", (part,), (TempoEvent(0, 500_000, 0.0),), (), ticks, length_s)
        samples = np.concatenate(list(render_blocks(whole, rate_hz)))
        assert np.isfinite(samples).all(), name
        assert np.abs(samples).max() > 1e-4, name
