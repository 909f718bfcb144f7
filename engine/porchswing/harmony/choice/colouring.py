"""Choosing the colours of a whole lane at once, for the line they make.

Every chord may wear one of its colours; each colour has its preference, and every chord hands one
of its notes to an inner *line*. The choice whose tastes and line together weigh most is found
by dynamic programming over (colour, line note), exactly. The line stands for what a hand can
do on the fretboard: where some inner note moves by steps, one string can.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from porchswing.harmony.choice.cells import Refused
from porchswing.harmony.passage.melody_guard import clash
from porchswing.harmony.passage.paths import Arc, best_way
from porchswing.harmony.passage.steps import Passage, Step
from porchswing.harmony.passage.together import fits_beneath
from porchswing.harmony.swaps.swap_row import SwapRow
from porchswing.theory.chords import Chord

LINE = {0: 0.25, 1: 0.3, 2: 0.2, 10: 0.3, 11: 0.5}
"""Points for the line's move, in semitones upward mod 12: falling by a semitone is best."""
LEAP = -0.4
"""Points for any other move of the line."""
GUIDE = 0.1
"""Points for a line note that is a third, sixth, seventh or ninth; the fifth gets none."""
PLAIN_COLOUR = 0.6
"""Points for leaving a chord's colour as it was written."""


PRICE_STEP, MOST_PRICE = 0.2, 1.6
"""By how much the ninth is priced higher at a time, and at most."""


class Worn(NamedTuple):
    """One way to wear a chord: the coloured step and the points of its colour."""

    step: Step
    points: float


def choose_colours(passage: Passage, options: Sequence[Sequence[Worn]]) -> tuple[Step, ...]:
    """Return the passage's steps in their best colours; ``options`` holds each step's.

    Ties go to the option listed first, so the choice is the same every time.
    """
    arcs = [
        Arc(place, place + 1, worn.points + bonus, note, note, worn.step)
        for place, choices in enumerate(options)
        for worn in choices
        for note, bonus in _line_notes(worn.step.chord)
    ]
    way = best_way(len(options), arcs, line_points) or ()
    return tuple(arc.payload for arc in way)


def choose_within(
    passage: Passage, options: Sequence[Sequence[Worn]], ninths: float
) -> tuple[Step, ...]:
    """Return the best colours with at most a share of the dominants as plain ninths.

    The ninth is priced a little higher until few enough are left.
    """
    price, steps = 0.0, choose_colours(passage, options)
    while ninths < 1.0 and _ninth_share(steps) > ninths and price < MOST_PRICE:
        price += PRICE_STEP
        priced = [
            [
                worn._replace(points=worn.points - price) if worn.step.suffix == "9" else worn
                for worn in choices
            ]
            for choices in options
        ]
        steps = choose_colours(passage, priced)
    return steps


def _ninth_share(steps: Sequence[Step]) -> float:
    """Return which share of the dominants are plain ninths; one is no habit.

    A chord that slides into the next one will wear its colour.
    """
    worn = [
        goal if step.mirrors and goal is not None else step
        for step, goal in zip(steps, [*steps[1:], None], strict=True)
    ]
    dominants = [step for step in worn if step.family == "dominant"]
    nines = sum(step.suffix == "9" for step in dominants)
    return nines / len(dominants) if nines > 1 else 0.0


def line_points(left: int, right: int) -> float:
    """Return the points for the line's move between two pitch classes; -1 is silence.

    >>> line_points(5, 4)
    0.5
    """
    return 0.0 if -1 in (left, right) else LINE.get((right - left) % 12, LEAP)


@lru_cache(maxsize=4096)
def _line_notes(chord: Chord | None) -> tuple[tuple[int, float], ...]:
    """Return the notes a chord may lend the line, roots excepted, with their points."""
    if chord is None:
        return ((-1, 0.0),)
    return tuple(
        ((chord.root.pc + degree.pc) % 12, GUIDE if degree.number != 5 or degree.alter else 0.0)
        for degree in chord.quality.degrees
        if degree.number != 1
    )


def coloured(
    part: Passage,
    rows: Iterable[SwapRow],
    ninths: float,
    *,
    like: Sequence[Step] = (),
) -> tuple[tuple[Step, ...], list[Refused]]:
    """Return a passage's steps in their best colours, and the colours the melody refused.

    ``ninths`` is the share of the dominants that may be plain ninths. ``like`` is the same
    passage at other times: its colours are kept where the chords are the same.
    """
    colours = [row for row in rows if row.colour]
    refused: list[Refused] = []
    worn = [ways_to_wear(part, index, colours, refused) for index in range(len(part.steps))]
    usual = {(step.start, step.pulses, _bare(step)): step for step in like}
    for place, step in enumerate(part.steps):
        same = usual.get((step.start, step.pulses, _bare(step)))
        if same is not None and same.chord in [way.step.chord for way in worn[place]]:
            worn[place] = [way for way in worn[place] if way.step.chord == same.chord]
    return choose_within(part, worn, ninths), refused


def _bare(step: Step) -> tuple[object, ...] | None:
    """Return a step's root, family and bass: what it is whatever colour it wears."""
    chord = step.chord
    return (chord.root.pc, step.family, chord.bass_note.pc) if chord else None


def mirrored(
    part: Passage, steps: tuple[Step, ...], after: Sequence[Step | None]
) -> tuple[Step, ...]:
    """Give every step that mirrors the next one its quality, where the melody allows that.

    ``after`` are the steps that may follow the last one.
    """
    found = list(steps)
    edge = next((step for step in after if step is not None), None)
    for place, (step, goal) in enumerate(pairwise([*steps, *([edge] if edge else [])])):
        if step.mirrors and step.chord and goal.chord:
            slid = step._replace(chord=replace(step.chord, quality=goal.chord.quality))
            fits = clash(part, slid) is None and fits_beneath(part, (slid,))
            found[place] = slid if fits else step
    return tuple(found)


def ways_to_wear(
    part: Passage, index: int, colours: Iterable[SwapRow], refused: list[Refused]
) -> list[Worn]:
    """List the ways to wear one chord: as it is, and every colour its melody allows."""
    found = [Worn(part.steps[index], PLAIN_COLOUR)]
    for row in colours:
        for offer in row.offers(part, index):
            against = clash(part, offer.steps[0])
            if not fits_beneath(part, offer.steps):
                continue
            if against is None:
                found.append(Worn(offer.steps[0], row.preference))
            else:
                refused.append(Refused(row.name, offer.steps[0].start, against))
    return found
