"""Choosing the chords of a whole lane at once.

Cells meet only where each is what the other needs, so that a precondition holds in the
finished lane and not merely in the plain one. The lane whose cells and meetings weigh most is
found exactly (:mod:`porchswing.harmony.passage.paths`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

from porchswing.harmony.choice.cell_edges import (
    END,
    CellEdges,
    Edge,
    entry,
    leaving,
    meeting_points,
    meets,
)
from porchswing.harmony.choice.cells import Cell
from porchswing.harmony.passage.paths import Arc, best_way
from porchswing.harmony.passage.steps import Passage, shares

UNMET = 1.2
"""Taken off, times the share of the ways out on which a soft need goes unmet."""
MOST_UNMET = 0.5

Price = Callable[[Cell], float]


def choose(
    passage: Passage,
    cells: Iterable[Cell],
    cell_edges: CellEdges,
    *,
    opening: int | None = None,
    price: Price = lambda cell: 0.0,
) -> tuple[Cell, ...] | None:
    """Return the cells of the best lane.

    ``opening`` is the number of the edge to begin with; ``price`` takes points off a cell. The
    lane fits every entry and exit of the passage; ``None`` where no lane does.
    """
    arcs = [
        Arc(cell.start, cell.stop, cell.points - price(cell), cell.entry, cell.exit, cell)
        for cell in cells
        if opening is None or cell.start or cell.entry == opening
    ]
    ins = [leaving((way,)) for way in passage.entries if way is not None and opening is None]
    outs = [END if way is None else entry((way,)) for way in passage.exits]

    def first(number: int) -> float | None:
        return 0.0 if all(meets(edge, cell_edges.edge(number)) for edge in ins) else None

    def last(number: int) -> float | None:
        return leaving_points(cell_edges.edge(number), outs, passage.weights, passage.owners)

    way = best_way(len(passage.steps), arcs, cell_edges.meet, first=first, last=last)
    return None if way is None else tuple(arc.payload for arc in way)


def leaving_points(
    edge: Edge, outs: Sequence[Edge], weights: Sequence[float] = (), owners: Sequence[int] = ()
) -> float | None:
    """Return what a lane's last edge is worth on its ways out, ``None`` where it may not be.

    Hard needs must be met on every way; a soft one on half of them by weight, from each of the
    sections that stay alike (``owners``), and costs :data:`UNMET` times the share on which it is
    not, where that is greatest.
    """
    hard = edge._replace(needs=tuple(need for need in edge.needs if not need.soft))
    soft = [need for need in edge.needs if need.soft]
    if not all(meets(hard, out) for out in outs):
        return None
    unmet = [not all(need.met(out.chord) for need in soft) for out in outs]
    share = max(shares(unmet, weights, owners), default=0.0)
    return None if share > MOST_UNMET else -UNMET * share


def lane_points(cells: Iterable[Cell]) -> float:
    """Return the points of a lane made of cells."""
    cells = tuple(cells)
    meetings = (meeting_points(leaving(a.steps), entry(b.steps)) for a, b in pairwise(cells))
    return sum(cell.points for cell in cells) + sum(meetings)
