"""Grips laid out as columns, so that costs are counted over whole tables of them at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from porchswing.grips.shapes.fingers import Fingering
from porchswing.grips.shapes.hold import held_grip, shape_code
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.grips.shapes.tunings import MAX_STRINGS
from porchswing.theory.chords import Chord

Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class GripTable:
    """Candidates for one place, as columns.

    ``heard`` are the chords as the tuning lets one hear them; ``midi`` and ``frets`` are
    (N, strings), −1 where muted; ``presses`` (N, 6) codes each finger's fret and strings, −1
    where unused; ``index`` (N, 3) is the first finger's fret, first and last string, −1 where
    it presses none; ``shapes`` codes a closed grip without its position, −1 where open strings
    tie it down. The rest is (N,).
    """

    chords: tuple[Chord, ...]
    heard: tuple[Chord, ...]
    grips: tuple[Grip, ...]
    midi: Ints
    frets: Ints
    positions: Ints
    lows: Ints
    highs: Ints
    fingers: Ints
    presses: Ints
    index: Ints
    shapes: Ints

    def __len__(self) -> int:
        """Return the number of candidates."""
        return len(self.grips)


def grip_table(candidates: Sequence[tuple[Chord, Grip]]) -> GripTable:
    """Lay candidates out as columns."""
    return grip_columns(
        tuple(chord for chord, _ in candidates), tuple(grip for _, grip in candidates)
    )


@lru_cache(maxsize=4096)
def grip_columns(chords: tuple[Chord, ...], grips: tuple[Grip, ...]) -> GripTable:
    """Lay grips out as columns; without chords where only the hand's way is asked for."""
    held = [held_grip(grip) for grip in grips]
    fretted = [[fret for fret in grip.frets if fret] for grip in grips]
    return GripTable(
        chords=chords,
        heard=tuple(
            heard_chord(chord, grip.tuning) for chord, grip in zip(chords, grips, strict=False)
        ),
        grips=grips,
        midi=np.array([[-1 if m is None else m for m in grip.midi] for grip in grips], np.int64),
        frets=np.array([[-1 if f is None else f for f in grip.frets] for grip in grips], np.int64),
        positions=np.array([hold.position for hold in held], np.int64),
        lows=np.array([min(frets, default=0) for frets in fretted], np.int64),
        highs=np.array([max(frets, default=0) for frets in fretted], np.int64),
        fingers=np.array([hold.fingers for hold in held], np.int64),
        presses=np.array([_press_codes(hold) for hold in held], np.int64),
        index=np.array([_index_press(hold) for hold in held], np.int64),
        shapes=np.array([shape_code(grip) for grip in grips], np.int64),
    )


def _press_codes(hold: Fingering) -> list[int]:
    codes = [(press.fret * 8 + press.first) * 8 + press.last for press in hold.presses]
    return codes + [-1] * (MAX_STRINGS - len(codes))


def _index_press(hold: Fingering) -> tuple[int, int, int]:
    if not hold.presses:
        return (-1, -1, -1)
    press = hold.presses[0]
    return (press.fret, press.first, press.last)


def heard_chord(chord: Chord, tuning: Tuning) -> Chord:
    """Return what a tuning lets one hear of a chord: a slash bass only where a bass is heard."""
    return chord if chord.bass is None or tuning.hears_bass else replace(chord, bass=None)
