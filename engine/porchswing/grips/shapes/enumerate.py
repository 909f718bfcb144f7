"""Every playable grip of a chord on a tuning, within the limits of a hand.

The neck is walked position by position: at each, the frets of every string that sound a
chord tone are combined, and what lacks a needed tone or takes too many fingers is dropped.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from porchswing.chart.model import Frets
from porchswing.errors import GripError
from porchswing.grips.shapes.fingers import fingerings
from porchswing.grips.shapes.hand import Hand
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.grips.shapes.rules import tone_sets
from porchswing.theory.chords import Chord

MUTED = -1
"""How a muted string is written in arrays of frets."""

MAX_MUTED = 2
"""Most strings of an instrument that may be muted where muting is asked for."""

LEAST_SOUNDING = 3
"""Fewest strings that sound where some are muted: two strings are an interval, not a grip."""

BASS_STRINGS = 5
"""Fewest strings of an instrument whose lowest ones are left out by the nut, as x32010 is."""

OPEN_TOP_FRET = 4
"""Highest fret of a grip by the nut."""

HIGHER_THAN_ANY = 99
"""Stands for a fret where no finger is, so that it is never the lowest."""

FretArray = npt.NDArray[np.int8]


def enumerate_grips(
    chord: Chord,
    tuning: Tuning,
    hand: Hand,
    *,
    kind: str = "closed",
    window: tuple[int, int] | None = None,
    mutes: bool = False,
) -> tuple[Grip, ...]:
    """Return every playable grip of a chord, by rising frets.

    Parameters
    ----------
    kind
        ``closed`` (no open string), ``any``, or ``open``: by the nut, with open strings
        allowed (the weight ``no_open`` makes them wanted), else as ``any``.
    window
        Lowest and highest fret that fingers may use.
    mutes
        Whether strings may be muted besides those the tuning never uses.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> from porchswing.theory.symbols import parse_chord
    >>> hand = Hand(max_fret=5)
    >>> [str(g) for g in enumerate_grips(parse_chord("C"), tuning("gCEA"), hand, kind="open")]
    ['0003', '0403', '0433']
    """
    limits = (hand.max_stretch, hand.max_fret, hand.barre, hand.fingers)
    low, high = window or (1, hand.max_fret)
    span = (max(1, low), min(high, hand.max_fret, tuning.frets))
    return _enumerated(chord, tuning, limits, kind, span, mutes)


@lru_cache(maxsize=8192)
def _enumerated(
    chord: Chord,
    tuning: Tuning,
    limits: tuple[int, int, bool, int],
    kind: str,
    window: tuple[int, int],
    mutes: bool,
) -> tuple[Grip, ...]:
    max_stretch, _, barre, fingers = limits
    low, high = window
    if kind == "open":
        nut = (low, min(high, OPEN_TOP_FRET))
        in_bass = tuning.hears_bass and len(tuning.used) >= BASS_STRINGS
        rows = _fret_rows(chord, tuning, max_stretch, nut, True, mutes or in_bass)
        if in_bass and not mutes:
            rows = [row for row in rows if _is_muted_in_bass_alone(row, tuning)]
        playable = _playable(rows, tuning, barre, fingers)
        if playable:
            return playable
    rows = _fret_rows(chord, tuning, max_stretch, (low, high), kind != "closed", mutes)
    return _playable(rows, tuning, barre, fingers)


def _is_muted_in_bass_alone(frets: Frets, tuning: Tuning) -> bool:
    """Say whether the muted strings are the lowest ones in use, next to each other."""
    muted = [frets[index] is None for index in tuning.used]
    return muted == sorted(muted, reverse=True)


def _playable(
    rows: list[Frets], tuning: Tuning, barre: bool, most_fingers: int
) -> tuple[Grip, ...]:
    return tuple(Grip(frets, tuning) for frets in rows if fingerings(frets, barre, most_fingers))


def _fret_rows(
    chord: Chord,
    tuning: Tuning,
    max_stretch: int,
    window: tuple[int, int],
    with_open: bool,
    mutes: bool,
) -> list[Frets]:
    """Return fret tuples that sound an allowed set of tones, sorted and each once."""
    used = tuning.used
    least = max(len(used) - MAX_MUTED, min(LEAST_SOUNDING, len(used))) if mutes else len(used)
    wanted = {strings: _wanted_masks(chord, strings) for strings in range(least, len(used) + 1)}
    allowed = 0
    for masks in wanted.values():
        for mask in masks:
            allowed |= mask
    opens = [with_open and allowed >> tuning.open_midi[index] % 12 & 1 for index in used]
    options = [
        _string_options(tuning.open_midi[index], allowed, window, bool(is_open), mutes)
        for index, is_open in zip(used, opens, strict=True)
    ]
    rows = _within_reach(options, max_stretch)
    rows = rows[(rows > 0).any(axis=1)]
    if with_open and (all(opens) or mutes):  # no finger at all
        rows = np.append(rows, [[0 if is_open else MUTED for is_open in opens]], axis=0)
    found = np.full((len(rows), tuning.strings), MUTED, np.int8)
    found[:, used] = rows
    found = found[_sounds_wanted(found, tuning, wanted)]
    tuples = {tuple(None if fret == MUTED else fret for fret in row) for row in found.tolist()}
    return sorted(tuples, key=_fret_order)


def _fret_order(frets: Frets) -> tuple[int, ...]:
    return tuple(MUTED if fret is None else fret for fret in frets)


def _wanted_masks(chord: Chord, strings: int) -> tuple[int, ...]:
    """Return the allowed sets on so many strings as bit masks, with a slash bass or without."""
    masks = {sum(1 << pc for pc in tones) for tones in tone_sets(chord, strings)}
    if chord.bass is not None and chord.bass.pc not in chord.pcs:
        masks |= {mask | 1 << chord.bass.pc for mask in masks}
    return tuple(sorted(masks))


def _string_options(
    open_midi: int, allowed: int, window: tuple[int, int], is_open: bool, mutes: bool
) -> list[int]:
    """Return the frets of one string that sound an allowed tone."""
    low, high = window
    options = [fret for fret in range(low, high + 1) if allowed >> (open_midi + fret) % 12 & 1]
    return [MUTED] * mutes + [0] * is_open + options


def _within_reach(options: list[list[int]], max_stretch: int) -> FretArray:
    """Return every combination whose fretted notes lie within a stretch, string by string."""
    rows = np.array(options[0], np.int8)[:, None]
    for choice in options[1:]:
        column = np.tile(np.array(choice, np.int8), len(rows))[:, None]
        rows = np.concatenate([np.repeat(rows, len(choice), axis=0), column], axis=1)
        lowest = np.where(rows > 0, rows, HIGHER_THAN_ANY).min(axis=1)
        rows = rows[rows.max(axis=1) - lowest <= max_stretch]
    return rows


def _sounds_wanted(
    rows: FretArray, tuning: Tuning, wanted: Mapping[int, tuple[int, ...]]
) -> npt.NDArray[np.bool_]:
    """Say which rows sound exactly one of the sets wanted on as many strings as they sound."""
    notes = np.array(tuning.open_midi, np.int16) + rows
    bits = np.where(rows == MUTED, 0, 1 << notes % 12)
    sounded = np.bitwise_or.reduce(bits, axis=1)
    strings = (rows != MUTED).sum(axis=1)
    result = np.zeros(len(rows), np.bool_)
    for count, masks in wanted.items():
        result |= np.isin(sounded, masks) & (strings == count)
    return result


def need_grips(
    chord: Chord,
    tuning: Tuning,
    hand: Hand,
    *,
    kind: str,
    window: tuple[int, int] | None = None,
    mutes: bool = False,
) -> tuple[Grip, ...]:
    """Return :func:`enumerate_grips`, or say what would have to give where there are none.

    Raises
    ------
    GripError
        Naming the chord, the limits and the nearest relaxations that would help.
    """
    grips = enumerate_grips(chord, tuning, hand, kind=kind, window=window, mutes=mutes)
    if grips:
        return grips
    from porchswing.grips.shapes.relaxations import (
        relaxations,  # only where there is something to relax
    )

    helps = relaxations(chord, tuning, hand, kind=kind, window=window, mutes=mutes)
    raise GripError(
        f"no {kind if kind != 'any' else 'playable'} grip for {chord} on {tuning.name} "
        f"within {_limits(hand, window)}; "
        + (f"try {' or '.join(helps)}" if helps else "no hand can play it on these strings")
    )


def _limits(hand: Hand, window: tuple[int, int] | None) -> str:
    low, high = window or (1, hand.max_fret)
    words = [f"frets {low} to {min(high, hand.max_fret)}", f"a stretch of {hand.max_stretch}"]
    if not hand.barre:
        words.append("no barre")
    if hand.fingers < 4:
        words.append(f"{hand.fingers} finger{'' if hand.fingers == 1 else 's'}")
    return ", ".join(words)
