"""How the time of a span is cut into chords: on bars first, then on strong places inside bars.

All times and lengths are in pulses.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from porchswing.harmony.passage.steps import Passage, strong_split


def bar_edges(passage: Passage, start: int, end: int) -> list[int]:
    """Return two pulses and the bar lines between them."""
    return [start, *(s for s in passage.starts if start < s < end), end]


def cut(
    passage: Passage, start: int, end: int, count: int, *, front: bool = False
) -> list[int] | None:
    """Return the lengths of ``count`` chords between two pulses, ``None`` where none is good.

    Fewer chords than bars take whole bars, the first one what is left over. More chords than
    bars halve the last bars (the first ones with ``front``) at their strong places.
    """
    edges = bar_edges(passage, start, end)
    bars = len(edges) - 1
    if count <= bars:
        return _lengths([start, *edges[bars - count + 1 : -1], end])
    each, more = divmod(count, bars)
    extra = [place < more if front else place >= bars - more for place in range(bars)]
    return cut_each_bar(passage, start, end, [each + one for one in extra])


def cut_each_bar(passage: Passage, start: int, end: int, counts: Sequence[int]) -> list[int] | None:
    """Return the lengths of chords of which each bar between two pulses takes so many."""
    edges = bar_edges(passage, start, end)
    if len(counts) != len(edges) - 1:
        return None
    cuts = [edges[0]]
    for (first, last), count in zip(pairwise(edges), counts, strict=True):
        inner = _divided(passage, first, last, count)
        if inner is None:
            return None
        cuts += [*inner, last]
    return _lengths(cuts)


def _divided(passage: Passage, start: int, end: int, count: int) -> list[int] | None:
    """Return the pulses at which a bar is divided into so many chords."""
    if count == 1:
        return []
    middle = strong_split(passage, start, end)
    if middle is None or count > 4:
        return None
    left = _divided(passage, start, middle, count // 2)
    right = _divided(passage, middle, end, count - count // 2)
    return None if left is None or right is None else [*left, middle, *right]


def _lengths(cuts: Sequence[int]) -> list[int]:
    return [last - first for first, last in pairwise(cuts)]
