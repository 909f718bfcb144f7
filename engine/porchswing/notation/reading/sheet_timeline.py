"""From a music21 score to plain records: measures with their chords, notes and signs."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from porchswing.notation.chord_kinds import KINDS, DegreeStep, quality_from
from porchswing.theory.chords import Chord, Quality
from porchswing.theory.notes import NoteName
from porchswing.theory.qualities import quality_of

GRID = 1_000
"""Offsets that music21 keeps as floats are taken as fractions with denominators up to this."""

# kinds music21 has beyond the standard's, and their names for the same kinds
MUSIC21_KINDS: dict[str, tuple[str, tuple[DegreeStep, ...]]] = {
    "dominant-seventh": ("dominant", ()),
    "minor-major-seventh": ("major-minor", ()),
    "half-diminished-seventh": ("half-diminished", ()),
    "augmented-major-seventh": ("major-seventh", (DegreeStep(5, 1, "alter"),)),
    "seventh-flat-five": ("dominant", (DegreeStep(5, -1, "alter"),)),
    "minor-major-ninth": ("major-minor", (DegreeStep(9, 0, "add"),)),
    "augmented-dominant-ninth": ("augmented-seventh", (DegreeStep(9, 0, "add"),)),
    "half-diminished-ninth": ("half-diminished", (DegreeStep(9, 0, "add"),)),
    "suspended-fourth-seventh": (
        "dominant",
        (DegreeStep(3, 0, "subtract"), DegreeStep(4, 0, "add")),
    ),
}


@dataclass(frozen=True, slots=True)
class HeardLyric:
    """A syllable under a note, of the verse of a number; an empty text holds the one before.

    ``is_open`` is true where an extender follows it, ``is_closed`` where that ends here: notes
    without a text are then gaps.
    """

    number: int
    text: str
    is_joined: bool = False
    is_open: bool = False
    is_closed: bool = False


@dataclass(frozen=True, slots=True)
class HeardNote:
    """A note or rest of the melody: start and length in beats, pitch with its spelling.

    A note without pitch that ``is_spoken`` rests in the melody, but may carry words.
    """

    start: Fraction
    beats: Fraction
    pitch: int | None = None
    name: NoteName | None = None
    tied_before: bool = False
    lyrics: tuple[HeardLyric, ...] = ()
    is_spoken: bool = False


@dataclass(slots=True)
class Measure:
    """One measure as it stands in the file."""

    beats: Fraction
    chords: list[tuple[Fraction, Chord | None]] = field(default_factory=list)
    marks: list[tuple[Fraction, tuple[str, ...]]] = field(default_factory=list)
    notes: list[HeardNote] = field(default_factory=list)
    repeat_start: bool = False
    repeat_times: int = 0
    ending: int | None = None
    is_double: bool = False


class Remarks:
    """What could not be carried over, each thing once with how often it came."""

    def __init__(self) -> None:
        self._counts: Counter[str] = Counter()

    def add(self, text: str) -> None:
        """Note one thing left out."""
        self._counts[text] += 1

    @property
    def lines(self) -> tuple[str, ...]:
        """The remarks in the order they came."""
        return tuple(
            text if count == 1 else f"{text} ({count} times)"
            for text, count in self._counts.items()
        )


def exact(value: Any) -> Fraction:
    """Return music21's offset or length as an exact fraction."""
    return Fraction(value).limit_denominator(GRID)


def read_chord(symbol: Any, remarks: Remarks) -> Chord | None:
    """Return the chord of a music21 ``ChordSymbol``; what it cannot say is remarked."""
    root = _name(symbol.root())
    bass = symbol.bass()
    kind, steps = MUSIC21_KINDS.get(symbol.chordKind, (symbol.chordKind, ()))
    own = tuple(
        DegreeStep(
            int(step.degree),
            int(step.interval.semitones) if step.interval is not None else 0,
            str(step.modType),
        )
        for step in symbol.chordStepModifications
    )
    quality = _quality(kind, steps + own, str(symbol.figure), remarks)
    if quality is None:
        return None
    below = _name(bass) if bass is not None else root
    return Chord(root, quality, below if below != root else None)


def _quality(
    kind: str, steps: tuple[DegreeStep, ...], figure: str, remarks: Remarks
) -> Quality | None:
    """Return the quality of a kind, without the changes that no symbol can say."""
    for tried in (steps, ()):
        try:
            quality = quality_from(kind, tried)
        except ValueError:
            continue
        if tried != steps:
            remarks.add(f"the added or altered notes of the chord {figure!r}")
        return _without_clash(quality)
    remarks.add(f"the chord {figure!r} has no chord symbol here: N.C. stands for it")
    return None


def _without_clash(quality: Quality) -> Quality:
    """Drop the eleventh of a whole major or dominant thirteenth, as charts here mean it."""
    degrees = frozenset(quality.degrees)
    if degrees in (KINDS["dominant-13th"], KINDS["major-13th"]):
        return quality_of(frozenset(degree for degree in degrees if degree.number != 11))
    return quality


def _name(pitch: Any) -> NoteName:
    return NoteName(str(pitch.step), int(pitch.alter))
