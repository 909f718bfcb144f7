"""How a hand frets: fingers, barres and their numbers (common practice, no source)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from porchswing.grips.shapes.fingers import FINGERS, LAY_STRINGS, fingering, usual_fingering


@pytest.mark.parametrize(
    ("frets", "fingers"),
    [
        ((7, 8, 7, 7), (1, 2, 1, 1)),
        ((6, 7, 7, 7), (1, 3, 3, 3)),
        ((0, 0, 0, 3), (0, 0, 0, 3)),
        ((2, 0, 1, 0), (2, 0, 1, 0)),
        ((0, 2, 3, 2), (0, 1, 3, 2)),
        ((0, 2, 1, 2), (0, 2, 1, 3)),
        ((1, 2, 0, 2), (1, 2, 0, 3)),
        ((3, 2, 1, 1), (3, 2, 1, 1)),
        ((5, 4, 3, 3), (3, 2, 1, 1)),
        ((5, 3, 3, 3), (3, 1, 1, 1)),
        ((1, 2, 1, 2), (1, 2, 1, 3)),
        ((0, 0, 0, 0), (0, 0, 0, 0)),
        ((None, 3, 2, 0, 1, 0), (0, 3, 2, 0, 1, 0)),
        ((1, 3, 3, 2, 1, 1), (1, 3, 3, 2, 1, 1)),
    ],
)
def test_finger_numbers(frets, fingers):
    assert fingering(frets).by_string(len(frets)) == fingers


@pytest.mark.parametrize(
    ("frets", "count"),
    [((6, 7, 7, 7), 2), ((7, 8, 7, 7), 2), ((5, 5, 5, 5), 1), ((0, 2, 3, 2), 3), ((2, 2, 2, 0), 1)],
)
def test_finger_counts(frets, count):
    assert fingering(frets).fingers == count


@pytest.mark.parametrize(
    ("frets", "fingers"),
    [
        ((2, 2, 1, 0), (2, 3, 1, 0)),
        ((2, 2, 2, 0), (1, 2, 3, 0)),
        ((0, 3, 3, 3), (0, 1, 2, 3)),
        ((6, 7, 7, 7), (1, 3, 3, 3)),
        ((0, 0, 0, 3), (0, 0, 0, 3)),
    ],
)
def test_what_a_teacher_draws(frets, fingers):
    assert usual_fingering(frets).by_string(4) == fingers


def test_hands_without_barres():
    assert fingering((5, 5, 5, 5), barre=False).fingers == 4
    assert fingering((7, 8, 7, 7), barre=False).fingers == 4
    assert fingering((1, 3, 3, 2, 1, 1), barre=False) is None


def test_more_than_four_fingers_is_no_grip():
    assert fingering((3, 1, 3, 2, 3, 1, 3)) is None


frets = st.lists(st.none() | st.integers(0, 6), min_size=3, max_size=6).map(tuple)


@given(frets)
def test_every_fretted_string_is_pressed_and_no_other(row):
    found = fingering(row)
    if found is None:
        return
    assert found.fingers <= FINGERS
    by_string = found.by_string(len(row))
    for fret, finger in zip(row, by_string, strict=True):
        assert (finger > 0) == bool(fret)
    for press in found.presses:
        sounding = [i for i, finger in enumerate(by_string) if finger == press.finger]
        assert {row[index] for index in sounding} == {press.fret}
        lies_on = row[press.first : press.last + 1]
        assert all(fret and fret >= press.fret for fret in lies_on)
        if press.finger > 1 and press.fret > min(fret for fret in row if fret):
            assert len(lies_on) <= LAY_STRINGS


@given(frets)
def test_later_fingers_are_never_nearer_the_nut(row):
    found = fingering(row)
    if found is None:
        return
    numbers = [press.finger for press in found.presses]
    frets_pressed = [press.fret for press in found.presses]
    assert numbers == sorted(set(numbers))
    assert frets_pressed == sorted(frets_pressed)


@given(st.lists(st.integers(1, 6), min_size=3, max_size=6).map(tuple), st.integers(1, 6))
def test_a_closed_shape_takes_the_same_fingers_anywhere(row, up):
    here, there = fingering(row), fingering(tuple(fret + up for fret in row))
    assert (here is None) == (there is None)
    if here and there:
        assert here.by_string(len(row)) == there.by_string(len(row))
        assert there.position - here.position == up
