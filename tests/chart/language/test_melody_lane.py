"""Pitches of the melody lane: those of MIDI, and no others."""

from __future__ import annotations

import pytest

from porchswing.chart.language.melody_lane import read_pitch
from porchswing.chart.language.problems import TextError


@pytest.mark.parametrize(("name", "pitch"), [("C-1", 0), ("C4", 60), ("G9", 127)])
def test_the_lowest_and_the_highest_pitch_are_midis(name: str, pitch: int) -> None:
    assert read_pitch(name) == pitch


@pytest.mark.parametrize("name", ["Cb-1", "G#9"])
def test_a_pitch_beyond_them_is_refused(name: str) -> None:
    with pytest.raises(TextError, match=f"from C-1 to G9, got {name}"):
        read_pitch(name)
