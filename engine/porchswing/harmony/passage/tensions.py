"""Which melody notes a chord bears, by its function: chord tones, tensions, and notes to avoid.

The rule is that of every jazz textbook: a note a semitone above a chord tone is avoided, the
altered ninths and thirteenths of a dominant excepted; so is what would make the chord another
one (the third over a suspension, the thirteenth over a minor seventh). References: available
and avoid notes after D. Haerle, in the open encyclopedia article "Avoid note"; a chord-scale
table of college course notes, "Chord scale summation".
"""

from __future__ import annotations

from functools import lru_cache

from porchswing.theory.chords import Chord, Quality

# family -> semitones above the root that a held melody note may not be
AVOID: dict[str, frozenset[int]] = {
    "major": frozenset({1, 3, 5, 8, 10}),
    "minor": frozenset({1, 4, 6, 8}),
    "dominant": frozenset({3, 5, 8, 11}),
    "half-diminished": frozenset({1, 4, 7, 9, 11}),
    "diminished": frozenset({1, 4, 7, 10}),
    "augmented": frozenset({1, 3, 5, 7, 9, 10}),
    "suspended": frozenset({1, 3, 4, 6, 8, 11}),
    "power": frozenset({1}),
}
"""What is avoided whatever the colour, unless the chord has the note itself."""

# a degree the chord has -> semitones above the root that it rules out
RULED_OUT: dict[str, frozenset[int]] = {
    "7": frozenset({0, 10}),
    "b7": frozenset({11}),
    "6": frozenset({10}),
    "9": frozenset({1}),
    "b9": frozenset({2}),
    "#9": frozenset({2}),
    "#5": frozenset({7, 9}),
    "b13": frozenset({9}),
    "13": frozenset({8}),
    "b5": frozenset({7}),
}
"""What a colour rules out besides."""

ASKS: dict[str, dict[int, str]] = {
    "major": {11: "maj7", 9: "6", 2: "6/9"},
    "minor": {11: "mMaj7", 9: "m6", 2: "m9"},
    "dominant": {1: "7b9", 3: "7#9", 8: "7#5", 5: "7sus4", 9: "13", 2: "9"},
    "half-diminished": {2: "m9b5"},
}
"""The colour that a melody note asks for, by family and semitones above the root."""


@lru_cache(maxsize=1024)
def avoided(quality: Quality) -> frozenset[int]:
    """Return the notes a chord does not bear, in semitones above its root.

    >>> from porchswing.theory.qualities import QUALITIES
    >>> sorted(avoided(QUALITIES["7"])), sorted(avoided(QUALITIES["7b9"]))
    ([3, 5, 8, 11], [2, 3, 5, 8, 11])
    """
    own = {degree.semitones % 12 for degree in quality.degrees}
    found = set(AVOID[quality.family] - own)
    for degree, notes in RULED_OUT.items():
        if quality.has(degree):
            found |= notes - own if degree != "7" else notes
    if quality.family == "minor" and quality.has("b7"):
        found |= {9} - own  # with the third it is the tritone of the dominant
    return frozenset(found)


def bears(chord: Chord, pitch: int) -> bool:
    """Return whether a chord bears a melody note (MIDI number).

    >>> from porchswing.theory.symbols import parse_chord
    >>> bears(parse_chord("Dm7"), 63), bears(parse_chord("G7"), 68)
    (False, True)
    """
    return (pitch - chord.root.pc) % 12 not in avoided(chord.quality)
