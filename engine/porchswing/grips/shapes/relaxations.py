"""What would have to give for a chord that cannot be gripped: the nearest relaxations."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from porchswing.grips.shapes.enumerate import enumerate_grips
from porchswing.grips.shapes.hand import Hand
from porchswing.grips.shapes.model import Tuning
from porchswing.theory.chords import Chord

WIDEST_STRETCH = 5
"""Widest stretch worth suggesting."""


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

    def helps(
        changed: Hand = hand,
        *,
        with_kind: str = kind,
        within: tuple[int, int] | None = window,
        with_mutes: bool = mutes,
    ) -> bool:
        return bool(
            enumerate_grips(chord, tuning, changed, kind=with_kind, window=within, mutes=with_mutes)
        )

    found: list[str] = []
    if window is not None:
        found += _wider_windows(window, tuning, lambda wider: helps(within=wider))
    for stretch in range(hand.max_stretch + 1, WIDEST_STRETCH + 1):
        if helps(replace(hand, max_stretch=stretch)):
            found.append(f"a stretch of {stretch} frets")
            break
    if window is None:
        for fret in range(hand.max_fret + 1, tuning.frets + 1):
            if helps(replace(hand, max_fret=fret)):
                found.append(f"frets up to {fret}")
                break
    if not hand.barre and helps(replace(hand, barre=True)):
        found.append("a barre")
    for fingers in range(hand.fingers + 1, 5):
        if helps(replace(hand, fingers=fingers)):
            found.append(f"{fingers} fingers")
            break
    if kind == "closed" and helps(with_kind="any"):
        found.append("open strings (--grips any)")
    if not mutes and helps(with_mutes=True):
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
