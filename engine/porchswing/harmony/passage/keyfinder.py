"""Which key each chord of a lane is heard in.

Every chord is weighed in 24 keys by :data:`MAJOR` and :data:`MINOR`; the way through the keys
that weighs most, with a price for every change of key, is found by dynamic programming. Keys
are counted as intervals from the header's tonic, so that a transposed tune gives transposed
keys. The weights are ours (no source gives any); the functions they list are common practice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from porchswing.chart.model import Chart
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
CHANGE_OF_KEY, TO_NEIGHBOUR = 2.2, 3.5
"""Taken off for every change of key, the way back too, from a far key at the end as well; more
into a neighbour's key.

Four bars with a ii–V–I of their own are a new key, two are not; in a key that differs by one
sign at most, or in the mode alone, it takes about six: there a cadence is a visit.
"""
CHANGE_AT_SECTION = 2.0
"""Taken off instead where the key changes with the first chord of a section, and where the tune
comes back to its top in another key than it began in."""
HEADER = 4.0
"""Taken off for a start in a neighbour's key of the header's; a far one pays both ways."""
HOME_EDGE = 1.0
"""Added where the first or the last chord is the tonic chord of the key; not where the tune has
only come back to its top."""
MOST_BEATS = 4.0
"""A chord held longer than this counts no more."""

_MODES = ("major", "minor")


class Heard(NamedTuple):
    """One chord and its length in beats, as the key finder hears it.

    ``opens`` says whether it starts a section, ``again`` whether it was heard before: the tune
    has come back to its top.
    """

    chord: Chord | None
    beats: Fraction
    opens: bool = False
    again: bool = False


@lru_cache(maxsize=64)
def find_keys(heard: tuple[Heard, ...], header: Key) -> tuple[Key, ...]:
    """Return the local key of every chord, as many as were given.

    >>> from porchswing.theory.symbols import parse_chord
    >>> tune = [Heard(parse_chord(name), Fraction(4)) for name in ("Bb", "Cm7", "F7", "Bb")]
    >>> [str(key) for key in find_keys(tuple(tune), Key.parse("C"))]
    ['Bb', 'Bb', 'Bb', 'Bb']
    """
    if not heard:
        return ()
    own = _MODES.index(header.mode)
    states = [(step, mode) for step in range(12) for mode in (own, 1 - own)]
    weighed: dict[_Sight, list[float]] = {}
    weights = []
    for sight in _sights(heard, header):
        if sight not in weighed:
            weighed[sight] = [_weight(sight, step, mode) for step, mode in states]
        weights.append(weighed[sight])
    far = [not _neighbours(states[0], state) for state in states]
    away = [CHANGE_OF_KEY if one else 0.0 for one in far]
    begun = list(range(len(states)))
    start = [0.0, *(CHANGE_OF_KEY if one else HEADER for one in far[1:])]
    scores = [weight - price for weight, price in zip(weights[0], start, strict=True)]
    back: list[list[int]] = []
    for row, each in zip(weights[1:], heard[1:], strict=True):
        came, scores = _changed(scores, states, opens=each.opens)
        back.append(came)
        begun = [begun[source] for source in came]
        scores = [score + weight for score, weight in zip(scores, row, strict=True)]
    if heard[-1].again:
        away = [
            max(price, 0.0 if first == place else CHANGE_AT_SECTION)
            for place, (price, first) in enumerate(zip(away, begun, strict=True))
        ]
    home = [score - price for score, price in zip(scores, away, strict=True)]
    state = home.index(max(home))
    path = [state]
    for came in reversed(back):
        state = came[state]
        path.append(state)
    return tuple(_key(header, *states[state]) for state in reversed(path))


_State = tuple[int, int]


def _changed(
    scores: Sequence[float], states: Sequence[_State], *, opens: bool
) -> tuple[list[int], list[float]]:
    """Return for each key the one it is best reached from, and the points on arriving."""
    most = max(scores)
    best = scores.index(most)
    came, reached = [], []
    for place, score in enumerate(scores):
        source, price = best, CHANGE_AT_SECTION if opens else CHANGE_OF_KEY
        if not opens and _neighbours(states[best], states[place]):
            prices = [
                TO_NEIGHBOUR if _neighbours(state, states[place]) else CHANGE_OF_KEY
                for state in states
            ]
            source = max(range(len(scores)), key=lambda other: scores[other] - prices[other])
            price = prices[source]
        change = scores[source] - price
        came.append(place if score >= change else source)
        reached.append(max(score, change))
    return came, reached


@lru_cache(maxsize=1024)
def _neighbours(one: _State, other: _State) -> bool:
    """Whether two keys, as steps and modes, differ by one sign at most, or in the mode alone."""
    signs = [(step + 3 * mode) % 12 for step, mode in (one, other)]
    return (signs[0] - signs[1]) % 12 in (0, 5, 7) or one[0] == other[0]


def key_heard(chart: Chart) -> Key:
    r"""Return the key most of a chart's plain lane is heard in, the chart's own where none is.

    >>> from porchswing.chart.language.reader import parse_chart
    >>> str(key_heard(parse_chart("[A]\n| Bb | Gm7 | Cm7 | F7 | Bb | Eb | F7 | Bb |\n")))
    'Bb'
    """
    heard = tuple(
        Heard(slot.chord, slot.beats)
        for section in chart.sections
        for bar in section.plain
        for slot in bar.slots
    )
    beats: dict[Key, Fraction] = {}
    for key, each in zip(find_keys(heard, chart.key), heard, strict=True):
        if each.chord is not None:
            beats[key] = beats.get(key, Fraction(0)) + each.beats
    best = max(beats, key=lambda key: beats[key], default=chart.key)
    return best if 2 * beats.get(best, Fraction(0)) > sum(beats.values()) else chart.key


def with_key_heard(chart: Chart) -> Chart:
    """Return a chart with the key it is heard in where its text gives none, else the chart."""
    typed = any(section.rows for section in chart.sections)
    told = any(row.kind == "header" and row.key == "key" for row in chart.rows)
    return replace(chart, key=key_heard(chart)) if typed and not told else chart


def _key(header: Key, step: int, mode: int) -> Key:
    """Return the key ``step`` semitones above the header's tonic."""
    tonic = header.spell(header.tonic.pc + step) if step else header.tonic
    return Key(tonic, _MODES[mode]).simple


class _Sight(NamedTuple):
    """All that is looked at to weigh one chord: roots count from the header's tonic.

    ``goal`` and ``goal_family`` belong to the chord after it, ``length`` is 0 to 1, ``edge``
    marks the first and the last chord. Silence has no family.
    """

    pc: int
    family: str
    length: float
    goal: int
    goal_family: str
    edge: bool


def _sights(heard: Sequence[Heard], header: Key) -> Iterator[_Sight]:
    """Yield what is looked at, chord by chord."""
    tonic, last = header.tonic.pc, len(heard) - 1
    edges = (0,) if heard[last].again else (0, last)
    roots = [
        (each.chord.root.pc - tonic, each.chord.quality.family) if each.chord else (0, "")
        for each in heard
    ]
    for place, (here, after) in enumerate(pairwise([*roots, (0, "")])):
        length = min(float(heard[place].beats), MOST_BEATS) / MOST_BEATS
        yield _Sight(*here, length, *after, place in edges)


def _weight(sight: _Sight, step: int, mode: int) -> float:
    """Weigh one chord in one key."""
    degree, family = (sight.pc - step) % 12, sight.family
    if not family:
        return 0.0
    table = MINOR if mode else MAJOR
    weight = sight.length * table[degree].get(family, 0.0)
    if degree == 0 and sight.edge and family == _MODES[mode]:
        weight += HOME_EDGE
    if sight.goal_family:
        goal = (sight.goal - step) % 12
        weight += _progress(degree, family, goal, sight.goal_family, mode)
    return weight


def _progress(degree: int, family: str, goal: int, goal_family: str, mode: int) -> float:
    """Weigh a step of the changes in one key: a cadence, or ii to V."""
    if degree == 7 and goal == 0 and goal_family == _MODES[mode]:
        return CADENCE if family in ("dominant", "major") else 0.0
    if degree == 2 and goal == 7 and goal_family == "dominant":
        return TWO_FIVE if family == ("half-diminished" if mode else "minor") else 0.0
    if degree == 5 and goal == 0 and family == goal_family == "dominant":
        return BLUES
    return 0.0
