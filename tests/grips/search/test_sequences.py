"""Progressions heard again transposed: found, and gripped with the same shapes (own examples)."""

from __future__ import annotations

import pytest
from hypothesis import given, strategies as st

from porchswing.chart.language.reader import parse_chart
from porchswing.grips.search.sequences import Transposed, heard_sequences, sequences
from porchswing.grips.search.voice import voice
from porchswing.theory.symbols import parse_chord

HEARD = {
    "dominants in tritone pairs": "D7 Ab9 G7 Db9 C7 Gb9 F7 B9",
    "ii-V pairs falling by whole tones": "Em7 A7 Dm7 G7 Cm7 F7",
    "ii-V-I repeated a tone lower": "Dm7 G7 Cmaj7 Cm7 F7 Bbmaj7",
    "the minor line cliche in two keys": "Cm CmMaj7 Cm7 Cm6 Fm FmMaj7 Fm7 Fm6",
    "I-vi-ii-V a third lower": "C6 Am7 Dm7 G7 A6 F#m7 Bm7 E7",
    "the backdoor a tone lower": "Fm7 Bb7 C6 Ebm7 Ab7 Bb6",
    "a climb by passing diminished": "F6 F#dim7 Gm7 Ab6 Adim7 Bbm7",
    "IV and its minor a tone higher": "Bb6 Bbm6 C6 Cm6",
    "ii-V pairs falling by semitones": "Ebm7 Ab7 Dm7 G7 Dbm7 Gb7",
    "a minor cadence a third higher": "Bm7b5 E7b9 Am6 Dm7b5 G7b9 Cm6",
    "pairs climbing by thirds": "C6 Dm7 Eb6 Fm7 Gb6 Abm7",
}


def chords(words):
    return [parse_chord(word) for word in words.split()]


@pytest.mark.parametrize("name", HEARD)
def test_a_sequence_keeps_its_shapes_and_shifts_them(name):
    words = HEARD[name].split()
    voicing = voice(parse_chart("[A]\n| " + " | ".join(words) + " |"))
    heard = heard_sequences(voicing)
    assert heard
    covered = {str(slot.chord) for each in heard for slot in each.again}
    assert covered == set(words[len(heard[0].first) :])
    for each in heard:
        assert each.frets is not None
        assert (each.frets - each.semitones) % 12 == 0
        assert each.words.startswith("same shapes, ")


def test_the_fewest_chords_back_and_the_smallest_shift_count():
    (pairs,) = sequences(chords("Em7 A7 Dm7 G7 Cm7 F7"))
    assert (pairs.first, pairs.length, pairs.lag, pairs.shift) == (0, 4, 2, -2)
    (fours,) = sequences(chords(HEARD["dominants in tritone pairs"]))
    assert (fours.length, fours.lag, fours.shift) == (4, 4, -2)


def test_one_chord_between_is_still_heard_and_a_plain_repeat_is_none():
    (found,) = sequences(chords("Dm7 G7 Cmaj7 A7 Cm7 F7 Bbmaj7"))
    assert (found.length, found.lag) == (3, 4)
    assert sequences(chords("Dm7 G7 Dm7 G7")) == ()
    assert sequences(chords("C6 A7 Dm7 G7")) == ()


@pytest.mark.parametrize(("semitones", "shift"), [(1, 1), (6, 6), (7, -5), (11, -1)])
def test_roots_move_the_nearest_way(semitones, shift):
    assert Transposed(0, 2, 2, semitones).shift == shift


KINDS = ["7", "m7", "6", "maj7", "m6", "dim7", "9", "m7b5", "m", "13", "m9", "7b9"]


def test_the_longest_progression_that_is_looked_for_has_twelve_chords():
    first, again = (" ".join(root + kind for kind in KINDS) for root in ("C", "D"))
    for between, found in (("", [(0, 12, 12)]), ("F", [(0, 12, 13)]), ("F Bb6/9", [])):
        heard = sequences(chords(f"{first} {between} {again}"))
        assert [(each.first, each.length, each.lag) for each in heard] == found


words = st.lists(st.sampled_from(["C7", "F7", "Bb7", "Dm7", "G7", "Am7", "C6", "F6"]), max_size=12)


@given(words)
def test_every_pair_is_the_same_kind_shifted_alike(row):
    symbols = [word for place, word in enumerate(row) if place == 0 or row[place - 1] != word]
    found = [parse_chord(word) for word in symbols]
    again = []
    for each in sequences(found):
        assert each.length >= 2
        for first, later in each.pairs:
            again.append(later)
            assert found[first].quality == found[later].quality
            assert (found[later].root.pc - found[first].root.pc) % 12 == each.semitones != 0
    assert len(again) == len(set(again))
