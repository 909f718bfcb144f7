"""The grips of one chord by itself, the easiest first."""

from __future__ import annotations

import numpy as np

from porchswing.chart.model import GRIP_KINDS
from porchswing.errors import GripError, check_one_of, check_types
from porchswing.grips.search.cost import grip_costs
from porchswing.grips.search.table import grip_table, with_fingerings
from porchswing.grips.shapes.enumerate import need_grips
from porchswing.grips.shapes.hand import CLOSED_HAND, OPEN_HAND, Ease, Hand
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.grips.shapes.tunings import tuning as tuning_of
from porchswing.theory.chords import Chord
from porchswing.theory.symbols import parse_chord


def grips_of(
    chord: Chord | str,
    tuning: str | Tuning = "gCEA",
    *,
    grips: str = "any",
    max_fret: int | None = None,
    max_stretch: int | None = None,
    frets: tuple[int, int] | None = None,
    hand: Hand | None = None,
    ease: Ease | None = None,
    mutes: bool = False,
) -> tuple[Grip, ...]:
    """Return every playable grip of a chord, the easiest to form first.

    Parameters
    ----------
    chord
        A chord or its symbol.
    tuning
        A tuning, its name or its notes.
    grips
        ``closed`` (no open string), ``open`` (by the nut) or ``any``.
    max_fret, max_stretch
        Highest fret, and most frets between the lowest and the highest finger; they override
        the limits of the hand.
    frets
        Lowest and highest fret that fingers may use.
    hand
        Limits and weights (default: those that suit the kind of grips).
    ease
        A hand profile, which overrides limits and weights of the hand.
    mutes
        Whether strings may be muted.

    Returns
    -------
    tuple of Grip
        Ordered by what the hand's weights count, then by fret; never empty.

    Raises
    ------
    ChordSymbolError, TuningError
        For a symbol or a tuning that cannot be read.
    GripError
        Where no grip lies within the limits; the message gives the nearest that would help.

    Examples
    --------
    >>> [str(grip) for grip in grips_of("Am7", max_fret=7)][:2]
    ['0000', '0057']
    >>> [str(grip) for grip in grips_of("Am7", grips="closed", max_fret=7)]
    ['2433', '5757']
    """
    check_types(
        chord=(chord, Chord, str),
        tuning=(tuning, Tuning, str),
        grips=(grips, str),
        max_fret=(max_fret, int, None),
        max_stretch=(max_stretch, int, None),
        frets=(frets, tuple, None),
        hand=(hand, Hand, None),
        ease=(ease, Ease, None),
        mutes=(mutes, bool),
    )
    check_one_of("grips", grips, GRIP_KINDS, GripError)
    wanted = parse_chord(chord) if isinstance(chord, str) else chord
    limits = hand or (OPEN_HAND if grips == "open" else CLOSED_HAND)
    if ease is not None:
        limits = ease.over(limits)
    limits = limits.within(max_fret, max_stretch)
    found = need_grips(wanted, tuning_of(tuning), limits, kind=grips, window=frets, mutes=mutes)
    held = [with_fingerings(grip, limits.barre, limits.fingers)[0] for grip in found]
    costs = grip_costs(grip_table([(wanted, grip) for grip in held]), limits)
    return tuple(held[place] for place in np.argsort(costs, kind="stable"))
