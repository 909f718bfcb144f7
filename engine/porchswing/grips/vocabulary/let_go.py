"""What grips that are kept cost: the gain of letting those of a section go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from porchswing.chart.model import Chart
from porchswing.grips.search.voice import voice
from porchswing.grips.shapes.locks import locked_sections, unlocked
from porchswing.grips.shapes.model import Voicing

MUCH = 0.1
"""Share of a tune's whole work from which a gain is worth a word; ours, no source."""


@dataclass(frozen=True, slots=True)
class LetGo:
    """What a tune would gain if the locked grips of one section were chosen again."""

    section: str
    saves: float
    share: float

    def __str__(self) -> str:
        """Return the gain in one sentence."""
        return (
            f"section {self.section} keeps its grips; chosen anew, the tune would take "
            f"{self.share:.0%} less work (--let-go {self.section})"
        )


def worth_letting_go(chart: Chart, kept: Voicing, **wishes: Any) -> tuple[LetGo, ...]:
    """Return the sections whose kept grips cost much, those that gain most first.

    ``kept`` is the voicing of the chart as it is; ``wishes`` are those of
    :func:`~porchswing.grips.search.voice.voice`.
    """
    found = []
    for name in locked_sections(chart, kept.lane) if kept.cost else ():
        free = voice(unlocked(chart, (name,)), **wishes)
        saves = kept.cost - free.cost
        if saves >= MUCH * kept.cost:
            found.append(LetGo(name, round(saves, 3), saves / kept.cost))
    return tuple(sorted(found, key=lambda each: -each.saves))
