"""How a hand frets a grip: every fingering a player would use, the least awkward first.

The rules (common practice; checked against an open set of printed fingerings, see below):

* One finger presses one fret. Higher frets take later fingers; at one fret, fingers follow
  the strings from the highest-numbered to string 1.
* The first finger may lie across strings as a barre, under strings that later fingers press
  higher up; never over an open or a muted string.
* Another finger may lie across neighbouring strings of its own fret where :data:`LAYS` has a
  row for it, and only where no lower fret sounds nearer the floor: the finger comes from
  that side and would lie on that string too. The two exceptions are :data:`OVER_LOWER`.
* A hand has four fingers.

What is awkward is counted in points, twenty of which weigh as much as a third finger. The
points were set so that the first fingering agrees with printed ones: @tombatossals/chords-db
0.5.1, finger numbers of 1,898 closed ukulele positions (``tests/grips/shapes/test_chords_db.py``
lists the classes that disagree). The rows and their order are common practice, the numbers ours.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations, pairwise, product

from porchswing.chart.model import Frets

FINGERS = 4
"""Fingers that fret: 1 is the index finger, 4 the little finger."""

NUT_FRETS = 4
"""Frets by the nut, where each finger has a fret of its own."""

FEW_FINGERS = 2
"""Fingers by the nut that keep to their own fret: 0003 is the ring finger."""

ALTERNATIVES, WORTH_POINTS = 4, 30
"""Most fingerings of one grip, and how many points more than the first one they may have."""


@dataclass(frozen=True, slots=True)
class Lay:
    """One finger over ``strings`` neighbours, ``frets`` above the lowest fret of the grip."""

    finger: int
    strings: int
    frets: int
    points: int
    why: str


LAYS: tuple[Lay, ...] = (
    Lay(2, 2, 1, 10, "the middle finger lies flat beside the first"),
    Lay(2, 3, 1, 20, "the same over three strings, where the ring finger is wanted elsewhere"),
    Lay(3, 3, 1, 12, "the ring finger lies over three strings one fret above the first finger"),
    Lay(3, 2, 1, 32, "two strings are the middle finger's; the ring finger where that is busy"),
    Lay(3, 2, 2, 60, "two fingertips are surer, but cost the little finger"),
    Lay(3, 3, 2, 44, "three fingertips crowd one fret"),
    Lay(3, 2, 3, 32, "a stretch that leaves only the last two fingers"),
    Lay(3, 3, 3, 48, "the same over three strings"),
    Lay(4, 2, 2, 52, "a partial lay of the little finger: its last joint alone is flat"),
    Lay(4, 2, 3, 38, "the same at a stretch, where no finger is left"),
    Lay(4, 3, 2, 48, "the little finger over three strings"),
    Lay(4, 3, 3, 48, "the little finger over three strings, at a stretch"),
)
"""The lays a hand makes, with what they cost and why they are made."""

OVER_LOWER: tuple[Lay, ...] = (
    Lay(2, 2, 1, 0, "one fingertip over two strings; its joint bends back over string 1"),
    Lay(3, 3, 1, 60, "three strings one fret above a barre; the joint bends back over string 1"),
    Lay(3, 3, 2, 60, "three strings two frets above a barre; the joint bends back over string 1"),
)
"""The lays next to string 1 where that string alone may sound a lower fret; points on top."""

_LAY = {(lay.finger, lay.strings, lay.frets): lay for lay in LAYS}
_OVER_LOWER = {(lay.finger, lay.strings, lay.frets): lay for lay in OVER_LOWER}

BARRE_POINTS, NUT_LAY_POINTS = 4, 40
"""A first finger laid; any finger laid where strings sound open beside it."""

BETWEEN_POINTS = 50
"""A barred string that sounds between two fingertips one or two frets above it."""

BLOCKED_POINTS = 46
"""A finger laid with a higher fret next to it: the finger that presses there must pass it."""

SPLIT_POINTS = 40
"""A fingertip beside a barre, at the barre's own fret: the barre would hold that string too."""

STRETCH_POINTS, CRAMP_POINTS = 10, 3
"""Each fret by which two neighbouring fingers spread, or crowd, beyond one fret a finger."""

NUT_STRETCH_POINTS, NUT_CRAMP_POINTS = 0, 6
"""The same beside open strings, where the hand is free to turn."""

NUT_BACK_FRETS, NUT_BACK_POINTS = 3, 10
"""Beside open strings, a finger so many frets above the first one pressed and on a string nearer
the ceiling: a hand turns its little finger towards the floor, not back."""

LATE_POINTS, OFF_POINTS = 10, 1
"""Each finger passed over before the first one used; each fret a finger is off its own."""

HABIT_POINTS = 12
"""Any fingering but the first: a second way to hold one shape has to be learned."""

COUNT_POINTS = (0, 0, 0, 20, 60)
"""What so many fingers cost, where fingerings of one grip are compared."""

NUT_COUNT_POINTS = (0, 0, 8, 16, 32)
"""The same beside open strings."""


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
    """The fingers of a grip, the hand's fret, and how ``awkward`` it is, in points.

    ``presses`` rise in finger and fret; ``position`` is the fret of the first finger, 0 where
    nothing is pressed.
    """

    presses: tuple[Press, ...]
    position: int
    awkward: int = 0

    @property
    def fingers(self) -> int:
        """How many fingers press."""
        return len(self.presses)

    def by_string(self, strings: int) -> tuple[int, ...]:
        """Return the finger on each string, 0 where none presses it down to sound."""
        owner = [0] * strings
        for press in self.presses:  # rising frets: a later finger is in front of a barre
            for index in range(press.first, press.last + 1):
                owner[index] = press.finger
        return tuple(owner)


def fingering(frets: Frets, barre: bool = True) -> Fingering | None:
    """Return the fingering a teacher draws for a grip alone, ``None`` where four fingers fail.

    ``barre=False`` is for hands that lay no finger across strings.

    >>> fingering((8, 8, 7, 8)).by_string(4)
    (2, 3, 1, 4)
    >>> fingering((0, 2, 3, 2)).by_string(4)
    (0, 1, 3, 2)
    """
    return next(iter(fingerings(frets, barre)), None)


@lru_cache(maxsize=65536)
def fingerings(frets: Frets, barre: bool = True, most: int = FINGERS) -> tuple[Fingering, ...]:
    """Return the fingerings of at most so many fingers worth using, the least awkward first.

    >>> [held.by_string(4) for held in fingerings((5, 4, 3, 3))]
    [(3, 2, 1, 1), (4, 2, 1, 1), (4, 3, 1, 1)]
    """
    pressed = [fret for fret in frets if fret]
    if not pressed:
        return (Fingering((), 0),)
    if 0 in frets:
        return _fingerings(frets, barre, most)
    up = min(pressed) - 1
    shape = tuple(fret - up if fret else fret for fret in frets)
    return tuple(_moved(held, up) for held in _fingerings(shape, barre, most))


def _moved(held: Fingering, up: int) -> Fingering:
    """Return a fingering some frets further up the neck."""
    if not up:
        return held
    presses = tuple(
        Press(press.finger, press.fret + up, press.first, press.last) for press in held.presses
    )
    return Fingering(presses, _position(presses), held.awkward)


def _position(presses: tuple[Press, ...]) -> int:
    return max(1, presses[0].fret - presses[0].finger + 1)


@lru_cache(maxsize=16384)
def _fingerings(frets: Frets, barre: bool, most: int) -> tuple[Fingering, ...]:
    """Return the fingerings of one shape, ranked."""
    lowest = min(fret for fret in frets if fret)
    found: list[tuple[int, tuple[int, ...], Fingering]] = []
    count_points = NUT_COUNT_POINTS if 0 in frets else COUNT_POINTS
    for spots in _spots(frets, barre, most):
        for numbers in combinations(range(1, FINGERS + 1), len(spots)):
            presses = tuple(
                Press(number, *spot) for number, spot in zip(numbers, spots, strict=True)
            )
            if all(_may_lie(press, frets, lowest) for press in presses):
                points = _points(presses, frets, lowest)
                held = Fingering(presses, _position(presses), points)
                found.append((points + count_points[len(presses)], numbers, held))
    found.sort(key=lambda row: row[:2])
    worth = [held for points, _, held in found if points <= found[0][0] + WORTH_POINTS]
    others = (replace(held, awkward=held.awkward + HABIT_POINTS) for held in worth[1:ALTERNATIVES])
    return (*worth[:1], *others)


Spot = tuple[int, int, int]
"""A fret with the first and last tuple index that one finger covers there."""


def _spots(frets: Frets, barre: bool, most: int) -> Iterator[tuple[Spot, ...]]:
    """Yield every way of sharing out the pressed strings among at most so many fingers."""
    pressed = sorted({fret for fret in frets if fret})
    for groups in product(*(_groups(frets, fret, barre, pressed[0]) for fret in pressed)):
        spots = tuple(spot for group in groups for spot in group)
        if len(spots) <= most:
            yield spots


def _groups(frets: Frets, fret: int, barre: bool, lowest: int) -> list[tuple[Spot, ...]]:
    """Return every way of grouping the strings of one fret under straight fingers."""
    strings = [index for index, here in enumerate(frets) if here == fret]
    found: list[tuple[Spot, ...]] = []
    for joined in product((False, True) if barre else (False,), repeat=len(strings) - 1):
        spots: list[Spot] = [(fret, strings[0], strings[0])]
        for join, index in zip(joined, strings[1:], strict=True):
            spots[-1:] = (
                [(fret, spots[-1][1], index)] if join else [spots[-1], (fret, index, index)]
            )
        if all(_is_straight(frets, spot, lowest) for spot in spots):
            found.append(tuple(spots))
    return found


def _is_straight(frets: Frets, spot: Spot, lowest: int) -> bool:
    """Say whether one straight finger can cover a spot: a barre may pass under higher frets."""
    fret, first, last = spot
    covered = frets[first : last + 1]
    if fret == lowest and 0 not in frets:
        return all(here is not None and here >= fret for here in covered)
    return all(here == fret for here in covered)


def _may_lie(press: Press, frets: Frets, lowest: int) -> bool:
    """Say whether a finger may lie where it does: single tips, the first finger, and the rows."""
    if not press.is_barre or press.finger == 1:
        return True
    strings = press.last - press.first + 1
    row = (press.finger, strings, press.fret - lowest)
    lower = _lower_beyond(press, frets)
    if not lower:
        return row in _LAY
    next_to_last = press.last == len(frets) - 2
    return next_to_last and lower == [len(frets) - 1] and row in _OVER_LOWER


def _lower_beyond(press: Press, frets: Frets) -> list[int]:
    """Return the strings nearer the floor that sound a lower fret than a finger's."""
    return [
        index
        for index in range(press.last + 1, len(frets))
        if (here := frets[index]) is not None and here < press.fret
    ]


def _points(presses: tuple[Press, ...], frets: Frets, lowest: int) -> int:
    """Return how awkward a fingering is, the number of its fingers left aside."""
    is_open = 0 in frets
    total = 0
    stretch, cramp = (
        (NUT_STRETCH_POINTS, NUT_CRAMP_POINTS) if is_open else (STRETCH_POINTS, CRAMP_POINTS)
    )
    for one, other in pairwise(presses):
        spread = (other.fret - one.fret) - (other.finger - one.finger)
        total += stretch * spread if spread > 0 else -cramp * spread
    for press in presses:
        if press.is_barre:
            total += _lay_points(press, frets, lowest) + NUT_LAY_POINTS * is_open
    low, high = presses[0], presses[-1]
    if is_open and high.fret - low.fret >= NUT_BACK_FRETS and high.last < low.first:
        total += NUT_BACK_POINTS
    highest = max(fret for fret in frets if fret)
    at_nut = is_open and highest <= NUT_FRETS and len(presses) <= FEW_FINGERS
    own = 1 if at_nut else lowest
    total += OFF_POINTS * sum(abs(press.finger - (press.fret - own + 1)) for press in presses)
    return total if at_nut else total + LATE_POINTS * (low.finger - 1)


def _lay_points(press: Press, frets: Frets, lowest: int) -> int:
    """Return how awkward it is to lay one finger flat."""
    if press.finger == 1:
        beside = sum(
            fret == press.fret for fret in (*frets[: press.first], *frets[press.last + 1 :])
        )
        return BARRE_POINTS + SPLIT_POINTS * beside + BETWEEN_POINTS * _sounds_between(press, frets)
    row = (press.finger, press.last - press.first + 1, press.fret - lowest)
    beyond = frets[press.last + 1] if press.last + 1 < len(frets) else None
    points = _LAY[row].points + BLOCKED_POINTS * (beyond is not None and beyond > press.fret)
    return points + (_OVER_LOWER[row].points if _lower_beyond(press, frets) else 0)


def _sounds_between(press: Press, frets: Frets) -> int:
    """Count the barred strings that must ring between fingertips of one next or second fret."""
    return sum(
        frets[index] == press.fret
        and frets[index - 1] == frets[index + 1]
        and frets[index - 1] in (press.fret + 1, press.fret + 2)
        for index in range(press.first + 1, min(press.last, len(frets) - 2) + 1)
    )
