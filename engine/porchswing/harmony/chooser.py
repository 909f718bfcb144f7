"""Choosing the chords of a whole lane at once.

Every swap a row offers, and every swap of a swap, becomes a *cell*: steps that fill some of
the plain lane's. Cells meet only where each is what the other needs, so that a precondition
holds in the finished lane and not merely in the plain one. The lane whose cells, meetings and
density weigh most is found exactly (:mod:`porchswing.harmony.paths`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from porchswing.harmony.guard import Clash, clash
from porchswing.harmony.paths import Arc, best_ways
from porchswing.harmony.row import SwapRow
from porchswing.harmony.steps import Need, Offer, Passage, Step, all_agree
from porchswing.theory.chords import Chord

CHANGE = 0.75
"""Taken off for every chord: a change has to earn its place."""
EASY_S = 1.0
"""A chord that lasts this long in seconds costs nothing extra."""
HURRY = 6.0
"""Taken off, times the square of how far a chord falls short of :data:`EASY_S`."""
ONE_BEAT = 0.4
"""Taken off for a chord of one felt beat: those are for special places at any tempo."""
SHORTEST_S = 0.33
"""No swap puts in a chord shorter than this: no four changes a bar at 240."""
ROOT = {0: 0.0, 5: 0.35, 11: 0.3, 1: 0.2, 2: 0.1, 10: 0.1, 7: 0.1, 3: 0.05, 9: 0.1}
"""Points for the bass's move in semitones upward mod 12 (5 is the falling fifth)."""
HELD, STEPWISE = 0.12, 0.2
"""Points for each guide tone that stays, or is reached by a semitone."""
PILED = 0.6
"""What a swap of a swap counts, against one of a written chord."""
SECTION, PHRASE = 0.8, 0.3
"""Taken off for another root than the written one where a section starts, or four bars."""
DEPTHS = {0: 1, 1: 1, 2: 2, 3: 2, 4: 3}
"""How many swaps may be piled on one spot, by depth."""

Key = tuple[Chord | None, tuple[Need, ...]]
Price = Callable[["Cell"], float]


@dataclass(frozen=True, slots=True)
class Cell:
    """Steps for ``passage.steps[start:stop]`` and the names of the swaps in them."""

    start: int
    stop: int
    steps: tuple[Step, ...]
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Refused:
    """An offer the melody did not allow."""

    row: str
    start: Fraction
    clash: Clash


def cells_of(
    passage: Passage, rows: Iterable[SwapRow], piles: int
) -> tuple[tuple[Cell, ...], tuple[Refused, ...]]:
    """Return every cell of a passage, plain ones first, and what the melody refused."""
    structural = [row for row in rows if not row.colour]
    refused: dict[tuple[str, Fraction], Refused] = {}
    found: list[Cell] = []
    ahead: tuple[Cell, ...] = ()
    for index in reversed(range(len(passage.steps))):
        ahead = _cells_at(passage, index, structural, piles, ahead, refused)
        found += reversed(ahead)
    order = sorted(refused.values(), key=lambda one: one.start)
    return tuple(reversed(found)), tuple(order)


def _cells_at(
    passage: Passage,
    index: int,
    rows: list[SwapRow],
    piles: int,
    ahead: Iterable[Cell],
    refused: dict[tuple[str, Fraction], Refused],
) -> tuple[Cell, ...]:
    """Return the cells that start at one step; ``ahead`` are those that start at the next."""
    plain = Cell(index, index + 1, (passage.steps[index],), ())
    seen = {_content(plain): plain}

    def fresh(made: Iterable[Cell]) -> list[Cell]:
        return [new for new in made if seen.setdefault(_content(new), new) is new]

    front = fresh(_piled(passage, plain, rows, refused)) if piles else []
    for view in _views(passage, ahead) if piles else ():
        made = _piled(view, plain, rows, refused)
        front += fresh(new for new in made if new.stop == index + 1)
    for _ in range(piles - 1):
        front = fresh(new for old in front for new in _piled(passage, old, rows, refused))
    return tuple(seen.values())


def _views(passage: Passage, ahead: Iterable[Cell]) -> Iterable[Passage]:
    """Yield the passage as it is where the next chord is prepared by one with another root."""
    roots: set[int] = set()
    for cell in ahead:
        old, new = passage.steps[cell.start].chord, cell.steps[0].chord
        if len(cell.rows) == 1 and old and new and new.root.pc not in {old.root.pc, *roots}:
            roots.add(new.root.pc)
            yield passage.replaced(Offer("", cell.start, cell.stop, cell.steps))


def _content(cell: Cell) -> tuple[object, ...]:
    return (cell.stop, *((step.chord, step.beats) for step in cell.steps))


def _piled(
    passage: Passage, cell: Cell, rows: list[SwapRow], refused: dict[tuple[str, Fraction], Refused]
) -> Iterable[Cell]:
    """Yield the cells one more swap makes of a cell."""
    piled = bool(cell.rows)
    if not piled:
        view, first, last = passage, cell.start, cell.start + 1
    else:
        view = passage.replaced(Offer("", cell.start, cell.stop, cell.steps))
        first, last = cell.start, cell.start + len(cell.steps)
    for place in range(first, last):
        for row in rows:
            for made in row.offers(view, place):
                if piled and made.stop - made.start > 1:
                    continue  # a set piece is laid over written chords only
                if not _allowed(view, made, refused):
                    continue
                steps, stop = made.steps, made.stop
                if piled:
                    before, after = made.start - first, made.stop - first
                    steps, stop = cell.steps[:before] + steps + cell.steps[after:], cell.stop
                if all_agree(steps) and not _undone(passage, cell.start, stop, steps):
                    yield Cell(cell.start, stop, steps, (*cell.rows, row.name))


def _undone(passage: Passage, start: int, stop: int, steps: tuple[Step, ...]) -> bool:
    """Whether swaps have led back to the written chords, their colour aside."""

    def bare(some: tuple[Step, ...]) -> list[tuple[object, ...]]:
        return [(step.chord and step.chord.root.pc, step.family, step.beats) for step in some]

    return bare(steps) == bare(passage.steps[start:stop])


def _allowed(view: Passage, made: Offer, refused: dict[tuple[str, Fraction], Refused]) -> bool:
    """Whether the melody and the hand's speed allow an offer."""
    for step in made.steps:
        if seconds(view, step) < SHORTEST_S:
            return False
        found = clash(view, step)
        if found is not None:
            start = made.steps[0].start
            refused.setdefault((made.row, start), Refused(made.row, start, found))
            return False
    return True


def seconds(passage: Passage, step: Step) -> float:
    """Return how long a step lasts in seconds."""
    return float(step.beats / passage.grid_beats) * passage.beat_s


def choose(
    passage: Passage,
    cells: Iterable[Cell],
    tastes: Mapping[str, float],
    *,
    opening: Step | None = None,
    price: Price = lambda cell: 0.0,
) -> tuple[Cell, ...] | None:
    """Return the cells of the best lane.

    ``opening`` is a step the lane has to begin with; ``price`` takes points off a cell. The
    lane fits every entry and exit of the passage; ``None`` where no lane does.
    """
    arcs = [
        Arc(
            cell.start,
            cell.stop,
            _points(passage, cell, tastes) - price(cell),
            _entry(cell.steps[0]),
            _exit(cell.steps[-1]),
            cell,
        )
        for cell in cells
        if opening is None or cell.start or _entry(cell.steps[0]) == _entry(opening)
    ]

    def first(entry: Key) -> float | None:
        fits = all(_meets(_exit(way), entry) for way in passage.entries if way is not None)
        return 0.0 if fits else None

    def last(leaving: Key) -> float | None:
        fits = all(
            _meets(leaving, _entry(way) if way is not None else (None, ())) for way in passage.exits
        )
        return 0.0 if fits else None

    ways = best_ways(
        len(passage.steps),
        arcs,
        _meeting,
        first=first if opening is None else lambda _: 0.0,
        last=last,
    )
    return tuple(arc.payload for arc in ways[0].arcs) if ways else None


def weigh(passage: Passage, cells: Iterable[Cell], tastes: Mapping[str, float]) -> float:
    """Return the points of a lane made of cells."""
    cells = tuple(cells)
    points = sum(_points(passage, cell, tastes) for cell in cells)
    return points + sum(
        lead_points(a.steps[-1].chord, b.steps[0].chord) for a, b in pairwise(cells)
    )


def _entry(step: Step) -> Key:
    return (step.chord, step.before)


def _exit(step: Step) -> Key:
    return (step.chord, step.after)


@lru_cache(maxsize=65536)
def _meets(left: Key, right: Key) -> bool:
    return all(need.met(right[0]) for need in left[1]) and all(
        need.met(left[0]) for need in right[1]
    )


@lru_cache(maxsize=65536)
def _meeting(left: Key, right: Key) -> float | None:
    return lead_points(left[0], right[0]) if _meets(left, right) else None


def _points(passage: Passage, cell: Cell, tastes: Mapping[str, float]) -> float:
    """Weigh a cell by itself: tastes, density and what happens between its own steps."""
    points = sum(tastes[name] * PILED**place for place, name in enumerate(cell.rows))
    for step in cell.steps:
        if step.chord and step.plain and step.chord.root.pc != step.plain.root.pc:
            points -= _landmark(passage, step.start)
        short = max(0.0, EASY_S - seconds(passage, step)) / EASY_S
        points -= CHANGE + HURRY * short * short
        points -= ONE_BEAT if step.beats < 2 * passage.grid_beats else 0.0
    return points + sum(lead_points(a.chord, b.chord) for a, b in pairwise(cell.steps))


def _landmark(passage: Passage, beat: Fraction) -> float:
    """Return what a foreign root costs at a beat: most where the ear expects the written one."""
    span = passage.span_at(beat)
    if beat != span.start or span.index % 4:
        return 0.0
    return PHRASE if span.index else SECTION


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
