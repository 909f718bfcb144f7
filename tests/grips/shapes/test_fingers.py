"""How a hand frets: fingers, barres, lays and their numbers (common practice, no source)."""

from __future__ import annotations

import pytest
from hypothesis import given, strategies as st

from porchswing.grips.shapes.fingers import (
    FINGERS,
    LAYS,
    OVER_LOWER,
    fingering,
    fingerings,
)


@pytest.mark.parametrize(
    ("frets", "fingers"),
    [
        ((7, 8, 7, 7), (1, 2, 1, 1)),
        ((6, 7, 7, 7), (1, 3, 3, 3)),
        ((7, 7, 6, 8), (2, 3, 1, 4)),  # no finger lies over the lower fret nearer the floor
        ((8, 8, 7, 8), (2, 3, 1, 4)),
        ((4, 4, 2, 3), (3, 4, 1, 2)),
        ((2, 4, 2, 3), (1, 3, 1, 2)),
        ((5, 6, 5, 6), (1, 3, 2, 4)),
        ((5, 5, 6, 6), (1, 1, 2, 2)),
        ((8, 8, 8, 7), (2, 3, 4, 1)),
        ((0, 0, 0, 3), (0, 0, 0, 3)),
        ((0, 0, 0, 4), (0, 0, 0, 4)),  # by the nut each finger has a fret of its own
        ((2, 0, 1, 0), (2, 0, 1, 0)),
        ((0, 2, 3, 2), (0, 1, 3, 2)),
        ((0, 2, 1, 2), (0, 2, 1, 3)),
        ((1, 2, 0, 2), (1, 2, 0, 3)),
        ((2, 2, 1, 0), (2, 3, 1, 0)),
        ((2, 2, 2, 0), (1, 2, 3, 0)),
        ((0, 3, 3, 3), (0, 1, 2, 3)),
        ((3, 2, 1, 1), (3, 2, 1, 1)),
        ((5, 4, 3, 3), (3, 2, 1, 1)),
        ((5, 3, 3, 3), (3, 1, 1, 1)),
        ((0, 0, 0, 0), (0, 0, 0, 0)),
        ((None, 3, 2, 0, 1, 0), (0, 3, 2, 0, 1, 0)),
        ((1, 3, 3, 2, 1, 1), (1, 3, 4, 2, 1, 1)),
    ],
)
def test_what_a_teacher_draws(frets, fingers):
    assert fingering(frets).by_string(len(frets)) == fingers


CHANNEL = "ukulelechannel.com, Basic Ukulele Chords for Beginners, under Major Chords"
MAHALO = "mahaloukuleles.com, Basic Ukulele Chords, under How To Read Ukulele Chord Diagrams"
LEARN = "upc0ming.blogspot.com, Learn Ukulele Chords, 13 February 2015, instructions 1, 2 and 4"

TAUGHT = (
    ("C", (0, 0, 0, 3), (0, 0, 0, 3), CHANNEL),
    ("D", (2, 2, 2, 0), (1, 2, 3, 0), CHANNEL),
    ("E", (1, 4, 0, 2), (1, 4, 0, 2), CHANNEL),
    ("F", (2, 0, 1, 0), (2, 0, 1, 0), CHANNEL),
    ("G", (0, 2, 3, 2), (0, 1, 3, 2), CHANNEL),
    ("G", (0, 2, 3, 2), (0, 1, 3, 2), MAHALO),
    ("A", (2, 1, 0, 0), (2, 1, 0, 0), CHANNEL),
    ("Bb", (3, 2, 1, 1), (3, 2, 1, 1), LEARN),
    ("Eb", (3, 3, 3, 1), (3, 3, 3, 1), LEARN),
    ("Ebm", (3, 3, 2, 1), (3, 4, 2, 1), LEARN),
)
"""Grips whose fingers a published lesson gives in words, read there; no printed method was found
to be read openly. The ring finger's lay of E flat is the second way we hold it."""


@pytest.mark.parametrize(("chord", "frets", "fingers", "source"), TAUGHT)
def test_fingers_that_lessons_give_in_words(chord, frets, fingers, source):
    ways = [held.by_string(4) for held in fingerings(frets)]
    assert ways.index(fingers) == (1 if chord == "Eb" else 0), source


@pytest.mark.parametrize(
    ("frets", "count"),
    [((6, 7, 7, 7), 2), ((7, 8, 7, 7), 2), ((5, 5, 5, 5), 1), ((0, 2, 3, 2), 3), ((2, 2, 2, 0), 3)],
)
def test_finger_counts(frets, count):
    assert fingering(frets).fingers == count


@pytest.mark.parametrize(
    ("frets", "position"),
    [((0, 0, 0, 3), 1), ((7, 7, 6, 8), 6), ((0, 0, 3, 3), 2), ((0, 0, 0, 0), 0), ((2, 0, 1, 0), 1)],
)
def test_the_hand_stands_where_its_first_finger_is_or_would_be(frets, position):
    assert fingering(frets).position == position


@pytest.mark.parametrize(
    ("frets", "fingers", "points"),
    [
        ((0, 0, 0, 3), (0, 0, 0, 3), 0),
        ((0, 0, 0, 3), (0, 0, 0, 2), 13),  # off by a fret 1, a second way 12
        ((0, 0, 0, 3), (0, 0, 0, 1), 14),  # off by two frets
        ((5, 3, 3, 3), (3, 1, 1, 1), 4),  # a barre
        ((5, 5, 6, 6), (1, 1, 2, 2), 14),  # a barre 4, the middle finger flat beside it 10
        ((2, 4, 4, 4, 2), (1, 2, 3, 4, 1), 22),  # barre 4, stretch 10, crowded twice 6, off by 2
        ((2, 4, 4, 4, 2), (1, 3, 3, 3, 1), 120),  # barre 4, lay 44, bent back 60, second way 12
    ],
)
def test_what_is_awkward_is_counted_in_points(frets, fingers, points):
    ways = {held.by_string(len(frets)): held.awkward for held in fingerings(frets)}
    assert ways[fingers] == points


def test_a_ring_finger_may_lie_over_the_inner_strings_of_a_barred_guitar_grip():
    """The A shape up the neck, as many hold it (common practice, no source)."""
    ways = [held.by_string(6) for held in fingerings((None, 2, 4, 4, 4, 2))]
    assert ways == [(0, 1, 2, 3, 4, 1), (0, 1, 3, 3, 3, 1)]


def test_hands_without_barres():
    assert fingering((5, 5, 5, 5), barre=False).fingers == 4
    assert fingering((7, 8, 7, 7), barre=False).fingers == 4
    assert fingering((1, 3, 3, 2, 1, 1), barre=False) is None


def test_more_than_four_fingers_is_no_grip():
    assert fingering((3, 1, 3, 2, 3, 1, 3)) is None


def test_each_lay_is_one_row_with_a_reason():
    for rows in (LAYS, OVER_LOWER):
        keys = [(lay.finger, lay.strings, lay.frets) for lay in rows]
        assert len(keys) == len(set(keys))
        assert all(lay.why and lay.finger > 1 and lay.strings > 1 and lay.frets for lay in rows)
    assert {(lay.finger, lay.strings, lay.frets) for lay in OVER_LOWER} <= {
        (lay.finger, lay.strings, lay.frets) for lay in LAYS
    }


frets = st.lists(st.none() | st.integers(0, 6), min_size=3, max_size=6).map(tuple)


@given(frets, st.booleans(), st.integers(1, 4))
def test_every_fretted_string_is_pressed_and_no_other(row, barre, most):
    for found in fingerings(row, barre, most):
        assert found.fingers <= most
        assert barre or not any(press.is_barre for press in found.presses)
        by_string = found.by_string(len(row))
        for fret, finger in zip(row, by_string, strict=True):
            assert (finger > 0) == bool(fret)
        for press in found.presses:
            sounding = [i for i, finger in enumerate(by_string) if finger == press.finger]
            assert {row[index] for index in sounding} == {press.fret}
            assert all(fret and fret >= press.fret for fret in row[press.first : press.last + 1])


@given(frets)
def test_no_finger_lies_over_a_lower_fret_outside_the_rows(row):
    """Nearer the floor means a later index; the finger comes from there."""
    rows = {(lay.finger, lay.strings, lay.frets) for lay in OVER_LOWER}
    lowest = min((fret for fret in row if fret), default=0)
    for found in fingerings(row):
        for press in found.presses:
            beyond = [fret for fret in row[press.last + 1 :] if fret is not None]
            if press.finger == 1 or not press.is_barre or min(beyond, default=99) >= press.fret:
                continue
            strings = press.last - press.first + 1
            assert (press.finger, strings, press.fret - lowest) in rows
            assert press.last == len(row) - 2


@given(frets)
def test_later_fingers_are_never_nearer_the_nut(row):
    for found in fingerings(row):
        numbers = [press.finger for press in found.presses]
        frets_pressed = [press.fret for press in found.presses]
        assert numbers == sorted(set(numbers))
        assert set(numbers) <= set(range(1, FINGERS + 1))
        assert frets_pressed == sorted(frets_pressed)


@given(st.lists(st.integers(1, 6), min_size=3, max_size=6).map(tuple), st.integers(1, 6))
def test_a_closed_shape_takes_the_same_fingers_anywhere(row, up):
    here, there = fingerings(row), fingerings(tuple(fret + up for fret in row))
    assert [held.by_string(len(row)) for held in here] == [h.by_string(len(row)) for h in there]
