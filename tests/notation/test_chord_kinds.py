"""Kinds: every quality goes to MusicXML and back, and music21 hears the same notes."""

from __future__ import annotations

from xml.etree.ElementTree import tostring

import pytest
from hypothesis import given, settings

from porchswing.errors import ChordSymbolError
from porchswing.notation.chord_kinds import KINDS, DegreeStep, kind_of, quality_from
from porchswing.notation.writing.musicxml import harmony_element
from porchswing.theory.chords import Chord
from porchswing.theory.qualities import QUALITIES, alterations
from porchswing.theory.symbols import parse_chord
from support.strategies import chord_symbols, chords


@pytest.mark.parametrize("suffix", sorted(QUALITIES), ids=lambda s: s or "major")
def test_every_row_comes_back(suffix: str) -> None:
    quality = QUALITIES[suffix]
    assert quality_from(*kind_of(quality)) == quality


def test_every_kind_of_the_schema_is_known(need_module) -> None:
    need_module("musicxml")
    from importlib.resources import files

    schema = (files("musicxml") / "generate_classes" / "musicxml_4_0.xsd").read_text("utf-8")
    part = schema.partition('<xs:simpleType name="kind-value">')[2].partition("</xs:simpleType>")[0]
    values = {piece.partition('"')[0] for piece in part.split('xs:enumeration value="')[1:]}
    without_symbol = {
        "Neapolitan", "Italian", "French", "German", "pedal", "Tristan", "other", "none"
    }  # fmt: skip
    assert values - without_symbol == set(KINDS)


@given(chord_symbols())
def test_composed_chords_come_back(text: str) -> None:
    try:
        chord = parse_chord(text)
    except ChordSymbolError:
        return
    assert quality_from(*kind_of(chord.quality)) == chord.quality


def heard_by_music21(chord: Chord) -> tuple[set[str], str, str]:
    """Return the notes, root and bass that music21's reader hears in our XML."""
    from xml.etree.ElementTree import fromstring

    from music21.musicxml.xmlToM21 import MeasureParser

    symbol = MeasureParser().xmlToChordSymbol(
        fromstring(tostring(harmony_element(chord, None), encoding="unicode"))
    )
    names = {pitch.name.replace("-", "b") for pitch in symbol.pitches}
    return names, symbol.root().name.replace("-", "b"), symbol.bass().name.replace("-", "b")


@pytest.mark.parametrize("root", ["C", "Db", "E", "F#", "Ab", "B"])
def test_music21_hears_the_same_notes(need_module, root: str) -> None:
    need_module("music21")
    for suffix in QUALITIES:
        chord = parse_chord(root + (f"({suffix})" if suffix[:1] == "b" else suffix))
        notes, heard_root, _ = heard_by_music21(chord)
        assert heard_root == root
        assert notes == {str(note) for note in chord.notes}, chord.symbol


@settings(max_examples=60)
@given(chords())
def test_music21_hears_the_same_bass(chord: Chord) -> None:
    pytest.importorskip("music21")
    _, root, bass = heard_by_music21(chord)
    assert (root, bass) == (str(chord.root), str(chord.bass_note))


def test_what_no_symbol_can_say_is_refused() -> None:
    with pytest.raises(ValueError, match="Neapolitan"):
        quality_from("Neapolitan", ())
    with pytest.raises(ValueError, match="added, altered or subtracted"):
        quality_from("major", (DegreeStep(9, 0, "sing"),))
    with pytest.raises(ValueError, match="no chord symbol"):
        quality_from("major", (DegreeStep(1, 0, "subtract"),))


def test_a_seventh_is_never_an_added_degree() -> None:
    for spelling in (*QUALITIES, *(f"7{step}" for step in alterations())):
        try:
            chord = parse_chord(f"C({spelling})" if spelling[:1] in "b#" else f"C{spelling}")
        except ChordSymbolError:
            continue
        _, steps = kind_of(chord.quality)
        assert not any(step.value == 7 and step.deed == "add" for step in steps), spelling
