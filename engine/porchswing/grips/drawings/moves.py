"""From grip to grip: how far, with how many fingers, at what cost, and which change is hardest."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction

from porchswing.chart.roadmap import Roadmap
from porchswing.grips.search.cost import grip_terms, move_terms
from porchswing.grips.shapes.hand import CLOSED_HAND, Hand
from porchswing.grips.shapes.work import shifted_frets
from porchswing.grips.shapes.model import Grip, VoicedSlot, Voicing

HAND_TERMS = ("shift", "finger_placed", "slide", "third_finger", "stretch")
"""The terms that are work for the hand; the others are for the ear."""


@dataclass(frozen=True, slots=True)
class Move:
    """One change of grips.

    ``start`` and ``goal`` are places in ``Voicing.slots``. ``frets`` is how far the hand shifts
    (negative: towards the nut), ``fingers`` how many are set anew, ``semitones`` how far the
    notes move, ``slides`` whether the whole shape slides. ``cost`` is the whole of it,
    ``work`` the hand's part. ``times`` is how often it is played and ``beats`` the least time
    the grip before it lasts, in quarter notes.
    """

    start: int
    goal: int
    before: VoicedSlot
    after: VoicedSlot
    frets: int
    fingers: int
    semitones: int
    slides: bool
    cost: float
    work: float
    times: int
    beats: Fraction

    @property
    def hardness(self) -> float:
        """The hand's work for each beat of time it has, from one beat up to a bar of four."""
        return self.work / float(min(max(self.beats, Fraction(1)), Fraction(4)))

    @property
    def summary(self) -> str:
        """The move in two or three words, such as ``2 down, 3 fingers``."""
        where = f"{abs(self.frets)} {'up' if self.frets > 0 else 'down'}" if self.frets else "stay"
        if self.slides:
            return f"slide {where}"
        if not self.fingers:
            return f"{where}, lift"
        return f"{where}, {self.fingers} finger{'' if self.fingers == 1 else 's'}"

    def __str__(self) -> str:
        """Return the move as a teacher would say it."""
        return (
            f"{self.before.chord} {self.before.grip} → {self.after.chord} {self.after.grip}: "
            f"{'; '.join(_words(self))}"
        )


def _words(move: Move) -> list[str]:
    if move.slides:
        return [f"slide the shape {_frets(move.frets)}"]
    words = [_frets(move.frets)] if move.frets else ["the hand stays"]
    plural = "" if move.fingers == 1 else "s"
    words.append(f"{move.fingers} finger{plural} set anew" if move.fingers else "only lift fingers")
    return words


def _frets(frets: int) -> str:
    plural = "" if abs(frets) == 1 else "s"
    return f"{abs(frets)} fret{plural} {'up' if frets > 0 else 'down'}"


def moves(voicing: Voicing, roadmap: Roadmap, hand: Hand = CLOSED_HAND) -> tuple[Move, ...]:
    """Return every change of grips once, in the order it is first played.

    Slots that keep their grip are no change; N.C. is skipped, since the hand moves under it.
    """
    place_of = {id(slot): place for place, slot in enumerate(voicing.slots)}
    times: Counter[tuple[int, int]] = Counter()
    least: dict[tuple[int, int], Fraction] = {}
    last: int | None = None
    lasted = Fraction(0)
    for bar in roadmap.bars:
        for voiced, slot in zip(voicing.voiced(bar), bar.slots, strict=True):
            place = place_of[id(voiced)]
            if voiced.grip is None:
                lasted += slot.beats
                continue
            if last is not None and voicing.slots[last].grip != voiced.grip:
                pair = (last, place)
                times[pair] += 1
                least[pair] = min(least.get(pair, lasted), lasted)
                lasted = Fraction(0)
            lasted += slot.beats
            last = place
    return tuple(
        _move(voicing, start, goal, count, least[start, goal], hand)
        for (start, goal), count in times.items()
    )


def _move(voicing: Voicing, start: int, goal: int, times: int, beats: Fraction, hand: Hand) -> Move:
    before, after = voicing.slots[start], voicing.slots[goal]
    assert before.grip is not None
    assert after.grip is not None
    assert after.chord is not None
    moved = move_terms(before.grip, after.grip, hand)
    terms = (*moved, *grip_terms(after.chord, after.grip, hand))
    counts = {name: number for name, number, _ in moved}
    return Move(
        start=start,
        goal=goal,
        before=before,
        after=after,
        frets=shifted_frets(before.grip, after.grip),
        fingers=counts["finger_placed"],
        semitones=counts["semitone"],
        slides=counts["slide"] > 0,
        cost=sum(cost for _, _, cost in terms),
        work=sum(cost for name, _, cost in terms if name in HAND_TERMS),
        times=times,
        beats=beats,
    )


def hardest_moves(
    voicing: Voicing, roadmap: Roadmap, count: int = 5, hand: Hand = CLOSED_HAND
) -> tuple[Move, ...]:
    """Return the changes that ask most of the hand in the time it has, hardest first.

    The same two grips are listed once, however often the chart has them.
    """
    ranked = sorted(
        moves(voicing, roadmap, hand), key=lambda move: (-move.hardness, -move.times, move.start)
    )
    seen: set[tuple[Grip | None, Grip | None]] = set()
    hardest = []
    for move in ranked:
        pair = (move.before.grip, move.after.grip)
        if pair not in seen and move.work > 0:
            seen.add(pair)
            hardest.append(move)
    return tuple(hardest[:count])
