"""The notes of a tune as an arranger reads them: each with its chord, its place and its weight."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from porchswing.chart.model import CHORD_PLACES, Meter
from porchswing.chart.roadmap import PlayedBar, Roadmap, with_onsets
from porchswing.errors import GripError, check_one_of
from porchswing.theory.chords import Chord

NoteKey = tuple[str, int, int]
"""Section, bar from 1, and the note's place in its bar from 0."""


@dataclass(frozen=True, slots=True)
class SoloNote:
    """One written note: where it is, MIDI ``pitch``, its chord, and whether a grip is due.

    ``at`` and ``beats`` are quarters from the bar's start and the note's length.
    """

    key: NoteKey
    at: Fraction
    beats: Fraction
    pitch: int
    chord: Chord | None
    is_gripped: bool


@dataclass(frozen=True, slots=True)
class SoloForm:
    """The notes of a form, ``order`` the keys as they are played, ``times`` how often each is."""

    notes: dict[NoteKey, SoloNote]
    order: tuple[NoteKey, ...]

    @property
    def times(self) -> Counter[NoteKey]:
        """How often each note is played."""
        return Counter(self.order)


def solo_form(roadmap: Roadmap, chords: str = "strong") -> SoloForm:
    """Return the notes of a roadmap's melody with the chords of its lane.

    Raises
    ------
    GripError
        Where the chart has no melody, or ``chords`` is none of :data:`CHORD_PLACES`.
    """
    check_one_of("chords", chords, CHORD_PLACES, GripError)
    notes: dict[NoteKey, SoloNote] = {}
    order: list[NoteKey] = []
    for bar in roadmap.bars:
        for note in _bar_notes(bar, roadmap.meter, chords):
            notes.setdefault(note.key, note)
            order.append(note.key)
    if not notes:
        raise GripError(
            "there is no melody to arrange: it is a lane of the chart, "
            "such as melody | A4:2 C5:1 r:1 |"
        )
    return SoloForm(notes, tuple(order))


def _bar_notes(bar: PlayedBar, meter: Meter, chords: str) -> Iterator[SoloNote]:
    gripped = False
    for index, (at, note) in enumerate(with_onsets(bar.melody)):
        if note.pitch is not None:
            chord = _chord_at(bar, at)
            due = chord is not None and (
                chords == "all" or (not gripped if chords == "bar" else _is_strong(at, meter))
            )
            gripped = gripped or due
            yield SoloNote((bar.section, bar.bar, index), at, note.beats, note.pitch, chord, due)


def _chord_at(bar: PlayedBar, at: Fraction) -> Chord | None:
    sounding = (
        slot.chord for onset, slot in with_onsets(bar.slots) if onset <= at < onset + slot.beats
    )
    return next(sounding, None)


def _is_strong(at: Fraction, meter: Meter) -> bool:
    """Say whether a beat opens a bar, or its second half where that has felt beats of its own."""
    half = meter.bar_beats / 2
    felt = meter.felt_beats
    return at == 0 or (at == half and half % felt == 0 and half > felt)
