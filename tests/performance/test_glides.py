"""What the fretting hand does to a note: where slides, shakes and falls begin and end."""

from __future__ import annotations

from fractions import Fraction

import pytest

from porchswing.band.score import Stroke
from porchswing.grips.shapes.model import Grip
from porchswing.performance.glides import VIBRATO_SEMITONES, glides
from support.made import UKULELE

QUARTER_S = 0.5
TURN_S = 1 / 5.5  # of the shake


def points(length_s: float, is_first: bool = True, is_last: bool = True, **bent: object):
    stroke = Stroke(Fraction(0), Fraction(1), Grip((7, 7, 7, 7), UKULELE), **bent)  # type: ignore[arg-type]
    found = glides(stroke, length_s, QUARTER_S, is_first=is_first, is_last=is_last)
    return [(bend.offset_s, bend.semitones) for bend in found]


def test_a_slide_takes_its_beats_or_the_whole_of_a_shorter_note():
    slide = {"slide_frets": -2, "glide_beats": Fraction(1, 2)}
    assert points(1.0, **slide) == [(0.0, -2.0), (0.25, 0.0)]
    assert points(0.1, **slide) == [(0.0, -2.0), (0.1, 0.0)]
    assert points(1.0, is_first=False, **slide) == []


def test_a_fall_takes_a_quarter_of_a_second_or_half_of_a_shorter_note():
    assert points(1.0, fall_frets=-3) == [(0.75, 0.0), (1.0, -3.0)]
    assert points(0.3, fall_frets=-3) == [(0.15, 0.0), (0.3, -3.0)]
    assert points(1.0, is_last=False, fall_frets=-3) == []


def test_a_fall_waits_until_the_slide_has_come_to_its_pitch():
    long = {"slide_frets": -1, "glide_beats": Fraction(2), "fall_frets": -3}
    assert points(1.25, **long) == [(0.0, -1.0), (1.0, 0.0), (1.0, 0.0), (1.25, -3.0)]


def test_a_held_chord_is_shaken_in_whole_turns_once_it_has_spoken():
    found = points(1.0, vibrato=True)  # 0.65 s hold three turns of 0.18 s
    assert [at for at, _ in found] == pytest.approx([0.35 + TURN_S / 2 * n for n in range(7)])
    assert [bend for _, bend in found] == [0.0, VIBRATO_SEMITONES] * 3 + [0.0]
    assert points(0.35 + 0.9 * TURN_S, vibrato=True) == []
    assert len(points(0.35 + 1.1 * TURN_S, vibrato=True)) == 3
    assert points(1.0, is_last=False, vibrato=True) == []


def test_a_shake_waits_for_a_slow_slide():
    slow = points(1.0, vibrato=True, slide_frets=-1, glide_beats=Fraction(1))
    assert slow[:3] == [(0.0, -1.0), (0.5, 0.0), (0.5, 0.0)]
    quick = points(1.0, vibrato=True, slide_frets=-1, glide_beats=Fraction(1, 4))
    assert quick[:3] == [(0.0, -1.0), (0.125, 0.0), (0.35, 0.0)]
