"""Shapes: what is left of a grip and its fingers when its fret is taken away.

Two grips of one shape differ only by a shift along the neck. A grip with an open string cannot
be shifted, so it is a shape of its own, tied to its frets.
"""

from __future__ import annotations

from dataclasses import dataclass

from porchswing.chart.model import Frets
from porchswing.grips.shapes.model import Grip


@dataclass(frozen=True, slots=True)
class Shape:
    """Frets from the lowest (0) of a movable grip, or the frets of one with open strings.

    ``fingers`` is the finger on each string, 0 where none is.
    """

    frets: Frets
    fingers: tuple[int, ...]
    is_movable: bool

    def __str__(self) -> str:
        """Return the frets as from fret 1, or as they are, with the fingers."""
        up = 1 if self.is_movable else 0
        frets = "".join("x" if here is None else str(here + up) for here in self.frets)
        return f"{frets} ({' '.join(str(finger) for finger in self.fingers)})"


def shape_of(grip: Grip) -> Shape:
    """Return the shape of a grip as it is fingered.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> str(shape_of(Grip((5, 4, 3, 3), tuning("gCEA"))))
    '3211 (3 2 1 1)'
    """
    low = lowest_fret(grip)
    if not grip.is_closed:
        return Shape(grip.frets, grip.fingers, is_movable=False)
    frets = tuple(None if fret is None else fret - low for fret in grip.frets)
    return Shape(frets, grip.fingers, is_movable=True)


def lowest_fret(grip: Grip) -> int:
    """Return the lowest fret a grip sounds, an open string's 0 included."""
    return min((fret for fret in grip.frets if fret is not None), default=0)
