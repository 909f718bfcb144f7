"""Lengths in beats as written note values: types, dots, triplets and ties."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

TYPES: tuple[tuple[str, Fraction], ...] = (
    ("breve", Fraction(8)),
    ("whole", Fraction(4)),
    ("half", Fraction(2)),
    ("quarter", Fraction(1)),
    ("eighth", Fraction(1, 2)),
    ("16th", Fraction(1, 4)),
    ("32nd", Fraction(1, 8)),
    ("64th", Fraction(1, 16)),
)
"""Note types of MusicXML 4.0 (``note-type-value``) and their lengths in quarter-note beats."""

_TRIPLET = Fraction(3, 2)


@dataclass(frozen=True, slots=True)
class NoteValue:
    """One written note: its length in beats, ``type`` (empty: none fits), dots, triplet or not."""

    beats: Fraction
    type: str = ""
    dots: int = 0
    triplet: bool = False


def note_values(beats: Fraction) -> tuple[NoteValue, ...]:
    """Return the note values that make up a length, the longest first, to be tied together.

    >>> [(value.type, value.dots) for value in note_values(Fraction(5, 2))]
    [('half', 0), ('eighth', 0)]
    >>> note_values(Fraction(2, 3))[0].triplet
    True
    """
    for triplet in (False, True):
        nominal = beats * _TRIPLET if triplet else beats
        if (TYPES[-1][1].denominator * nominal).denominator == 1:
            return tuple(_greedy(nominal, triplet))
    return (NoteValue(beats),)


def _greedy(nominal: Fraction, triplet: bool) -> list[NoteValue]:
    """Take the longest plain or dotted value again and again."""
    values: list[NoteValue] = []
    while nominal > 0:
        name, dots, length = next(
            (name, dots, length)
            for name, plain in TYPES
            for dots, length in ((1, plain * Fraction(3, 2)), (0, plain))
            if length <= nominal and (dots == 0 or plain > TYPES[-1][1])
        )
        values.append(NoteValue(length / _TRIPLET if triplet else length, name, dots, triplet))
        nominal -= length
    return values
