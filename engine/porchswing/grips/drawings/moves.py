"""From grip to grip: how far, with how many fingers, at what cost, and which change is hardest."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from porchswing.chart.roadmap import Roadmap, with_onsets
from porchswing.grips.search.cost import grip_terms, move_terms
from porchswing.grips.shapes import work
from porchswing.grips.shapes.model import Grip, VoicedSlot, Voicing
from porchswing.grips.shapes.work import change_time_ms, hand_columns, shifted_frets
from porchswing.units import counted

HAND_TERMS = (
    *("shift", "finger_placed", "finger_slid", "finger_swapped", "slide"),
    *("third_finger", "awkward", "stretch"),
)
"""The terms that are work for the hand; the others are for the ear."""

STROKE_BEATS = Fraction(1)
"""Time between two strokes where no strum says otherwise: one to a quarter beat."""


@dataclass(frozen=True, slots=True)
class StrokeTimes:
    """What a strum leaves the hand at ``tempo_bpm``.

    ``has_ms`` holds, by the beat a chord enters on, the milliseconds between the last stroke
    before it and its own first one.
    """

    tempo_bpm: float
    has_ms: Mapping[Fraction, float]


@dataclass(frozen=True, slots=True)
class Move:
    """One change of grips.

    ``start`` and ``goal`` are places in ``Voicing.slots``. ``frets`` is how far the hand shifts
    (negative: towards the nut), ``fingers`` how many are set anew, ``slid`` how many slide along
    their string, ``slides`` whether the whole shape slides. ``cost`` is the whole of it,
    ``work`` the hand's part. ``times`` is how often it is played, ``needs_ms`` how long the hand
    takes, ``has_ms`` the least time between the strokes it must fall between, at ``tempo_bpm``.
    """

    start: int
    goal: int
    before: VoicedSlot
    after: VoicedSlot
    frets: int
    fingers: int
    slid: int
    slides: bool
    cost: float
    work: float
    times: int
    needs_ms: float
    has_ms: float
    tempo_bpm: float

    @property
    def hardness(self) -> float:
        """The share of the time it has that the hand needs: above 1 the change comes late."""
        return self.needs_ms / self.has_ms if self.has_ms else 0.0

    @property
    def top_bpm(self) -> float:
        """The tempo up to which the hand has the time it needs."""
        return self.tempo_bpm / self.hardness if self.hardness else float("inf")

    @property
    def time_words(self) -> str:
        """What it needs and has, and up to which tempo that is comfortable."""
        words = (
            f"needs about {self.needs_ms:.0f} ms, has {self.has_ms:.0f} ms at "
            f"{self.tempo_bpm:.0f} bpm"
        )
        return words + (f"; comfortable up to {self.top_bpm:.0f}" if self.hardness > 1 else "")

    @property
    def summary(self) -> str:
        """The move in two or three words, such as ``2 down, 3 fingers``."""
        where = f"{abs(self.frets)} {'up' if self.frets > 0 else 'down'}" if self.frets else "stay"
        if self.slides:
            return f"slide {where}"
        words = [where]
        words += [counted(self.fingers, "finger")] if self.fingers else []
        words += [f"{self.slid} along"] if self.slid else []
        return ", ".join(words if len(words) > 1 else [where, "lift"])

    def __str__(self) -> str:
        """Return the move in a teacher's words."""
        assert self.before.grip is not None
        assert self.after.grip is not None
        start = f"{self.before.chord} {self.before.grip}"
        goal = f"{self.after.chord} {self.after.grip}"
        return f"{start} → {goal}: {'; '.join(hand_words(self.before.grip, self.after.grip))}"


def hand_words(before: Grip, after: Grip) -> tuple[str, ...]:
    """Return what the hand does from one grip to another, in a teacher's words.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> uke = tuning("gCEA")
    >>> hand_words(Grip((5, 3, 3, 3), uke), Grip((3, 1, 1, 1), uke))
    ('slide the shape 2 frets down',)
    >>> hand_words(Grip((0, 0, 0, 3), uke), Grip((2, 0, 0, 0), uke))
    ('the hand stays', '1 finger set anew')
    >>> hand_words(Grip((3, 5, 3, 5), uke), Grip((3, 5, 3, 4), uke))
    ('the hand stays', '1 finger set anew', '1 string changes finger')
    """
    start, goal = hand_columns(before), hand_columns(after)
    frets = work.shifted(start, goal)
    if work.slides(start, goal):
        return (f"slide the shape {_frets(goal.low - start.low)}",)
    fingers, slid, swapped = (
        int(count(start, goal)) for count in (work.placed, work.slid, work.swapped)
    )
    words = [_frets(frets)] if frets else ["the hand stays"]
    if fingers:
        words.append(f"{counted(fingers, 'finger')} set anew")
    if slid:
        words.append(f"{counted(slid, 'finger')} slid{'es' if slid == 1 else 'e'} along")
    if swapped:
        words.append(
            "1 string changes finger" if swapped == 1 else f"{swapped} strings change finger"
        )
    return tuple(words if len(words) > 1 or frets else [*words, "only lift fingers"])


def _frets(frets: int) -> str:
    return f"{counted(abs(frets), 'fret')} {'up' if frets > 0 else 'down'}"


def moves(
    voicing: Voicing, roadmap: Roadmap, strokes: StrokeTimes | None = None
) -> tuple[Move, ...]:
    """Return every change of grips once, in the order it is first played.

    Slots that keep their grip and fingers are no change; N.C. is skipped, since the hand moves
    under it.

    Parameters
    ----------
    strokes
        The time each chord leaves the hand (default: one stroke a beat, the roadmap's tempo).
    """
    times = strokes or StrokeTimes(roadmap.tempo_bpm, {})
    found: dict[tuple[int, int], list[float]] = {}
    last: int | None = None
    lasted = Fraction(0)
    for place, onset, beats in _played_slots(voicing, roadmap):
        slot = voicing.slots[place]
        before = voicing.slots[place if last is None else last]
        is_other = (slot.grip, slot.fingers) != (before.grip, before.fingers)
        if last is not None and slot.grip is not None and is_other:
            felt_beats = min(lasted, STROKE_BEATS) / roadmap.meter.felt_beats
            has_ms = times.has_ms.get(onset) or float(felt_beats) * 60_000 / times.tempo_bpm
            found.setdefault((last, place), []).append(has_ms)
            lasted = Fraction(0)
        lasted += beats
        last = place if slot.grip is not None else last
    return tuple(
        _move(voicing, start, goal, has_ms, times.tempo_bpm)
        for (start, goal), has_ms in found.items()
    )


def _played_slots(voicing: Voicing, roadmap: Roadmap) -> Iterator[tuple[int, Fraction, Fraction]]:
    """Yield each played slot: its place in the voicing, where it enters and how long it lasts."""
    place_of = {id(slot): place for place, slot in enumerate(voicing.slots)}
    for bar in roadmap.bars:
        onsets = with_onsets(bar.slots, bar.start_beats)
        for voiced, (onset, slot) in zip(voicing.voiced(bar), onsets, strict=True):
            yield place_of[id(voiced)], onset, slot.beats


def _move(
    voicing: Voicing, start: int, goal: int, has_ms: Sequence[float], tempo_bpm: float
) -> Move:
    """Return one change; ``has_ms`` are the milliseconds it has each time it is played."""
    before, after = voicing.slots[start], voicing.slots[goal]
    assert before.grip is not None
    assert after.grip is not None
    assert after.chord is not None
    moved = move_terms(before.grip, after.grip, voicing.hand)
    terms = (*moved, *grip_terms(after.chord, after.grip, voicing.hand))
    counts = {name: number for name, number, _ in moved}
    return Move(
        start=start,
        goal=goal,
        before=before,
        after=after,
        frets=shifted_frets(before.grip, after.grip),
        fingers=counts["finger_placed"],
        slid=counts["finger_slid"],
        slides=counts["slide"] > 0,
        cost=sum(cost for _, _, cost in terms),
        work=sum(cost for name, _, cost in terms if name in HAND_TERMS),
        times=len(has_ms),
        needs_ms=change_time_ms(before.grip, after.grip, voicing.hand.pace),
        has_ms=min(has_ms),
        tempo_bpm=tempo_bpm,
    )


def hardest_moves(
    voicing: Voicing,
    roadmap: Roadmap,
    count: int = 5,
    strokes: StrokeTimes | None = None,
) -> tuple[Move, ...]:
    """Return the changes that need most of the time they have, hardest first.

    Among changes that take as long, the one with more work comes first. The same two grips are
    listed once, however often the chart has them.
    """
    ranked = sorted(
        moves(voicing, roadmap, strokes),
        key=lambda move: (-move.hardness, -move.work, -move.times, move.start),
    )
    hardest: dict[tuple[Grip | None, Grip | None], Move] = {}
    for move in ranked:
        if move.needs_ms > 0:
            hardest.setdefault((move.before.grip, move.after.grip), move)
    return tuple(hardest.values())[:count]


def top_tempo_bpm(found: Sequence[Move]) -> float | None:
    """Return the tempo up to which every change has the time it needs, ``None`` without any."""
    return min((move.top_bpm for move in found if move.hardness), default=None)
