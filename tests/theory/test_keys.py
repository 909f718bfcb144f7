"""Keys: signatures and scales against music21, spelling in every key."""

from __future__ import annotations

import pytest
from hypothesis import given, strategies as st

from porchswing.errors import OptionError
from porchswing.theory.keys import Key, degree_between, enharmonics, simplified
from porchswing.theory.notes import Degree, NoteName, note_at
from support.strategies import keys, note_names

MAJOR = ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"]
MINOR = ["Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#", "G#", "D#", "A#"]
ALL_KEYS = [Key.parse(name) for name in MAJOR] + [Key.parse(f"{name} minor") for name in MINOR]


@pytest.mark.parametrize("key", ALL_KEYS, ids=str)
def test_signature_and_scale_are_music21s(need_module, key: Key) -> None:
    need_module("music21")
    from music21 import key as music21_key

    other = music21_key.Key(str(key.tonic).replace("b", "-"), key.mode)
    assert key.signature == other.sharps
    names = [pitch.name.replace("-", "b") for pitch in other.getScale(key.mode).pitches[:7]]
    assert [str(note) for note in key.scale] == names


@pytest.mark.parametrize("key", ALL_KEYS, ids=str)
def test_every_pitch_class_is_spelled_once_and_simply(key: Key) -> None:
    spelled = [key.spell(pc) for pc in range(12)]
    assert [note.pc for note in spelled] == list(range(12))
    assert all(abs(note.alter) <= 1 for note in spelled)
    for note in key.scale:
        assert key.spell(note.pc) == note


def test_all_24_keys_are_there() -> None:
    assert {(key.tonic.pc, key.mode) for key in ALL_KEYS} == {
        (pc, mode) for pc in range(12) for mode in ("major", "minor")
    }


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("F", "F"),
        ("Bb", "Bb"),
        ("B♭", "Bb"),
        ("F♯ minor", "F# minor"),
        ("Gm", "G minor"),
        ("G min", "G minor"),
        ("G Minor", "G minor"),
        ("Eb major", "Eb"),
    ],
)
def test_ways_to_write_a_key(text: str, key: str) -> None:
    assert str(Key.parse(text)) == key


@pytest.mark.parametrize("text", ["", "H", "f", "F lydian", "Fb", "G# major", "Db minor", "F##"])
def test_what_is_no_key_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"key|note name|signs"):
        Key.parse(text)


@given(keys)
def test_keys_read_back(key: Key) -> None:
    assert Key.parse(str(key)) == key
    assert key.simple == key


@given(note_names, st.integers(1, 7), st.integers(-1, 1))
def test_degrees_lead_to_notes_and_back(root: NoteName, number: int, alter: int) -> None:
    degree = Degree(number, alter)
    assert degree_between(root, note_at(root, degree)) == degree


@given(st.sampled_from("CDEFGAB"), st.integers(-4, 4))
def test_simplified_keeps_the_pitch(letter: str, alter: int) -> None:
    note = NoteName(letter, alter)
    simple = simplified(note)
    assert simple.pc == note.pc
    assert abs(simple.alter) <= 1
    assert simple in enharmonics(note.pc)
    if abs(alter) <= 1:
        assert simple == note


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("Es", "Eb"),
        ("as moll", "Ab minor"),
        ("H", "B"),
        ("Sol", "G"),
        ("fis", "F# minor"),
        ("Hm", "B minor"),
        ("ebm", "Eb minor"),
        ("bm", "B minor"),
    ],
)
def test_a_german_or_solfege_key_is_told_in_english(said: str, meant: str) -> None:
    with pytest.raises(OptionError, match=f"did you mean {meant}"):
        Key.parse(said)
    Key.parse(meant)


@pytest.mark.parametrize("said", ["Q minor", "xyz minor", "Q flat minor", "Q major", "minor", ""])
def test_what_is_no_note_is_no_key_either(said: str) -> None:
    with pytest.raises(OptionError, match="a key is a note, perhaps with the word minor"):
        Key.parse(said)


# enharmonic keys, from any table of the circle of fifths: G# major has eight sharps, Ab four flats
@pytest.mark.parametrize(("tonic", "simple"), [("G#", "Ab"), ("Fb", "E"), ("D#", "Eb")])
def test_a_key_of_more_than_seven_signs_is_answered_with_its_simple_name(
    tonic: str, simple: str
) -> None:
    assert str(Key(NoteName.parse(tonic), "major").simple.tonic) == simple
    with pytest.raises(OptionError, match=f"at most 7 signs, got {tonic}; write {simple}$"):
        Key.parse(tonic)


def test_printed_double_signs_are_two_semitones() -> None:
    assert [NoteName.parse(f"B{sign}").alter for sign in "b♭#♯𝄫𝄪"] == [-1, -1, 1, 1, -2, 2]
