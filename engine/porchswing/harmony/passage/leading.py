"""What leads where, and what stands for what: one table of functions for every reader of chords.

The review of a handwritten lane, the offers for one place and the numerals all use these two
questions. Common practice, no single source.
"""

from __future__ import annotations

from porchswing.theory.chords import Chord

_TWOS = ("minor", "half-diminished")
_TENSE = ("dominant", "augmented", "diminished")
_OTHERS = ("major", "minor", "half-diminished", "suspended", "power")
_LEADS: tuple[tuple[tuple[str, ...], tuple[str, ...], tuple[int, ...]], ...] = (
    (("dominant",), (), (7, 1)),
    (("dominant",), ("major",), (10,)),  # the backdoor
    (("dominant",), ("dominant",), (2,)),  # i bVII7 bVI7 V7
    (("dominant",), ("minor",), (6,)),  # iv bVII7 iii
    (("augmented",), (), (7,)),
    (("diminished",), (), (11, 1, 6, 3)),  # 3: sharp II° to I over its third
    (_OTHERS, ("diminished",), (11,)),  # the bass climbs on, as IV does in the ending tag
    (_TWOS, ("dominant", "suspended"), (7, 1, 6)),  # 6: V gave way to its tritone partner
    (_TWOS, ("diminished",), (3,)),  # its V without the root
    (_TWOS, _TWOS, (1,)),
    (("major", "minor"), ("major",), (5,)),
    (("major",), ("minor",), (0,)),
    (("major",), _TWOS, (1,)),  # IV steps down to iii, which leads on
    (("major",), ("major",), (8,)),  # flat VI turns home to I
    (("major",), ("dominant",), (10,)),  # IV to V, flat VI to flat VII
)
"""What leads where: the chord's families, its goal's (any where none is given), and the semitones
the root may fall."""
KIN_NOTES = 3
"""Chords that share so many notes stand for each other."""


def stands_for(chord: Chord, plain: Chord) -> bool:
    """Say whether a chord can take another's place: same root and third, or three notes shared.

    Dominants a tritone apart, a diminished chord inside a dominant with a flat nine, and the
    minor chord a fifth above a dominant do so as well.

    >>> from porchswing.theory.symbols import parse_chord as read
    >>> stands_for(read("Db9"), read("G7")), stands_for(read("Am7"), read("C6"))
    (True, True)
    >>> stands_for(read("F#m7"), read("C"))
    False
    """
    rise = (chord.root.pc - plain.root.pc) % 12
    families = (chord.quality.family, plain.quality.family)
    if rise == 0 and set(families) != {"major", "minor"}:
        return True
    dominant = plain.quality.family == "dominant"
    if dominant and rise == 7 and families[0] in ("minor", "half-diminished", "suspended"):
        return True
    if families == ("dominant", "dominant") and rise in (6, 3, 5):
        return True  # 3: the backdoor, Bb7 for G7; 5: a blues that visits IV7
    if families[0] == "diminished" and dominant:
        return (rise in (1, 4, 7, 10)) and chord.quality.suffix in ("dim7", "dim")
    shared = len(chord.pcs & plain.pcs)
    return shared >= min(KIN_NOTES, len(plain.pcs)) or (
        shared >= KIN_NOTES - 1 and _thirds_apart(chord, plain)
    )


def _thirds_apart(chord: Chord, plain: Chord) -> bool:
    """Whether two roots lie a third apart and neither chord is a dominant."""
    rise = (chord.root.pc - plain.root.pc) % 12
    families = {chord.quality.family, plain.quality.family}
    return rise in (3, 4, 8, 9) and families <= {"major", "minor"}


def leads_to(chord: Chord, goal: Chord) -> bool:
    """Say whether a chord approaches the next one as swing players approach it.

    A dominant from a fifth or a semitone above, a diminished chord from a semitone beside, a
    ii before its dominant, IV before iii, minor iv, flat VI or the backdoor before a tonic, and a
    side-slip.

    >>> from porchswing.theory.symbols import parse_chord as read
    >>> leads_to(read("A7"), read("Dm7")), leads_to(read("A7"), read("C6"))
    (True, False)
    """
    fall = (chord.root.pc - goal.root.pc) % 12
    family, goal_family = chord.quality.family, goal.quality.family
    if any(
        family in ours and (not theirs or goal_family in theirs) and fall in falls
        for ours, theirs, falls in _LEADS
    ):
        return True
    if family in _TENSE or (family in _TWOS and goal_family in ("dominant", "suspended")):
        return False  # what wants to go on leads nowhere else
    bass = (chord.bass_note.pc - goal.bass_note.pc) % 12
    if (chord.bass or goal.bass) and bass in (1, 2, 10, 11):
        return True  # the bass walks on by step
    if chord.quality.has("7") and goal.quality.has("7") and fall == 7:
        return True  # a chain of fifths in major sevenths
    return fall == 1 and family == goal_family
