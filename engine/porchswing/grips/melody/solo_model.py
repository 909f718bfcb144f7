"""The records of chord melody: a tune arranged, note by note."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from porchswing.chart.roadmap import PlayedBar
from porchswing.grips.shapes.hand import Hand
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.theory.chords import Chord


@dataclass(frozen=True, slots=True)
class SoloSlot:
    """One note of the arrangement: sounding MIDI ``pitch`` and the grip that sounds it.

    A note picked alone has a grip of one string. ``is_chord`` says that a chord is gripped,
    ``is_tension`` that the note on top is none of the chord's own.
    """

    section: str
    bar: int
    index: int
    at: Fraction
    beats: Fraction
    pitch: int
    chord: Chord | None
    grip: Grip
    is_chord: bool
    is_tension: bool


@dataclass(frozen=True, slots=True)
class Solo:
    """A tune arranged: its slots in written order, ``octaves`` it was moved, and its cost.

    ``troubles`` says what could not be reached, with the nearest remedy.
    """

    tuning: Tuning
    slots: tuple[SoloSlot, ...]
    cost: float
    octaves: int
    lane: str
    hand: Hand
    is_proven: bool
    troubles: tuple[str, ...] = ()

    def of_bar(self, bar: PlayedBar) -> tuple[SoloSlot, ...]:
        """Return the slots of a played bar, in order."""
        return tuple(s for s in self.slots if (s.section, s.bar) == (bar.section, bar.bar))
