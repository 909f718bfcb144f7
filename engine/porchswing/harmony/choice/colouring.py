"""Choosing the colours of a whole lane at once, for the line they make.

Every chord may wear one of its colours; each colour has its preference, and every chord hands one
of its notes to an inner *line*. The choice whose tastes and line together weigh most is found
by dynamic programming over (colour, line note), exactly. The line stands for what a hand can
do on the fretboard: where some inner note moves by steps, one string can.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from porchswing.harmony.passage.paths import Arc, best_way
from porchswing.harmony.passage.steps import Passage, Step
from porchswing.theory.chords import Chord

LINE = {0: 0.25, 1: 0.3, 2: 0.2, 10: 0.3, 11: 0.5}
"""Points for the line's move, in semitones upward mod 12: falling by a semitone is best."""
LEAP = -0.4
"""Points for any other move of the line."""
GUIDE = 0.1
"""Points for a line note that is a third, sixth, seventh or ninth; the fifth gets none."""


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
                worn._replace(points=worn.points - price) if _is_ninth(worn.step) else worn
                for worn in choices
            ]
            for choices in options
        ]
        steps = choose_colours(passage, priced)
    return steps


def _is_ninth(step: Step) -> bool:
    return step.suffix == "9"


def _ninth_share(steps: Sequence[Step]) -> float:
    """Return which share of the dominants are plain ninths; one is no habit.

    A chord that slides into the next one will wear its colour.
    """
    worn = [
        goal if step.mirrors and goal is not None else step
        for step, goal in zip(steps, [*steps[1:], None], strict=True)
    ]
    dominants = [step for step in worn if step.family == "dominant"]
    nines = sum(map(_is_ninth, dominants))
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
