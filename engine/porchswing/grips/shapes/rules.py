"""Which chord tones a grip must sound, and which it may leave to the band.

One rule for every quality, from what each degree does:

* guide tones (third and seventh, or what stands for them: a suspended fourth or second, a
  sixth) and every colour the symbol names must sound;
* a four-note chord is complete or without its perfect fifth; a sixth chord and a suspended
  seventh keep their fifth, since without it another chord is heard (C E A is A minor, C F Bb
  is F with a suspended fourth);
* with more tones than strings, the root may go, then the fifth (University of Puget Sound,
  "Music Theory for the 21st-Century Classroom", section 31.7, on guide tones and omission);
  in elevenths and thirteenths also the tones between the seventh and the named one; on three
  strings, where even the needed tones are too many, the same order goes on with the colours;
* a natural eleventh never sounds beside a major third: it lies a minor ninth above it (the
  "avoid note" of common practice); one avoided note is an error, not a flavour.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

from porchswing.theory.chords import Chord, Quality
from porchswing.theory.notes import Degree

ROOT, FIFTH = Degree(1), Degree(5)
MAJOR_THIRD, ELEVENTH = Degree(3), Degree(11)

ALTERED_SUFFIX = "7alt"
"""The altered dominant names more colours than a grip can hold: any two of them serve."""


ALIASED = (4, 6)
"""Degrees beside which four tones without their fifth are another chord."""


@dataclass(frozen=True, slots=True)
class ToneRule:
    """``needed`` degrees sound; ``spare`` ones may be left out; ``barred`` ones never sound."""

    needed: tuple[Degree, ...]
    spare: tuple[Degree, ...]
    barred: tuple[Degree, ...] = ()


@lru_cache(maxsize=1024)
def tone_rule(quality: Quality) -> ToneRule:
    """Return the rule for a quality.

    >>> from porchswing.theory.qualities import QUALITIES
    >>> [str(degree) for degree in tone_rule(QUALITIES["13"]).needed]
    ['3', 'b7', '13']
    """
    degrees = quality.degrees
    barred = _barred(degrees)
    sounding = tuple(degree for degree in degrees if degree not in barred)
    spare = tuple(degree for degree in sounding if _is_spare(degree, quality, len(sounding)))
    return ToneRule(tuple(d for d in sounding if d not in spare), spare, barred)


def _barred(degrees: tuple[Degree, ...]) -> tuple[Degree, ...]:
    """Return what gives way where a natural eleventh meets a major third."""
    if MAJOR_THIRD not in degrees or ELEVENTH not in degrees:
        return ()
    return (MAJOR_THIRD,) if degrees[-1] == ELEVENTH else (ELEVENTH,)


def _is_spare(degree: Degree, quality: Quality, tones: int) -> bool:
    """Whether a grip may leave out a degree of a chord with so many sounding tones."""
    if tones < 4:
        return False
    numbers = {other.number for other in quality.degrees}
    if degree == FIFTH:
        return tones > 4 or numbers.isdisjoint(ALIASED)
    if tones == 4:
        return False
    if quality.suffix == ALTERED_SUFFIX:
        return degree.number not in (3, 7)
    top = quality.degrees[-1].number
    between = degree.alter == 0 and 7 < degree.number < top
    return degree == ROOT or between


@lru_cache(maxsize=4096)
def tone_sets(chord: Chord, strings: int) -> tuple[frozenset[int], ...]:
    """Return the sets of pitch classes that may sound for a chord on so many strings.

    Each set lacks at most one fifth, or as many spare tones as the chord has more tones than
    there are strings.

    >>> from porchswing.theory.symbols import parse_chord
    >>> [sorted(tones) for tones in tone_sets(parse_chord("C7"), 4)]
    [[0, 4, 7, 10], [0, 4, 10]]
    """
    rule = _thinned(tone_rule(chord.quality), strings)
    sets: list[frozenset[int]] = []
    for left_out in _omissions(rule, strings):
        kept = (*rule.needed, *(d for d in rule.spare if d not in left_out))
        pcs = frozenset((chord.root.pc + degree.semitones) % 12 for degree in kept)
        if pcs not in sets:
            sets.append(pcs)
    return tuple(sets)


def _thinned(rule: ToneRule, strings: int) -> ToneRule:
    """Spare the root, the fifth, then colours, where even the needed tones are too many."""
    needed, spare = list(rule.needed), list(rule.spare)
    order = sorted(needed, key=lambda d: (d.number != 1, d.number != 5, d.number in (3, 4, 7)))
    for degree in order[: max(0, len(needed) - strings)]:
        needed.remove(degree)
        spare.append(degree)
    return ToneRule(tuple(needed), tuple(spare), rule.barred)


def _omissions(rule: ToneRule, strings: int) -> Iterator[tuple[Degree, ...]]:
    """Yield what may be left out, fewest tones first."""
    excess = max(0, len(rule.needed) + len(rule.spare) - strings)
    for count in range(excess, len(rule.spare) + 1):
        for left_out in combinations(rule.spare, count):
            if count == excess or left_out == (FIFTH,):
                yield left_out
