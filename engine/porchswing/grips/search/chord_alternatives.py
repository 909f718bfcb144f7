"""Chords offered with alternatives: Bb7 may be Bb7 or Bb9, whichever lies better."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from porchswing.errors import ChordSymbolError, GripError
from porchswing.theory.chords import Chord, Quality
from porchswing.theory.symbols import parse_chord, parse_quality


@dataclass(frozen=True, slots=True)
class Offers:
    """What may stand for a whole chord, and what for a quality on any root."""

    chords_for: tuple[tuple[Chord, tuple[Chord, ...]], ...] = ()
    qualities_for: tuple[tuple[Quality, tuple[Quality, ...]], ...] = ()

    def chords(self, chord: Chord) -> tuple[Chord, ...]:
        """Return a chord and what may stand for it; a slash bass is kept."""
        for offered, others in self.chords_for:
            if offered == chord:
                return others
        for quality, qualities in self.qualities_for:
            if quality == chord.quality:
                return tuple(Chord(chord.root, other, chord.bass) for other in qualities)
        return (chord,)


NO_OFFERS = Offers()
"""Every chord as written."""


def read_offers(texts: Iterable[str]) -> Offers:
    """Read offers such as ``Bb7|Bb9``, or ``7|9`` for every root; the first is the one replaced.

    >>> [str(chord) for chord in read_offers(["7|9"]).chords(parse_chord("Bb7"))]
    ['Bb7', 'Bb9']
    """
    chords, qualities = [], []
    for text in texts:
        words = [word.strip() for word in text.split("|")]
        if len(words) < 2 or not all(words):
            raise GripError(f"an offer is two chords or more, such as Bb7|Bb9 or 7|9, got {text!r}")
        try:
            if words[0][0] in "ABCDEFG":
                read = tuple(parse_chord(word) for word in words)
                chords.append((read[0], read))
            else:
                kinds = tuple(parse_quality(word) for word in words)
                qualities.append((kinds[0], kinds))
        except ChordSymbolError as error:
            raise GripError(f"in the offer {text!r}: {error}") from error
    return Offers(tuple(chords), tuple(qualities))
