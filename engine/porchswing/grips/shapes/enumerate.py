"""Every playable grip of a chord on a tuning, within the limits of a hand.

The neck is walked position by position: at each, the frets of every string that sound a
chord tone are combined, and what lacks a needed tone or takes too many fingers is dropped.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

from porchswing.chart.model import Frets
from porchswing.errors import GripError
from porchswing.grips.shapes.fingers import FINGERS, fingerings
from porchswing.grips.shapes.hand import Hand
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.grips.shapes.rules import tone_sets
from porchswing.theory.chords import Chord
from porchswing.units import counted

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

WIDEST_STRETCH = 5
"""Widest stretch worth suggesting where a chord has no grip."""

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
    limits = (hand.max_stretch, hand.barre, hand.fingers)
    low, high = window or (1, hand.max_fret)
    span = (max(1, low), min(high, hand.max_fret, tuning.frets))
    return _enumerated(chord, tuning, limits, kind, span, mutes)


@lru_cache(maxsize=8192)
def _enumerated(
    chord: Chord,
    tuning: Tuning,
    limits: tuple[int, bool, int],
    kind: str,
    window: tuple[int, int],
    mutes: bool,
) -> tuple[Grip, ...]:
    max_stretch, barre, fingers = limits
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
    allowed = int(np.bitwise_or.reduce([mask for masks in wanted.values() for mask in masks]))
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
    unique = sorted(set(map(tuple, found.tolist())))
    return [tuple(None if fret == MUTED else fret for fret in row) for row in unique]


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
    """Return :func:`enumerate_grips`, or raise with what would help where there are none.

    Raises
    ------
    GripError
        Naming the chord, the limits and the nearest relaxations that would help.
    """
    grips = enumerate_grips(chord, tuning, hand, kind=kind, window=window, mutes=mutes)
    if grips:
        return grips
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
        words.append(counted(hand.fingers, "finger"))
    return ", ".join(words)


# --- limits whose relaxation yields grips --------------------------------------------------


def relaxations(
    chord: Chord,
    tuning: Tuning,
    hand: Hand,
    *,
    kind: str,
    window: tuple[int, int] | None,
    mutes: bool,
) -> tuple[str, ...]:
    """Return what would help, each alone, in a player's words and with the smallest change."""

    def helps(limits: dict[str, Any], **given: Any) -> bool:
        wishes: dict[str, Any] = {"kind": kind, "window": window, "mutes": mutes, **given}
        return bool(enumerate_grips(chord, tuning, replace(hand, **limits), **wishes))

    highest = tuning.frets if window is None else 0
    found: list[str] = []
    if window is not None:
        found += _wider_windows(window, tuning, lambda wider: helps({}, window=wider))
    for limit, most, words in (
        ("max_stretch", WIDEST_STRETCH, "a stretch of {} frets"),
        ("max_fret", highest, "frets up to {}"),
        ("barre", True, "a barre"),
        ("fingers", FINGERS, "{} fingers"),
    ):
        values = range(getattr(hand, limit) + 1, most + 1)
        enough = next((value for value in values if helps({limit: value})), None)
        if enough is not None:
            found.append(words.format(enough))
    if kind == "closed" and helps({}, kind="any"):
        found.append("open strings (--grips any)")
    if not mutes and helps({}, mutes=True):
        found.append("muted strings")
    return tuple(found) if found else _together(chord, tuning, hand, mutes)


def _wider_windows(
    window: tuple[int, int], tuning: Tuning, helps: Callable[[tuple[int, int]], bool]
) -> list[str]:
    """Return the smallest widening of a fret window that helps, if any does."""
    low, high = window
    for extra in range(1, tuning.frets):
        for wider in ((low, high + extra), (max(1, low - extra), high)):
            if wider != window and wider[1] <= tuning.frets and helps(wider):
                return [f"frets {wider[0]} to {wider[1]}"]
    return []


def _together(chord: Chord, tuning: Tuning, hand: Hand, mutes: bool) -> tuple[str, ...]:
    """Return everything relaxed at once, where no single change helps."""
    freest = replace(
        hand, max_stretch=WIDEST_STRETCH, max_fret=max(tuning.frets, 1), barre=True, fingers=4
    )
    if enumerate_grips(chord, tuning, freest, kind="any", mutes=mutes):
        return ("a wider stretch, a barre, open strings and the whole neck together",)
    if not mutes and enumerate_grips(chord, tuning, freest, kind="any", mutes=True):
        return ("muted strings, a wider stretch and the whole neck together",)
    return ()
