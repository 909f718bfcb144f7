"""Grips laid out as columns, so that costs are counted over whole tables of them at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from porchswing.grips.shapes.fingers import FINGERS, Fingering, fingerings
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.grips.shapes.work import HandColumns, hand_columns
from porchswing.theory.chords import Chord

Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class GripTable:
    """Candidates for one place, as columns: a chord and a grip with its fingering each.

    ``heard`` are the different chords, as they sound on the tuning, ``heard_of`` (N,) the
    one of each candidate; ``midi`` and ``frets`` are (N, strings), −1 where muted; ``before``
    and ``after`` are the hand's columns as (N, 1) and (1, N), for changes from and to the
    candidates; ``grip_of`` (N,) numbers the grips, those of like frets alike; ``shapes`` codes
    frets and fingers without their position, −1 where open strings tie it down. The rest is (N,).
    """

    chords: tuple[Chord, ...]
    heard: tuple[Chord, ...]
    heard_of: Ints
    roots: Ints
    grips: tuple[Grip, ...]
    midi: Ints
    frets: Ints
    lows: Ints
    highs: Ints
    fingers: Ints
    awkward: Ints
    shapes: Ints
    grip_of: Ints
    before: HandColumns
    after: HandColumns

    def __len__(self) -> int:
        """Return the number of candidates."""
        return len(self.grips)


def with_fingerings(grip: Grip, barre: bool = True, most: int = FINGERS) -> tuple[Grip, ...]:
    """Return a grip once for each of its fingerings; itself alone where no hand can hold it."""
    held = fingerings(grip.frets, barre, most)
    return tuple(Grip(grip.frets, grip.tuning, each) for each in held) or (grip,)


def grip_table(candidates: Sequence[tuple[Chord, Grip]]) -> GripTable:
    """Lay candidates out as columns."""
    chords = tuple(chord for chord, _ in candidates)
    grips = tuple(grip for _, grip in candidates)
    return _columns(chords, grips, tuple(grip.held for grip in grips))


@lru_cache(maxsize=4096)
def _columns(
    chords: tuple[Chord, ...], grips: tuple[Grip, ...], held: tuple[Fingering, ...]
) -> GripTable:
    fretted = [[fret for fret in grip.frets if fret] for grip in grips]
    numbers: dict[tuple[Chord, Grip], int] = {}
    heard: dict[Chord, int] = {}
    heard_of = [
        heard.setdefault(heard_chord(chord, grip.tuning), len(heard))
        for chord, grip in zip(chords, grips, strict=True)
    ]
    hands = [hand_columns(grip) for grip in grips]
    return GripTable(
        chords=chords,
        heard=tuple(heard),
        heard_of=np.array(heard_of, np.int64),
        roots=np.array([chord.root.pc for chord in chords], np.int64),
        grips=grips,
        midi=np.array([[-1 if m is None else m for m in grip.midi] for grip in grips], np.int64),
        frets=np.array([[-1 if f is None else f for f in grip.frets] for grip in grips], np.int64),
        lows=np.array([min(frets, default=0) for frets in fretted], np.int64),
        highs=np.array([max(frets, default=0) for frets in fretted], np.int64),
        fingers=np.array([each.fingers for each in held], np.int64),
        awkward=np.array([each.awkward for each in held], np.int64),
        shapes=np.array([hand.shape for hand in hands], np.int64),
        grip_of=np.array(
            [
                numbers.setdefault((chord, grip), len(numbers))
                for chord, grip in zip(chords, grips, strict=True)
            ],
            np.int64,
        ),
        before=_stacked(hands, (len(hands), 1)),
        after=_stacked(hands, (1, len(hands))),
    )


def _stacked(hands: Sequence[HandColumns], shape: tuple[int, int]) -> HandColumns:
    """Return the numbers of many held grips as arrays of one shape."""

    def stacked(values: Sequence[int]) -> Ints:
        return np.array(values, np.int64).reshape(shape)

    def each(name: str) -> tuple[Ints, ...]:
        rows = [getattr(hand, name) for hand in hands]
        return tuple(stacked(column) for column in zip(*rows, strict=True))

    return HandColumns(
        fret=each("fret"),
        first=each("first"),
        last=each("last"),
        string_fret=each("string_fret"),
        finger_on=each("finger_on"),
        position=stacked([hand.position for hand in hands]),
        low=stacked([hand.low for hand in hands]),
        shape=stacked([hand.shape for hand in hands]),
    )


def heard_chord(chord: Chord, tuning: Tuning) -> Chord:
    """Return a chord as a tuning sounds it: a slash bass only where a bass is heard."""
    return chord if chord.bass is None or tuning.hears_bass else replace(chord, bass=None)
