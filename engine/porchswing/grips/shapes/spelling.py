"""Spelled pitches: what a sounding note is called under its chord, with its octave."""

from __future__ import annotations

from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key
from porchswing.theory.notes import NoteName

HOME = Key(NoteName("C"))
"""The key that spells where none is known."""


def spelled(midi: int, chord: Chord | None = None, key: Key | None = None) -> str:
    """Return a MIDI note number as a note with its octave, spelled under a chord or in a key.

    >>> from porchswing.theory.symbols import parse_chord
    >>> spelled(73, parse_chord("A7")), spelled(73, parse_chord("Bbm"))
    ('C#5', 'Db5')
    """
    name = spell_pc(midi % 12, chord, key)
    return f"{name}{(midi - name.alter) // 12 - 1}"


def spell_pc(pc: int, chord: Chord | None = None, key: Key | None = None) -> NoteName:
    """Return a pitch class spelled as the chord does, else as the key does."""
    if chord is not None:
        for note in (*chord.notes, chord.bass_note):
            if note.pc == pc:
                return note
    return (key or HOME).spell(pc)


def shown_pc(pc: int, chord: Chord | None = None, key: Key | None = None) -> NoteName:
    """Return a pitch class as a player reads it: as :func:`spell_pc`, but never a double sign.

    >>> from porchswing.theory.symbols import parse_chord
    >>> str(spell_pc(5, parse_chord("Abdim7"))), str(shown_pc(5, parse_chord("Abdim7")))
    ('Gbb', 'F')
    """
    name = spell_pc(pc, chord, key)
    return name if abs(name.alter) < 2 else (key or HOME).spell(pc)
