"""The cheapest way that uses few shapes: exactly, as far as a budget of tries goes.

Which shapes to use is searched by branching. Without a limit the path is found as ever; where it
uses too many shapes, one of them is either kept for good or ruled out, and the rest is solved
again. Every answer with shapes left open costs no more than any way it stands for, so the first
one that keeps within the limit, cheapest first, is the best there is. Where the budget ends
before that, the best way met so far is returned and not called proven.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import count

import numpy as np

from porchswing.errors import GripError
from porchswing.grips.search.form_voicing import Layout
from porchswing.grips.search.network import Network, eliminate, elimination_order
from porchswing.grips.search.search import EASY_TABLE, Choice, best_choices
from porchswing.grips.search.table import Ints
from porchswing.grips.shapes.hand import KnownShape
from porchswing.grips.shapes.model import Shape, shape_of
from porchswing.units import counted

MOST_TRIES = 100
"""Most networks solved for one number of shapes."""

SHORT_VARIABLES, SHORT_TRIES = 30, 1000
"""A network of so few variables is short (some fifteen changes); it takes as many tries as that."""


def fits(known: KnownShape, shape: Shape) -> bool:
    """Return whether a shape is a known one."""
    return (
        known.frets == shape.frets
        and known.is_movable == shape.is_movable
        and known.fingers in ((), shape.fingers)
    )


@dataclass(frozen=True, slots=True)
class ShapeWay:
    """The cheapest way found with ``new`` shapes at most beside the known ones."""

    cost: int
    choice: tuple[int, ...]
    shapes: frozenset[int]
    is_proven: bool


@dataclass(slots=True)
class ShapeSearch:
    """A laid-out form with its shapes by number; ``free`` are the known ones."""

    layout: Layout
    shapes: list[Shape] = field(default_factory=list)
    shape_of: list[Ints] = field(default_factory=list)
    free: frozenset[int] = frozenset()

    @classmethod
    def of(cls, layout: Layout, known: Iterable[KnownShape] = ()) -> ShapeSearch:
        """Return the search over a laid-out form."""
        numbers: dict[Shape, int] = {}
        rows = []
        for table in layout.tables:
            row = [numbers.setdefault(shape_of(grip), len(numbers)) for grip in table.grips]
            rows.append(np.array(row, np.int64))
        known = tuple(known)
        free = frozenset(
            number for shape, number in numbers.items() if any(fits(each, shape) for each in known)
        )
        return cls(layout, list(numbers), rows, free)

    def used(self, choice: tuple[int, ...]) -> frozenset[int]:
        """Return the shapes a choice uses, the known ones left aside."""
        return frozenset(int(row[choice[v]]) for v, row in enumerate(self.shape_of)) - self.free

    def within(self, allowed: Ints) -> Choice | None:
        """Return the cheapest choice of some shapes, ``None`` where a chord has none of them."""
        domains = {}
        for v, row in enumerate(self.shape_of):
            options = np.flatnonzero(allowed[row])
            if not len(options):
                return None
            if len(options) < len(row):
                domains[v] = options
        network = self.layout.network
        order = elimination_order(network, domains)
        if order.largest <= EASY_TABLE:
            return eliminate(network, order.variables, domains)
        return _cut(network, domains)


def few_shapes(search: ShapeSearch, most: int, tries: int | None = None) -> ShapeWay | None:
    """Return the cheapest way with at most so many shapes beside the known ones.

    ``None`` where there is none, as far as the ``tries`` tell; short tunes get more of them.
    """
    everything = np.ones(len(search.shapes), bool)
    first = search.within(everything)
    if first is None:
        return None
    best = _thinned(search, first, most)
    is_short = len(search.layout.network.sizes) <= SHORT_VARIABLES
    left = tries or (SHORT_TRIES if is_short else MOST_TRIES)
    queue: list[tuple[int, int, tuple[int, ...], Ints, frozenset[int]]] = []
    numbers = count()

    def put(solved: Choice | None, allowed: Ints, kept: frozenset[int]) -> None:
        if solved is not None and (best is None or solved[0] < best[0]):
            heapq.heappush(queue, (solved[0], next(numbers), solved[1], allowed, kept))

    put(first, everything, frozenset())
    while queue and left > 0:
        cost, _, choice, allowed, kept = heapq.heappop(queue)
        if best is not None and cost >= best[0]:
            break
        used = search.used(choice)
        if len(used) <= most:
            return ShapeWay(cost, choice, used, is_proven=True)
        places = [int(row[choice[v]]) for v, row in enumerate(search.shape_of)]
        branch = max(sorted(used - kept), key=places.count)  # the shape that most places have
        without = allowed.copy()
        without[branch] = False
        put(search.within(without), without, kept)
        left -= 1
        keeps = kept | {branch}
        if len(keeps) < most:
            put((cost, choice), allowed, keeps)
            continue
        last = search.within(_only(search, keeps) & allowed)
        left -= 1
        if last is not None and (best is None or last[0] < best[0]):
            best = last
    if best is None:
        return None
    proven = not queue or queue[0][0] >= best[0]
    return ShapeWay(best[0], best[1], search.used(best[1]), is_proven=proven)


def _only(search: ShapeSearch, shapes: Iterable[int]) -> Ints:
    """Return which shapes are allowed where only some and the known ones are."""
    allowed = np.zeros(len(search.shapes), bool)
    allowed[[*shapes, *search.free]] = True
    return allowed


def _thinned(search: ShapeSearch, start: Choice, most: int) -> Choice | None:
    """Return a good way with few shapes: the dearest to lose are kept, one by one."""
    found = start
    shapes = search.used(start[1])
    while len(shapes) > most:
        trials = [search.within(_only(search, shapes - {shape})) for shape in sorted(shapes)]
        solved = [trial for trial in trials if trial is not None]
        if not solved:
            return None
        found = min(solved)
        shapes = search.used(found[1])
    return found


def _cut(network: Network, domains: dict[int, Ints]) -> Choice | None:
    """Return the cheapest choice where tables are huge: a copy with the domains as costs."""
    cut = network.copy()
    for v, options in domains.items():
        barred = np.full(network.sizes[v], 1 << 40, np.int64)
        barred[options] = 0
        cut.add([v], barred)
    found = best_choices(cut, {}, 1).choices[0]
    return found if found[0] < 1 << 40 else None


def limited_way(layout: Layout) -> ShapeWay:
    """Return the cheapest way with the known shapes of a hand and no more new ones than it has.

    Raises
    ------
    GripError
        Where there is none, with the fewest new shapes that would do.
    """
    hand = layout.request.hand
    search = ShapeSearch.of(layout, hand.known)
    most = len(layout.tables) if hand.new is None else hand.new
    found = few_shapes(search, most)
    for more in range(most + 1, most + len(layout.tables) + 1) if found is None else ():
        if few_shapes(search, more) is not None:
            raise GripError(
                f"no way with {counted(most, 'new shape')} beside the "
                f"{len(hand.known)} known ones was found; try new = {more}"
            )
    if found is None:
        raise GripError("no way with the known shapes was found")
    return found
