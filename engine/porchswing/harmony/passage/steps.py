"""The working form of a lane while it is reharmonised: steps, needs and passages.

A lane is merged into *steps*, one for each chord however many bars it lasts. A swap row looks
at a :class:`Passage` and offers other steps for some of them. What such an offer requires of its
neighbours is written on the steps as :class:`Need`, so that a whole lane can be put together
from offers with every precondition checked where two of them meet.

Times inside a passage are whole *pulses*, :data:`PULSES` to the unit the meter counts (a quarter
in n/4, an eighth in n/8), so that halves and quarters of bars are whole numbers.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache, partial
from itertools import pairwise
from typing import NamedTuple

from porchswing.chart.model import MelodyNote, Slot
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key, enharmonics, simplified
from porchswing.theory.notes import Degree, NoteName, note_at
from porchswing.theory.qualities import QUALITIES

PULSES = 24
"""Pulses in one unit of the meter."""


class Need(NamedTuple):
    """What a neighbouring chord must be, or must not be where ``forbid`` is set.

    ``roots`` are pitch classes and ``families`` chord families; an empty set accepts all.
    ``bass`` compares the bass note instead of the root. A ``soft`` need may go unmet on some of
    the ways out of a stretch, at a price; inside a stretch it is a need like any other.
    """

    roots: frozenset[int] = frozenset()
    families: frozenset[str] = frozenset()
    forbid: bool = False
    bass: bool = False
    soft: bool = False

    def met(self, chord: Chord | None) -> bool:
        """Say whether a neighbour is what is needed; silence and the end are nothing."""
        if chord is None:
            return self.forbid
        pc = (chord.bass_note if self.bass else chord.root).pc
        fits = (not self.roots or pc in self.roots) and (
            not self.families or chord.quality.family in self.families
        )
        return fits != self.forbid


class Deed(NamedTuple):
    """One swap as it was done: the row's name, where, and the chords before and after."""

    row: str
    start: int
    stop: int
    before: tuple[Chord, ...]
    after: tuple[Chord, ...]


class Step(NamedTuple):
    """One chord of the lane: ``start`` and length in ``pulses``, in the local ``key``.

    ``freedom`` is ``free``, ``colour`` (the root stays and so does its length: the step carries
    playing marks) or ``kept`` (a locked grip, a locked bar or silence). ``plain`` is the chord
    the beginner's lane has where the step starts. A step that ``mirrors`` has the quality of the
    next one: the same shape, slid.
    """

    chord: Chord | None
    start: int
    pulses: int
    key: Key
    freedom: str = "free"
    plain: Chord | None = None
    before: tuple[Need, ...] = ()
    after: tuple[Need, ...] = ()
    deeds: tuple[Deed, ...] = ()
    fixed_colour: bool = False
    mirrors: bool = False

    @property
    def end(self) -> int:
        """Where the step ends, in pulses from the start of the passage."""
        return self.start + self.pulses

    @property
    def family(self) -> str:
        """The chord's family, ``silence`` for N.C."""
        return self.chord.quality.family if self.chord else "silence"

    @property
    def suffix(self) -> str:
        """The chord's canonical suffix."""
        return self.chord.quality.suffix if self.chord else ""

    @property
    def degree(self) -> int:
        """Semitones of the root above the local tonic, 0–11; -1 for silence."""
        return self.degree_in(self.key)

    def degree_in(self, key: Key) -> int:
        """Return the semitones of the root above a key's tonic, 0–11; -1 for silence.

        A chord and its goal may be in two keys: a move between them is one in one key.
        """
        return (self.chord.root.pc - key.tonic.pc) % 12 if self.chord else -1


class Offer(NamedTuple):
    """Other steps for ``passage.steps[start:stop]``, filling exactly the same time."""

    row: str
    start: int
    stop: int
    steps: tuple[Step, ...]


class OfferedChord(NamedTuple):
    """One chord of an offer: its length in pulses and what it needs before and after it."""

    chord: Chord
    pulses: int
    before: tuple[Need, ...] = ()
    after: tuple[Need, ...] = ()
    fixed_colour: bool = False
    mirrors: bool = False


class BarSpan(NamedTuple):
    """One written bar inside a passage: its place and when it starts."""

    section: str
    bar_index: int
    start: int
    pulses: int
    slots: tuple[Slot, ...]


class TuneNote(NamedTuple):
    """One melody note: where it starts and how long it lasts, in pulses, perhaps broken ones."""

    start: int | Fraction
    pulses: int | Fraction
    note: MelodyNote


@dataclass(frozen=True, slots=True)
class Passage:
    """A stretch of bars that is always played straight through.

    ``entries`` are the steps that may come before it and ``exits`` those that may follow
    (``None`` stands for the end of the tune), with ``weights`` that say how often each way out
    is taken, and ``owners`` from which of the sections that stay alike. ``grid_pulses`` is the
    felt beat, on which alone chords may enter; ``beat_s`` its length in seconds. ``beneath`` are
    the plain chords that are played at the same time, empty where none are. Where a place is
    ``asked`` about, what only taste keeps out of a lane is offered too.
    """

    steps: tuple[Step, ...]
    spans: tuple[BarSpan, ...]
    grid_pulses: int
    beat_s: float
    entries: tuple[Step | None, ...] = ()
    exits: tuple[Step | None, ...] = ()
    melody: tuple[TuneNote, ...] = ()
    starts: tuple[int, ...] = ()
    weights: tuple[float, ...] = ()
    owners: tuple[int, ...] = ()
    beneath: tuple[Step, ...] = ()
    asked: bool = False

    def previous(self, index: int) -> Step | None:
        """Return the step before, over the edge too where all ways in agree."""
        return self.steps[index - 1] if index else _common(self.entries)

    def following(self, index: int) -> Step | None:
        """Return the step at ``index``, over the edge too where all ways out agree."""
        return self.steps[index] if index < len(self.steps) else _common(self.exits)

    def likely(self, index: int) -> Step | None:
        """Return the step at ``index``, over the edge the one that comes at least half the time."""
        found = self.following(index)
        if found is not None or index < len(self.steps):
            return found
        usual = (way for way in self.exits if self.share_after(index, partial(alike, way)) >= HALF)
        return next(usual, None)

    def notes_from(self, pulse: int | Fraction) -> int:
        """Return the index of the first melody note that may still sound at a pulse.

        Notes follow one another, so it is the last that starts no later.
        """
        return max(0, bisect_right(self.melody, pulse, key=lambda tune: tune.start) - 1)

    def share_after(self, index: int, test: Callable[[Step], bool]) -> float:
        """Return on which share of the ways on the next step passes a test, 0 to 1.

        Of sections that stay alike, that with the smallest share counts.
        """
        if index < len(self.steps):
            return float(test(self.steps[index]))
        fits = [way is not None and test(way) for way in self.exits]
        return min(shares(fits, self.weights, self.owners), default=0.0)

    def span_at(self, pulse: int | Fraction) -> BarSpan:
        """Return the bar that holds a pulse."""
        return self.spans[bisect_right(self.starts, pulse) - 1]

    def replaced(self, offer: Offer) -> Passage:
        """Return the passage with an offer taken."""
        steps = self.steps[: offer.start] + offer.steps + self.steps[offer.stop :]
        return replace(self, steps=steps)


HALF = 0.5


def shares(
    fits: Sequence[bool], weights: Sequence[float] = (), owners: Sequence[int] = ()
) -> Iterator[float]:
    """Yield for each section the share of its ways out that fit, by weight, 0 to 1.

    >>> list(shares([True, False, True], [3.0, 1.0, 1.0], [0, 0, 1]))
    [0.75, 1.0]
    """
    weights, owners = weights or (1.0,) * len(fits), owners or (0,) * len(fits)
    for owner in sorted(set(owners)):
        own = [place for place, one in enumerate(owners) if one == owner]
        total = sum(weights[place] for place in own)
        yield sum(weights[place] for place in own if fits[place]) / total if total else 0.0


def alike(one: Step | None, other: Step | None) -> bool:
    """Say whether two steps have chords of the same root and family."""
    if not (one and other and one.chord and other.chord):
        return False
    return one.chord.root.pc == other.chord.root.pc and one.family == other.family


def _common(steps: tuple[Step | None, ...]) -> Step | None:
    """Return one step when all have the same root and family, else nothing."""
    return steps[0] if steps and all(alike(steps[0], step) for step in steps) else None


@lru_cache(maxsize=4096)
def chord(root: NoteName, suffix: str, bass: NoteName | None = None) -> Chord:
    """Build a chord from a root and a canonical suffix.

    >>> chord(NoteName.parse("C"), "m7b5").symbol
    'Cm7b5'
    """
    return Chord(root, QUALITIES[suffix], bass if bass != root else None)


@lru_cache(maxsize=8192)
def at(root: NoteName, degree: str, key: Key | None = None) -> NoteName:
    """Return the note at a degree above a root, spelled as charts spell it.

    Double signs are respelled; so are C flat, F flat, E sharp and B sharp, unless they stand
    in the scale of the key.

    >>> str(at(NoteName.parse("Db"), "b2")), str(at(NoteName.parse("Bb"), "b2"))
    ('D', 'B')
    """
    note = simplified(note_at(root, Degree.parse(degree)))
    if str(note) not in _RARE or (key is not None and note in key.scale):
        return note
    return next(other for other in enharmonics(note.pc) if other.alter == 0)


_RARE = frozenset({"Cb", "Fb", "E#", "B#"})


def needs(roots: Iterable[int] = (), families: Iterable[str] = (), **how: bool) -> tuple[Need, ...]:
    """Return one need as the tuple a step carries."""
    return (Need(frozenset(pc % 12 for pc in roots), frozenset(families), **how),)


def agree(left: Step | None, right: Step | None) -> bool:
    """Say whether two neighbours are what they need of each other."""
    left_chord = left.chord if left else None
    right_chord = right.chord if right else None
    if left and not all(need.met(right_chord) for need in left.after):
        return False
    return not (right and not all(need.met(left_chord) for need in right.before))


def all_agree(steps: tuple[Step, ...]) -> bool:
    """Say whether every two neighbours of a run of steps agree."""
    return all(agree(left, right) for left, right in pairwise(steps))


def offer(
    row: str, passage: Passage, start: int, stop: int, parts: Iterable[OfferedChord]
) -> Offer:
    """Build an offer from its parts, which must fill the time of the steps they replace.

    The outer steps inherit what the replaced ones asked of the neighbours outside.
    """
    olds, parts = passage.steps[start:stop], tuple(parts)
    before = tuple(step.chord for step in olds if step.chord)
    deed = Deed(row, olds[0].start, olds[-1].end, before, tuple(part.chord for part in parts))
    history = tuple(dict.fromkeys(done for step in olds for done in step.deeds))
    at_pulse, steps = olds[0].start, []
    for place, part in enumerate(parts):
        under = next(step for step in reversed(olds) if step.start <= at_pulse)
        inherited = olds[0].before if place == 0 else ()
        handed_on = olds[-1].after if place == len(parts) - 1 else ()
        steps.append(
            under._replace(
                chord=part.chord,
                start=at_pulse,
                pulses=part.pulses,
                before=inherited + part.before,
                after=handed_on + part.after,
                deeds=(*history, deed),
                fixed_colour=under.fixed_colour or part.fixed_colour,
                mirrors=part.mirrors,
            )
        )
        at_pulse += part.pulses
    if at_pulse != olds[-1].end:
        raise AssertionError(f"{row} fills up to pulse {at_pulse}, not {olds[-1].end}")
    return Offer(row, start, stop, tuple(steps))


def strong_split(passage: Passage, start: int, end: int) -> int | None:
    """Return the best pulse to divide a chord at: near its middle, on a bar or half a bar.

    ``None`` where not even two felt beats are there.
    """
    grid = passage.grid_pulses
    middle = (start + end) // 2

    def distance(pulse: int) -> tuple[int, int]:
        weak = 0 if is_strong(passage, pulse) else 3 * grid // 4
        return abs(pulse - middle) + weak, -pulse

    return min(range(start + grid, end, grid), key=distance, default=None)


def is_strong(passage: Passage, pulse: int | Fraction) -> bool:
    """Whether a pulse opens a bar, or its second half where halves are felt beats."""
    span = passage.span_at(pulse)
    half = span.pulses // 2
    return pulse == span.start or (half % passage.grid_pulses == 0 and pulse == span.start + half)
