"""Key signatures as a MIDI file can write them: at most seven sharps or flats."""

from __future__ import annotations

from porchswing.theory.keys import Key
from porchswing.theory.notes import NoteName

MAJOR_TONICS = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")
MINOR_TONICS = ("Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#", "G#", "D#", "A#")
"""Tonics from seven flats to seven sharps; the middle one has no accidental."""


def key_signature(text: str) -> str:
    """Return the name of a key signature, such as ``Bb`` or ``F#m``.

    A tonic with more than seven accidentals is written as its enharmonic twin.

    >>> key_signature("G minor"), key_signature("G#")
    ('Gm', 'Ab')
    """
    key = Key.parse(text)
    tonics = MINOR_TONICS if key.mode == "minor" else MAJOR_TONICS
    tonic = str(key.tonic)
    if tonic not in tonics:
        twins = [name for name in tonics if NoteName.parse(name).pc == key.tonic.pc]
        tonic = min(twins, key=lambda name: abs(tonics.index(name) - 7))
    return tonic + ("m" if key.mode == "minor" else "")
