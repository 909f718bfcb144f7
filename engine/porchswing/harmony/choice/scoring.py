"""What a lane is worth: every weight of the chooser, one small function each.

A change costs, hurried and crowded ones more; a good move of bass and guide tones, and a swap
a player likes, bring points. The weights are ours (no source gives any), set by reading the
lanes they choose.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import pairwise

from porchswing.harmony.choice.styles import OPENING
from porchswing.harmony.passage.steps import Passage, Step
from porchswing.harmony.swaps.catalogue import group_of
from porchswing.theory.chords import Chord

CHANGE = 0.75
"""Taken off for every chord: a change has to earn its place."""
EASY_S = 1.0
"""A chord that lasts this long in seconds costs nothing extra."""
HURRY = 6.0
"""Taken off, times the square of how far a chord falls short of :data:`EASY_S`."""
ONE_BEAT = 0.2
"""Taken off for a chord of one felt beat."""
CROWD = 0.7
"""Taken off for every chord over two in a bar, the written ones around it counted."""
SHORTEST_S = 0.33
"""No swap puts in a chord shorter than this: no four changes a bar at 240."""
ROOT = {0: 0.0, 5: 0.35, 11: 0.3, 1: 0.2, 2: 0.1, 10: 0.1, 7: 0.1, 3: 0.05, 9: 0.1}
"""Points for the bass's move in semitones upward mod 12 (5 is the falling fifth)."""
HELD, STEPWISE = 0.12, 0.2
"""Points for each guide tone that stays, or is reached by a semitone."""
PILED = 0.6
"""What a swap of a swap counts, against one of a written chord."""
BASS_RUN = 0.25
"""Points for every semitone of the bass that goes on in the direction of the one before."""
BASS_LINE = 1.0
"""Taken off for every chord that leaves a written slash bass."""
OPENING_BARS = 8
"""A stretch shorter than this has no opening to keep clear."""
SECTION, PHRASE = 0.8, 0.3
"""Taken off for another root than the written one where a section starts, or four bars."""


def points_of(
    passage: Passage,
    start: int,
    stop: int,
    steps: tuple[Step, ...],
    rows: Sequence[str],
    tastes: Mapping[str, float],
) -> float:
    """Return the points of steps in place of ``passage.steps[start:stop]``, whatever is around."""
    points = sum(tastes[name] * PILED**place for place, name in enumerate(rows))
    for step in steps:
        if step.chord and step.plain and step.chord.root.pc != step.plain.root.pc:
            points -= _landmark(passage, step.start)
        points -= BASS_LINE if _leaves_line(step) else 0.0
        short = max(0.0, EASY_S - seconds(passage, step)) / EASY_S
        points -= CHANGE + HURRY * (short * short)
        points -= ONE_BEAT if step.pulses < 2 * passage.grid_pulses else 0.0
    points -= CROWD * _crowd(passage, start, stop, steps) if rows else 0.0
    points -= _opening(passage, steps, rows)
    return points + lead_through([step.chord for step in steps])


def lead_through(chords: Sequence[Chord | None]) -> float:
    """Return how well chords lead on, each to the next, with the lines their basses make."""
    moves = [bass_move(a, b) for a, b in pairwise(chords)]
    runs = sum(a == b != 0 for a, b in pairwise(moves))
    return sum(lead_points(a, b) for a, b in pairwise(chords)) + BASS_RUN * runs


def bass_move(left: Chord | None, right: Chord | None) -> int:
    """Return the semitone the bass moves, 1 or -1; 0 for any other move.

    >>> from porchswing.theory.symbols import parse_chord as read
    >>> bass_move(read("F"), read("F#dim7")), bass_move(read("F"), read("C"))
    (1, 0)
    """
    if left is None or right is None:
        return 0
    return {1: 1, 11: -1}.get((right.bass_note.pc - left.bass_note.pc) % 12, 0)


def _leaves_line(step: Step) -> bool:
    """Whether a step gives up a written slash bass."""
    if step.plain is None or step.plain.bass is None or step.chord is None:
        return False
    return step.chord.bass_note.pc != step.plain.bass.pc


def seconds(passage: Passage, step: Step) -> float:
    """Return how long a step lasts in seconds."""
    return step.pulses / passage.grid_pulses * passage.beat_s


def _crowd(passage: Passage, start: int, stop: int, steps: tuple[Step, ...]) -> int:
    """Count the chords over two in the bars some steps reach into."""
    first = passage.span_at(steps[0].start)
    last = passage.span_at(steps[-1].start)
    end = last.start + last.pulses
    before = bisect_left(passage.steps, first.start, hi=start, key=lambda step: step.start)
    after = bisect_left(passage.steps, end, lo=stop, key=lambda step: step.start)
    around = passage.steps[before:start] + steps + passage.steps[stop:after]
    bars = [passage.span_at(step.start).bar_index for step in around]
    return sum(max(0, bars.count(bar) - 2) for bar in set(bars))


def _landmark(passage: Passage, pulse: int) -> float:
    """Return what a foreign root costs at a pulse: most where the ear expects the written one."""
    span = passage.span_at(pulse)
    if pulse != span.start or span.bar_index % 4:
        return 0.0
    return PHRASE if span.bar_index else SECTION


def _opening(passage: Passage, steps: tuple[Step, ...], rows: Sequence[str]) -> float:
    """Return what swaps cost that put far chords into the first bar of a section."""
    price = max((OPENING.get(group_of(name), 0.0) for name in rows), default=0.0)
    short = len(passage.spans) < OPENING_BARS
    if not price or short or passage.span_at(steps[0].start).bar_index:
        return 0.0
    far = any(
        step.chord.root.pc != step.plain.root.pc
        for step in steps
        if step.chord and step.plain and not passage.span_at(step.start).bar_index
    )
    return price if far else 0.0


@lru_cache(maxsize=65536)
def lead_points(left: Chord | None, right: Chord | None) -> float:
    """Return how well one chord leads to the next: the bass's move and the guide tones'.

    >>> from porchswing.theory.symbols import parse_chord as read
    >>> lead_points(read("G7"), read("C6")) > lead_points(read("G7"), read("F#m7"))
    True
    """
    if left is None or right is None:
        return 0.0
    points = ROOT.get((right.bass_note.pc - left.bass_note.pc) % 12, -0.1)
    notes = left.pcs
    for tone in guide_tones(right):
        if tone in notes:
            points += HELD
        elif (tone + 1) % 12 in notes or (tone - 1) % 12 in notes:
            points += STEPWISE
    return points


def guide_tones(chord: Chord) -> tuple[int, ...]:
    """Return the pitch classes of third and seventh, of the sixth where no seventh is there.

    >>> from porchswing.theory.symbols import parse_chord as read
    >>> guide_tones(read("G7"))
    (11, 5)
    """
    degrees = chord.quality.degrees
    third = [d for d in degrees if d.number in (3, 4, 2)][:1]
    seventh = [d for d in degrees if d.number == 7] or [d for d in degrees if d.number == 6]
    return tuple((chord.root.pc + d.pc) % 12 for d in third + seventh)
