"""How well a tune lies in each of the twelve keys."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

from porchswing.chart.model import Chart, Singer
from porchswing.chart.singer import notes_outside, sung_pitches
from porchswing.chart.transpose import transpose
from porchswing.errors import GripError
from porchswing.grips.search.voice import voice
from porchswing.grips.shapes.locks import unbound
from porchswing.theory.keys import Key
from porchswing.theory.notes import NoteName
from porchswing.units import counted

TONICS = {
    "major": "C Db D Eb E F Gb G Ab A Bb B",
    "minor": "C C# D Eb E F F# G G# A Bb B",
}
"""The tonics as charts write them, by mode."""


class Way(Protocol):
    """What a key is judged by: the grips of a tune, or the tune on top of them."""

    @property
    def cost(self) -> float:
        """What it costs the hand and the ear."""


@dataclass(frozen=True, slots=True)
class KeyRank:
    """One key: the cost of its best way through the tune, ``None`` where it cannot be gripped.

    ``notes_outside`` counts the notes of the melody that a singer's voice does not reach.
    """

    key: Key
    cost: float | None
    way: Way | None
    trouble: str = ""
    notes_outside: int = 0

    @property
    def unsung(self) -> str:
        """Say in words what the voice does not reach; empty where it reaches every note."""
        if not self.notes_outside:
            return ""
        return f"{counted(self.notes_outside, 'note')} outside the voice"

    def __str__(self) -> str:
        """Return the key and its cost, or why it cannot be played."""
        if self.cost is None:
            return f"{self.key}: {self.trouble}"
        return f"{self.key}: {self.cost:.2f}" + (f"; {self.trouble}" if self.trouble else "")


def rank_keys(
    chart: Chart,
    way_of: Callable[..., Way] = voice,
    *,
    singer: Singer | None = None,
    **choices: Any,
) -> tuple[KeyRank, ...]:
    """Return the twelve keys of a tune, the one that lies best first.

    A key in which something cannot be reached comes after those in which all can. Among equals
    the written key comes first, then the one with fewer signs. Locked grips and fret windows
    belong to the written key, so the comparison leaves them out in every key. With a ``singer``,
    of the keys that can be gripped those with the fewest notes outside the voice come first.

    Parameters
    ----------
    way_of
        What judges a key: :func:`porchswing.grips.search.voice.voice` or
        :func:`porchswing.grips.melody.solo.solo`.
    singer
        The voice that sings the melody lane; without it the one that the chart names, if any.
    choices
        The arguments of that function.
    """
    singer = singer or chart.singer
    ranks = []
    for tonic in TONICS[chart.key.mode].split():
        key = Key(NoteName.parse(tonic), chart.key.mode)
        if key.tonic.pc == chart.key.tonic.pc:
            key = chart.key
        moved = transpose(chart, key)
        outside = notes_outside(singer, sung_pitches(moved)) if singer else 0
        try:
            way = way_of(unbound(moved), **choices)
        except GripError as error:
            ranks.append(KeyRank(key, None, None, str(error), outside))
            continue
        missed = len(getattr(way, "troubles", ()))
        trouble = f"{counted(missed, 'note')} out of reach" if missed else ""
        ranks.append(KeyRank(key, way.cost, way, trouble, outside))

    def order(rank: KeyRank) -> tuple[Any, ...]:
        is_other = rank.key.tonic.pc != chart.key.tonic.pc
        signs = sum(note.alter != 0 for note in rank.key.scale)
        missed = len(getattr(rank.way, "troubles", ()))
        tied = is_other, signs, rank.key.tonic.pc
        return rank.cost is None, rank.notes_outside, missed, rank.cost or 0.0, *tied

    return tuple(sorted(ranks, key=order))
