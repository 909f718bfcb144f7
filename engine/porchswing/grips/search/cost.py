"""What a grip and a move cost the hand and the ear, in a player's words.

Every term is one small function that counts something (semitones, frets, fingers) over
whole tables of grips at once; its weight is in :class:`~porchswing.grips.shapes.hand.Weights`.
Costs are whole thousandths of that unit, so that sums are exact whatever their order.

References: fingering as a path whose steps cost vertical and horizontal work, M. Sayegh's
paradigm as given by G. Hori, H. Kameoka, S. Sagayama, "Input-Output HMM Applied to Automatic
Arrangement for Guitars", Journal of Information Processing 21(2), 2013; the hand's shift
kept apart from vertical movement, D. Radicioni, V. Lombardo, "Computational Modeling of
Chord Fingering for String Instruments", CogSci 2005; the size of a voice leading as the sum
of semitones (taxicab), D. Tymoczko, "A Geometry of Music", 2011.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from porchswing.grips.search.table import Bools, GripTable, Ints, grip_table
from porchswing.grips.shapes import work
from porchswing.grips.shapes.enumerate import BASS_STRINGS
from porchswing.grips.shapes.fingers import Fingering
from porchswing.grips.shapes.hand import CLOSED_HAND, Hand, Weights
from porchswing.grips.shapes.model import Grip
from porchswing.theory.chords import Chord
from porchswing.theory.symbols import parse_chord

UNIT = 1000
"""Whole cost steps in one unit of weight."""

RESTRUNG = 2
"""Semitones counted for a string that falls silent or comes in."""

MOST_KEPT = 2500
"""Changes from table to table whose costs are kept for the next tune; larger tables are not."""

EASY_FINGERS, EASY_STRETCH = 2, 2
"""Fingers and frets of stretch that cost nothing extra."""

ANY_BASS = -1
"""Stands for a pitch class where any bass will do."""


# --- the work of one grip ------------------------------------------------------------------


def fingers_beyond_two(table: GripTable) -> Ints:
    """Count the fingers beyond two, the fourth for two: it has no finger left to lean on."""
    beyond = np.maximum(table.fingers - EASY_FINGERS, 0)
    counted: Ints = beyond * (beyond + 1) // 2
    return counted


def frets_away(table: GripTable, region: tuple[int, int]) -> Ints:
    """Count the frets by which a grip lies outside the favourite region."""
    below = np.maximum(region[0] - table.lows, 0) * (table.highs > 0)
    return below + np.maximum(table.highs - region[1], 0)


def lacks_fifth(table: GripTable) -> Bools:
    """Say which grips leave out the perfect fifth their chord has."""
    has_fifth = np.array([chord.quality.has("5") for chord in table.chords], bool)
    return has_fifth & ~_sounds(table, (table.roots + 7) % 12)


def lacks_root_in_bass(table: GripTable) -> Bools:
    """Say which grips of five strings and more have no root at the bottom."""
    if len(table.grips[0].tuning.used) < BASS_STRINGS:
        return np.zeros(len(table), bool)
    return _lacks_bass(table, [ANY_BASS if c.bass else c.root.pc for c in table.chords])


def wrong_bass(table: GripTable) -> Bools:
    """Say which grips of slash chords lack the bass, where a bass is heard."""
    return _lacks_bass(table, [c.bass.pc if c.bass else ANY_BASS for c in table.chords])


def _lacks_bass(table: GripTable, wanted: Sequence[int]) -> Bools:
    """Say which grips have another pitch class at the bottom, where a bass is heard."""
    if max(wanted) == ANY_BASS or not table.grips[0].tuning.hears_bass:
        return np.zeros(len(table), bool)
    pcs = np.array(wanted)
    lowest = np.where(table.midi < 0, 999, table.midi).min(axis=1) % 12
    lacks: Bools = (pcs != ANY_BASS) & (lowest != pcs)
    return lacks


def unisons(table: GripTable) -> Ints:
    """Count the neighbouring strings that sound one and the same note."""
    same = (table.midi[:, 1:] == table.midi[:, :-1]) & (table.midi[:, 1:] >= 0)
    count: Ints = same.sum(axis=1)
    return count


def _sounds(table: GripTable, pcs: Ints) -> Bools:
    found: Bools = ((table.midi % 12 == pcs[:, None]) & (table.midi >= 0)).any(axis=1)
    return found


# --- the work of one move, (N, M) from every grip of one table to every one of another ------


def moved_semitones(before: GripTable, after: GripTable) -> Ints:
    """Count the semitones that the strings' notes move, each string for itself."""
    start, goal = before.midi[:, None, :], after.midi[None, :, :]
    silent = (start < 0) != (goal < 0)
    total: Ints = np.where(silent, RESTRUNG, np.abs(goal - start)).sum(axis=2)
    return total


def same_fingers(before: GripTable, after: GripTable) -> Bools:
    """Say where every string keeps its finger."""
    equal: Bools = np.ones((len(before), len(after)), bool)
    for one, other in zip(before.before.finger_on, after.after.finger_on, strict=True):
        equal &= one == other
    return equal


def _same_chords(before: GripTable, after: GripTable) -> Bools:
    same = np.array([[one == other for other in after.heard] for one in before.heard], bool)
    return same[before.heard_of[:, None], after.heard_of]


GRIP_TERMS: tuple[tuple[str, Callable[[GripTable, Hand], Ints | Bools]], ...] = (
    ("finger", lambda table, _: table.fingers),
    ("third_finger", lambda table, _: fingers_beyond_two(table)),
    ("awkward", lambda table, _: table.awkward),
    ("stretch", lambda table, _: np.maximum(table.highs - table.lows - EASY_STRETCH, 0)),
    ("away", lambda table, hand: frets_away(table, hand.region)),
    ("no_root", lambda table, _: ~_sounds(table, table.roots)),
    ("no_fifth", lambda table, _: lacks_fifth(table)),
    # those strings aside that the tuning never uses
    ("muted", lambda table, _: (table.frets[:, table.grips[0].tuning.used] < 0).sum(axis=1)),
    ("no_open", lambda table, _: (table.frets != 0).all(axis=1)),
    ("root_bass", lambda table, _: lacks_root_in_bass(table)),
    ("unison", lambda table, _: unisons(table)),
    ("wrong_bass", lambda table, _: wrong_bass(table)),
)
"""What forming a grip costs: the weight's name and what is counted, or where it is true."""

MOVE_TERMS: tuple[tuple[str, Callable[[GripTable, GripTable], Ints]], ...] = (
    ("semitone", moved_semitones),
    ("shift", lambda before, after: abs(work.shifted(before.before, after.after))),
    ("finger_placed", lambda before, after: work.placed(before.before, after.after)),
    ("finger_slid", lambda before, after: work.slid(before.before, after.after)),
    ("finger_swapped", lambda before, after: work.swapped(before.before, after.after)),
    ("slide", lambda before, after: work.slides(before.before, after.after)),
)
"""What moving from grip to grip costs: the weight's name and what is counted."""

COUNTED_IN = {"awkward": 20}
"""How many of what is counted make one unit, where a weight is not for each."""


def weight_steps(weights: Weights, name: str) -> int:
    """Return a weight in whole cost steps, for each of what it counts."""
    weight: float = getattr(weights, name)
    return round(weight * UNIT / COUNTED_IN.get(name, 1))


@lru_cache(maxsize=1024)
def grip_costs(table: GripTable, hand: Hand) -> Ints:
    """Return what forming each grip costs, (N,) in cost steps."""
    total = np.zeros(len(table), np.int64)
    for name, count in GRIP_TERMS:
        total += weight_steps(hand.weights, name) * count(table, hand)
    total.flags.writeable = False
    return total


def change_costs(before: GripTable, after: GripTable, hand: Hand) -> Ints:
    """Return what every change costs, (N, M) in cost steps, the new grip's forming included.

    Keeping the grip and its fingers under the same chord is free; keeping the grip under
    another chord costs ``same_grip``.
    """
    is_kept = len(before) * len(after) <= MOST_KEPT
    return (_kept_change_costs if is_kept else _change_costs)(before, after, hand)


def _change_costs(before: GripTable, after: GripTable, hand: Hand) -> Ints:
    total = np.tile(grip_costs(after, hand), (len(before), 1))
    for name, count in MOVE_TERMS:
        total += weight_steps(hand.weights, name) * count(before, after)
    same, chord = (before.frets[:, None] == after.frets).all(axis=2), _same_chords(before, after)
    total += weight_steps(hand.weights, "same_grip") * (same & ~chord)
    total[same & chord & same_fingers(before, after)] = 0
    total.flags.writeable = False
    return total


_kept_change_costs = lru_cache(maxsize=1024)(_change_costs)


# --- one change, for people ----------------------------------------------------------------

_ANY = parse_chord("C")
"""Stands for the chord where only the hand's way counts."""


def move_terms(
    before: Grip, after: Grip, hand: Hand = CLOSED_HAND
) -> tuple[tuple[str, int, float], ...]:
    """Return the terms of one move: the weight's name, how many, and what they cost."""
    return _move_terms(before, after, before.held, after.held, hand.weights)


@lru_cache(maxsize=4096)
def _move_terms(
    before: Grip, after: Grip, start: Fingering, goal: Fingering, weights: Weights
) -> tuple[tuple[str, int, float], ...]:
    """Return the terms of one move; grips are equal under any fingers, so these come as well."""
    tables = tuple(
        grip_table([(_ANY, replace(grip, hold=hold))])
        for grip, hold in ((before, start), (after, goal))
    )
    return _rows(((name, int(count(*tables)[0, 0])) for name, count in MOVE_TERMS), weights)


def grip_terms(chord: Chord, grip: Grip, hand: Hand) -> tuple[tuple[str, int, float], ...]:
    """Return the terms of forming one grip: the weight's name, how many, and what they cost."""
    return _grip_terms(chord, grip, grip.held, hand)


@lru_cache(maxsize=4096)
def _grip_terms(
    chord: Chord, grip: Grip, held: Fingering, hand: Hand
) -> tuple[tuple[str, int, float], ...]:
    table = grip_table([(chord, replace(grip, hold=held))])
    return _rows(((name, int(count(table, hand)[0])) for name, count in GRIP_TERMS), hand.weights)


def _rows(
    counts: Iterable[tuple[str, int]], weights: Weights
) -> tuple[tuple[str, int, float], ...]:
    return tuple(
        (name, number, weight_steps(weights, name) * number / UNIT) for name, number in counts
    )
