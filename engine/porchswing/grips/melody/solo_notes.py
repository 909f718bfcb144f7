"""Chord melody note by note: as the arranger reads a tune, as a tuning reaches it, and arranged.

Every note is read with its chord, its place and its weight. What no octave reaches is reported with
what would help.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from porchswing.chart.model import CHORD_PLACES, Meter
from porchswing.chart.roadmap import PlayedBar, Roadmap, with_onsets
from porchswing.errors import GripError, check_one_of
from porchswing.grips.shapes.hand import Hand
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.grips.shapes.tunings import TUNINGS
from porchswing.theory.chords import Chord
from porchswing.theory.keys import spelled
from porchswing.units import counted

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
    """The notes of a form, and the keys in the ``order`` they are played."""

    notes: dict[NoteKey, SoloNote]
    order: tuple[NoteKey, ...]


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
    onsets = with_onsets(bar.slots)
    return next((slot.chord for onset, slot in onsets if onset <= at < onset + slot.beats), None)


def _is_strong(at: Fraction, meter: Meter) -> bool:
    """Say whether a beat opens a bar, or its second half where that has felt beats of its own."""
    half = meter.bar_beats / 2
    felt = meter.felt_beats
    return at == 0 or (at == half and half % felt == 0 and half > felt)


# --- what a tuning reaches of them ---------------------------------------------------------

OCTAVES = (0, -1, 1, -2, 2)
"""Octaves a tune may be moved by; among equals, the first."""

MOST_SEMITONES = 6
"""Furthest that another key is looked for."""


@dataclass(frozen=True, slots=True)
class Reach:
    """A tune in one octave: the ``notes`` that can be played, sounding, and those ``missed``."""

    tuning: Tuning
    hand: Hand
    notes: dict[NoteKey, SoloNote]
    missed: tuple[SoloNote, ...]
    closed: bool


def reach_of(form: SoloForm, tuning: Tuning, hand: Hand, octave: int, *, closed: bool) -> Reach:
    """Return what a tuning reaches of a tune moved by octaves."""
    notes, missed = {}, []
    for key, note in form.notes.items():
        moved = replace(note, pitch=note.pitch + 12 * octave)
        if ways_to_pick(moved.pitch, tuning, hand, closed=closed):
            notes[key] = moved
        else:
            missed.append(moved)
    return Reach(tuning, hand, notes, tuple(missed), closed)


def ways_to_pick(
    pitch: int, tuning: Tuning, hand: Hand, *, closed: bool
) -> tuple[tuple[int, int], ...]:
    """Return the strings that sound a pitch, from string 1 on: tuple index and fret."""
    high = min(hand.max_fret, tuning.frets)
    frets = ((index, pitch - tuning.open_midi[index]) for index in reversed(tuning.used))
    return tuple((index, fret) for index, fret in frets if closed <= fret <= high)


def troubles(reach: Reach, form: SoloForm) -> tuple[str, ...]:
    """Return a sentence for every note that cannot be reached, with the nearest remedy."""
    if not reach.missed:
        return ()
    helps = [each for each in (_key_words(reach, form), _tuning_words(reach, form)) if each]
    remedy = f"; {' or '.join(helps)} would reach all" if helps else ""
    return tuple(
        f"section {note.key[0]}, bar {note.key[1]}: {spelled(note.pitch, note.chord)} "
        f"{_where(note.pitch, reach)} {reach.tuning.name}{remedy}"
        for note in reach.missed
    )


def _where(pitch: int, reach: Reach) -> str:
    lowest = min(reach.tuning.open_midi[index] for index in reach.tuning.used)
    return "lies below the lowest string of" if pitch < lowest else "lies above the frets used on"


def _key_words(reach: Reach, form: SoloForm) -> str:
    """Return the nearest key, in semitones, in which some octave reaches every note."""
    ways = (way for semitones in range(1, MOST_SEMITONES + 1) for way in (semitones, -semitones))
    way = next((way for way in ways if _fits(form, reach.tuning, reach, way)), 0)
    return f"a key {counted(abs(way), 'semitone')} {'up' if way > 0 else 'down'}" if way else ""


def _tuning_words(reach: Reach, form: SoloForm) -> str:
    """Return the first tuning of as many strings that reaches every note."""
    alike = (tuning for tuning in TUNINGS.values() if tuning.strings == reach.tuning.strings)
    found = next((tuning for tuning in alike if _fits(form, tuning, reach, 0)), None)
    return f"the tuning {found.name}" if found else ""


def _fits(form: SoloForm, tuning: Tuning, reach: Reach, semitones: int) -> bool:
    return any(
        all(
            ways_to_pick(
                note.pitch + semitones + 12 * octave, tuning, reach.hand, closed=reach.closed
            )
            for note in form.notes.values()
        )
        for octave in OCTAVES
    )


# --- the tune arranged ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SoloSlot:
    """One note of the arrangement: sounding MIDI ``pitch`` and the grip that sounds it.

    A note picked alone has a grip of one string. ``is_chord`` says that a chord is gripped,
    ``is_tension`` that the note on top is none of the chord's own.
    """

    section: str
    bar: int
    index: int
    at: Fraction
    beats: Fraction
    pitch: int
    chord: Chord | None
    grip: Grip
    is_chord: bool
    is_tension: bool


@dataclass(frozen=True, slots=True)
class Solo:
    """A tune arranged: its slots in written order, ``octaves`` it was moved, and its cost.

    ``troubles`` says what could not be reached, with the nearest remedy.
    """

    tuning: Tuning
    slots: tuple[SoloSlot, ...]
    cost: float
    octaves: int
    lane: str
    hand: Hand
    is_proven: bool
    troubles: tuple[str, ...] = ()

    def of_bar(self, bar: PlayedBar) -> tuple[SoloSlot, ...]:
        """Return the slots of a played bar, in order."""
        return tuple(s for s in self.slots if (s.section, s.bar) == (bar.section, bar.bar))
