"""How a hand frets a grip: which finger presses where, and how many fingers it takes.

The rules (common practice, no source):

* One finger presses one fret. Higher frets take later fingers; at one fret, fingers follow
  the strings from the highest-numbered to string 1.
* The first finger may lie across neighbouring strings as a barre. In a closed grip it may
  pass under strings that later fingers press higher up; by the nut, single fingers do that
  (0232 takes three).
* Any other finger may lay across neighbouring strings of its own fret, two or three of
  them: on gCEA 7768 takes three fingers.
* A hand has four fingers.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from porchswing.chart.model import Frets

FINGERS = 4
"""Fingers that fret: 1 is the index finger, 4 the little finger."""

LAY_STRINGS = 3
"""Most neighbouring strings a finger other than the first may lay across."""

RING_FINGER = 3
"""The finger that lays across strings most easily, after the first."""


SINGLE_FINGERS = 3
"""Fretted strings of a grip by the nut that take a finger each."""

FEW_FINGERS = 2
"""Fingers by the nut that stand one finger a fret, counted from the first fret."""


@dataclass(frozen=True, slots=True)
class Press:
    """One finger down: ``finger`` 1–4 at ``fret``, over tuple indices ``first`` to ``last``."""

    finger: int
    fret: int
    first: int
    last: int

    @property
    def is_barre(self) -> bool:
        """Whether the finger lies across more than one string."""
        return self.last > self.first


@dataclass(frozen=True, slots=True)
class Fingering:
    """The fingers of a grip with the fewest fingers, and the fret where the hand stands."""

    presses: tuple[Press, ...]
    position: int

    @property
    def fingers(self) -> int:
        """How many fingers press."""
        return len(self.presses)

    def by_string(self, strings: int) -> tuple[int, ...]:
        """Return the finger on each string, 0 where none presses it down to sound."""
        owner = [0] * strings
        for press in self.presses:  # rising frets: a later finger stands before a barre
            for index in range(press.first, press.last + 1):
                owner[index] = press.finger
        return tuple(owner)


@lru_cache(maxsize=65536)
def fingering(frets: Frets, barre: bool = True) -> Fingering | None:
    """Return the fingering with the fewest fingers, ``None`` where four do not do.

    ``barre=False`` is for hands that lay no finger across strings.

    >>> fingering((7, 7, 6, 8)).fingers
    3
    >>> fingering((0, 2, 3, 2)).by_string(4)
    (0, 1, 3, 2)
    """
    spots = _spots(frets, barre)
    if len(spots) > FINGERS:
        return None
    fretted = [fret for fret in frets if fret]
    if not fretted:
        return Fingering((), 0)
    low, high = min(fretted), max(fretted)
    is_open = any(fret == 0 for fret in frets)
    # by the nut, one finger or two keep to the fret of their own: 0003 is the ring finger
    at_nut = is_open and high <= FINGERS and len(spots) <= FEW_FINGERS
    position = 1 if at_nut else low
    numbers = _numbers(spots, position)
    presses = tuple(
        Press(number, fret, first, last)
        for number, (fret, first, last) in zip(numbers, spots, strict=True)
    )
    return Fingering(presses, max(1, presses[0].fret - presses[0].finger + 1))


def usual_fingering(frets: Frets) -> Fingering | None:
    """Return the fingering a teacher draws: by the nut, single fingers where three will do.

    >>> usual_fingering((2, 2, 1, 0)).by_string(4)
    (2, 3, 1, 0)
    """
    if 0 in frets and sum(fret is not None and fret > 0 for fret in frets) <= SINGLE_FINGERS:
        return fingering(frets, barre=False)
    return fingering(frets)


Spot = tuple[int, int, int]


def _spots(frets: Frets, barre: bool) -> list[Spot]:
    """Return the spots to press, as (fret, first index, last index), in finger order."""
    fretted = sorted({fret for fret in frets if fret})
    spots: list[Spot] = []
    for fret in fretted:
        if not barre:
            runs = [(index, index) for index, here in enumerate(frets) if here == fret]
        elif fret == fretted[0]:
            runs = _barre_runs(frets, fret, over_gaps=0 not in frets)
        else:
            runs = _lay_runs(frets, fret)
        spots += [(fret, first, last) for first, last in runs]
    return spots


def _barre_runs(frets: Frets, fret: int, *, over_gaps: bool) -> list[tuple[int, int]]:
    """Group the strings of the lowest fret into stretches one straight finger can hold."""
    runs: list[tuple[int, int]] = []
    joined = False  # whether the last run still reaches this string
    for index, here in enumerate(frets):
        if here == fret:
            runs[-1:] = [(runs[-1][0], index)] if joined else [*runs[-1:], (index, index)]
            joined = True
        elif not here or not over_gaps:  # no straight finger lies over an open or muted string
            joined = False
    return runs


def _lay_runs(frets: Frets, fret: int) -> list[tuple[int, int]]:
    """Group neighbouring strings of one higher fret, at most :data:`LAY_STRINGS` at a time."""
    runs: list[tuple[int, int]] = []
    for index, here in enumerate(frets):
        if here != fret:
            continue
        if runs and runs[-1][1] == index - 1 and index - runs[-1][0] < LAY_STRINGS:
            runs[-1] = (runs[-1][0], index)
        else:
            runs.append((index, index))
    return runs


def _numbers(spots: list[Spot], position: int) -> list[int]:
    """Return finger numbers: one per fret from where the hand stands, pushed on where taken."""
    numbers: list[int] = []
    for place, (fret, first, last) in enumerate(spots):
        wish = min(FINGERS, fret - position + 1)
        if last > first:
            wish = 1 if place == 0 else max(wish, RING_FINGER)
        least = numbers[-1] + 1 if numbers else 1
        most = FINGERS - (len(spots) - place - 1)
        numbers.append(min(max(wish, least), most))
    return numbers
