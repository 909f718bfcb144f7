"""What a grip and a move cost the hand and the ear, in words a player knows.

Every term is one small function that counts something (semitones, frets, fingers) over
whole tables of grips at once; its weight stands in :class:`~porchswing.grips.shapes.hand.Weights`.
Costs are whole thousandths of that unit, so that sums are exact whatever their order.

References: fingering as a path whose steps cost vertical and horizontal work, M. Sayegh's
paradigm as told by G. Hori, H. Kameoka, S. Sagayama, "Input-Output HMM Applied to Automatic
Arrangement for Guitars", Journal of Information Processing 21(2), 2013; the hand's shift
kept apart from vertical movement, D. Radicioni, V. Lombardo, "Computational Modeling of
Chord Fingering for String Instruments", CogSci 2005; the size of a voice leading as the sum
of semitones (taxicab), D. Tymoczko, "A Geometry of Music", 2011.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np

from porchswing.grips.search.table import Bools, GripTable, Ints, grip_columns, grip_table
from porchswing.grips.shapes.hand import CLOSED_HAND, Hand, Weights
from porchswing.grips.shapes.model import Grip
from porchswing.theory.chords import Chord

UNIT = 1000
"""Whole cost steps in one unit of weight."""

RESTRUNG = 2
"""Semitones counted for a string that falls silent or comes in."""

EASY_FINGERS, EASY_STRETCH = 2, 2
"""Fingers and frets of stretch that cost nothing extra."""


# --- the work of one grip ------------------------------------------------------------------


def fingers_beyond_two(table: GripTable) -> Ints:
    """Count the fingers beyond two, the fourth for two: it has no finger left to lean on."""
    beyond = np.maximum(table.fingers - EASY_FINGERS, 0)
    counted: Ints = beyond * (beyond + 1) // 2
    return counted


def stretch_frets(table: GripTable) -> Ints:
    """Count the frets of stretch beyond two."""
    stretch: Ints = np.maximum(table.highs - table.lows - EASY_STRETCH, 0)
    return stretch


def frets_away(table: GripTable, region: tuple[int, int]) -> Ints:
    """Count the frets by which a grip lies outside the favourite region."""
    below = np.maximum(region[0] - table.lows, 0) * (table.highs > 0)
    return below + np.maximum(table.highs - region[1], 0)


def lacks_root(table: GripTable) -> Ints:
    """Say (1 or 0) which grips leave out their chord's root."""
    roots = np.array([chord.root.pc for chord in table.chords], np.int64)
    return ~_sounds(table, roots) * 1


def lacks_fifth(table: GripTable) -> Ints:
    """Say (1 or 0) which grips leave out the perfect fifth their chord has."""
    fifths = np.array([(chord.root.pc + 7) % 12 for chord in table.chords], np.int64)
    has_fifth = np.array([chord.quality.has("5") for chord in table.chords])
    lacks: Bools = has_fifth & ~_sounds(table, fifths)
    return lacks * 1


def muted_strings(table: GripTable) -> Ints:
    """Count the strings muted, those aside that the tuning never uses."""
    used = list(table.grips[0].tuning.used)
    count: Ints = (table.frets[:, used] < 0).sum(axis=1)
    return count


def lacks_open(table: GripTable) -> Ints:
    """Say (1 or 0) which grips have no open string."""
    closed: Bools = (table.frets != 0).all(axis=1)
    return closed * 1


def wrong_bass(table: GripTable) -> Ints:
    """Say (1 or 0) which grips of slash chords lack the bass, where a bass is heard."""
    if not any(chord.bass for chord in table.chords) or not table.grips[0].tuning.hears_bass:
        return np.zeros(len(table), np.int64)
    lowest = np.where(table.midi < 0, 999, table.midi).min(axis=1) % 12
    wanted = np.array([chord.bass.pc if chord.bass else -1 for chord in table.chords])
    wrong: Bools = (wanted >= 0) & (lowest != wanted)
    return wrong * 1


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


def shifted_frets(before: GripTable, after: GripTable) -> Ints:
    """Count the frets by which the hand shifts; all open strings need no hand."""
    start, goal = before.positions[:, None], after.positions[None, :]
    shift: Ints = np.abs(goal - start) * ((start > 0) & (goal > 0))
    return shift


def slides(before: GripTable, after: GripTable) -> Bools:
    """Say where one whole shape slides along the neck."""
    same = before.shapes[:, None] == after.shapes[None, :]
    moved = before.lows[:, None] != after.lows[None, :]
    found: Bools = same & moved & (before.shapes[:, None] >= 0)
    return found


def fingers_placed(before: GripTable, after: GripTable) -> Ints:
    """Count the fingers put down anew: neither staying nor sliding as one shape.

    A finger stays that keeps its fret and strings; so does a barre of the first finger that
    only grows longer or shorter.
    """
    same = before.presses[:, None, :, None] == after.presses[None, :, None, :]
    same[:, :, 0, 0] |= _barre_stays(before.index[:, None, :], after.index[None, :, :])
    stays = (same.any(axis=2) & (after.presses >= 0)[None, :, :]).sum(axis=2)
    placed: Ints = after.fingers[None, :] - stays
    anew: Ints = np.where(slides(before, after), 0, placed)
    return anew


def _barre_stays(old: Ints, new: Ints) -> Bools:
    """Say where a barre stays at its fret and over some of its strings."""
    was_barre = old[..., 2] > old[..., 1]
    overlaps = (old[..., 1] <= new[..., 2]) & (new[..., 1] <= old[..., 2])
    stays: Bools = was_barre & overlaps & (old[..., 0] == new[..., 0])
    return stays


def same_grips(before: GripTable, after: GripTable) -> Bools:
    """Say where the frets stay as they are."""
    equal: Bools = (before.frets[:, None, :] == after.frets[None, :, :]).all(axis=2)
    return equal


def _same_chords(before: GripTable, after: GripTable) -> Bools:
    return np.array([[one == other for other in after.heard] for one in before.heard], bool)


GRIP_TERMS: tuple[tuple[str, Callable[[GripTable, Hand], Ints]], ...] = (
    ("finger", lambda table, _: table.fingers),
    ("third_finger", lambda table, _: fingers_beyond_two(table)),
    ("stretch", lambda table, _: stretch_frets(table)),
    ("away", lambda table, hand: frets_away(table, hand.region)),
    ("no_root", lambda table, _: lacks_root(table)),
    ("no_fifth", lambda table, _: lacks_fifth(table)),
    ("muted", lambda table, _: muted_strings(table)),
    ("no_open", lambda table, _: lacks_open(table)),
    ("wrong_bass", lambda table, _: wrong_bass(table)),
)
"""What forming a grip costs: the weight's name and what is counted."""

MOVE_TERMS: tuple[tuple[str, Callable[[GripTable, GripTable], Ints]], ...] = (
    ("semitone", moved_semitones),
    ("shift", shifted_frets),
    ("finger_placed", fingers_placed),
    ("slide", lambda before, after: slides(before, after) * 1),
)
"""What moving from grip to grip costs: the weight's name and what is counted."""


def weight_steps(weights: Weights, name: str) -> int:
    """Return a weight in whole cost steps."""
    weight: float = getattr(weights, name)
    return round(weight * UNIT)


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

    Keeping the grip under the same chord is free; keeping it under another chord costs
    ``same_grip``.
    """
    total = np.tile(grip_costs(after, hand), (len(before), 1))
    for name, count in MOVE_TERMS:
        total += weight_steps(hand.weights, name) * count(before, after)
    same, chord = same_grips(before, after), _same_chords(before, after)
    total += weight_steps(hand.weights, "same_grip") * (same & ~chord)
    total[same & chord] = 0
    return total


# --- one change, for people ----------------------------------------------------------------


def move_cost(before: Grip, after: Grip, hand: Hand = CLOSED_HAND) -> float:
    """Return what the hand's way from one grip to another costs, the chords left aside.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> uke = tuning("gCEA")
    >>> slide, jump = Grip((4, 6, 4, 6), uke), Grip((10, 12, 10, 12), uke)
    >>> start = Grip((5, 7, 5, 7), uke)
    >>> move_cost(start, slide) < move_cost(start, jump)
    True
    """
    return sum(cost for _, _, cost in move_terms(before, after, hand))


def move_terms(
    before: Grip, after: Grip, hand: Hand = CLOSED_HAND
) -> tuple[tuple[str, int, float], ...]:
    """Return the terms of one move: the weight's name, how many, and what they cost."""
    start, goal = grip_columns((), (before,)), grip_columns((), (after,))
    rows = []
    for name, count in MOVE_TERMS:
        number = int(count(start, goal)[0, 0])
        rows.append((name, number, weight_steps(hand.weights, name) * number / UNIT))
    return tuple(rows)


def grip_terms(chord: Chord, grip: Grip, hand: Hand) -> tuple[tuple[str, int, float], ...]:
    """Return the terms of forming one grip: the weight's name, how many, and what they cost."""
    table = grip_table([(chord, grip)])
    rows = []
    for name, count in GRIP_TERMS:
        number = int(count(table, hand)[0])
        rows.append((name, number, weight_steps(hand.weights, name) * number / UNIT))
    return tuple(rows)
