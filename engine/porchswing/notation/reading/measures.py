"""Reading the measures of a music21 part, and remarking what a chart has no room for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from porchswing.chart.language.slots import SILENCE
from porchswing.grips.vocabulary.slides import MARK_WORDS
from porchswing.notation.reading.lyrics import heard_lyrics
from porchswing.notation.reading.score_facts import HeardNote, Measure, Remarks, exact
from porchswing.theory.chords import Chord
from porchswing.theory.notes import NoteName

ChordReader = Callable[[Any], Chord | None]

# classes of music21 that carry nothing a chart could lose, or that are read elsewhere
_KNOWN = frozenset(
    (
        "Barline", "Repeat", "Note", "Rest", "Chord", "ChordSymbol", "NoChord", "Unpitched",
        "ChordWithFretBoard", "TimeSignature", "Key", "KeySignature", "MetronomeMark",
        "RehearsalMark", "RepeatBracket", "TempoText", "Measure", "Voice", "PercussionChord",
        "SystemLayout", "PageLayout", "StaffLayout", "ScoreLayout", "StaffGroup", "TextBox",
        "Beam", "Metadata",
    )
)  # fmt: skip
_OF_MARKS = frozenset(("Scoop", "Falloff", "ArpeggioMark", "Staccatissimo"))
"""Signs that go with playing marks in our own scores."""

_MARKS = {words: mark for mark, words in MARK_WORDS.items()}


def _sign_words(kind: str) -> str:
    """Name a sign by its class: ``DownBow`` is the sign 'down bow'."""
    words = "".join(f" {letter.lower()}" if letter.isupper() else letter for letter in kind)
    return f"the sign {words.strip()!r}"


def _marks_of(text: str) -> tuple[str, ...]:
    """Return the playing marks of a text that has nothing besides; none for another text."""
    marks = [_MARKS.get(words) for words in text.split(", ")]
    return tuple(mark for mark in marks if mark) if all(marks) else ()


@dataclass(frozen=True, slots=True)
class PartReader:
    """Reads the measures of one part; ``chord`` makes a chord of a music21 chord symbol.

    In a score that ``is_ours`` playing marks are read from their words.
    """

    chord: ChordReader
    remarks: Remarks
    is_ours: bool = False

    def measures(self, part: Any) -> list[Measure]:
        """Return the measures of a part in written order."""
        written = list(part.getElementsByClass("Measure"))
        found = [self._measure(measure, index == 0) for index, measure in enumerate(written)]
        self._endings(part, written, found)
        if found:
            found[-1].is_double = False  # every tune ends: a section must not differ by that
        return found

    def _measure(self, measure: Any, is_first: bool) -> Measure:
        beats = exact(measure.barDuration.quarterLength)
        sounding = exact(measure.highestTime)
        # a pickup is the end of its bar
        shift = beats - sounding if is_first and 0 < sounding < beats else Fraction(0)
        read = Measure(beats)
        for element in measure.elements:
            self._sign(element, read, shift)
            if "Harmony" in element.classes:
                chord = None if "NoChord" in element.classes else self.chord(element)
                read.chords.append((exact(element.offset) + shift, chord))
        voices = list(measure.voices)
        if len(voices) > 1:
            self.remarks.add("voices after the first in a measure")
        heard = (self._note(e, shift) for e in (voices[0] if voices else measure).notesAndRests)
        read.notes.extend(note for note in heard if note is not None)
        left, right = measure.leftBarline, measure.rightBarline
        read.repeat_start = getattr(left, "direction", None) == "start"
        if getattr(right, "direction", None) == "end":
            read.repeat_times = max(2, int(right.times or 2))
        elif getattr(right, "type", None) in ("double", "final"):
            read.is_double = True
        return read

    def _note(self, element: Any, shift: Fraction) -> HeardNote | None:
        """Return a note of the melody, or remark why there is none."""
        if "Harmony" in element.classes:
            return None
        if element.duration.isGrace:
            self.remarks.add("grace notes")
            return None
        for sign in (*element.articulations, *element.expressions):
            if not (self.is_ours and type(sign).__name__ in _OF_MARKS):
                self.remarks.add(_sign_words(type(sign).__name__))
        start, beats = exact(element.offset) + shift, exact(element.quarterLength)
        pitch = getattr(element, "pitch", None)
        if pitch is None and element.pitches:
            self.remarks.add("notes below the highest of a chord")
            pitch = max(element.pitches, key=lambda p: float(p.ps))
        lyrics = tuple(heard_lyrics(element))
        tied = element.tie is not None and element.tie.type in ("stop", "continue")
        if pitch is None:
            return HeardNote(start, beats, None, None, tied, lyrics, "Unpitched" in element.classes)
        name = NoteName(str(pitch.step), int(pitch.alter))
        return HeardNote(start, beats, int(pitch.midi), name, tied, lyrics)

    def _sign(self, element: Any, read: Measure, shift: Fraction) -> None:
        """Take in a written N.C.; remark what a chart has no room for."""
        kind = type(element).__name__
        if kind in ("TextExpression", "ExpressionMark"):
            text = str(element.content).strip()
            if text in SILENCE:
                read.chords.append((exact(element.offset) + shift, None))
            elif self.is_ours and (marks := _marks_of(text)):
                read.marks.append((exact(element.offset) + shift, marks))
            elif text:
                self.remarks.add(f"the words {text[:40]!r}")
        elif kind not in _KNOWN and not kind.endswith("Clef"):
            self.remarks.add(_sign_words(kind))

    def _endings(self, part: Any, written: list[Any], found: list[Measure]) -> None:
        """Give first and second endings to the measures they begin at."""
        places = {id(measure): index for index, measure in enumerate(written)}
        brackets = sorted(
            (min(inside), sorted(int(n) for n in bracket.numberRange))
            for bracket in part.recurse().getElementsByClass("RepeatBracket")
            if (
                inside := [
                    places[i] for m in bracket.getSpannedElements() if (i := id(m)) in places
                ]
            )
        )
        group: list[tuple[int, list[int]]] = []
        for start, numbers in brackets:
            if not numbers or numbers[0] == 1:
                group = []
            group.append((start, numbers or [1]))
            found[start].ending = len(group)
            if len(group) > 1:
                self._passes(found, group)

    def _passes(self, found: list[Measure], group: list[tuple[int, list[int]]]) -> None:
        """Tell the first ending how often it is played when a bracket counts several passes."""
        total = group[-1][1][-1]
        for index in range(group[0][0], group[1][0]):
            if found[index].repeat_times:
                found[index].repeat_times = max(2, total)
