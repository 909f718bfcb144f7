"""Whether a swing chord sounds well over the plain one that beginners play at the same time.

The rule is an interval: no tone of the swing chord lies a semitone from a tone of the plain chord,
in whatever octave, unless the swing chord has both of them in itself (the major seventh beside its
root, the thirteenth beside its seventh): that rub is the chord's own colour. Ours, no source.
"""

from __future__ import annotations

from collections.abc import Iterable

from porchswing.harmony.passage.steps import Passage, Step
from porchswing.theory.chords import Chord

RUBS = frozenset({1, 11})
"""Distances in semitones, mod 12, that two tones of two chords may not have."""


def rub(plain: Chord, swing: Chord) -> tuple[int, int] | None:
    """Return the pitch classes of a plain and a swing tone that rub, ``None`` where none do.

    >>> from porchswing.theory.symbols import parse_chord as read
    >>> rub(read("C"), read("Am7")), rub(read("C"), read("Cmaj7"))
    (None, None)
    >>> rub(read("G7"), read("Db7"))
    (2, 1)
    """
    own = set(swing.pcs)
    for low in plain.pcs:
        if low in own:
            continue
        for high in swing.pcs:
            if (high - low) % 12 in RUBS:
                return low, high
    return None


def fits_beneath(passage: Passage, steps: Iterable[Step]) -> bool:
    """Return whether steps may sound over the plain chords beneath, where any are to be heard."""
    return not any(
        step.chord and below.chord and rub(below.chord, step.chord)
        for step in steps
        for below in passage.beneath
        if below.start < step.end and step.start < below.end
    )
