"""Keeping a lane within the budgets of its style: repeats, shares of groups, minor chords.

A budget is kept by prices: what is over it is priced out, the minor chords that are missing are
paid for, and the lane is chosen again, until nothing is over or :data:`ROUNDS` are through.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from math import ceil, floor
from typing import NamedTuple

from porchswing.harmony.choice.cell_edges import CellEdges
from porchswing.harmony.choice.cells import Cell
from porchswing.harmony.choice.chooser import Price, choose
from porchswing.harmony.choice.styles import MOST_REPEATS, StyleRow
from porchswing.harmony.passage.steps import Passage
from porchswing.harmony.swaps.catalogue import find_swap, group_of

ROUNDS = 12
"""How often a lane is chosen anew before what is still over its budget is let be."""
OVER = 100.0
"""Taken off a swap where the budget has no room for it."""
PAID = 0.4
"""Points added for every minor chord, more each round, while they are too few."""
PHRASE_BARS = 8
"""Repeats are counted within so many bars."""
BUDGET_DEPTH = 3
"""From this depth on a share of the minor chords is kept."""
USUAL_DEPTH = 2
"""The depth whose minor chords are the measure."""


class Budget(NamedTuple):
    """What bounds a lane: its depth and style, and how many minor chords it keeps at least."""

    depth: int
    style: StyleRow
    minors: int


def least_minors(
    passage: Passage, cells: Sequence[Cell], cell_edges: CellEdges, depth: int, style: StyleRow
) -> int:
    """Return how many minor chords a lane keeps: a share of those its depth-2 lane has."""
    if depth < BUDGET_DEPTH:
        return 0
    usual = [
        cell
        for cell in cells
        if len(cell.rows) <= USUAL_DEPTH
        and all(find_swap(name).depth <= USUAL_DEPTH for name in cell.rows)
    ]
    lane = choose(passage, usual, cell_edges) or ()
    return ceil(style.minors * sum(cell.minors for cell in lane))


def within_budget(
    passage: Passage,
    budget: Budget,
    chosen: Callable[[Price], tuple[Cell, ...] | None],
    best: tuple[Cell, ...],
) -> tuple[Cell, ...]:
    """Return the best lane within a budget; ``chosen`` gives the best one at some prices."""
    barred: set[tuple[str, int]] = set()
    pay = 0.0

    def extra(cell: Cell) -> float:
        over = barred and any((name, cell.start) in barred for name in cell.rows)
        return (OVER if over else 0.0) - pay * cell.minors

    lane = best
    for _ in range(ROUNDS):
        lane = chosen(extra) or lane
        over = set(over_budget(passage, budget, lane)) - barred
        short = sum(cell.minors for cell in lane) < budget.minors
        if not over and not short:
            break
        barred |= over
        pay += PAID if short else 0.0
    return lane


def over_budget(passage: Passage, budget: Budget, lane: Sequence[Cell]) -> list[tuple[str, int]]:
    """Return the swaps of a lane there is no room for, as name and place."""
    bar = passage.spans[0].pulses
    places: dict[str, list[tuple[int, int]]] = defaultdict(list)
    grouped: dict[str, list[tuple[float, str, int]]] = defaultdict(list)
    for cell in lane:
        for name in dict.fromkeys(cell.rows):
            places[name].append((cell.steps[0].start, cell.start))
            grouped[group_of(name)].append((cell.points, name, cell.start))
    found = []
    for name, starts in places.items():
        kept: list[int] = []
        most = MOST_REPEATS[budget.depth]
        for pulse, place in starts:
            if len(kept) >= most and pulse - kept[-most] < PHRASE_BARS * bar:
                found.append((name, place))
            else:
                kept.append(pulse)
    if budget.depth >= BUDGET_DEPTH:
        for group, share in budget.style.shares.items():
            room = floor(share * len(passage.spans) + 0.5)
            dearest = sorted(grouped.get(group, ()), key=lambda one: (-one[0], one[2]))
            found += [(name, place) for _, name, place in dearest[room:]]
    return found
