"""Strokes across the strings: order, width, loudness; rolls and tremolo."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from porchswing.band.score import Stroke
from porchswing.grips.shapes.model import Grip
from porchswing.performance.spread import SOFT_SPREAD_S, crossed_strings, spread_stroke
from support.made import UKULELE

frets = st.tuples(*[st.none() | st.integers(0, 12)] * 4).filter(
    lambda four: any(fret is not None for fret in four)
)
strokes = st.builds(
    lambda four, **rest: Stroke(Fraction(0), Fraction(1), Grip(four, UKULELE), **rest),
    frets,
    direction=st.sampled_from(["down", "up"]),
    kind=st.sampled_from(["strum", "chuck", "ghost", "roll", "tremolo", "pinch", "slur"]),
    velocity=st.floats(0.05, 1.0),
)


def strum(**changed: object) -> Stroke:
    return Stroke(Fraction(0), Fraction(1), Grip((7, 8, 7, 7), UKULELE), **changed)  # type: ignore[arg-type]


def test_down_goes_from_string_4_to_string_1_and_up_back() -> None:
    # down-strokes move toward string 1, the one nearest the floor
    down = spread_stroke(strum(velocity=0.8), 0.4, 140)
    up = spread_stroke(strum(direction="up", velocity=0.8), 0.4, 140)
    assert [s.string for s in down] == [4, 3, 2, 1]
    assert [s.string for s in up] == [1, 2, 3, 4]
    for sounds in (down, up):
        assert sounds[0].offset_s == 0
        assert all(a.offset_s < b.offset_s for a, b in pairwise(sounds))


@given(strokes, st.floats(0.02, 4.0))
def test_one_pass_is_narrower_than_25_ms(stroke: Stroke, duration_s: float) -> None:
    # chords spread 25 ms and more pull the felt beat off their first note (Hove, Keller &
    # Krumhansl); rolls and tremolo are wider on purpose
    sounds = spread_stroke(stroke, duration_s, 120)
    if stroke.kind not in {"roll", "tremolo"}:
        assert max((s.offset_s for s in sounds), default=0.0) < 0.025
    assert SOFT_SPREAD_S < 0.025


@given(strokes, st.floats(0.02, 4.0), st.floats(30, 400))
def test_every_sound_fits_inside_the_stroke_on_a_string_that_sounds(
    stroke: Stroke, duration_s: float, bpm: float
) -> None:
    sounds = spread_stroke(stroke, duration_s, bpm)
    assert sounds
    last: dict[int, float] = {}
    for sound in sounds:
        assert stroke.grip.frets[UKULELE.index(sound.string)] is not None
        assert 0 <= sound.offset_s < duration_s
        assert 0 < sound.velocity <= stroke.velocity
        assert sound.offset_s >= last.get(sound.string, 0.0)
        last[sound.string] = sound.offset_s if sound.end_s is None else sound.end_s
    assert [s.offset_s for s in sounds] == sorted(s.offset_s for s in sounds)


def test_louder_is_faster() -> None:
    widths = [spread_stroke(strum(velocity=v), 0.5, 140)[-1].offset_s for v in (0.2, 0.5, 0.8, 1.0)]
    assert widths == sorted(widths, reverse=True)


@pytest.mark.parametrize(
    ("velocity", "caught"), [(0.3, (1, 2)), (0.45, (1, 2, 3)), (0.6, (1, 2, 3, 4))]
)
def test_light_up_strokes_catch_the_strings_nearest_the_floor(
    velocity: float, caught: tuple[int, ...]
) -> None:
    assert crossed_strings(strum(direction="up", velocity=velocity)) == caught


def test_named_strings_and_muted_ones_are_obeyed() -> None:
    assert crossed_strings(strum(strings=(4, 3))) == (4, 3)
    muted = Stroke(Fraction(0), Fraction(1), Grip((7, None, 7, 7), UKULELE), velocity=0.8)
    assert crossed_strings(muted) == (4, 2, 1)


def test_a_roll_crosses_three_times_and_grows() -> None:
    sounds = [s for s in spread_stroke(strum(kind="roll"), 0.8, 140) if s.string == 4]
    assert len(sounds) == 3
    assert [s.velocity for s in sounds] == sorted(s.velocity for s in sounds)
    assert sounds[-1].end_s is None
    assert sounds[-1].offset_s < 0.12


def test_tremolo_divides_the_beat_evenly_at_the_hands_own_speed() -> None:
    sounds = [s for s in spread_stroke(strum(kind="tremolo"), 2.0, 120) if s.string == 1]
    # 0.5 s a beat: six strokes, twelve a second
    assert len(sounds) == 24


@pytest.mark.parametrize("kind", ["pinch", "slur"])
def test_pinch_and_slur_sound_all_at_once(kind: str) -> None:
    sounds = spread_stroke(strum(kind=kind, strings=(4, 1)), 0.5, 120)
    assert {s.offset_s for s in sounds} == {0.0}
    assert {s.string for s in sounds} == {4, 1}
