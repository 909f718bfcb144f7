"""Every chord a grip may be, ranked.

A reading is a chord whose tones the grip sounds under the same rules that grips are chosen
by (:mod:`porchswing.grips.shapes.rules`), so nothing is a reading that the tool would not play as
one. Rootless readings are those of chords of five tones and more. Where the tuning lets a
bass be heard, a lowest note other than the root is written after a slash.

The ranking is a sum of plain points (common practice, no source): how common the chord is
(:data:`NAMED`), what the grip leaves out, whether it fits the key, and above all whether it
leads to the chord that follows or follows from the chord before.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from porchswing.grips.shapes.model import Grip
from porchswing.grips.shapes.rules import tone_sets
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key, spell_pc
from porchswing.theory.notes import NoteName
from porchswing.theory.symbols import parse_quality

# how many points a quality loses for being rarer than a triad
NAMED: dict[str, int] = {
    "": 0, "m": 0, "7": 2, "6": 4, "m7": 6, "maj7": 6, "9": 7, "m6": 10, "dim7": 8, "aug": 8,
    "sus4": 8, "sus2": 9, "dim": 10, "6/9": 11, "m9": 12, "maj9": 12, "m7b5": 13, "7sus4": 12,
    "13": 13, "7b9": 13, "7#5": 13, "mMaj7": 14, "add9": 14, "madd9": 16, "7b5": 16, "7#9": 16,
    "9sus4": 17, "9#5": 18, "m6/9": 18, "13b9": 19, "7#5b9": 20, "9#11": 20, "m11": 20,
    "maj13": 20, "7#5#9": 21, "9b5": 21, "maj7#5": 22, "m9b5": 22, "mMaj9": 22, "maj7b5": 23,
    "m13": 24, "5": 25, "13sus4": 25, "7sus2": 26, "11": 27, "maj11": 28, "mb6": 28,
    "dimMaj7": 28, "7alt": 29,
}  # fmt: skip
"""Qualities that are named, with the points each loses for being rare."""

ROOTLESS_TONES = 5
"""Fewest tones of a chord that players grip without its root; other rootless names are noise."""

FULL_POINTS = 100
ROOTLESS_POINTS, FIFTHLESS_POINTS, SLASH_POINTS = 2, 8, 6
"""Points lost for a missing root, a missing fifth, and a bass other than the root."""

LEADS_POINTS, FOLLOWS_POINTS, IN_KEY_POINTS = 40, 25, 10
"""Points won for leading to the next chord, following from the last, and lying in the key."""

MIN_TONES = 2
"""Fewest different notes that have a name."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One name of a grip: ``missing`` says which of root and fifth (or more) it leaves out."""

    chord: Chord
    missing: tuple[str, ...]
    score: int

    @property
    def symbol(self) -> str:
        """The chord's symbol."""
        return self.chord.symbol

    @property
    def is_rootless(self) -> bool:
        """Whether the root is left to the bass."""
        return "root" in self.missing

    def __str__(self) -> str:
        """Return the symbol and what is left out."""
        return self.symbol + (f" (no {', no '.join(self.missing)})" if self.missing else "")


def readings(
    grip: Grip,
    before: Chord | None = None,
    after: Chord | None = None,
    key: Key | None = None,
) -> tuple[Reading, ...]:
    """Return the readings of a grip, the likeliest first."""
    sounding = [note for note in grip.midi if note is not None]
    pcs = frozenset(note % 12 for note in sounding)
    found: list[Reading] = []
    if len(pcs) < MIN_TONES:
        return ()
    for root_pc in range(12):
        for suffix in NAMED:
            chord = Chord(_root(root_pc, suffix, key), parse_quality(suffix))
            if root_pc not in pcs and len(chord.quality.degrees) < ROOTLESS_TONES:
                continue
            if pcs in tone_sets(chord, len(sounding)):
                found.append(_reading(chord, pcs, grip, before, after, key))
    return tuple(sorted(found, key=lambda r: (-r.score, r.chord.root.pc)))


def equal_readings(found: tuple[Reading, ...]) -> tuple[tuple[Reading, ...], ...]:
    """Return readings with those of equal rank together: a diminished seventh has four names."""
    return tuple(tuple(group) for _, group in groupby(found, key=lambda reading: reading.score))


def _reading(
    chord: Chord,
    pcs: frozenset[int],
    grip: Grip,
    before: Chord | None,
    after: Chord | None,
    key: Key | None,
) -> Reading:
    """Score one reading and write its bass where one is heard."""
    missing = tuple(
        _DEGREE_WORDS.get(degree.number, str(degree))
        for degree in chord.quality.degrees
        if (chord.root.pc + degree.semitones) % 12 not in pcs
    )
    score = FULL_POINTS - NAMED[chord.quality.suffix]
    score -= ROOTLESS_POINTS * ("root" in missing) + FIFTHLESS_POINTS * ("fifth" in missing)
    if grip.tuning.hears_bass and "root" not in missing:
        lowest = min(note for note in grip.midi if note is not None) % 12
        if lowest != chord.root.pc:
            chord = Chord(chord.root, chord.quality, spell_pc(lowest, chord, key))
            score -= SLASH_POINTS
    score += LEADS_POINTS * (before is not None and leads(chord, before))
    score += FOLLOWS_POINTS * (after is not None and leads(after, chord))
    if key is not None:
        score += IN_KEY_POINTS * all(n.pc in {k.pc for k in key.scale} for n in chord.notes)
    return Reading(chord, missing, score)


_DEGREE_WORDS = {1: "root", 3: "third", 5: "fifth", 7: "seventh", 9: "ninth", 11: "eleventh"}


# (family of the leading chord, semitones from its root up to the next one's): the fifth
# falls, the tritone swap and the diminished seventh slip by a semitone
_LEADS: frozenset[tuple[str, int]] = frozenset(
    [
        ("dominant", 5),
        ("dominant", 11),
        ("minor", 5),
        ("half-diminished", 5),
        ("diminished", 1),
        ("diminished", 11),
        ("augmented", 5),
    ]
)


def leads(chord: Chord, following: Chord) -> bool:
    """Say whether a chord leads to the one that follows it.

    >>> from porchswing.theory.symbols import parse_chord
    >>> leads(parse_chord("C9"), parse_chord("F")), leads(parse_chord("Gm6"), parse_chord("F"))
    (True, False)
    """
    rise = (following.root.pc - chord.root.pc) % 12
    if (chord.quality.family, rise) not in _LEADS:
        return False
    # a minor chord leads as a second degree: to a dominant
    family = chord.quality.family
    return family not in ("minor", "half-diminished") or following.quality.family == "dominant"


_FLAT_ROOTS = {1: "Db", 3: "Eb", 6: "Gb", 8: "Ab", 10: "Bb"}
_SHARP_ROOTS = {1: "C#", 3: "D#", 6: "F#", 8: "G#", 10: "A#"}
_SHARP_AS_RULE = {"major": (6,), "minor": (1, 6, 8), "diminished": (1, 6, 8), "dominant": (6,)}
"""Roots on black keys that charts write with a sharp where no key says otherwise, by family."""


def _root(pc: int, suffix: str, key: Key | None) -> NoteName:
    """Spell a root: as the key does, else as charts usually do."""
    if key is not None:
        return key.spell(pc)
    if pc not in _FLAT_ROOTS:
        return spell_pc(pc)
    family = parse_quality(suffix).family
    sharp = pc in _SHARP_AS_RULE.get("minor" if family == "half-diminished" else family, ())
    return NoteName.parse((_SHARP_ROOTS if sharp else _FLAT_ROOTS)[pc])


def sounds_chord(grip: Grip, chord: Chord) -> bool:
    """Say whether a grip sounds a chord under the rules grips are chosen by.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> from porchswing.theory.symbols import parse_chord
    >>> sounds_chord(Grip((3, 4, 3, 5), tuning("gCEA")), parse_chord("C9"))
    True
    """
    sounding = [note for note in grip.midi if note is not None]
    pcs = frozenset(note % 12 for note in sounding)
    sets = tone_sets(chord, len(sounding))
    if chord.bass is not None:
        return any(pcs in (tones, tones | {chord.bass.pc}) for tones in sets)
    return pcs in sets
