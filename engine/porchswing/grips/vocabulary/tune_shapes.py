"""The shapes of a tune: each drawn once, named by what it makes, with where it is used."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from porchswing.grips.search.shape_search import fits
from porchswing.grips.shapes.model import Grip, Shape, VoicedSlot, Voicing, lowest_fret, shape_of
from porchswing.theory.chords import Chord

KIND_WORDS: dict[str, str] = {
    "": "major", "m": "minor", "7": "seventh", "maj7": "major seventh", "m7": "minor seventh",
    "6": "sixth", "m6": "minor sixth", "6/9": "six-nine", "m6/9": "minor six-nine",
    "9": "ninth", "maj9": "major ninth", "m9": "minor ninth", "11": "eleventh",
    "m11": "minor eleventh", "13": "thirteenth", "maj13": "major thirteenth",
    "mMaj7": "minor major seventh", "m7b5": "half-diminished", "dim": "diminished triad",
    "dim7": "diminished", "aug": "augmented", "sus4": "suspended", "sus2": "suspended second",
    "7sus4": "seventh suspended", "9sus4": "ninth suspended", "7#5": "augmented seventh",
    "7b9": "flat nine", "7#9": "sharp nine", "13b9": "thirteen flat nine", "add9": "added ninth",
    "7b5": "seventh flat five", "9#11": "ninth sharp eleven", "5": "power chord",
}  # fmt: skip
"""What teachers call each kind of chord (common practice, no source); others keep their suffix."""


@dataclass(frozen=True, slots=True)
class ShapeUse:
    """One place a shape is used: the chord, the grip, and where it is written."""

    chord: Chord
    grip: Grip
    section: str
    bar: int

    @property
    def fret(self) -> int:
        """The fret of the shape's lowest finger."""
        return lowest_fret(self.grip)


@dataclass(frozen=True, slots=True)
class TuneShape:
    """A shape with its ``name``, its ``uses`` in order, and whether the player knows it."""

    shape: Shape
    name: str
    uses: tuple[ShapeUse, ...]
    is_known: bool = False

    @property
    def frets(self) -> tuple[int, ...]:
        """The frets it is used at, rising, each once."""
        return tuple(sorted({use.fret for use in self.uses}))

    @property
    def symbols(self) -> tuple[str, ...]:
        """The chords it plays, in order, each once."""
        return tuple(dict.fromkeys(str(use.chord) for use in self.uses))

    def __str__(self) -> str:
        """Return the shape, its name, and what it plays at which fret."""
        played = dict.fromkeys((str(use.chord), use.fret) for use in self.uses)
        if self.shape.is_movable:
            words = ", ".join(f"{symbol} at {fret}" for symbol, fret in played)
        else:
            words = ", ".join(self.symbols)
        return f"{self.shape}  {self.name}: {words}"


def tune_shapes(voicing: Voicing, section: str | None = None) -> tuple[TuneShape, ...]:
    """Return the shapes of a voicing, the one used most first; among equals, the first met.

    Those that the hand knows are marked.
    """
    uses: dict[Shape, list[ShapeUse]] = {}
    last: VoicedSlot | None = None
    for slot in voicing.slots:
        if slot.grip is None or slot.chord is None or section not in (None, slot.section):
            continue
        if last is None or (last.chord, last.grip, last.section) != (
            slot.chord, slot.grip, slot.section
        ):  # fmt: skip
            use = ShapeUse(slot.chord, slot.grip, slot.section, slot.bar)
            uses.setdefault(shape_of(slot.grip), []).append(use)
        last = slot
    found = [
        TuneShape(
            shape, _name(own), tuple(own), any(fits(each, shape) for each in voicing.hand.known)
        )
        for shape, own in uses.items()
    ]
    return tuple(sorted(found, key=lambda each: -len(each.uses)))


def _name(uses: list[ShapeUse]) -> str:
    """Return a shape's name: what it makes most often with its root."""
    named = Counter(shape_name(use.chord, use.grip) for use in uses)
    return named.most_common(1)[0][0]


def shape_name(chord: Chord, grip: Grip) -> str:
    """Return what a grip makes of a chord, and where its root is.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> from porchswing.theory.symbols import parse_chord
    >>> shape_name(parse_chord("C"), Grip((5, 4, 3, 3), tuning("gCEA")))
    'major, root on strings 4 and 1'
    """
    kind = KIND_WORDS.get(chord.quality.suffix, chord.quality.suffix)
    strings = [
        str(grip.tuning.strings - index)
        for index, note in enumerate(grip.midi)
        if note is not None and note % 12 == chord.root.pc
    ]
    if not strings:
        return f"{kind}, root left to the bass"
    if len(strings) == 1:
        return f"{kind}, root on string {strings[0]}"
    return f"{kind}, root on strings {', '.join(strings[:-1])} and {strings[-1]}"
