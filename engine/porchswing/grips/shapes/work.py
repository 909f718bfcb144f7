"""The hand's work from one held grip to another: what it counts, and how long it takes.

This is the only place where a change is counted. Every field of :class:`HandColumns` is one
number, or an array with an axis for the grips before and one for the grips after; the same
formulas count one change for the band and whole tables of them for the search.

A finger has an identity. It *stays* where it keeps its fret and one of its strings (a laid
finger may grow longer or shorter), *slides* where it keeps its strings and changes its fret,
and is *placed* otherwise. A string that keeps its fret under another finger is *swapped*.

The milliseconds are a model: the hand lifts, shifts by so many frets, and puts its fingers
down together; each further finger has to be aimed, so it adds a little. No published table of
milliseconds for chord changes on fretted instruments was found; all constants are ours, and a
hand profile scales them (``pace``). That repositioning and the movement across strings are
work of different kinds: Heijink & Meulenbroek, as cited by D. Radicioni and V. Lombardo,
"Computational Modeling of Chord Fingering for String Instruments", CogSci 2005.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import prod
from typing import Any

from porchswing.chart.model import Frets
from porchswing.grips.shapes.fingers import FINGERS, Fingering
from porchswing.grips.shapes.model import Grip

Number = Any
"""A whole number, or a numpy array of them."""

LIFT_MS, SHIFT_FRET_MS = 50, 12
"""Time to lift the hand off a grip, and for each fret it shifts."""

SLIDE_MS = 30
"""Time to start and stop a shape that slides whole, the way along the neck left aside."""

FIRST_FINGER_MS, FURTHER_FINGER_MS = 60, 20
"""Time to put down the first finger of a new grip, and to aim each further one."""

SLID_FINGER_MS, SWAPPED_MS, LAID_MS = 10, 20, 25
"""Time on top for each finger that slides alone, each string whose finger changes, each finger
laid flat anew."""

SHAPE_BASE = 32
"""One more than the highest fret a code of a shape can hold."""


@dataclass(frozen=True, slots=True)
class HandColumns:
    """Held grips as numbers.

    By finger, 1 to 4: its fret, first and last string, −1 where it is up. By string: its fret
    (−1 muted) and the finger on it (0 none). Then the hand's position, the lowest fret pressed
    and the code of the shape (−1 with open strings).
    """

    fret: tuple[Number, ...]
    first: tuple[Number, ...]
    last: tuple[Number, ...]
    string_fret: tuple[Number, ...]
    finger_on: tuple[Number, ...]
    position: Number
    low: Number
    shape: Number


def hand_columns(grip: Grip) -> HandColumns:
    """Return one held grip as numbers."""
    return _hand_columns(grip.frets, grip.held)


@lru_cache(maxsize=16384)
def _hand_columns(frets: Frets, held: Fingering) -> HandColumns:
    fret, first, last = [-1] * FINGERS, [-1] * FINGERS, [-1] * FINGERS
    for press in held.presses:
        fret[press.finger - 1] = press.fret
        first[press.finger - 1], last[press.finger - 1] = press.first, press.last
    fingers = held.by_string(len(frets))
    return HandColumns(
        tuple(fret),
        tuple(first),
        tuple(last),
        tuple(-1 if here is None else here for here in frets),
        fingers,
        held.position,
        min((here for here in frets if here), default=0),
        _shape_code(frets, fingers),
    )


def _shape_code(frets: Frets, fingers: tuple[int, ...]) -> int:
    pressed = [fret for fret in frets if fret is not None]
    if not pressed or min(pressed) == 0:
        return -1
    low, code = min(pressed), 0
    for fret, finger in zip(frets, fingers, strict=True):
        code = code * SHAPE_BASE + (SHAPE_BASE - 1 if fret is None else fret - low)
        code = code * (FINGERS + 1) + finger
    return code


def shifted_frets(before: Grip, after: Grip) -> int:
    """Return by how many frets the hand shifts (negative: to the nut); open strings need none."""
    return int(shifted(hand_columns(before), hand_columns(after)))


def change_time_ms(before: Grip, after: Grip, pace: float = 1.0) -> float:
    """Return about how many milliseconds a practised hand takes from one grip to another.

    ``pace`` scales the time, as a hand profile says: 2 is a hand that takes twice as long.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> uke = tuning("gCEA")
    >>> change_time_ms(Grip((5, 3, 3, 3), uke), Grip((5, 3, 3, 3), uke))
    0.0
    >>> change_time_ms(Grip((5, 3, 3, 3), uke), Grip((3, 1, 1, 1), uke))
    54.0
    """
    return pace * float(needed_ms(hand_columns(before), hand_columns(after)))


# --- what is counted -----------------------------------------------------------------------


def slides(before: HandColumns, after: HandColumns) -> Number:
    """Say (1 or 0) where a whole shape slides along the neck under the same fingers."""
    return ((before.shape == after.shape) & (before.low != after.low) & (before.shape >= 0)) * 1


def shifted(before: HandColumns, after: HandColumns) -> Number:
    """Count the frets the hand shifts, negative to the nut; all open strings need no hand."""
    return (after.position - before.position) * (before.position > 0) * (after.position > 0)


def placed(before: HandColumns, after: HandColumns) -> Number:
    """Count the fingers placed anew; a shape that slides places none."""
    return (1 - slides(before, after)) * sum(
        (after.fret[finger] > 0)
        * (1 - _stays(before, after, finger))
        * (1 - _slides_alone(before, after, finger))
        for finger in range(FINGERS)
    )


def slid(before: HandColumns, after: HandColumns) -> Number:
    """Count the fingers that slide along their strings while the shape around them changes."""
    alone = sum(_slides_alone(before, after, finger) for finger in range(FINGERS))
    return alone * (1 - slides(before, after))


def swapped(before: HandColumns, after: HandColumns) -> Number:
    """Count the strings that keep their fret and change their finger."""
    return sum(
        (fret == goal) * (fret > 0) * (finger != other)
        for fret, goal, finger, other in zip(
            before.string_fret, after.string_fret, before.finger_on, after.finger_on, strict=True
        )
    )


def laid(before: HandColumns, after: HandColumns) -> Number:
    """Count the fingers laid flat anew; a shape that slides lays none."""
    return (1 - slides(before, after)) * sum(
        (after.last[finger] > after.first[finger]) * (1 - _stays(before, after, finger))
        for finger in range(FINGERS)
    )


def _stays(before: HandColumns, after: HandColumns, finger: int) -> Number:
    keeps = (before.fret[finger] == after.fret[finger]) & (after.fret[finger] > 0)
    overlaps = (before.first[finger] <= after.last[finger]) & (
        after.first[finger] <= before.last[finger]
    )
    return (keeps & overlaps) * 1


def _slides_alone(before: HandColumns, after: HandColumns, finger: int) -> Number:
    same = (before.first[finger] == after.first[finger]) & (
        before.last[finger] == after.last[finger]
    )
    down = (before.fret[finger] > 0) & (after.fret[finger] > 0)
    return (same & down & (before.fret[finger] != after.fret[finger])) * 1


# --- how long it takes ---------------------------------------------------------------------


def needed_ms(before: HandColumns, after: HandColumns) -> Number:
    """Return about how many milliseconds a practised hand takes, before its pace is counted."""
    new, along, other = placed(before, after), slid(before, after), swapped(before, after)
    slide = slides(before, after)
    way = SHIFT_FRET_MS * abs(shifted(before, after))
    anew = FIRST_FINGER_MS * (new > 0) + FURTHER_FINGER_MS * (new - 1) * (new > 1)
    work = LIFT_MS + way + anew + SLID_FINGER_MS * along + SWAPPED_MS * other
    work = work + LAID_MS * laid(before, after)
    return slide * (SLIDE_MS + way) + (1 - slide) * (1 - _rests(before, after)) * work


def _rests(before: HandColumns, after: HandColumns) -> Number:
    """Say (1 or 0) where every finger keeps its fret and its strings."""
    return prod(
        (before.fret[finger] == after.fret[finger])
        * (before.first[finger] == after.first[finger])
        * (before.last[finger] == after.last[finger])
        for finger in range(FINGERS)
    )
