"""The order of the offers for one place: what a player would want to try first.

An offer is weighed by its family of swaps, by how its last chord leads to the next, by what it
stands for, and by how much it changes: :mod:`porchswing.harmony.places.weights`. Then the offers
take turns: one is worth less for every earlier one of its swap, and where the bar sounds as it
did before. What changes only other bars belongs to those and comes last.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import NamedTuple

from porchswing.harmony.passage.steps import Step
from porchswing.harmony.places.place_scene import Bare
from porchswing.harmony.places.swap_offer import AS_WRITTEN
from porchswing.harmony.places.weights import COUNT, FAMILY, INSTEAD, INTO, SHAPE
from porchswing.harmony.swaps.catalogue import find_swap
from porchswing.theory.chords import Chord

AGAIN, ALIKE = 0.7, 0.3
"""Taken off for every earlier offer of the same swap, and where the bar has sounded so before."""
TUNE = 3.0
"""Given to a colour that takes in a note the tune holds; ours, since no printed example has one."""
TWIN = 5.0
"""Taken off where an earlier offer differs in colours alone, in every bar."""
TURNAROUND, COLOUR, ALTERED = "turnaround", "colour", "altered colour"
ALTERATIONS = ("b9", "#5", "#9", "b5")
COMMON_TONE = {"I I° I": "common-tone diminished"}
"""Swaps that go nowhere, and so are no passing chords though their group is."""

Sound = tuple[int, str, int]
"""Root, family and bass of a chord; silence has root -1."""
Heard = tuple[tuple[Sound, int], ...]
"""What is heard of a bar: its chords and their lengths in pulses."""


class Way(NamedTuple):
    """A swap by name, none for the chord as written, and the steps it gives.

    ``over`` are the written steps they stand for, from which to before which; nothing where
    they are in their colours already.
    """

    name: str
    steps: tuple[Step, ...]
    over: tuple[int, int] | None = None


class Candidate(NamedTuple):
    """A way and what ranks it: what is heard in the bar, what was, and the chord after the bar.

    ``others`` says in how many other bars more than colours changes; ``lane`` is what is heard
    of every bar where it does. ``takes_tune`` is whether a colour takes in a note the tune holds.
    """

    way: Way
    heard: Heard
    now: Heard
    after: Chord | None
    others: int
    lane: tuple[tuple[int, Heard], ...]
    takes_tune: bool = False

    @property
    def elsewhere(self) -> bool:
        """Whether more than colours changes in other bars only."""
        return self.others > 0 and self.heard == self.now


def heard(bar: Bare) -> Heard:
    """Return what is heard of a bar."""
    return tuple((_sound(chord), pulses) for chord, pulses in bar)


def _sound(chord: Chord | None) -> Sound:
    if chord is None:
        return (-1, "silence", -1)
    return (chord.root.pc, chord.quality.family, chord.bass_note.pc)


def in_order(candidates: Iterable[Candidate]) -> Iterator[Candidate]:
    """Yield the candidates, those a player would want first at the head."""
    waiting = [(_worth(each), each) for each in candidates]
    names: Counter[str] = Counter()
    sounds: set[Heard] = set()
    lanes: set[tuple[tuple[int, Heard], ...]] = set()

    def points(pair: tuple[float, Candidate]) -> tuple[bool, float]:
        worth, each = pair
        changes = each.heard != each.now
        now = worth - AGAIN * names[each.way.name] - ALIKE * (changes and each.heard in sounds)
        now -= TWIN * (changes and each.lane in lanes)
        return not each.elsewhere, round(now, 6)

    while waiting:
        best = max(waiting, key=points)
        waiting.remove(best)
        each = best[1]
        names[each.way.name] += 1
        sounds.add(each.heard)
        lanes.add(each.lane)
        yield each


def _worth(each: Candidate) -> float:
    """Return what a candidate is worth by itself."""
    fitted = sum(weight * _weight_of(feature) for feature, weight in features(each).items())
    return fitted + TUNE * each.takes_tune


def _weight_of(feature: str) -> float:
    kind, _, rest = feature.partition(" ")
    return _TABLES[kind].get(rest, 0.0)


_TABLES = {"family": FAMILY, "into": INTO, "instead": INSTEAD, "shape": SHAPE, "count": COUNT}


def features(each: Candidate) -> dict[str, float]:
    """Return what is weighed of a candidate: words that :mod:`weights` has a figure for."""
    new, old = [sound for sound, _ in each.heard], [sound for sound, _ in each.now]
    last, before = new[-1], old[-1]
    found = {
        f"family {family_of(each.way.name)}": 1.0,
        f"shape {_shape(new, old)}": 1.0,
        f"instead {before[1]} {last[1]} {(last[0] - before[0]) % 12}": 1.0,
        "count chords": len(new) - 1,
        "count chords over two": max(0, len(new) - 2),
        "count other bars": each.others,
        "count slashes": sum(root != bass for root, _, bass in new),
    }
    if each.after is not None:
        found[f"into {last[1]} {(last[0] - each.after.root.pc) % 12}"] = 1.0
    return found


def _shape(new: list[Sound], old: list[Sound]) -> str:
    """Return which end of the bar is as it was: its head, its tail, both or none."""
    head, tail = new[0] == old[0], new[-1] == old[-1]
    if head and tail:
        return "colour" if len(new) == 1 else "middle"
    return "end" if head else "head" if tail else "whole"


@lru_cache(maxsize=512)
def family_of(name: str) -> str:
    """Return the family of a swap."""
    if not name:
        return AS_WRITTEN
    row = find_swap(name)
    if row.colour:
        return ALTERED if row.suffix.endswith(ALTERATIONS) else COLOUR
    if name.startswith(TURNAROUND) and not row.asked:
        return TURNAROUND
    return COMMON_TONE.get(name) or row.group or name
