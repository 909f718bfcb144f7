"""Chords as numbers, Roman and digits, in major and minor keys; music21 as the other reader."""

from __future__ import annotations

import pytest
from hypothesis import given

from porchswing.chart.language.numerals import parse_numeral, write_numeral
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.errors import ChordSymbolError
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key
from support.strategies import chords, keys


@pytest.mark.parametrize(
    ("text", "key", "symbol"),
    [
        ("I", "F", "F"), ("vi7", "F", "Dm7"), ("ii7", "F", "Gm7"), ("V7", "F", "C7"),
        ("1", "F", "F"), ("6m7", "F", "Dm7"), ("2m7", "F", "Gm7"), ("5^7", "F", "C7"),
        ("57", "F", "C7"), ("2-7", "F", "Gm7"), ("Imaj7", "Bb", "Bbmaj7"), ("IΔ7", "Bb", "Bbmaj7"),
        ("1maj7", "Bb", "Bbmaj7"), ("bVII7", "F", "Eb7"), ("♭VII7", "F", "Eb7"),
        ("b77", "F", "Eb7"),
        ("#ivdim7", "F", "Bdim7"), ("#iv°7", "F", "Bdim7"), ("viiø7", "C", "Bm7b5"),
        ("iim7b5", "C", "Dm7b5"), ("ii7b5", "C", "Dm7b5"), ("iimin7", "C", "Dm7"),
        ("iv", "C", "Fm"),
        ("imMaj7", "C", "CmMaj7"), ("imaj7", "C", "CmMaj7"), ("V7sus4", "G", "D7sus4"),
        ("V+", "G", "Daug"), ("I6/9", "C", "C6/9"), ("16/9", "C", "C6/9"), ("V7(b9,#5)", "C",
        "G7#5b9"), ("I/3", "C", "C/E"), ("1/5", "F", "F/C"), ("V7/7", "C", "G7/B"),
        ("V7/V", "C", "D7"), ("V7/ii", "F", "D7"), ("viio7/V", "C", "F#dim7"), ("V7/G", "C", "G7"),
        ("i", "A minor", "Am"), ("iv7", "A minor", "Dm7"), ("VI", "A minor", "F"),
        ("bVI", "A minor", "F"), ("bVI7", "A minor", "F7"), ("VII", "A minor", "G"),
        ("#vii°7", "A minor", "G#dim7"), ("III", "A minor", "C"), ("V7", "A minor", "E7"),
        ("N.C.", "C", None),
    ],
)  # fmt: skip
def test_numbers_stand_for_chords(text: str, key: str, symbol: str | None) -> None:
    if symbol is None:
        chart = parse_chart(f"numbers: yes\nkey: {key}\n[A]\n| {text} |")
        assert chart.sections[0].plain[0].slots[0].chord is None
    else:
        assert parse_numeral(text, Key.parse(key)).symbol == symbol


@pytest.mark.parametrize("tonic", ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"])
def test_diatonic_triads_are_music21s(need_module, tonic: str) -> None:
    need_module("music21")
    from music21 import roman

    for mode, figures in (
        ("major", ("I", "ii", "iii", "IV", "V", "vi", "viio")),
        ("minor", ("i", "iio", "III", "iv", "v", "VI", "VII")),
    ):
        key = Key(Key.parse(tonic).tonic, mode).simple
        name = str(key.tonic).replace("b", "-")
        for figure in figures:
            other = roman.RomanNumeral(figure, name.lower() if mode == "minor" else name)
            ours = [str(note) for note in parse_numeral(figure, key).notes]
            assert ours == [pitch.name.replace("-", "b") for pitch in other.pitches], figure


def test_digits_and_letters_share_a_chart() -> None:
    chart = parse_chart("key: F\nnumbers: yes\n[A]\n| 1 6m7 | 2m7 5^7 | Bb V7/ii |")
    symbols = [slot.chord.symbol for bar in chart.sections[0].plain for slot in bar.slots]
    assert symbols == ["F", "Dm7", "Gm7", "C7", "Bb", "D7"]
    assert "| 1 6m7 | 2m7 5^7 | Bb V7/ii |" in write_chart(chart)


@pytest.mark.parametrize("text", ["", "8", "0", "IX", "x7", "bb", "I/", "V7/8", "iiq"])
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(ChordSymbolError):
        parse_numeral(text, Key.parse("C"))


@given(chords(), keys)
def test_numbers_read_back(chord: Chord, key: Key) -> None:
    text = write_numeral(chord, key)
    if text != chord.symbol:
        assert parse_numeral(text, key) == chord
