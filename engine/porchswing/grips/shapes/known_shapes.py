"""Shapes a player says are known, as a hand profile lists them."""

from __future__ import annotations

from dataclasses import dataclass

from porchswing.chart.model import Frets
from porchswing.errors import GripError


@dataclass(frozen=True, slots=True)
class KnownShape:
    """A shape a player knows: its frets, and its fingers where they are said."""

    frets: Frets
    fingers: tuple[int, ...] = ()
    is_movable: bool = True

    def __str__(self) -> str:
        """Return the frets as from fret 1, or as they are."""
        up = 1 if self.is_movable else 0
        return "".join("x" if here is None else str(here + up) for here in self.frets)


def read_known_shape(text: str) -> KnownShape:
    """Return a shape from frets anywhere on the neck, with fingers after them where they matter.

    >>> str(read_known_shape("5433")), str(read_known_shape("0003"))
    ('3211', '0003')
    >>> read_known_shape("5433 3211").fingers
    (3, 2, 1, 1)
    """
    words = text.split()
    marks = words[0].split("-") if words and "-" in words[0] else list(words[0] if words else "")
    try:
        frets = tuple(None if mark in ("x", "X") else int(mark) for mark in marks)
        fingers = tuple(int(mark) for mark in (words[1] if len(words) > 1 else ""))
    except ValueError:
        frets, fingers = (), (0,)
    sounding = [fret for fret in frets if fret is not None]
    if not sounding or len(words) > 2 or (fingers and len(fingers) != len(frets)):
        raise GripError(
            f"a known shape is one fret a string, such as 5433 or 10-9-8-8, and may be followed "
            f"by one finger a string, such as 5433 3211; got {text!r}"
        )
    low = min(sounding)
    if low == 0:
        return KnownShape(frets, fingers, is_movable=False)
    return KnownShape(tuple(None if f is None else f - low for f in frets), fingers)
