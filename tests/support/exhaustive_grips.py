"""The cost of one way through a form, worked out the long way round, for proofs by exhaustion.

Nothing here uses the tables, the ties, the counting of the hand's work or the search of the
package: the form is walked as it is played, change by change, finger by finger, and every
fingering and every line is tried.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import cache
from itertools import pairwise, product

from porchswing.chart.roadmap import Roadmap
from porchswing.grips.search.cost import UNIT, grip_terms
from porchswing.grips.search.table import with_fingerings
from porchswing.grips.shapes.enumerate import enumerate_grips
from porchswing.grips.shapes.hand import Hand
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.theory.chords import Chord

Place = tuple[str, int, int]
Held = tuple[Chord, Grip]


def steps(cost: float) -> int:
    return round(cost * UNIT)


def fingers_of(held: Held) -> tuple[int, ...]:
    return held[1].fingers


def as_key(held: Held) -> tuple[object, ...]:
    """Grips are equal by their frets alone; here the fingers count as well."""
    return (*held, held[1].held)


def slides_whole(before: Grip, after: Grip) -> bool:
    if not (before.is_closed and after.is_closed) or None in (*before.frets, *after.frets):
        return False
    shifts = {b - a for a, b in zip(before.frets, after.frets, strict=True)}
    return len(shifts) == 1 and shifts != {0} and before.fingers == after.fingers


def hand_counts(before: Grip, after: Grip) -> dict[str, int]:
    """The work of one change, finger by finger."""
    old = {press.finger: press for press in before.held.presses}
    new = {press.finger: press for press in after.held.presses}
    counts = {"finger_placed": 0, "finger_slid": 0, "slide": int(slides_whole(before, after))}
    for finger, press in new.items() if not counts["slide"] else ():
        was = old.get(finger)
        if was is None:
            counts["finger_placed"] += 1
            continue
        strings = set(range(was.first, was.last + 1)), set(range(press.first, press.last + 1))
        if was.fret == press.fret:
            counts["finger_placed"] += not strings[0] & strings[1]
        elif strings[0] == strings[1]:
            counts["finger_slid"] += 1
        else:
            counts["finger_placed"] += 1
    counts["finger_swapped"] = sum(
        bool(fret) and fret == goal and finger != other
        for fret, goal, finger, other in zip(
            before.frets, after.frets, before.fingers, after.fingers, strict=True
        )
    )
    start, goal_at = before.held.position, after.held.position
    counts["shift"] = abs(goal_at - start) if start and goal_at else 0
    counts["semitone"] = sum(
        2 if (a is None) != (b is None) else abs((a or 0) - (b or 0))
        for a, b in zip(before.midi, after.midi, strict=True)
    )
    return counts


def change_steps(before: Held, after: Held, hand: Hand) -> int:
    return _change_steps(as_key(before), as_key(after), hand)


@cache
def _change_steps(one: tuple[object, ...], other: tuple[object, ...], hand: Hand) -> int:
    """The cost of one change: keeping a grip and its fingers under its chord is free."""
    before = (one[0], Grip(one[1].frets, one[1].tuning, one[2]))
    after = (other[0], Grip(other[1].frets, other[1].tuning, other[2]))
    if before == after and fingers_of(before) == fingers_of(after):
        return 0
    counts = hand_counts(before[1], after[1])
    total = sum(steps(getattr(hand.weights, name)) * count for name, count in counts.items())
    total += first_steps(after, hand)
    if before[1] == after[1] and before[0] != after[0]:
        total += steps(hand.weights.same_grip)
    return total


def transposed_pairs(chords: list[Chord]) -> list[tuple[int, int]]:
    """Places whose chords are one progression heard again transposed: earlier and later."""
    found = []
    for lag in range(2, 14):
        rises = [
            (b.root.pc - a.root.pc) % 12 if a.quality == b.quality else 0
            for a, b in zip(chords, chords[lag:], strict=False)
        ]
        for first in range(len(rises)):
            if not rises[first] or (first and rises[first - 1] == rises[first]):
                continue
            length = 1
            while first + length < len(rises) and rises[first + length] == rises[first]:
                length += 1
            if length >= lag or (length >= 3 and lag - length <= 1):
                nearest = min(rises[first], 12 - rises[first])
                found.append((lag + nearest, first, lag, length))
    taken: set[int] = set()
    pairs = []
    for _, first, lag, length in sorted(found, key=lambda row: row[:2]):
        again = set(range(first + lag, first + lag + length))
        if not again & taken:
            taken |= again
            pairs += [(at, at + lag) for at in range(first, first + length)]
    return pairs


def first_steps(held: Held, hand: Hand) -> int:
    return _first_steps(as_key(held), hand)


@cache
def _first_steps(key: tuple[object, ...], hand: Hand) -> int:
    chord, grip, held = key
    return sum(steps(c) for _, _, c in grip_terms(chord, Grip(grip.frets, grip.tuning, held), hand))


@cache
def line_steps(before: Grip, after: Grip, index: int, way: int, hand: Hand) -> int:
    start, goal = before.midi[index], after.midi[index]
    weights = hand.weights
    if start is None or goal is None:
        return steps(weights.line_broken)
    costs = {way: 0.0, 2 * way: weights.line_tone, 0: weights.line_held}
    return steps(costs.get(goal - start, weights.line_broken))


class Exhaustive:
    """One form with the grips each place may take, and the true cost of any choice."""

    def __init__(
        self,
        roadmap: Roadmap,
        tuning: Tuning,
        hand: Hand,
        *,
        frets: tuple[int, int] | None = None,
        loop: bool = False,
        line: tuple[tuple[int, int], ...] = (),
    ) -> None:
        self.hand, self.tuning = hand, tuning
        self.asked = line  # (tuple index, way) of the lines asked for
        self.played: list[Place] = []
        self.options: dict[Place, list[Held]] = {}
        for bar in roadmap.bars:
            for index, slot in enumerate(bar.slots):
                place = (bar.section, bar.bar, index)
                self.played.append(place)
                if slot.lock:
                    grips = [Grip(slot.lock, tuning)]
                else:
                    grips = list(enumerate_grips(slot.chord, tuning, hand, window=frets))
                self.options[place] = [
                    (slot.chord, held)
                    for grip in grips
                    for held in with_fingerings(grip, hand.barre, hand.fingers)
                ]
        self.places = sorted(self.options, key=self.played.index)
        self.pairs = Counter(pairwise(self.played))
        if loop:
            self.pairs[self.played[-1], self.played[0]] += 1

    @property
    def size(self) -> int:
        total = 1
        for held in self.options.values():
            total *= len(held)
        return total

    def choices(self) -> Iterator[dict[Place, Held]]:
        for held in product(*(self.options[place] for place in self.places)):
            yield dict(zip(self.places, held, strict=True))

    def cost(self, choice: dict[Place, Held]) -> int:
        """The cost of one choice, in whole steps."""
        total = first_steps(choice[self.played[0]], self.hand)
        for (before, after), times in self.pairs.items():
            total += times * change_steps(choice[before], choice[after], self.hand)
        for section in dict.fromkeys(place[0] for place in self.places):
            onward = [
                (before, after, times)
                for (before, after), times in self.pairs.items()
                if before[0] == after[0] == section and before[1:] < after[1:]
            ]
            total += self._lines(choice, onward)
        return total + self._sequences(choice)

    def least(self) -> list[int]:
        """The least cost of every different choice of grips, rising."""
        found: dict[tuple[Held, ...], int] = {}
        for choice in self.choices():
            key = tuple(choice[place] for place in self.places)
            cost = self.cost(choice)
            found[key] = min(cost, found.get(key, cost))
        return sorted(found.values())

    def _lines(self, choice, onward) -> int:
        ways = self.asked or tuple(
            (index, way) for index in range(self.tuning.strings) for way in (-1, 1)
        )
        if self.asked:  # one line through the section, and dearly wanted
            weigh = lambda cost: round(cost * self.hand.weights.line_asked)  # noqa: E731
            return min(
                (
                    sum(t * weigh(self._step(choice, a, b, way)) for a, b, t in onward)
                    for way in ways
                ),
                default=0,
            )
        if any(one[1] != other[0] for one, other in pairwise(onward)):
            return self.every_line(choice, onward)  # endings: the changes branch
        turn = steps(self.hand.weights.line_new)
        best: dict[tuple[int, int], int] = dict.fromkeys(ways, 0)
        for number, (before, after, times) in enumerate(onward):
            reached = {}
            for way in ways:
                step = times * self._step(choice, before, after, way)
                if number == 0:
                    reached[way] = step
                    continue
                reached[way] = step + min(
                    cost + times * turn * (old != way) for old, cost in best.items()
                )
            best = reached
        return min(best.values())

    def every_line(self, choice, onward) -> int:
        """The same by giving every change every line in turn; for short sections."""
        ways = [(index, way) for index in range(self.tuning.strings) for way in (-1, 1)]
        turn = steps(self.hand.weights.line_new)
        turns = [
            (place, later, onward[later][2])
            for place, one in enumerate(onward)
            for later, other in enumerate(onward)
            if one[1] == other[0]
        ]
        own = [{way: t * self._step(choice, a, b, way) for way in ways} for a, b, t in onward]
        return min(
            sum(costs[way] for costs, way in zip(own, line, strict=True))
            + sum(turn * times * (line[one] != line[other]) for one, other, times in turns)
            for line in product(ways, repeat=len(onward))
        )

    def _step(self, choice, before, after, way) -> int:
        return line_steps(choice[before][1], choice[after][1], *way, self.hand)

    def _sequences(self, choice) -> int:
        total = 0
        passage: list[Place] = []
        for place in [*self.played, None]:
            goes_on = passage and place and place[0] == passage[-1][0] and place > passage[-1]
            if passage and not goes_on:
                total += self._passage(choice, passage)
                passage = []
            if place:
                passage.append(place)
        return total

    def _passage(self, choice, passage) -> int:
        total = 0
        for first, again in transposed_pairs([choice[place][0] for place in passage]):
            early, late = choice[passage[first]], choice[passage[again]]
            rise = (late[0].root.pc - early[0].root.pc) % 12
            shift = (late[1].frets[0] - early[1].frets[0]) % 12
            same = slides_whole(early[1], late[1]) or early[1].frets == late[1].frets
            total += steps(self.hand.weights.unpaired) * (not (same and shift == rise))
        return total
