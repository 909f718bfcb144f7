"""Where two cells meet: what they need of each other, and what their meeting is worth."""

from __future__ import annotations

from porchswing.harmony.choice.scoring import lead_points
from porchswing.harmony.passage.steps import Need, Step
from porchswing.theory.chords import Chord

Edge = tuple[Chord | None, tuple[Need, ...]]
"""How a cell begins or ends: its outer chord and what that needs outside."""
END: Edge = (None, ())
"""The end of the tune."""


def entry(step: Step) -> Edge:
    """Return how a step looks from before."""
    return (step.chord, step.before)


def leaving(step: Step) -> Edge:
    """Return how a step looks from after."""
    return (step.chord, step.after)


def meets(left: Edge, right: Edge) -> bool:
    """Say whether two edges are what they need of each other."""
    return all(need.met(right[0]) for need in left[1]) and all(
        need.met(left[0]) for need in right[1]
    )


class Seams:
    """Numbers for edges, and the worth of every meeting, each worked out once."""

    __slots__ = ("_edges", "_numbers", "_worth")

    def __init__(self) -> None:
        self._edges: list[Edge] = []
        self._numbers: dict[Edge, int] = {}
        self._worth: dict[tuple[int, int], float | None] = {}

    def number(self, edge: Edge) -> int:
        """Return the number of an edge; like edges have the same one."""
        found = self._numbers.setdefault(edge, len(self._edges))
        if found == len(self._edges):
            self._edges.append(edge)
        return found

    def edge(self, number: int) -> Edge:
        """Return the edge of a number."""
        return self._edges[number]

    def meet(self, left: int, right: int) -> float | None:
        """Return what a meeting is worth in points, ``None`` where it may not be."""
        pair = (left, right)
        if pair not in self._worth:
            one, other = self._edges[left], self._edges[right]
            self._worth[pair] = lead_points(one[0], other[0]) if meets(one, other) else None
        return self._worth[pair]
