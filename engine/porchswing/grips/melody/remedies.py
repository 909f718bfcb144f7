"""What of a tune a tuning reaches in one octave, and what would help with the rest."""

from __future__ import annotations

from dataclasses import dataclass, replace

from porchswing.grips.melody.solo_notes import NoteKey, SoloForm, SoloNote
from porchswing.grips.shapes.hand import Hand
from porchswing.grips.shapes.model import Tuning
from porchswing.grips.shapes.tunings import TUNINGS
from porchswing.theory.keys import spelled
from porchswing.units import counted

MOST_SEMITONES = 6
"""Furthest that another key is looked for."""


@dataclass(frozen=True, slots=True)
class Reach:
    """A tune in one octave: the ``notes`` that can be played, sounding, and those ``missed``."""

    tuning: Tuning
    hand: Hand
    octave: int
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
    return Reach(tuning, hand, octave, notes, tuple(missed), closed)


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
        for octave in (0, -1, 1, -2, 2)
    )
