"""Strokes across the strings: order, width, loudness; rolls and tremolo; slides, shakes, falls."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, strategies as st

from porchswing.band.score import Stroke
from porchswing.grips.shapes.model import Grip
from porchswing.performance.strokes import (
    SOFT_SPREAD_S,
    VIBRATO_SEMITONES,
    crossed_strings,
    glides,
    spread_stroke,
)
from support.made import UKULELE

QUARTER_S = 0.5
TURN_S = 1 / 5.5  # of the shake

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


@pytest.mark.parametrize(
    ("direction", "velocity", "length_s", "width_ms"),
    # 22 ms at velocity 0, 8 at 1; an up stroke takes 0.85 of it; no more than a fifth of its length
    [
        ("down", 0.5, 1.0, 15.0),
        ("down", 1.0, 1.0, 8.0),
        ("up", 0.5, 1.0, 12.75),
        ("down", 0.5, 0.04, 8.0),
    ],
)
def test_how_wide_a_stroke_is(
    direction: str, velocity: float, length_s: float, width_ms: float
) -> None:
    sounds = spread_stroke(strum(direction=direction, velocity=velocity), length_s, 120)
    offsets_ms = [1000 * sound.offset_s for sound in sounds]
    assert offsets_ms == pytest.approx([n * width_ms / 3 for n in range(4)])


@pytest.mark.parametrize(("direction", "last"), [("down", 0.88), ("up", 0.7)])
def test_a_stroke_fades_evenly_from_string_to_string(direction: str, last: float) -> None:
    sounds = spread_stroke(strum(direction=direction, velocity=0.8), 1.0, 120)
    fading = [0.8 * (1 - (1 - last) * n / 3) for n in range(4)]
    assert [sound.velocity for sound in sounds] == pytest.approx(fading)


def test_a_down_stroke_is_brighter_than_an_up_stroke() -> None:
    down, up = (spread_stroke(strum(direction=way), 1.0, 120) for way in ("down", "up"))
    assert {sound.brightness for sound in down} == {0.15}
    assert {sound.brightness for sound in up} == {-0.35}


def test_uneven_gaps_stray_by_their_share_and_come_round_again() -> None:
    sounds = spread_stroke(strum(velocity=0.5), 1.0, 120, (0.0, 1.0, -1.0))
    gaps_ms = [1000 * (b.offset_s - a.offset_s) for a, b in pairwise(sounds)]
    assert gaps_ms == pytest.approx([5 * 1.45, 5 * 0.55, 5.0])


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


def test_at_any_tempo_a_tremolo_has_one_stroke_a_beat_at_least() -> None:
    sounds = spread_stroke(strum(kind="tremolo"), 0.04 * 3, 1500)
    assert [s.offset_s for s in sounds if s.string == 4] == pytest.approx(
        [0.0, 0.048, 0.08], abs=0.01
    )


def test_a_tremolo_goes_down_loudest_and_comes_back_softer() -> None:
    sounds = spread_stroke(strum(kind="tremolo", velocity=1.0), 0.5, 120)
    passes = [sounds[at : at + 4] for at in range(0, 24, 4)]
    assert [one[0].string for one in passes] == [4, 1, 4, 1, 4, 1]
    assert [one[0].velocity for one in passes] == pytest.approx([1.0] + [0.8] * 5)
    assert [one[0].offset_s for one in passes] == pytest.approx([n / 12 for n in range(6)])
    for now, then in pairwise(passes):  # a string sounds until it is struck again
        again = {sound.string: sound.offset_s for sound in then}
        assert [sound.end_s for sound in now] == [again[sound.string] for sound in now]
    assert {sound.end_s for sound in passes[-1]} == {None}


def test_the_fingers_of_a_roll_follow_each_other_within_its_time() -> None:
    long, short = (spread_stroke(strum(kind="roll", velocity=1.0), s, 120) for s in (1.0, 0.1))
    for sounds, every_s in ((long, 0.04), (short, 0.04 / 3)):
        first = [sound for sound in sounds if sound.string == 4]
        assert [sound.offset_s for sound in first] == pytest.approx([0, every_s, 2 * every_s])
        assert [sound.velocity for sound in first] == pytest.approx([0.7, 0.85, 1.0])


@pytest.mark.parametrize("kind", ["pinch", "slur"])
def test_pinch_and_slur_sound_all_at_once(kind: str) -> None:
    sounds = spread_stroke(strum(kind=kind, strings=(4, 1)), 0.5, 120)
    assert {s.offset_s for s in sounds} == {0.0}
    assert {s.string for s in sounds} == {4, 1}


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
