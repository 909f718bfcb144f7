"""The cost of one way through a form, worked out the long way round, for proofs by exhaustion.

Nothing here uses the tables, the ties or the search of the package: the form is walked as it
is played, change by change, and every line is tried.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import cache
from itertools import pairwise, product

from porchswing.chart.roadmap import Roadmap
from porchswing.grips.search.cost import UNIT, grip_terms, move_terms
from porchswing.grips.shapes.enumerate import enumerate_grips
from porchswing.grips.shapes.hand import Hand
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.theory.chords import Chord

Place = tuple[str, int, int]
Held = tuple[Chord, Grip]


def steps(cost: float) -> int:
    return round(cost * UNIT)


@cache
def change_steps(before: Held, after: Held, hand: Hand) -> int:
    """The cost of one change: keeping a grip under its chord is free."""
    if before == after:
        return 0
    total = sum(steps(cost) for _, _, cost in move_terms(before[1], after[1], hand))
    total += first_steps(after, hand)
    if before[1] == after[1]:
        total += steps(hand.weights.same_grip)
    return total


@cache
def first_steps(held: Held, hand: Hand) -> int:
    return sum(steps(cost) for _, _, cost in grip_terms(*held, hand))


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
                self.options[place] = [(slot.chord, grip) for grip in grips]
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
            total += self._pairs(choice, onward)
        return total

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

    def _pairs(self, choice, onward) -> int:
        total = 0
        triples = [(a, b, d, t) for a, b, _ in onward for c, d, t in onward if b == c]
        for first, second, third, times in triples:
            chords = [choice[place][0] for place in (first, second, third)]
            if any(chord.quality.family != "dominant" for chord in chords):
                continue
            roots = [chord.root.pc for chord in chords]
            if (roots[1] - roots[0]) % 12 != 5 or (roots[2] - roots[1]) % 12 != 5:
                continue
            early, late = choice[first][1], choice[third][1]
            shifts = {b - a for a, b in zip(early.frets, late.frets, strict=True)}
            closed = early.is_closed and late.is_closed
            repeats = closed and len(shifts) == 1 and chords[0].quality == chords[2].quality
            total += times * steps(self.hand.weights.unpaired) * (not repeats)
        return total
