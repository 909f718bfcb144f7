"""Which notes a bass player may choose at a place, what each costs, and how it must go on.

The rules are common practice among players (no source): the chord's bass on its entry, or its
third where the style lets the line choose; chord tones freely; scale tones left by step;
chromatic tones left by a semitone. Costs are ours; 1.0 is about as bad as an octave leap.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key

LOWEST, HIGHEST = 28, 52
"""Range as MIDI notes: the double bass's open E string to E an octave above its third string."""

EASY_LOW, EASY_HIGH = 31, 45
BEYOND_EASY = 0.07
"""Cost of every semitone outside the easy middle of the range."""

FREE, STEP, SEMITONE = 12, 2, 1
"""The widest interval that may follow a chord tone, a scale tone and a chromatic tone."""

LEADS = frozenset({1, 2, 5, 7, 10, 11})
"""How far above the next root a leading note may lie, in semitones: common practice, no source."""

LINE_WORDS = frozenset({"arrive", "walk", "lead"})
"""Words that let the line choose the third where a chord enters; under others the root sounds."""

# degree pairs of which a scale has one: the key decides, else the chord family's habit
_FAMILY_SCALE = {
    "major": (2, 5, 9, 11),
    "dominant": (2, 5, 9, 10),
    "minor": (2, 5, 9, 10),
    "half-diminished": (1, 5, 8, 10),
    "diminished": (2, 5, 8, 9),
    "augmented": (2, 6, 8, 10),
    "suspended": (2, 5, 9, 10),
    "power": (2, 5, 9, 10),
}
_SECONDS, _FOURTHS, _SIXTHS, _SEVENTHS = (1, 2), (5, 6), (8, 9), (10, 11)


class Candidate(NamedTuple):
    """A pitch the bass may play: its own ``cost`` and the widest interval that may follow."""

    pitch: int
    cost: float
    leave: int


@dataclass(frozen=True, slots=True)
class BassOnset:
    """A place where the bass sounds.

    ``word`` says what the note is for (see :mod:`porchswing.band.bass.bass_part`); ``entry`` that
    a new chord enters here.
    """

    onset_beats: Fraction
    duration_beats: Fraction
    word: str
    velocity: float
    chord: Chord
    bar: int
    entry: bool = False


def scale_pcs(chord: Chord, key: Key) -> frozenset[int]:
    """Return the pitch classes of the scale that fits a chord in a key, chord tones included.

    Where the chord leaves a degree open, the key's own note fills it, or else the family's.

    >>> from porchswing.theory.symbols import parse_chord
    >>> sorted(scale_pcs(parse_chord("Em7"), Key.parse("C")))  # F, not F sharp
    [0, 2, 4, 5, 7, 9, 11]
    """
    root = chord.root.pc
    scale = {(pc - root) % 12 for pc in chord.pcs}
    in_key = {(pc - root) % 12 for pc in _key_pcs(key)}
    pairs = (_SECONDS, _FOURTHS, _SIXTHS, _SEVENTHS)
    for pair, habit in zip(pairs, _FAMILY_SCALE[chord.quality.family], strict=True):
        if scale & set(pair):
            continue
        keyed = in_key & set(pair)
        scale.add(min(keyed) if len(keyed) == 1 else habit)
    return frozenset((degree + root) % 12 for degree in scale)


def candidates(spot: BassOnset, after: BassOnset | None, key: Key) -> tuple[Candidate, ...]:
    """Return every pitch in range the bass may play at a spot, lowest first.

    ``after`` is the spot that follows: the line may lead into a chord that enters there.
    """
    following = after.chord if after is not None and after.entry else None
    final = after is None or after.onset_beats > spot.onset_beats + spot.duration_beats
    return _candidates(spot.word, spot.chord, key, spot.entry, following, final)


@lru_cache(maxsize=64)
def _key_pcs(key: Key) -> frozenset[int]:
    return frozenset(note.pc for note in key.scale)


@lru_cache(maxsize=4096)
def _candidates(
    word: str, chord: Chord, key: Key, entry: bool, following: Chord | None, final: bool
) -> tuple[Candidate, ...]:
    costs = _pc_costs(word, chord, key, entry, following, final)
    found = []
    for pitch in range(LOWEST, HIGHEST + 1):
        if pitch % 12 in costs:
            cost, leave = costs[pitch % 12]
            beyond = max(0, EASY_LOW - pitch, pitch - EASY_HIGH)
            found.append(Candidate(pitch, cost + BEYOND_EASY * beyond, leave))
    return tuple(found)


def _pc_costs(
    word: str, chord: Chord, key: Key, entry: bool, following: Chord | None, final: bool
) -> dict[int, tuple[float, int]]:
    """Return cost and leave of every allowed pitch class; ``final`` where nothing follows."""
    bass = chord.bass_note.pc
    third, fifth = _degree_pc(chord, (3, 4, 2)), _degree_pc(chord, (5,))
    if word == "pedal":
        # the dominant: the key's fifth, which any of its chords can stand over
        return {bass if entry and chord.bass else (key.tonic.pc + 7) % 12: (0.0, FREE)}
    if word in {"root", "octave"} or (entry and (chord.bass or word not in LINE_WORDS)):
        return {bass: (0.0, FREE)}
    if entry:
        return {third: (0.7, FREE), bass: (0.0, FREE)}
    if word == "third":
        return {bass: (1.5, FREE), third: (0.0, FREE)}
    if word == "fifth":
        return {third: (1.2, FREE), bass: (1.0, FREE), fifth: (0.0, FREE)}
    if word == "arrive":
        return {third: (0.6, FREE), fifth: (0.4, FREE), bass: (0.0, FREE)}
    tones = dict.fromkeys(chord.pcs, (0.15, FREE)) | {bass: (0.45, FREE), fifth: (0.0, FREE)}
    if word == "chord" or final:
        return tones
    scale = dict.fromkeys(scale_pcs(chord, key), (0.2, STEP))
    found = _neighbours(bass, following) | scale | tones
    if word != "lead":
        return found
    return _leading(found, following.bass_note.pc if following else bass)


def _neighbours(bass: int, following: Chord | None) -> dict[int, tuple[float, int]]:
    """Return the chromatic tones a semitone from where the next chord may be entered.

    None where the bass stays on its note: a semitone away and back would lead nowhere.
    """
    if following is None or following.bass_note.pc == bass:
        return {}
    third = _degree_pc(following, (3, 4, 2))
    targets = {following.bass_note.pc} if following.bass else {following.root.pc, third}
    return {(pc + step) % 12: (0.1, SEMITONE) for pc in targets for step in (-1, 1)}


def _leading(found: dict[int, tuple[float, int]], root: int) -> dict[int, tuple[float, int]]:
    """Return the notes that lead into a root: a semitone, a step or a fifth away from it."""
    near = {pc: found[pc] for pc in found if (pc - root) % 12 in LEADS}
    return near or {(root + 7) % 12: (0.3, FREE)}


def _degree_pc(chord: Chord, numbers: tuple[int, ...]) -> int:
    """Return the chord's own third, fifth, … by number; its root where it has none of them."""
    for number in numbers:
        for degree in chord.quality.degrees:
            if degree.number == number:
                return (chord.root.pc + degree.semitones) % 12
    return chord.root.pc
