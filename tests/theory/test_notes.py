"""Chords with German and solfège names are explained rightly.

The German names are those of any German primer: *-is* raises, *-es* lowers, As, Es, H and B.
"""

from __future__ import annotations

import pytest

from porchswing.errors import ChordSymbolError
from porchswing.theory.notes import in_english
from porchswing.theory.symbols import parse_chord

MEANT = {
    "Es7": "Eb7", "As": "Ab", "Asm": "Abm", "Cis7": "C#7", "Fism7": "F#m7", "Ges": "Gb",
    "Des7": "Db7", "His": "B#", "fis": "F#m", "es7": "Ebm7", "Asmaj7": "Abmaj7",
    "Rém": "Dm", "Sol7": "G7", "La": "A", "Sib": "Bb", "Lam7": "Am7", "Mi7": "E7",
}  # fmt: skip


@pytest.mark.parametrize(("written", "meant"), MEANT.items())
def test_the_hint_says_what_was_meant(written: str, meant: str) -> None:
    assert in_english(written) == meant
    with pytest.raises(ChordSymbolError) as raised:
        parse_chord(written)
    assert raised.value.hint.startswith(f"did you mean {meant}?")


@pytest.mark.parametrize("symbol", ["Esus4", "Asus2", "A7sus4", "Do", "Bm", "C", "Gsus", "Ddim"])
def test_what_is_a_chord_stays_one(symbol: str) -> None:
    parse_chord(symbol)


@pytest.mark.parametrize("text", ["", "x", "Cs7", "Hello", "is", "Gs"])
def test_the_rest_is_left_alone(text: str) -> None:
    assert in_english(text) == ""
