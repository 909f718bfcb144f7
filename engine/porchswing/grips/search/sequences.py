"""Sequences: a progression heard again transposed, whose shapes may repeat along the neck.

In Em7 A7 Dm7 G7 the second pair is the first a whole tone lower, so its shapes may be those of
the first pair, two frets nearer the nut. Any intervals count, and any length from two chords. The
search charges for shapes that do not repeat; :func:`heard_sequences` finds both kinds in a voicing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from porchswing.grips.shapes.model import (
    VoicedSlot,
    Voicing,
    changed_slots,
    lowest_fret,
    section_slots,
    shape_of,
)
from porchswing.theory.chords import Chord
from porchswing.units import counted

LEAST_CHORDS, MOST_CHORDS = 2, 12
"""Fewest and most chords of a progression that is looked for."""

GAP_CHORDS, LEAST_WITH_GAP = 1, 3
"""Most chords between a progression and its return, and the fewest chords it then has."""


@dataclass(frozen=True, slots=True)
class Transposed:
    """A progression of ``length`` chords from place ``first``, and again ``lag`` places later.

    ``semitones`` is how far up its roots move, 1 to 11. A progression longer than its lag
    returns more than once: the circle of dominants is one pair heard over and over.
    """

    first: int
    length: int
    lag: int
    semitones: int

    @property
    def shift(self) -> int:
        """The nearest way its roots move, −5 to 6 semitones."""
        return self.semitones - 12 if self.semitones > 6 else self.semitones

    @property
    def pairs(self) -> tuple[tuple[int, int], ...]:
        """Each place with the place where its chord returns."""
        return tuple((at, at + self.lag) for at in range(self.first, self.first + self.length))


def sequences(chords: Sequence[Chord]) -> tuple[Transposed, ...]:
    """Return the progressions that return transposed; no chord returns twice.

    Neighbouring chords must differ. Where a chord belongs to several, the nearest return
    counts: the fewest chords back, each semitone of the shift counted as a chord.

    >>> from porchswing.theory.symbols import parse_chord
    >>> sequences([parse_chord(word) for word in "Em7 A7 Dm7 G7 Cmaj7".split()])
    (Transposed(first=0, length=2, lag=2, semitones=10),)
    """
    found: list[Transposed] = []
    for lag in range(LEAST_CHORDS, MOST_CHORDS + GAP_CHORDS + 1):
        for first, length, semitones in _stretches(chords, lag):
            is_near = length >= LEAST_WITH_GAP and lag - length <= GAP_CHORDS
            if length >= lag or is_near:
                found.append(Transposed(first, length, lag, semitones))
    found.sort(key=lambda each: (each.lag + abs(each.shift), each.first))
    taken: set[int] = set()
    kept = []
    for each in found:
        again = {place for _, place in each.pairs}
        if not again & taken:
            taken |= again
            kept.append(each)
    return tuple(sorted(kept, key=lambda each: each.first + each.lag))


def _stretches(chords: Sequence[Chord], lag: int) -> Iterator[tuple[int, int, int]]:
    """Yield the longest stretches that return after a lag: first place, length, semitones."""
    first, rise = 0, 0
    for at in range(len(chords) - lag + 1):
        here = _rise(chords[at], chords[at + lag]) if at + lag < len(chords) else 0
        if here != rise:
            if rise:
                yield first, at - first, rise
            first, rise = at, here


def _rise(one: Chord, other: Chord) -> int:
    """Return by how many semitones a chord is transposed, 0 where it is another or the same."""
    if one.quality != other.quality or (one.bass is None) != (other.bass is None):
        return 0
    rise = (other.root.pc - one.root.pc) % 12
    if one.bass and other.bass and (other.bass.pc - one.bass.pc) % 12 != rise:
        return 0
    return rise


# --- heard in a voicing --------------------------------------------------------------------


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
