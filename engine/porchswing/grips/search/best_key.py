"""How well a tune lies in each of the twelve keys."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from porchswing.chart.model import Chart
from porchswing.chart.transpose import transpose
from porchswing.errors import GripError
from porchswing.grips.search.voice import voice
from porchswing.grips.shapes.locks import unbound
from porchswing.grips.shapes.model import Voicing
from porchswing.theory.keys import Key
from porchswing.theory.notes import NoteName

TONICS = {
    "major": "C Db D Eb E F Gb G Ab A Bb B",
    "minor": "C C# D Eb E F F# G G# A Bb B",
}
"""The tonics as charts write them, by mode."""


@dataclass(frozen=True, slots=True)
class KeyRank:
    """One key: the cost of its best way through the tune, ``None`` where it cannot be gripped."""

    key: Key
    cost: float | None
    voicing: Voicing | None
    trouble: str = ""

    def __str__(self) -> str:
        """Return the key and its cost."""
        return f"{self.key}: " + (f"{self.cost:.2f}" if self.cost is not None else self.trouble)


def rank_keys(chart: Chart, **choices: Any) -> tuple[KeyRank, ...]:
    """Return the twelve keys of a tune, the one that lies best first.

    ``choices`` are those of :func:`porchswing.grips.search.voice.voice`. Locked grips and fret
    windows belong to the written key, so the comparison leaves them out in every key.
    """
    ranks = []
    for tonic in TONICS[chart.key.mode].split():
        key = Key(NoteName.parse(tonic), chart.key.mode)
        if key.tonic.pc == chart.key.tonic.pc:
            key = chart.key
        try:
            voicing = voice(unbound(transpose(chart, key)), **choices)
        except GripError as error:
            ranks.append(KeyRank(key, None, None, str(error)))
            continue
        ranks.append(KeyRank(key, voicing.cost, voicing))
    return tuple(
        sorted(ranks, key=lambda rank: (rank.cost is None, rank.cost or 0.0, rank.key.tonic.pc))
    )
