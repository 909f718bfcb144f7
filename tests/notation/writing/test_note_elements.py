"""Note values: they add up, and music21 gives each the same length."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from porchswing.notation.writing.note_elements import (
    Accidentals,
    Item,
    NoteValue,
    as_values,
    cut_at_bars,
    note_values,
)
from porchswing.theory.notes import NoteName


@given(st.integers(1, 200), st.sampled_from((1, 2, 4, 8, 3, 6, 12, 5, 7)))
def test_values_add_up(number: int, denominator: int) -> None:
    beats = Fraction(number, denominator)
    values = note_values(beats)
    assert sum(value.beats for value in values) == beats
    assert all(value.beats > 0 for value in values)


@pytest.mark.parametrize(
    "beats", [Fraction(n, d) for n in range(1, 25) for d in (1, 2, 4, 8, 3, 6)], ids=str
)
def test_lengths_are_music21s(need_module, beats: Fraction) -> None:
    need_module("music21")
    from music21 import duration

    for value in note_values(beats):
        other = duration.Duration(type=value.type, dots=value.dots)
        if value.triplet:
            other.appendTuplet(duration.Tuplet(3, 2))
        assert Fraction(other.quarterLength).limit_denominator(1000) == value.beats


def test_what_no_note_can_write_has_no_type() -> None:
    assert note_values(Fraction(2, 5)) == (NoteValue(Fraction(2, 5)),)


def test_items_are_cut_at_bar_lines() -> None:
    items = [Item(Fraction(3)), Item(Fraction(3), "slash"), Item(Fraction(1), "slash")]
    measures = cut_at_bars(items, [Fraction(4), Fraction(4)])
    assert [[item.beats for item in measure] for measure in measures] == [[3, 1], [2, 1, 1]]
    first, second = measures[0][1], measures[1][0]
    assert (first.tied_before, first.tied_after) == (False, True)
    assert (second.tied_before, second.tied_after) == (True, False)
    assert measures[1][2].kind == "rest"


def test_a_long_note_is_tied_to_itself() -> None:
    tied = as_values(Item(Fraction(5, 2), "slash"))
    assert [(item.tied_before, item.tied_after) for item, _ in tied] == [
        (False, True),
        (True, False),
    ]
    assert not as_values(Item(Fraction(5, 2)))[0][0].tied_after


def test_signs_hold_for_the_measure() -> None:
    signs = Accidentals(-1)
    b_flat, b, f_sharp = NoteName("B", -1), NoteName("B"), NoteName("F", 1)
    assert signs.needed((70, b_flat)) == ""
    assert signs.needed((71, b)) == "natural"
    assert signs.needed((71, b)) == ""
    assert signs.needed((70, b_flat)) == "flat"
    assert signs.needed((58, b_flat)) == ""
    assert signs.needed((66, f_sharp)) == "sharp"
    assert Accidentals(2).needed((66, f_sharp)) == ""
