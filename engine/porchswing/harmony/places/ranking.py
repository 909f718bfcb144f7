"""The order of the offers for one place: what a player would want to try first.

An offer is worth part of what it gains on the written chords, less for every chord, for what it
reaches beyond its bar and for how far it goes: the plain way to a sound comes first, and what
sounds in the bar as an earlier offer does comes later. The best of each swap comes before a
second way to place it, and both before swaps of swaps; families take turns, and mere colours
wait. What changes only other bars belongs to those, and what the melody forbids comes last. The
figures are ours: no source gives any; they were set on the published examples of the tests.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

from porchswing.harmony.choice.styles import group_of
from porchswing.harmony.places.place_scene import Bare
from porchswing.harmony.places.swap_offer import AS_WRITTEN, SwapOffer
from porchswing.harmony.swaps.catalogue import find_swap

GAIN = 0.6
"""Which part of its points an offer brings: they are a lane's, where every change must pay."""
SECOND_CHORD = 0.2
"""Taken off for a bar of more than one chord."""
EACH_BAR = 0.2
"""Taken off for every other bar that changes too."""
ELSEWHERE = 0.8
"""How much better an offer must be that changes other bars too, to count as the first to sound
so here."""
NEAR, EACH_DEPTH = 1, 0.1
"""Taken off for every depth beyond the first: the trade's commonest first."""
AGAIN, ALIKE = 0.45, 0.5
"""Taken off where the swap has come already, and where what is heard in the bar has."""
TWIN = 1.0
"""Taken off where an earlier offer differs in colours alone, in every bar."""
USUAL = 0.4
"""Added for the swaps that every player of the trade knows."""
EVERYDAY = frozenset(
    {
        "related ii",
        "secondary dominant",
        "I7 into IV",
        "v7 I7 into IV",
        "ii–V into the next chord",
        "iii VI7 into ii",
        "dominant for a minor chord",
        "extended dominant chain",
        "tritone substitution",
        "backdoor iv7 ♭VII7",
        "backdoor ♭VII7",
        "minor iv",
        "diatonic substitution",
        "quick change",
        "ii–V for V–IV",
        "♯IV° to I",
        "passing diminished up",
        "passing diminished down",
        "I ♭III° ii",
        "I I° ii",
        "rootless 7♭9 as diminished",
        "iii for I",
        "deceptive iii",
        "minor turns dominant",
        "V of V before V",
        "borrowed iiø",
        "♭III7 into ii",
        "minor iv for ii",
        "diminished into the next chord",
        "V7 before I",
        "minor line cliché",
        "V sus before V",
        "V7♯5",
        "V7♭9 into major",
        "turnaround I VI7 ii V7",
        "turnaround I ♯I° ii V7",
        "turnaround I7 ♯I° ii V7",
        "turnaround I VI II V dominants",
    }
)
"""Common practice, no source."""
PILED = 3.0
"""Taken off for every swap of a swap."""
CROWDED = 0.6
"""Taken off for every offer over :data:`MOST` of its family."""
TURNAROUND, COLOUR, ALTERED = "turnaround", "colour", "altered colour"
ALTERATIONS = ("b9", "#5", "#9", "b5")
MOST = {TURNAROUND: 4, COLOUR: 0, ALTERED: 0}
"""How many offers of a family come before one counts as crowded; three where not named."""
OTHERWISE = 3
WAITS = {COLOUR: 0.6, ALTERED: 0.3}
"""Taken off what leaves the chords as they are but for their colour."""
COMMON_TONE = {"I I° I": "common-tone diminished"}
"""Swaps that go nowhere, and so are no passing chords though their group is."""


Heard = tuple[tuple[int, str, int, int], ...]
"""What is heard of a bar: root, family, bass and length in pulses of every chord."""


class RankedOffer(NamedTuple):
    """An offer and what ranks it: its swaps, what is heard in the bar, and what else changes.

    ``here`` says whether more than colours changes in the bar, ``others`` in how many others;
    ``lane`` is what is heard of every bar.
    """

    offer: SwapOffer
    names: tuple[str, ...]
    heard: Heard
    here: bool
    others: int
    lane: tuple[Heard, ...]


def heard(bar: Bare) -> Heard:
    """Return what is heard of a bar."""
    return tuple(
        (chord.root.pc, chord.quality.family, chord.bass_note.pc, pulses)
        if chord
        else (-1, "silence", -1, pulses)
        for chord, pulses in bar
    )


def ranked(candidates: Iterable[RankedOffer]) -> tuple[SwapOffer, ...]:
    """Return the offers, those a player would want first at the head."""
    fitting: list[RankedOffer] = []
    elsewhere: list[RankedOffer] = []
    forbidden: list[RankedOffer] = []
    for each in sorted(candidates, key=_turn):
        if not each.offer.fits:
            forbidden.append(each)
        else:
            (fitting if each.here or not each.others else elsewhere).append(each)
    points = _by_turns(fitting)
    order = sorted(range(len(fitting)), key=lambda place: -points[place])
    return tuple(
        each.offer for each in (*(fitting[place] for place in order), *elsewhere, *forbidden)
    )


def _turn(each: RankedOffer) -> tuple[int, float]:
    """Return the key that has the plainest way to a sound come before the others."""
    return len(each.names), ELSEWHERE * (each.others > 0) - _worth(each)


def _worth(each: RankedOffer) -> float:
    """Return what an offer is worth by itself."""
    away = EACH_BAR * each.others + EACH_DEPTH * max(0, each.offer.depth - NEAR)
    usual = USUAL if EVERYDAY.issuperset(each.names) and each.names else 0.0
    full = SECOND_CHORD * (len(each.heard) > 1)
    return round(GAIN * each.offer.points - away + usual - full, 6)


def _by_turns(fitting: Iterable[RankedOffer]) -> list[float]:
    """Return the points of each offer, less where its like have come before."""
    names: set[tuple[str, ...]] = set()
    sounds: set[Heard] = set()
    lanes: set[tuple[Heard, ...]] = set()
    families: Counter[str] = Counter()
    found = []
    for each in fitting:
        family = _family(each)
        points = _worth(each) - AGAIN * (each.names in names)
        points -= ALIKE * (each.here and each.heard in sounds)
        points -= TWIN * (each.here and each.lane in lanes)
        points -= PILED * max(0, len(each.names) - 1)
        points -= CROWDED * max(0, families[family] - MOST.get(family, OTHERWISE))
        points -= WAITS.get(family, 0.0)
        families[family] += each.names not in names
        names.add(each.names)
        sounds.add(each.heard)
        lanes.add(each.lane)
        found.append(round(points, 6))
    return found


def _family(each: RankedOffer) -> str:
    """Return the family of an offer: that of the swap laid on last."""
    if not each.names:
        return AS_WRITTEN
    name = each.names[-1]
    if name.startswith(TURNAROUND):
        return TURNAROUND
    row = find_swap(name)
    if row.colour:
        return ALTERED if row.suffix.endswith(ALTERATIONS) else COLOUR
    return COMMON_TONE.get(name) or group_of(name) or name
