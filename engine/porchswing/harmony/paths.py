"""The best way through a row of places, by dynamic programming.

An :class:`Arc` leads from one place to a later one and brings points; where two arcs meet,
``meet`` says what their keys are worth together, or ``None`` where they may not meet. The
search is exact: no other way has more points. Ties go to the arc given first, so the answer
never depends on chance.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from heapq import nsmallest
from typing import Any


@dataclass(frozen=True, slots=True)
class Arc:
    """One stretch of the way: from place ``start`` to ``stop`` with its keys and points."""

    start: int
    stop: int
    points: float
    entry: Hashable
    exit: Hashable
    payload: Any


@dataclass(frozen=True, slots=True)
class Way:
    """A whole way: its points and its arcs in order."""

    points: float
    arcs: tuple[Arc, ...]


@dataclass(frozen=True, slots=True)
class _Reached:
    points: float
    order: tuple[int, int, int]
    arc: Arc | None
    previous: _Reached | None


def best_ways(
    length: int,
    arcs: Sequence[Arc],
    meet: Callable[[Any, Any], float | None],
    *,
    first: Callable[[Any], float | None] = lambda entry: 0.0,
    last: Callable[[Any], float | None] = lambda leaving: 0.0,
    count: int = 1,
) -> tuple[Way, ...]:
    """Return up to ``count`` best ways from place 0 to ``length``, best first.

    ``first`` and ``last`` weigh the two outer edges, ``None`` forbids. Linear in the number of
    places, quadratic in the different keys that meet at one place.

    >>> roads = [Arc(0, 1, 1.0, "a", "a", "low"), Arc(0, 1, 2.0, "b", "b", "high")]
    >>> best_ways(1, roads, lambda a, b: 0.0)[0].arcs[0].payload
    'high'
    """
    leaving: list[list[tuple[int, Arc]]] = [[] for _ in range(length + 1)]
    for number, arc in enumerate(arcs):
        leaving[arc.start].append((number, arc))
    reached: list[dict[Hashable, list[_Reached]]] = [{} for _ in range(length + 1)]
    for place in range(length):
        arrived: dict[Hashable, list[_Reached]] = {}
        for number, arc in leaving[place]:
            if arc.entry not in arrived:
                arrived[arc.entry] = _arrivals(reached[place], arc.entry, place, meet, first, count)
            for rank, before in enumerate(arrived[arc.entry]):
                here = reached[arc.stop].setdefault(arc.exit, [])
                here.append(_Reached(before.points + arc.points, (number, rank, 0), arc, before))
        if place + 1 < length:
            for key, found in reached[place + 1].items():
                reached[place + 1][key] = _top(found, count)
    ends = [
        _Reached(found.points + edge, (order, rank, 0), None, found)
        for order, (key, all_found) in enumerate(reached[length].items())
        if (edge := last(key)) is not None
        for rank, found in enumerate(_top(all_found, count))
    ]
    return tuple(Way(end.points, _traced(end)) for end in _top(ends, count))


def _arrivals(
    reached: dict[Hashable, list[_Reached]],
    entry: Hashable,
    place: int,
    meet: Callable[[Any, Any], float | None],
    first: Callable[[Any], float | None],
    count: int,
) -> list[_Reached]:
    """Return the best ways to stand before an arc with this entry."""
    if place == 0:
        edge = first(entry)
        return [] if edge is None else [_Reached(edge, (0, 0, 0), None, None)]
    found = []
    for order, (key, ways) in enumerate(reached.items()):
        worth = meet(key, entry)
        if worth is not None:
            found += [
                _Reached(way.points + worth, (order, rank, 0), None, way)
                for rank, way in enumerate(ways)
            ]
    return _top(found, count)


def _top(found: list[_Reached], count: int) -> list[_Reached]:
    """Return the best few; rounding keeps equal sums equal whatever their order."""

    def rank(way: _Reached) -> tuple[float, tuple[int, int, int]]:
        return (-round(way.points, 6), way.order)

    if count == 1:
        return [min(found, key=rank)] if found else []
    return nsmallest(count, found, key=rank)


def _traced(end: _Reached) -> tuple[Arc, ...]:
    """Walk back from the end and return the arcs in order."""
    arcs = []
    way: _Reached | None = end
    while way is not None:
        if way.arc is not None:
            arcs.append(way.arc)
        way = way.previous
    return tuple(reversed(arcs))
