"""What leads where, and what stands for what: one table of functions for every reader of chords.

The review of a handwritten lane, the offers for one place and the numerals all use these two
questions. Common practice, no single source.
"""

from __future__ import annotations

from porchswing.theory.chords import Chord

_TWOS = ("minor", "half-diminished")
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
    if families == ("dominant", "dominant") and rise == 6:
        return True
    dominant = plain.quality.family == "dominant"
    if dominant and rise == 7 and families[0] in ("minor", "half-diminished", "suspended"):
        return True
    if dominant and rise in (3, 5) and families[0] == "dominant":
        return True  # the backdoor, Bb7 for G7; a blues that visits IV7
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
    if family == "dominant":
        backdoor = fall == 10 and goal_family == "major"
        steps_down = fall == 2 and goal_family == "dominant"  # i bVII7 bVI7 V7
        to_three = fall == 6 and goal_family == "minor"  # iv bVII7 iii
        return fall in (7, 1) or backdoor or steps_down or to_three
    if family == "augmented":
        return fall == 7
    if family == "diminished":
        return fall in (11, 1, 6, 3)  # 3: sharp II° to I over its third
    if goal_family == "diminished" and fall == 11:
        return True  # the bass climbs on, as IV does in the ending tag
    if family in _TWOS and goal_family in ("dominant", "suspended"):
        return fall in (7, 1, 6)  # 6: its V gave way to the dominant a tritone off
    if family in _TWOS and goal_family == "diminished" and fall == 3:
        return True  # its V without the root
    if family in _TWOS and goal_family in _TWOS and fall == 1:
        return True
    slashed = chord.bass or goal.bass
    if slashed and (chord.bass_note.pc - goal.bass_note.pc) % 12 in (1, 2, 10, 11):
        return True  # the bass walks on by step
    if family in ("major", "minor") and goal_family == "major" and fall == 5:
        return True
    if family == "major" and goal_family == "minor" and fall == 0:
        return True
    if family == "major" and goal_family in _TWOS and fall == 1:
        return True  # IV steps down to iii, which leads on
    if family == goal_family == "major" and fall == 8:
        return True  # flat VI turns home to I
    if family == "major" and goal_family == "dominant" and fall == 10:
        return True  # IV to V, flat VI to flat VII
    if chord.quality.has("7") and goal.quality.has("7") and fall == 7:
        return True  # a chain of fifths in major sevenths
    return fall == 1 and family == goal_family
