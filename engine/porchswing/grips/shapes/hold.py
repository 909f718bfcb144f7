"""How one grip is held, and how long the hand takes from one to another.

:mod:`porchswing.grips.search.cost` counts the same over whole tables of grips, for the search;
here is one pair at a time, for the band (2 µs where two tables of one took 23).
"""

from __future__ import annotations

from porchswing.grips.shapes.fingers import FINGERS, Fingering, Press, fingering
from porchswing.grips.shapes.model import Grip

LIFT_S, SHIFT_FRET_S, PLACE_FINGER_S = 0.05, 0.012, 0.03
"""Seconds a practised hand takes to lift, for each fret it shifts and for each finger it sets.

No published measurement for the ukulele was found; these are ours (common practice, no source).
"""


def held_grip(grip: Grip) -> Fingering:
    """Return how a grip is held with the fewest fingers."""
    return fingering(grip.frets) or one_finger_a_string(grip)


def one_finger_a_string(grip: Grip) -> Fingering:
    """Return a stand-in for a grip nobody can hold: every string has a finger."""
    presses = [
        Press(min(index + 1, FINGERS), fret, index, index)
        for index, fret in enumerate(grip.frets)
        if fret
    ]
    return Fingering(tuple(presses), min(press.fret for press in presses))


def shape_code(grip: Grip) -> int:
    """Return a number for a grip without its position, −1 where an open string ties it down."""
    fretted = [fret for fret in grip.frets if fret is not None]
    if not fretted or min(fretted) == 0:
        return -1
    low, code = min(fretted), 0
    for fret in grip.frets:
        code = code * 32 + (31 if fret is None else fret - low)
    return code


def shifted_frets(before: Grip, after: Grip) -> int:
    """Return by how many frets the hand shifts (negative: to the nut); open strings need none."""
    start, goal = held_grip(before).position, held_grip(after).position
    return goal - start if start and goal else 0


def fingers_placed(before: Grip, after: Grip) -> int:
    """Return how many fingers are put down anew: neither staying nor sliding as one shape.

    A finger stays that keeps its fret and strings; so does a barre of the first finger that
    only grows longer or shorter.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> uke = tuning("gCEA")
    >>> fingers_placed(Grip((5, 5, 5, 5), uke), Grip((5, 7, 5, 7), uke))
    2
    """
    shape = shape_code(before)
    if shape >= 0 and shape == shape_code(after) and before != after:
        return 0
    old, new = held_grip(before).presses, held_grip(after).presses
    kept = {(press.fret, press.first, press.last) for press in old}
    stay = [(press.fret, press.first, press.last) in kept for press in new]
    if old and new and not stay[0]:
        barre, goal = old[0], new[0]
        overlaps = barre.first <= goal.last and goal.first <= barre.last
        stay[0] = barre.is_barre and overlaps and barre.fret == goal.fret
    return stay.count(False)


def change_time_s(before: Grip, after: Grip) -> float:
    """Return about how many seconds a practised hand takes from one grip to another.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> uke = tuning("gCEA")
    >>> change_time_s(Grip((5, 7, 5, 7), uke), Grip((5, 7, 5, 7), uke))
    0.0
    """
    if before == after:
        return 0.0
    shift = abs(shifted_frets(before, after))
    return LIFT_S + SHIFT_FRET_S * shift + PLACE_FINGER_S * fingers_placed(before, after)
