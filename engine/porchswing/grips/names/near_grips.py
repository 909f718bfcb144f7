"""What a grip that sounds odd may have meant: the chord one finger away."""

from __future__ import annotations

from dataclasses import dataclass

from porchswing.chart.model import Frets
from porchswing.grips.names.readings import NAMED, Reading, readings
from porchswing.grips.shapes.enumerate import enumerate_grips
from porchswing.grips.shapes.hand import CLOSED_HAND, Hand
from porchswing.grips.shapes.model import Grip
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key

COMMON_POINTS = 13
"""A quality that loses no more is common, and gets no near grips."""

MAX_NEAR = 3
"""Most near grips that are returned."""


@dataclass(frozen=True, slots=True)
class NearGrip:
    """A grip one finger away that sounds a common chord."""

    chord: Chord
    grip: Grip

    def __str__(self) -> str:
        """Return what to say to the player."""
        return f"for {self.chord} you may mean {self.grip}"


def near_grips(
    grip: Grip, known: tuple[Reading, ...], key: Key | None = None
) -> tuple[NearGrip, ...]:
    """Return common chords one finger away, where the grip itself is not a common one."""
    if known and NAMED[known[0].chord.quality.suffix] <= COMMON_POINTS:
        return ()
    roots = {reading.chord.root.pc for reading in known[:1]} or set(range(12))
    found: list[tuple[bool, int, NearGrip]] = []
    for frets in one_finger_away(grip.frets):
        other = Grip(frets, grip.tuning)
        changed = sum(a != b for a, b in zip(grip.frets, frets, strict=True))
        for reading in readings(other, key=key)[:1]:
            points = NAMED[reading.chord.quality.suffix]
            if reading.chord.root.pc in roots and points <= COMMON_POINTS and not reading.missing:
                # a finger set on the next string is the likelier slip
                found.append((changed == 1, points, NearGrip(reading.chord, other)))
    found.sort(key=lambda row: row[:2])
    return tuple(near for _, _, near in found[:MAX_NEAR])


def one_finger_away(frets: Frets) -> tuple[Frets, ...]:
    """Return the grips one finger away: a fret along its string, or over to the next string.

    >>> (3, 4, 3, 5) in one_finger_away((4, 3, 3, 5))
    True
    """
    found: dict[Frets, None] = {}
    for index, fret in enumerate(frets):
        if fret is None:
            continue
        for other in (fret - 1, fret + 1):
            if other >= 0:
                found[(*frets[:index], other, *frets[index + 1 :])] = None
        nearby = frets[index + 1 : index + 2]
        if nearby and nearby[0] is not None and nearby[0] != fret:
            found[(*frets[:index], nearby[0], fret, *frets[index + 2 :])] = None
    return tuple(found)


def _distance(frets: Frets, others: Frets) -> int:
    return sum(abs((a or 0) - (b or 0)) for a, b in zip(frets, others, strict=True))


def meant_grip(grip: Grip, chord: Chord) -> Grip | None:
    """Return the grip of a chord that lies nearest to one that does not sound it.

    Grips one finger away come first; where there is none, the fewest frets decide.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> from porchswing.theory.symbols import parse_chord
    >>> str(meant_grip(Grip((4, 3, 3, 5), tuning("gCEA")), parse_chord("C9")))
    '3435'
    """
    hand = Hand(max_fret=max(CLOSED_HAND.max_fret, *(fret or 0 for fret in grip.frets)))
    kind = "closed" if grip.is_closed else "any"
    grips = enumerate_grips(chord, grip.tuning, hand, kind=kind, mutes=None in grip.frets)
    close = set(one_finger_away(grip.frets))
    return min(
        grips,
        key=lambda other: (other.frets not in close, _distance(grip.frets, other.frets)),
        default=None,
    )
