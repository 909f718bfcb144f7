"""What a swap is: one row of the catalogue, its words and its pure function."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from porchswing.harmony.passage.steps import Offer, Passage

COMMON_PRACTICE = "common practice, no single source"


@dataclass(frozen=True, slots=True)
class SwapRow:
    """One substitution.

    Attributes
    ----------
    name
        As the trade names it.
    depth
        From which depth on the reharmoniser uses it, 1 to 4.
    when, effect, reason, listen
        Its precondition, what it does (in C), why it works, and what to listen for, each in
        one sentence.
    melody
        What a held or accented melody note may not be, in words.
    offers
        The function that finds it: a passage and the index of a step give other steps.
    preference
        Points added when the swap is chosen.
    group
        The kind of swap a style speaks of; a swap of none is at home everywhere.
    colour
        Whether only the quality changes: root, length and family stay.
    flat_nine
        Whether a melody note a semitone above the root of its dominants is their own flat ninth;
        not where the dominant falls otherwise than by a fifth.
    repeat_penalised
        Whether a repeat within eight bars is penalised.
    suffix
        The suffix a colour gives.
    set_piece
        Whether it is laid over written chords only, never over another swap's.
    rare
        Whether a lane hardly needs it: it is good for one place when somebody asks there.
    asked
        Whether it is in no lane at all unless it was named: it is for one place alone.
    most
        The most written chords it takes, where that is known.
    source
        Where the swap is described.
    """

    name: str
    depth: int
    when: str
    effect: str
    reason: str
    listen: str
    melody: str
    offers: Callable[[Passage, int], Iterator[Offer]]
    preference: float
    group: str = ""
    colour: bool = False
    flat_nine: bool = True
    repeat_penalised: bool = False
    set_piece: bool = False
    suffix: str = ""
    rare: bool = False
    asked: bool = False
    most: int = 4
    source: str = COMMON_PRACTICE
