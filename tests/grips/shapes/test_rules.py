"""Which tones a grip sounds, and that every grip offered keeps the rules."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings, strategies as st

from porchswing.grips.shapes.enumerate import enumerate_grips
from porchswing.grips.shapes.fingers import fingerings
from porchswing.grips.shapes.hand import CLOSED_HAND, Hand
from porchswing.grips.shapes.rules import tone_rule, tone_sets
from porchswing.grips.shapes.tunings import TUNINGS, tuning
from porchswing.theory.qualities import QUALITIES
from porchswing.theory.symbols import parse_chord
from support.strategies import chords

UKE = tuning("gCEA")


# guide tones and omissions: University of Puget Sound, "Music Theory", section 31.7; the
# eleventh against a major third: common practice
@pytest.mark.parametrize(
    ("suffix", "needed", "spare", "barred"),
    [
        ("", "1 3 5", "", ""),
        ("5", "1 5", "", ""),
        ("7", "1 3 b7", "5", ""),
        ("maj7", "1 3 7", "5", ""),
        ("m7b5", "1 b3 b5 b7", "", ""),
        ("dim7", "1 b3 b5 bb7", "", ""),
        ("7#5", "1 3 #5 b7", "", ""),
        ("6", "1 3 5 6", "", ""),
        ("9", "3 b7 9", "1 5", ""),
        ("7b9", "3 b7 b9", "1 5", ""),
        ("9#5", "3 #5 b7 9", "1", ""),
        ("6/9", "3 6 9", "1 5", ""),
        ("13", "3 b7 13", "1 5 9", ""),
        ("m13", "b3 b7 13", "1 5 9 11", ""),
        ("11", "b7 11", "1 5 9", "3"),
        ("m11", "b3 b7 11", "1 5 9", ""),
        ("sus4", "1 4 5", "", ""),
        ("7sus4", "1 4 5 b7", "", ""),  # C F Bb without its fifth is Fsus4
        ("add9", "1 3 9", "5", ""),
    ],
)
def test_rules_by_quality(suffix, needed, spare, barred):
    rule = tone_rule(QUALITIES[suffix])
    said = tuple(" ".join(map(str, part)) for part in (rule.needed, rule.spare, rule.barred))
    assert said == (needed, spare, barred)


@pytest.mark.parametrize("suffix", QUALITIES)
def test_every_quality_can_sound_on_three_to_six_strings(suffix):
    chord = parse_chord(f"C{suffix}")
    for strings in range(3, 7):
        sets = tone_sets(chord, strings)
        assert sets
        assert all(tones <= chord.pcs and len(tones) <= strings for tones in sets)


def test_no_eleventh_beside_a_major_third():
    for suffix, quality in QUALITIES.items():
        chord = parse_chord(f"C{suffix}")
        if {"3", "11"} <= set(map(str, quality.degrees)):
            assert all(not {4, 5} <= tones for tones in tone_sets(chord, 6)), suffix


def every_grip(chord, tuning, hand, kind, window):
    """The same by trying every fret on every string; for four strings."""
    low, high = window
    frets = [*([0] if kind != "closed" else []), *range(low, high + 1)]
    sets = tone_sets(chord, tuning.strings)
    for row in product(frets, repeat=tuning.strings):
        pressed = [fret for fret in row if fret]
        if pressed and max(pressed) - min(pressed) > hand.max_stretch:
            continue
        pcs = {(note + fret) % 12 for note, fret in zip(tuning.open_midi, row, strict=True)}
        if pcs in map(set, sets) and fingerings(row, hand.barre, hand.fingers):
            yield row


@settings(deadline=None, max_examples=40)
@given(
    chords(slash=False),
    st.sampled_from(("gCEA", "GCEA", "DGBE", "GDAE")),
    st.sampled_from(("closed", "any")),
    st.sampled_from((1, 3, 7)),
    st.builds(Hand, max_stretch=st.integers(1, 4), barre=st.booleans(), fingers=st.integers(1, 4)),
)
def test_no_grip_is_missed_and_none_is_wrong(chord, name, kind, low, hand):
    chosen, window = tuning(name), (low, low + 5)
    found = enumerate_grips(chord, chosen, hand, kind=kind, window=window)
    assert [grip.frets for grip in found] == sorted(every_grip(chord, chosen, hand, kind, window))


def test_closed_grips_have_no_open_string_and_muted_ones_only_where_asked():
    guitar = tuning("guitar")
    for symbol in ("C", "E7", "Am7", "G13"):
        chord = parse_chord(symbol)
        closed = enumerate_grips(chord, UKE, CLOSED_HAND)
        assert closed
        assert all(grip.is_closed for grip in closed)
        plain = enumerate_grips(chord, guitar, CLOSED_HAND, kind="any")
        assert not any(None in grip.frets for grip in plain)
        muted = enumerate_grips(chord, guitar, CLOSED_HAND, kind="any", mutes=True)
        assert any(None in grip.frets for grip in muted)
        assert {grip.frets for grip in plain} <= {grip.frets for grip in muted}


@pytest.mark.parametrize(("name", "least"), [("gCEA", 3), ("guitar", 4)])
def test_muting_leaves_a_chord_on_so_many_strings(name, least):
    for symbol in ("C", "E7", "G13", "C5"):
        chord = parse_chord(symbol)
        grips = enumerate_grips(chord, tuning(name), CLOSED_HAND, kind="any", mutes=True)
        sounding = [sum(fret is not None for fret in grip.frets) for grip in grips]
        assert min(sounding) == least, symbol


def test_chosen_strings_alone_sound():
    grips = enumerate_grips(parse_chord("E7"), tuning("guitar 6432"), CLOSED_HAND)
    assert grips
    assert all(grip.frets[1] is None and grip.frets[5] is None for grip in grips)
    assert all(sum(fret is not None for fret in grip.frets) == 4 for grip in grips)


@pytest.mark.parametrize(
    "name", [*TUNINGS, "c4 c4 c4", "g4 c4 e4", "c4 c4 e4 e4 g4 g4", "a1 c6 e3"]
)
@pytest.mark.parametrize("suffix", ["", "m7", "13", "dim7", "6", "7alt", "5"])
def test_odd_tunings_do_no_harm(name, suffix):
    for kind in ("closed", "open", "any"):
        chord = parse_chord(f"Db{suffix}")
        for grip in enumerate_grips(chord, tuning(name), CLOSED_HAND, kind=kind):
            assert {m % 12 for m in grip.midi if m is not None} <= chord.pcs
