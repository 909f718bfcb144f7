"""Tunings, grips, their shapes and the voicing chosen for a chart, as frozen records.

Strings are numbered as players do: string 1 is nearest the floor. Tuples run from the
highest-numbered string to string 1 (on a ukulele: strings 4 3 2 1).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from porchswing.chart.model import Frets
from porchswing.chart.roadmap import PlayedBar
from porchswing.grips.shapes.fingers import FINGERS, Fingering, Press, fingering
from porchswing.grips.shapes.hand import CLOSED_HAND, Hand
from porchswing.theory.chords import Chord


@dataclass(frozen=True, slots=True)
class Tuning:
    """A tuning: ``open_midi`` from the highest-numbered string to string 1, MIDI note numbers.

    ``played_strings`` are the string numbers that grips use (empty: all of them); the others
    stay muted. ``is_left_handed`` says that drawings are mirrored: string 1 is on the left.
    """

    name: str
    open_midi: tuple[int, ...]
    instrument: str = "ukulele"
    frets: int = 15
    scale_mm: float = 381.0
    played_strings: tuple[int, ...] = ()
    is_left_handed: bool = False

    @property
    def strings(self) -> int:
        """Number of strings."""
        return len(self.open_midi)

    @property
    def used(self) -> tuple[int, ...]:
        """Tuple indices of the strings that grips use, rising."""
        if not self.played_strings:
            return tuple(range(self.strings))
        return tuple(sorted(self.index(string) for string in self.played_strings))

    @property
    def hears_bass(self) -> bool:
        """Whether the highest-numbered string in use is the lowest, so that a bass is heard."""
        used = [self.open_midi[index] for index in self.used]
        return all(used[0] < other for other in used[1:])

    def index(self, string: int) -> int:
        """Return the tuple index of a string number (string 1 is the last)."""
        return self.strings - string


@dataclass(frozen=True, slots=True)
class Grip:
    """One fretting of one chord on one tuning; ``None`` mutes a string.

    ``hold`` is the fingering chosen for it, ``None`` the one a teacher draws for it alone. Two
    grips are equal where their frets are, whichever fingers press them.
    """

    frets: Frets
    tuning: Tuning
    hold: Fingering | None = field(default=None, compare=False, repr=False)

    @property
    def held(self) -> Fingering:
        """How it is fingered; where no hand can hold it, one finger a string."""
        return self.hold or fingering(self.frets) or one_finger_a_string(self.frets)

    @property
    def fingers(self) -> tuple[int, ...]:
        """The finger on every string, 0 for none."""
        return self.held.by_string(len(self.frets))

    @property
    def sounding_strings(self) -> tuple[int, ...]:
        """Numbers of the strings that are not muted, the highest first."""
        count = len(self.frets)
        return tuple([count - place for place, fret in enumerate(self.frets) if fret is not None])

    @property
    def midi(self) -> tuple[int | None, ...]:
        """MIDI note number of every string, ``None`` where muted."""
        return tuple(
            None if fret is None else open_note + fret
            for fret, open_note in zip(self.frets, self.tuning.open_midi, strict=True)
        )

    @property
    def is_closed(self) -> bool:
        """Whether no string sounds open."""
        return all(fret != 0 for fret in self.frets)

    def __str__(self) -> str:
        """Return the frets as the chart language locks them: ``3535`` or ``9-10-10-10``."""
        marks = ["x" if fret is None else str(fret) for fret in self.frets]
        return "-".join(marks) if any(len(mark) > 1 for mark in marks) else "".join(marks)


def one_finger_a_string(frets: Frets) -> Fingering:
    """Return a stand-in for a grip nobody can hold: every string has a finger."""
    presses = tuple(
        Press(min(index + 1, FINGERS), fret, index, index)
        for index, fret in enumerate(frets)
        if fret
    )
    return Fingering(presses, min(press.fret for press in presses))


@dataclass(frozen=True, slots=True)
class Shape:
    """What is left of a grip and its fingers when its place on the neck is taken away.

    ``frets`` count from the lowest (0). A grip with an open string cannot be shifted: its shape
    keeps its frets. ``fingers`` is the finger on each string, 0 where none is.
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


FARTHEST_SLIDE = 2
"""Most frets that a shape slides."""


def moved_along(grip: Grip, frets: int) -> Grip | None:
    """Return a closed grip moved along the neck, ``None`` where it cannot move so.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> str(moved_along(Grip((5, 4, 3, 3), tuning("gCEA")), -1))
    '4322'
    """
    low = lowest_fret(grip)
    if min(low, low + frets) < 1:
        return None
    return Grip(tuple(None if f is None else f + frets for f in grip.frets), grip.tuning)


def slide_between(before: Grip, after: Grip) -> int:
    """Return how many frets a closed shape slides to become another, 0 where it does not."""
    frets = lowest_fret(after) - lowest_fret(before)
    is_near = 0 < abs(frets) <= FARTHEST_SLIDE
    return frets if is_near and moved_along(before, frets) == after else 0


@dataclass(frozen=True, slots=True)
class VoicedSlot:
    """The grip chosen for one slot of one written bar.

    ``bar`` and ``slot`` count from 1 and 0; ``beat`` is where it enters, in meter units from 1.
    ``grip`` is ``None`` under N.C.; ``chord`` is the chord chosen (one of the alternatives
    offered may have won). ``marks`` are its playing marks. ``pass_number`` is 0 where the grip
    serves every pass of the section.
    """

    section: str
    bar: int
    slot: int
    beat: Fraction
    chord: Chord | None
    grip: Grip | None
    locked: bool = False
    pass_number: int = 0
    marks: tuple[str, ...] = ()

    @property
    def fingers(self) -> tuple[int, ...]:
        """The finger on every string, 0 for none; empty under N.C."""
        return self.grip.fingers if self.grip else ()


@dataclass(frozen=True, slots=True)
class Voicing:
    """The grips of one ``lane`` of a whole chart, in written order, with their cost.

    ``hand`` is the hand they were chosen for. ``is_proven`` says that no other grips cost less.
    Forms of a dozen sections that return in a tangle, and six strings of which any may be muted,
    may be too much to prove.
    """

    tuning: Tuning
    slots: tuple[VoicedSlot, ...]
    cost: float
    lane: str = "swing"
    is_proven: bool = True
    hand: Hand = CLOSED_HAND
    _by_bar: Mapping[tuple[str, int, int], tuple[VoicedSlot, ...]] = field(
        init=False, repr=False, compare=False
    )

    def __post_init__(self) -> None:
        """Index the slots by section, bar and pass."""
        found: dict[tuple[str, int, int], tuple[VoicedSlot, ...]] = {}
        for slot in self.slots:
            key = (slot.section, slot.bar, slot.pass_number)
            found[key] = (*found.get(key, ()), slot)
        object.__setattr__(self, "_by_bar", found)

    @property
    def sections(self) -> tuple[str, ...]:
        """Names of the voiced sections, in order."""
        return tuple(dict.fromkeys(slot.section for slot in self.slots))

    def voiced(self, bar: PlayedBar) -> tuple[VoicedSlot, ...]:
        """Return the voiced slots of a played bar, in order."""
        own = self._by_bar.get((bar.section, bar.bar, bar.pass_number))
        return own or self._by_bar.get((bar.section, bar.bar, 0), ())

    def __str__(self) -> str:
        """Return the chords and their grips, one section a line."""
        return "\n".join(
            f"[{section}] "
            + ", ".join(
                f"{slot.chord} {slot.grip}"
                for slot in self.slots
                if slot.section == section and slot.grip is not None
            )
            for section in self.sections
        )


def section_slots(voicing: Voicing, section: str | None = None) -> tuple[VoicedSlot, ...]:
    """Return the voiced slots of a section (its first pass), or all of them."""
    if section is None:
        return voicing.slots
    own = [slot for slot in voicing.slots if slot.section == section]
    first = min((slot.pass_number for slot in own), default=0)
    return tuple(slot for slot in own if slot.pass_number == first)


def changed_slots(slots: Iterable[VoicedSlot]) -> list[tuple[int, VoicedSlot]]:
    """Return the slots that bring a new grip or a new chord, each after its place; no N.C."""
    found: list[tuple[int, VoicedSlot]] = []
    for place, slot in enumerate(slots):
        last = found[-1][1] if found else None
        is_new = last is None or (last.grip, last.chord) != (slot.grip, slot.chord)
        if slot.grip is not None and is_new:
            found.append((place, slot))
    return found
