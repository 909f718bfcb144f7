"""Every way to fill a spot of the lane: swaps, and swaps of swaps.

Each becomes a *cell*: steps that fill some of the plain lane's, with what they need of their
neighbours. A cell is only kept where the melody allows it, no chord is too short to reach, and
its own steps are what they need of each other.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from porchswing.harmony.choice.cell_edges import CellEdges, entry, leaving
from porchswing.harmony.choice.like_pieces import at_zero, later_steps
from porchswing.harmony.choice.scoring import SHORTEST_S, points_of, seconds
from porchswing.harmony.passage.melody_guard import Clash, clash
from porchswing.harmony.passage.steps import Offer, Passage, Step, alike, all_agree, needs
from porchswing.harmony.passage.together import fits_beneath
from porchswing.harmony.swaps.swap_row import SwapRow

DEPTHS = {0: 1, 1: 1, 2: 2, 3: 2, 4: 2}
"""How many swaps may be piled on one spot, by depth."""


class Cell(NamedTuple):
    """Steps for ``passage.steps[start:stop]``, the names of the swaps in them, their points.

    ``entry`` and ``exit`` are the numbers of its edges among those of its passage, ``minors`` how
    many of its chords are minor, one for every bar a chord lasts.
    """

    start: int
    stop: int
    steps: tuple[Step, ...]
    rows: tuple[str, ...]
    points: float
    entry: int
    exit: int
    minors: int


class Refused(NamedTuple):
    """An offer the melody did not allow."""

    row: str
    start: int
    clash: Clash


class Maker(NamedTuple):
    """What the cells of one passage are made with, and where refusals are noted."""

    passage: Passage
    rows: tuple[SwapRow, ...]
    tastes: Mapping[str, float]
    cell_edges: CellEdges
    refused: dict[tuple[str, int], Refused]

    def cell(self, start: int, stop: int, steps: tuple[Step, ...], rows: tuple[str, ...]) -> Cell:
        """Return a cell with its points."""
        points = points_of(self.passage, start, stop, steps, rows, self.tastes)
        first, last = self.cell_edges.number(entry(steps)), self.cell_edges.number(leaving(steps))
        minor = sum(
            max(1, step.pulses // self.passage.span_at(step.start).pulses)
            for step in steps
            if step.family == "minor"
        )
        return Cell(start, stop, steps, rows, points, first, last, minor)


def cells_of(
    passage: Passage,
    rows: Iterable[SwapRow],
    piles: int,
    cell_edges: CellEdges,
    *,
    ready: Sequence[Cell] = (),
) -> tuple[tuple[Cell, ...], tuple[Refused, ...]]:
    """Return every cell of a passage, plain ones first, and what the melody refused.

    ``piles`` says how many swaps may be laid on one spot. ``ready`` are the cells of the same
    steps with another way out: only the last places are looked at anew.
    """
    structural = tuple(row for row in rows if not row.colour)
    tastes = {row.name: row.preference for row in structural}
    refused: dict[tuple[str, int], Refused] = {}
    found: list[Cell] = []
    ahead: tuple[Cell, ...] = ()
    count = len(passage.steps)
    first = max(0, count - 2 * REACH) if ready else 0
    known: dict[Hashable, tuple[int, list[tuple[Cell, ...]], tuple[Refused, ...]]] = {}
    for stop in range(count, first, -CHUNK):
        start = max(first, stop - CHUNK)
        low, near = _near(passage, start, stop)
        zero = near.steps[0].start
        beyond = tuple(_moved(cell, -low, -zero) for cell in ahead)
        piece = (start - low, stop - low, at_zero(near), beyond)
        if piece not in known:
            maker = Maker(near, structural, tastes, cell_edges, {})
            shifted = tuple(_moved(cell, -low) for cell in ahead)
            made = _cells_in(maker, start - low, stop - low, piles if structural else 0, shifted)
            known[piece] = zero, made, tuple(maker.refused.values())
        since, made, blocked = known[piece]
        cells = [tuple(_moved(cell, low, zero - since) for cell in row) for row in made]
        for one in blocked:
            new = one._replace(start=one.start + zero - since)
            refused.setdefault((new.row, new.start), new)
        ahead = cells[-1]
        found += [cell for row in cells for cell in reversed(row)]
    order = sorted(refused.values(), key=lambda one: one.start)
    kept = [cell for cell in ready if cell.start < first]
    return (*kept, *reversed(found)), tuple(order)


CHUNK, MARGIN = 32, 10
"""Cells are made for so many chords at a time, seen with so many more on either side."""


def _cells_in(
    maker: Maker, start: int, stop: int, piles: int, ahead: tuple[Cell, ...]
) -> list[tuple[Cell, ...]]:
    """Return the cells that start at each of some steps, from the last step to the first."""
    found = []
    for index in reversed(range(start, stop)):
        ahead = _cells_at(maker, index, piles, ahead)
        found.append(ahead)
    return found


def _near(passage: Passage, start: int, stop: int) -> tuple[int, Passage]:
    """Return a piece of a passage with a margin, and the index it starts at.

    What is copied for every offer is then short, however long the tune is.
    """
    low, high = max(0, start - MARGIN), min(len(passage.steps), stop + MARGIN)
    return low, replace(
        passage,
        steps=passage.steps[low:high],
        entries=(passage.steps[low - 1],) if low else passage.entries,
        exits=(passage.steps[high],) if high < len(passage.steps) else passage.exits,
        weights=() if high < len(passage.steps) else passage.weights,
        owners=() if high < len(passage.steps) else passage.owners,
    )


def _moved(cell: Cell, by: int, pulses: int = 0) -> Cell:
    """Return a cell so many steps, and so many pulses, later."""
    steps = later_steps(cell.steps, pulses) if pulses else cell.steps
    return cell._replace(start=cell.start + by, stop=cell.stop + by, steps=steps)


REACH = 4
"""How many written chords before a place a set piece may start."""


def cells_covering(maker: Maker, index: int) -> tuple[Cell, ...]:
    """Return the cells of one swap that fill the time of one step, whole or in part."""
    found: list[Cell] = []
    ahead: tuple[Cell, ...] = ()
    last = min(index + 1, len(maker.passage.steps) - 1)
    for start in range(last, max(-1, index - REACH), -1):
        beside = ahead if start == index else ()
        ahead = _cells_at(maker, start, 1, beside)
        found += [cell for cell in ahead if cell.start <= index < cell.stop]
    return tuple(found)


def _cells_at(maker: Maker, index: int, piles: int, ahead: Iterable[Cell]) -> tuple[Cell, ...]:
    """Return the cells that start at one step; ``ahead`` are those that start at the next."""
    passage = maker.passage
    plain = maker.cell(index, index + 1, (passage.steps[index],), ())
    seen = {_content(plain.stop, plain.steps): plain}
    if not piles:
        return (plain,)
    front = _piled(maker, passage, plain, seen)
    asked = {row.name for row in maker.rows if row.asked}
    for view in _views(passage, (cell for cell in ahead if asked.isdisjoint(cell.rows))):
        front += _piled(maker, view, plain, seen, only_here=True)
    for _ in range(piles - 1):
        front = [new for old in front for new in _piled(maker, passage, old, seen)]
    return tuple(seen.values())


def _views(passage: Passage, ahead: Iterable[Cell]) -> Iterable[Passage]:
    """Yield the passage as it is where the next chord is prepared by one with another root."""
    roots: set[int] = set()
    for cell in ahead:
        old, new = passage.steps[cell.start].chord, cell.steps[0].chord
        if len(cell.rows) == 1 and old and new and new.root.pc not in {old.root.pc, *roots}:
            roots.add(new.root.pc)
            yield passage.replaced(Offer("", cell.start, cell.stop, cell.steps))


_Content = tuple[object, ...]


def _content(stop: int, steps: tuple[Step, ...]) -> _Content:
    """Return what distinguishes cells: chords whatever their spelling, lengths, and outer needs."""
    chords = (
        (step.chord and (step.chord.root.pc, step.suffix, step.chord.bass_note.pc), step.pulses)
        for step in steps
    )
    return (stop, steps[0].before, steps[-1].after, *chords)


def _piled(
    maker: Maker,
    passage: Passage,
    cell: Cell,
    seen: dict[_Content, Cell],
    *,
    only_here: bool = False,
) -> list[Cell]:
    """Return the new cells one more swap makes of a cell, and note them as seen."""
    found: list[Cell] = []
    view, last = passage, cell.start + len(cell.steps)
    if cell.rows:
        view = passage.replaced(Offer("", cell.start, cell.stop, cell.steps))
    for place in range(cell.start, last):
        for row in maker.rows:
            if row.set_piece and (cell.rows or only_here):
                continue
            for made in row.offers(view, place):
                if cell.rows and made.stop - made.start > 1:
                    continue  # a set piece is laid over written chords only
                if only_here and made.stop > last:
                    continue
                if made.stop < len(view.steps) and view.steps[made.stop].mirrors:
                    continue  # a chord that only slides in is no goal
                if cell.rows and _parts(view, made):
                    continue  # a chord would no longer lead where its own swap says
                made = _resolving(view, made) if row.flat_nine else made
                steps, stop = made.steps, made.stop
                if cell.rows:
                    before, after = made.start - cell.start, made.stop - cell.start
                    steps, stop = cell.steps[:before] + steps + cell.steps[after:], cell.stop
                content = _content(stop, steps)
                if not all_agree(steps) or _undone(maker.passage, cell.start, stop, steps):
                    continue
                new = maker.cell(cell.start, stop, steps, (*cell.rows, row.name))
                known = seen.get(content)
                if known is not None and round(new.points - known.points, 6) <= 0:
                    continue  # the same chords come about in a better way
                if known is not None and known.rows and len(known.rows) < len(new.rows):
                    # one name for it says more than two, and it is worth as much
                    seen[content] = known._replace(points=new.points)
                    continue
                if _allowed(maker, view, made, row):
                    seen[content] = new
                    if not row.asked:
                        found.append(new)
    return found


def _resolving(view: Passage, made: Offer) -> Offer:
    """Return an offer whose dominants fall a fifth where the tune holds their flat ninth.

    Only there does a dominant bear it; what follows may be swapped in its turn.
    """
    steps = tuple(
        step._replace(after=step.after + needs([step.chord.root.pc + 5]))
        if step.chord
        and step.family == "dominant"
        and clash(view, step, flat_nine=False)
        and not clash(view, step)
        else step
        for step in made.steps
    )
    return made if steps == made.steps else made._replace(steps=steps)


OWN_CHORDS = {
    ("major", "major"): (0, 5, 7),
    ("major", "minor"): (2, 4, 9),
    ("minor", "minor"): (0, 5, 7),
    ("minor", "major"): (3, 7, 8, 10),
    ("minor", "half-diminished"): (2,),
    ("major", "half-diminished"): (11,),
}
"""The degrees on which a chord of a family belongs to a key."""
STANDS_IN = (6, 4)
"""Semitones above a dominant's root on which a chord stands for it: its tritone partner, and the
diminished chord on its third."""


def _parts(view: Passage, made: Offer) -> bool:
    """Whether an offer keeps a chord and parts it from the one it needs after it.

    A chord of the key may take its time on the way; a dominant may go on in what stands for it.
    """
    last = view.steps[made.stop - 1]
    if last.chord is None or last.degree in OWN_CHORDS.get((last.key.mode, last.family), ()):
        return False
    return any(
        alike(left, last)
        and not _stands_in(left, right)
        and not all(need.met(right.chord) for need in last.after)
        for left, right in pairwise(made.steps)
    )


def _stands_in(left: Step, right: Step) -> bool:
    """Whether the second of two chords replaces the first, a dominant, or is it again."""
    if left.chord is None or right.chord is None or left.family != "dominant":
        return False
    return (right.chord.root.pc - left.chord.root.pc) % 12 in (0, *STANDS_IN)


def _undone(passage: Passage, start: int, stop: int, steps: tuple[Step, ...]) -> bool:
    """Whether swaps have led back to the written chords, their colour aside."""

    def bare(some: tuple[Step, ...]) -> list[tuple[object, ...]]:
        return [
            (step.chord and (step.chord.root.pc, step.chord.bass_note.pc), step.family, step.pulses)
            for step in some
        ]

    return bare(steps) == bare(passage.steps[start:stop])


def _allowed(maker: Maker, view: Passage, made: Offer, row: SwapRow) -> bool:
    """Whether the melody and the hand's speed allow an offer."""
    if not fits_beneath(view, made.steps):
        return False
    for step in made.steps:
        if seconds(view, step) < SHORTEST_S:
            return False
        found = clash(view, step, flat_nine=row.flat_nine)
        if found is not None:
            start = made.steps[0].start
            maker.refused.setdefault((made.row, start), Refused(made.row, start, found))
            return False
    return True
