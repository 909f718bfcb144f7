"""Where two cells meet: what they need of each other, and what their meeting is worth."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from porchswing.harmony.choice.scoring import BASS_RUN, bass_move, lead_points
from porchswing.harmony.passage.steps import Need, Step
from porchswing.theory.chords import Chord

LONG_SLIDE = 1.5
"""Taken off where dominants slide into one another in the midst of four chords a semitone apart."""


class Edge(NamedTuple):
    """How a cell begins or ends: its outer chord, what that needs outside, and its bass's move.

    ``move`` is the semitone the bass moves between the two outermost chords of the cell, 0 for
    any other move and for a cell of one chord.
    """

    chord: Chord | None
    needs: tuple[Need, ...] = ()
    move: int = 0


END = Edge(None)
"""The end of the tune."""


def entry(steps: Sequence[Step]) -> Edge:
    """Return how steps look from before."""
    return Edge(steps[0].chord, steps[0].before, _move(steps[:2]))


def leaving(steps: Sequence[Step]) -> Edge:
    """Return how steps look from after."""
    return Edge(steps[-1].chord, steps[-1].after, _move(steps[-2:]))


def _move(steps: Sequence[Step]) -> int:
    return bass_move(steps[0].chord, steps[-1].chord) if len(steps) > 1 else 0


def meets(left: Edge, right: Edge) -> bool:
    """Say whether two edges are what they need of each other."""
    return all(need.met(right.chord) for need in left.needs) and all(
        need.met(left.chord) for need in right.needs
    )


def meeting_points(left: Edge, right: Edge) -> float:
    """Return what a meeting is worth: the move itself, and the bass lines it carries on."""
    move = bass_move(left.chord, right.chord)
    runs = (move == left.move) + (move == right.move) if move else 0
    worn = LONG_SLIDE if runs > 1 and _dominants(left.chord, right.chord) else 0.0
    return lead_points(left.chord, right.chord) + BASS_RUN * runs - worn


def _dominants(*chords: Chord | None) -> bool:
    return all(chord is not None and chord.quality.family == "dominant" for chord in chords)


class CellEdges:
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
            self._worth[pair] = meeting_points(one, other) if meets(one, other) else None
        return self._worth[pair]
