"""The best way through a row of places, by dynamic programming.

An :class:`Arc` leads from one place to a later one and brings points; where two arcs meet,
``meet`` says what their edges are worth together, or ``None`` where they may not meet. The
search is exact: no other way has more points. Ties go to the arc given first, so the answer
never depends on chance.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from typing import Any, NamedTuple

_LEAST = 1e-6
"""A sum is more than another by at least this, so that equal ones stay so however added."""


class Arc(NamedTuple):
    """One stretch of the way: from place ``start`` to ``stop`` with its edges and points."""

    start: int
    stop: int
    points: float
    entry: Hashable
    exit: Hashable
    payload: Any


class _Reached(NamedTuple):
    """The best way found so far that leaves a place by one edge; at the start it has no arc."""

    points: float
    arc: Arc | None
    previous: _Reached | None


def best_way(
    length: int,
    arcs: Sequence[Arc],
    meet: Callable[[Any, Any], float | None],
    *,
    first: Callable[[Any], float | None] = lambda entry: 0.0,
    last: Callable[[Any], float | None] = lambda leaving: 0.0,
) -> tuple[Arc, ...] | None:
    """Return the arcs of the best way from place 0 to ``length``, ``None`` where there is none.

    ``first`` and ``last`` weigh the two outer edges, ``None`` forbids. Linear in the number of
    places, quadratic in the different edges that meet at one place.

    >>> roads = [Arc(0, 1, 1.0, "a", "a", "low"), Arc(0, 1, 2.0, "b", "b", "high")]
    >>> best_way(1, roads, lambda a, b: 0.0)[0].payload
    'high'
    """
    leaving: list[list[Arc]] = [[] for _ in range(length + 1)]
    for arc in arcs:
        leaving[arc.start].append(arc)
    reached: list[dict[Hashable, _Reached]] = [{} for _ in range(length + 1)]
    reached[0][None] = _Reached(0.0, None, None)

    def opening(_: None, entry: Any) -> float | None:
        return first(entry)

    for place in range(length):
        arrived: dict[Hashable, tuple[float, _Reached] | None] = {}
        for arc in leaving[place]:
            if arc.entry not in arrived:
                worth = meet if place else opening
                arrived[arc.entry] = _best_before(reached[place], arc.entry, worth)
            before = arrived[arc.entry]
            if before is not None:
                points = before[0] + arc.points
                known = reached[arc.stop].get(arc.exit)
                if known is None or points > known.points + _LEAST:
                    reached[arc.stop][arc.exit] = _Reached(points, arc, before[1])
    best = _best_before(reached[length], None, lambda edge, _: last(edge))
    if best is None:
        return None
    trail, way = [], best[1]
    while way.arc and way.previous:
        trail.append(way.arc)
        way = way.previous
    return tuple(reversed(trail))


def _best_before(
    reached: dict[Hashable, _Reached], entry: Hashable, meet: Callable[[Any, Any], float | None]
) -> tuple[float, _Reached] | None:
    """Return the best way to reach an arc with this entry, and its points."""
    best: tuple[float, _Reached] | None = None
    for edge, way in reached.items():
        worth = meet(edge, entry)
        if worth is None:
            continue
        points = way.points + worth
        if best is None or points > best[0] + _LEAST:
            best = (points, way)
    return best
