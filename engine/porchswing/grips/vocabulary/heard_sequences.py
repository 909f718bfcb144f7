"""Sequences heard in a voicing: the same progression again, with the same shapes further along."""

from __future__ import annotations

from dataclasses import dataclass

from porchswing.grips.search.sequences import sequences
from porchswing.grips.shapes.model import (
    VoicedSlot,
    Voicing,
    changed_slots,
    lowest_fret,
    section_slots,
    shape_of,
)
from porchswing.units import counted


@dataclass(frozen=True, slots=True)
class HeardSequence:
    """A progression and its return, ``semitones`` away, in one section.

    ``first`` and ``again`` are the slots of both. ``frets`` is how far every shape is shifted
    (negative: towards the nut), ``None`` where the shapes are not the same or shift apart.
    """

    section: str
    first: tuple[VoicedSlot, ...]
    again: tuple[VoicedSlot, ...]
    semitones: int
    frets: int | None

    @property
    def words(self) -> str:
        """What the hand does at the return: the same shapes, so many frets up or down."""
        if self.frets is None:
            return "other shapes"
        way = "up" if self.frets > 0 else "down"
        return f"same shapes, {counted(abs(self.frets), 'fret')} {way}"

    def __str__(self) -> str:
        """Return both progressions with their bars, and what the hand does."""
        return f"{_named(self.first)}, then {_named(self.again)}: {self.words}"


def _named(slots: tuple[VoicedSlot, ...]) -> str:
    symbols = " ".join(str(slot.chord) for slot in slots)
    first, last = slots[0].bar, slots[-1].bar
    return f"{symbols} (bar {first})" if first == last else f"{symbols} (bars {first}–{last})"


def heard_sequences(voicing: Voicing, section: str | None = None) -> tuple[HeardSequence, ...]:
    """Return the progressions that return transposed inside each section, in order.

    A progression that returns more than once is listed once for each return.
    """
    found: list[HeardSequence] = []
    for name in voicing.sections:
        if section in (None, name):
            slots = [slot for _, slot in changed_slots(section_slots(voicing, name))]
            for each in sequences([slot.chord for slot in slots if slot.chord]):
                for start in range(each.first, each.first + each.length, each.lag):
                    stop = min(start + each.lag, each.first + each.length)
                    first = tuple(slots[start:stop])
                    again = tuple(slots[start + each.lag : stop + each.lag])
                    found.append(
                        HeardSequence(name, first, again, each.shift, _shift(first, again))
                    )
    return tuple(found)


def _shift(first: tuple[VoicedSlot, ...], again: tuple[VoicedSlot, ...]) -> int | None:
    shifts = set()
    for one, other in zip(first, again, strict=True):
        if one.grip is None or other.grip is None:
            return None
        shape = shape_of(one.grip)
        if not shape.is_movable or shape != shape_of(other.grip):
            return None
        shifts.add(lowest_fret(other.grip) - lowest_fret(one.grip))
    return shifts.pop() if len(shifts) == 1 else None
