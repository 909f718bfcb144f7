"""Cymbals, hats and side stick beside a sampled kit (FluidR3, through FluidSynth)."""

from __future__ import annotations

import pytest

from bench.kit_fit import PIECES, ours, sampled
from bench.sound_report import SOUNDFONT
from porchswing.audio.synth.kit import STRUCK

HEARD_DB = -41.0
"""Stretches further below the first are not compared."""


@pytest.fixture(scope="module")
def goals():
    return sampled(list(PIECES))


@pytest.mark.parametrize("piece", PIECES)
def test_the_centroid_over_time_is_within_a_fifth_of_the_sampled_one(
    piece, request, need_program, need_file
):
    need_program("fluidsynth")
    need_file(SOUNDFONT, "apt install fluid-soundfont-gm")
    goal = request.getfixturevalue("goals")[piece]
    for (hz, _), (goal_hz, level_db) in zip(ours(STRUCK[piece]), goal, strict=True):
        if level_db > HEARD_DB:
            assert hz == pytest.approx(goal_hz, rel=0.2)


def test_a_hat_is_as_long_as_the_sampled_one(request, need_program, need_file):
    need_program("fluidsynth")
    need_file(SOUNDFONT, "apt install fluid-soundfont-gm")
    goals = request.getfixturevalue("goals")
    for piece in ("hat_pedal", "hat_closed", "hat_open"):
        level_db = ours(STRUCK[piece])[2][1]
        assert level_db == pytest.approx(goals[piece][2][1], abs=4.0)  # 60 to 150 ms
