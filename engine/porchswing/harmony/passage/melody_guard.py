"""The melody guard: which new chords the tune does not allow, and which colours it asks for.

A melody note is watched when it is held for a felt beat or more, or accented: it starts on a
strong beat of the bar. Every watched note is judged by the function of the new chord
(:mod:`porchswing.harmony.passage.tensions`), whether the chord's tones are new or old; where
the root and the family stay as written, only what the colour adds is judged.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from porchswing.chart.model import MelodyNote
from porchswing.harmony.passage.steps import Passage, Step, TuneNote, is_strong
from porchswing.harmony.passage.tensions import bears
from porchswing.theory.chords import Chord
from porchswing.theory.notes import Degree

TENDER = (Degree(3), Degree(5, 1), Degree(7))
"""Degrees that do not bear a melody note a semitone below them."""


class Clash(NamedTuple):
    """One melody note against one chord, and why, in words."""

    chord: Chord
    note: MelodyNote
    reason: str


def clash(passage: Passage, step: Step, *, flat_nine: bool = True) -> Clash | None:
    """Return the first melody note that forbids a step, if any does.

    ``flat_nine`` says whether a dominant here bears its own flat ninth in the melody.
    """
    if not passage.melody or step.chord is None or step.chord == step.plain:
        return None
    for tune, pitch in _watched_notes(passage, step):
        if reason := against(step.chord, step.plain, pitch, flat_nine=flat_nine):
            return Clash(step.chord, tune.note, reason)
    return None


def against(chord: Chord, plain: Chord | None, pitch: int, *, flat_nine: bool = True) -> str:
    """Return why a melody note (MIDI number) forbids a chord; an empty text where it does not.

    >>> from porchswing.theory.symbols import parse_chord
    >>> against(parse_chord("Cmaj7"), parse_chord("C"), 72)
    'the melody note lies a semitone above B, the 7 of Cmaj7'
    >>> against(parse_chord("Dm7"), parse_chord("G7"), 63)
    'the melody note lies a semitone above D, the 1 of Dm7'
    """
    same = plain is not None and _same_function(chord, plain)
    old = plain.pcs if plain and same else frozenset()
    flat_seventh = chord.quality.has("b7")
    dominant = chord.quality.family == "dominant"
    flat_nine = flat_nine or chord.quality.has("b9")
    for degree, name in zip(chord.quality.degrees, chord.notes, strict=True):
        distance = (pitch - name.pc) % 12
        if name.pc in old or distance not in (1, 11):
            continue
        if distance == 1 and not (flat_nine and dominant and degree == Degree(1)):
            return f"the melody note lies a semitone above {name}, the {degree} of {chord}"
        tender = degree in TENDER or (degree == Degree(1) and flat_seventh)
        tender = tender or (degree == Degree(7, -1) and not dominant)
        if distance == 11 and tender and pitch % 12 not in chord.pcs:
            return f"the melody note lies a semitone below {name}, the {degree} of {chord}"
    if same or bears(chord, pitch):
        return ""
    word = TENSIONS[(pitch - chord.root.pc) % 12]
    return f"the melody note is the {word} of {chord}, which does not bear it"


def _same_function(chord: Chord, plain: Chord) -> bool:
    """Whether two chords have one root and family; a major triad may be V."""
    families = {chord.quality.family, plain.quality.family}
    same_family = len(families) == 1 or families == {"major", "dominant"}
    return chord.root.pc == plain.root.pc and same_family


def watched(passage: Passage, step: Step) -> Iterator[int]:
    """Yield the melody notes (MIDI numbers) that are held or accented over a step."""
    return (pitch for _, pitch in _watched_notes(passage, step))


def heard_as(passage: Passage, step: Step, start: int, pulses: int) -> list[str]:
    """Return what the held and accented notes between two pulses are over a step, in words."""
    found = [
        f"{step.key.spell(pitch)} is the {degree_word(step.chord, pitch)} of {step.chord}"
        for tune, pitch in _watched_notes(passage, step)
        if step.chord and tune.start < start + pulses and tune.start + tune.pulses > start
    ]
    return list(dict.fromkeys(found))


def degree_word(chord: Chord, pitch: int) -> str:
    """Return what a note (MIDI number) is over a chord: its own degree, or a tension's name.

    >>> from porchswing.theory.symbols import parse_chord
    >>> degree_word(parse_chord("G9"), 69), degree_word(parse_chord("Cmaj7"), 66)
    ('9', '#11')
    """
    rise = (pitch - chord.root.pc) % 12
    own = next((degree for degree in chord.quality.degrees if degree.semitones % 12 == rise), None)
    return str(own) if own else TENSIONS[rise]


TENSIONS = ("1", "b9", "9", "#9", "3", "11", "#11", "5", "b13", "13", "b7", "7")
"""What a note is called over a chord that does not hold it, by semitones above the root."""


def _watched_notes(passage: Passage, step: Step) -> Iterator[tuple[TuneNote, int]]:
    """Yield the notes held for a felt beat within a step, or accented there, with their pitches."""
    for tune in passage.melody[passage.notes_from(step.start) :]:
        if tune.start >= step.end:
            return
        within = min(tune.start + tune.pulses, step.end) - max(tune.start, step.start)
        if tune.note.pitch is None or within <= 0:
            continue
        held = within >= passage.grid_pulses
        if held or (tune.start >= step.start and is_strong(passage, tune.start)):
            yield tune, tune.note.pitch
