"""Choosing the chords of a whole lane at once.

Cells meet only where each is what the other needs, so that a precondition holds in the
finished lane and not merely in the plain one. The lane whose cells and meetings weigh most is
found exactly (:mod:`porchswing.harmony.choice.paths`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import pairwise

from porchswing.harmony.choice.cell_edges import END, Edge, Seams, entry, leaving, meets
from porchswing.harmony.choice.cells import Cell
from porchswing.harmony.choice.paths import Arc, best_way
from porchswing.harmony.choice.scoring import lead_points
from porchswing.harmony.passage.steps import Passage

Price = Callable[[Cell], float]


def choose(
    passage: Passage,
    cells: Iterable[Cell],
    seams: Seams,
    *,
    opening: Edge | None = None,
    price: Price = lambda cell: 0.0,
) -> tuple[Cell, ...] | None:
    """Return the cells of the best lane.

    ``opening`` is the edge the lane has to begin with; ``price`` takes points off a cell. The
    lane fits every entry and exit of the passage; ``None`` where no lane does.
    """
    start = None if opening is None else seams.number(opening)
    arcs = [
        Arc(cell.start, cell.stop, cell.points - price(cell), cell.entry, cell.exit, cell)
        for cell in cells
        if start is None or cell.start or cell.entry == start
    ]
    ins = [leaving(way) for way in passage.entries if way is not None and opening is None]
    outs = [END if way is None else entry(way) for way in passage.exits]

    def first(number: int) -> float | None:
        return 0.0 if all(meets(edge, seams.edge(number)) for edge in ins) else None

    def last(number: int) -> float | None:
        return 0.0 if all(meets(seams.edge(number), edge) for edge in outs) else None

    way = best_way(len(passage.steps), arcs, seams.meet, first=first, last=last)
    return None if way is None else tuple(arc.payload for arc in way)


def weigh(cells: Iterable[Cell]) -> float:
    """Return the points of a lane made of cells."""
    cells = tuple(cells)
    meetings = (lead_points(a.steps[-1].chord, b.steps[0].chord) for a, b in pairwise(cells))
    return sum(cell.points for cell in cells) + sum(meetings)
