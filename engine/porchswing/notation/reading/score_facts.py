"""The facts of a music21 score: its measures, chords and notes as plain records, its heading."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from porchswing.chart.language.values import MAX_SWING, MAX_TEMPO_BPM, MIN_TEMPO_BPM
from porchswing.chart.limits import MAX_METER_COUNT
from porchswing.chart.model import Chart, Meter, SwingSetting
from porchswing.errors import LeadSheetError
from porchswing.notation.chord_kinds import KINDS, DegreeStep, quality_from
from porchswing.notation.xml import NOT_GIVEN
from porchswing.theory.chords import Chord, Quality
from porchswing.theory.keys import MAX_SIGNATURE, Key
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
    """One measure as the file has it."""

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
    """Return the chord of a music21 ``ChordSymbol``; what a symbol cannot write is remarked."""
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
    """Return the quality of a kind, without the changes that no symbol can write."""
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


# --- the heading ----------------------------------------------------------------------------------

_SHARPS = "FCGDAEB"


def meter_of(part: Any, path: Path, remarks: Remarks) -> Meter:
    """Return the first meter of a part as n/4 or n/8."""
    found = list(part.recurse().getElementsByClass("TimeSignature"))
    if not found:
        remarks.add("there is no meter, so 4/4 was taken")
        return Meter()
    count, unit = int(found[0].numerator), int(found[0].denominator)
    if unit < 4:
        remarks.add(f"the meter {count}/{unit} is written as {count * 4 // unit}/4")
        count, unit = count * 4 // unit, 4
    if unit == 16 and count % 2 == 0:
        count, unit = count // 2, 8
    if unit not in (4, 8) or not 1 <= count <= MAX_METER_COUNT:
        raise LeadSheetError(
            f"{path} is in {count}/{unit}; a chart has n/4 or n/8, n up to {MAX_METER_COUNT}"
        )
    for other in found[1:]:
        if other.ratioString != found[0].ratioString:
            remarks.add(f"the change of meter to {other.ratioString}")
    return Meter(count, unit)


def key_of(part: Any, remarks: Remarks) -> Key:
    """Return the first key signature of a part as a key."""
    found = list(part.recurse().getElementsByClass("KeySignature"))
    if not found:
        remarks.add("there is no key signature, so C was taken")
        return Key(NoteName("C"))
    sharps = max(-MAX_SIGNATURE, min(MAX_SIGNATURE, int(found[0].sharps)))
    mode = str(getattr(found[0], "mode", "major"))
    alter, place = divmod(sharps + 1, len(_SHARPS))
    tonic = NoteName(_SHARPS[place], alter)
    if mode not in ("major", "minor", "None"):
        remarks.add(f"the mode {mode}: the major key of its signature was taken")
    for other in found[1:]:
        if other.sharps != found[0].sharps:
            signs = "sharps" if other.sharps > 0 else "flats"
            remarks.add(f"the change of key to {abs(other.sharps)} {signs}")
    major = Key(tonic)
    return Key(major.scale[5], "minor") if mode == "minor" else major


def tempo_of(score: Any, meter: Meter, remarks: Remarks) -> float:
    """Return the first tempo in felt beats a minute."""
    marks = list(score.recurse().getElementsByClass("MetronomeMark"))
    speeds = [speed for mark in marks if (speed := mark.getQuarterBPM())]
    if not speeds:
        return 120.0
    if len({round(speed, 3) for speed in speeds}) > 1:
        remarks.add("changes of tempo after the first")
    felt = round(float(speeds[0]) / float(meter.felt_beats), 3)
    if not MIN_TEMPO_BPM <= felt <= MAX_TEMPO_BPM:
        remarks.add(f"a tempo of {felt:g} is out of range")
    return float(min(MAX_TEMPO_BPM, max(MIN_TEMPO_BPM, felt)))


def swing_of(found: dict[str, str]) -> SwingSetting | None:
    """Return the swing of ``<swing>``: straight, or the first note's length to the second's."""
    said = f"{found.get('first')}/{found.get('second')}"
    if re.fullmatch("[1-9][0-9]{0,3}/[1-9][0-9]{0,3}", said):
        return SwingSetting(Fraction(said)) if 1 <= Fraction(said) <= MAX_SWING else None
    return SwingSetting(Fraction(1)) if "straight" in found else None


def as_said(chart: Chart, said: dict[str, str]) -> Chart:
    """Return a chart with the form and the swing our own export says it was made from.

    The form holds only where it plays the sections as they follow each other in the score.
    """
    if (swing := said.get("swing")) in ("auto", NOT_GIVEN):
        setting = SwingSetting(None) if swing == "auto" else None
        chart = replace(chart, settings=replace(chart.settings, swing=setting))
    intro, ending = said.get("intro"), said.get("ending")
    form = tuple(said.get("form", "").split())
    written = chart.form or tuple(section.name for section in chart.sections)
    if form and tuple(name for name in (intro, *form, ending) if name) == written:
        return replace(chart, form=form, intro=intro, ending=ending)
    return chart


def title_of(score: Any, path: Path) -> str:
    """Return the title of a score, else the name of its file."""
    named = (getattr(score.metadata, key, None) for key in ("title", "movementName", "bestTitle"))
    titles = (clean(name or "") for name in (*named, path.stem.replace("_", " ")))
    return next(filter(None, titles), "Untitled")


def clean(text: str) -> str:
    """Return a text as one line without control characters."""
    printable = "".join(c if c.isprintable() else " " for c in str(text)[:400])
    return " ".join(printable.split())[:200]
