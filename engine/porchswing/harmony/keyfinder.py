"""Which key each chord of a lane is heard in.

Every chord is weighed in 24 keys by :data:`MAJOR` and :data:`MINOR`; the way through the keys
that weighs most, with a price for every change of key, is found by dynamic programming. Keys
are counted as intervals from the header's tonic, so that a transposed tune gives transposed
keys. The weights are ours (no source gives any); the functions they list are common practice.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key

# degree in semitones above the tonic -> family -> how well it belongs, 0 to 1
MAJOR: dict[int, dict[str, float]] = {
    0: {"major": 1.0, "dominant": 0.7, "augmented": 0.5, "suspended": 0.5, "power": 0.5},
    1: {"diminished": 0.4, "dominant": 0.35},
    2: {"minor": 0.9, "dominant": 0.5, "half-diminished": 0.45, "major": 0.4, "suspended": 0.4},
    3: {"diminished": 0.4, "dominant": 0.3, "major": 0.25},
    4: {"minor": 0.75, "dominant": 0.45, "half-diminished": 0.4, "major": 0.3},
    5: {"major": 0.9, "minor": 0.55, "dominant": 0.5, "suspended": 0.3},
    6: {"diminished": 0.45, "half-diminished": 0.35},
    7: {"dominant": 1.0, "major": 0.9, "suspended": 0.9, "augmented": 0.6, "minor": 0.35},
    8: {"major": 0.3, "dominant": 0.35, "diminished": 0.35},
    9: {"minor": 0.85, "dominant": 0.5, "major": 0.35, "half-diminished": 0.3},
    10: {"dominant": 0.45, "major": 0.35},
    11: {"half-diminished": 0.5, "diminished": 0.5, "dominant": 0.4, "minor": 0.2},
}
MINOR: dict[int, dict[str, float]] = {
    0: {"minor": 1.0, "dominant": 0.4, "power": 0.5, "suspended": 0.4},
    1: {"major": 0.4, "dominant": 0.35},
    2: {"half-diminished": 0.9, "diminished": 0.6, "dominant": 0.45, "minor": 0.3},
    3: {"major": 0.7, "augmented": 0.4, "dominant": 0.4},
    4: {"diminished": 0.3},
    5: {"minor": 0.9, "dominant": 0.45, "major": 0.4},
    6: {"diminished": 0.4, "half-diminished": 0.3},
    7: {"dominant": 1.0, "major": 0.85, "minor": 0.45, "augmented": 0.6, "suspended": 0.8},
    8: {"major": 0.75, "dominant": 0.6},
    9: {"half-diminished": 0.4, "diminished": 0.3},
    10: {"major": 0.6, "dominant": 0.65},
    11: {"diminished": 0.8},
}
CADENCE = 1.5
"""Added where a dominant falls a fifth to the tonic chord of the key."""
TWO_FIVE = 0.6
"""Added where the ii of the key goes to its V."""
BLUES = 1.0
"""Added where IV7 falls back to I7, both dominants: the blues' own cadence."""
CHANGE_OF_KEY = 3.5
"""Taken off for every change of key, the way back too: a new key takes about six bars."""
HEADER = 4.0
"""Taken off for a start in another key than the header's."""
HOME_EDGE = 1.0
"""Added where the first or the last chord is the tonic chord of the key."""
MOST_BEATS = 4.0
"""A chord held longer than this counts no more."""

_MODES = ("major", "minor")


class Heard(NamedTuple):
    """One chord and its length in beats, as the key finder hears it."""

    chord: Chord | None
    beats: Fraction


def find_keys(heard: Sequence[Heard], header: Key) -> tuple[Key, ...]:
    """Return the local key of every chord, as many as were given.

    >>> from porchswing.theory.symbols import parse_chord
    >>> tune = [Heard(parse_chord(name), Fraction(4)) for name in ("Bb", "Cm7", "F7", "Bb")]
    >>> [str(key) for key in find_keys(tune, Key.parse("C"))]
    ['Bb', 'Bb', 'Bb', 'Bb']
    """
    if not heard:
        return ()
    own = _MODES.index(header.mode)
    states = [(step, mode) for step in range(12) for mode in (own, 1 - own)]
    weights = [_weights(heard, place, header, states) for place in range(len(heard))]
    scores = [weight - (HEADER if place else 0.0) for place, weight in enumerate(weights[0])]
    back: list[list[int]] = []
    for row in weights[1:]:
        best = max(range(len(states)), key=lambda s: (scores[s], -s))
        change = scores[best] - CHANGE_OF_KEY
        came = [s if scores[s] >= change else best for s in range(len(states))]
        scores = [max(scores[s], change) + row[s] for s in range(len(states))]
        back.append(came)
    state = max(range(len(states)), key=lambda s: (scores[s], -s))
    path = [state]
    for came in reversed(back):
        state = came[state]
        path.append(state)
    return tuple(_key(header, *states[state]) for state in reversed(path))


def _key(header: Key, step: int, mode: int) -> Key:
    """Return the key ``step`` semitones above the header's tonic."""
    tonic = header.spell(header.tonic.pc + step)
    return Key(tonic, _MODES[mode]).simple if step else Key(header.tonic, _MODES[mode]).simple


def _weights(
    heard: Sequence[Heard], place: int, header: Key, states: list[tuple[int, int]]
) -> list[float]:
    """Weigh one chord in every key."""
    chord = heard[place].chord
    if chord is None:
        return [0.0] * len(states)
    length = min(float(heard[place].beats), MOST_BEATS) / MOST_BEATS
    after = heard[place + 1].chord if place + 1 < len(heard) else None
    edge = place in (0, len(heard) - 1)
    pc, family = chord.root.pc - header.tonic.pc, chord.quality.family
    found = []
    for step, mode in states:
        degree = (pc - step) % 12
        table = MINOR if mode else MAJOR
        weight = length * table[degree].get(family, 0.0)
        if degree == 0 and edge and family == _MODES[mode]:
            weight += HOME_EDGE
        if after is not None:
            weight += _progress(
                degree,
                family,
                (after.root.pc - header.tonic.pc - step) % 12,
                after.quality.family,
                mode,
            )
        found.append(weight)
    return found


def _progress(degree: int, family: str, goal: int, goal_family: str, mode: int) -> float:
    """Weigh a step of the changes in one key: a cadence, or ii to V."""
    if degree == 7 and goal == 0 and goal_family == _MODES[mode]:
        return CADENCE if family in ("dominant", "major") else 0.0
    if degree == 2 and goal == 7 and goal_family == "dominant":
        return TWO_FIVE if family == ("half-diminished" if mode else "minor") else 0.0
    if degree == 5 and goal == 0 and family == goal_family == "dominant":
        return BLUES
    return 0.0
