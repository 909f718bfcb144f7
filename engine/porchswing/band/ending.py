"""Where the last bar ends: one beat on which every part plays its last note."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import TypeVar

from porchswing.band.groove import Timed
from porchswing.chart.roadmap import Roadmap, with_onsets
from porchswing.options import BandStyle
from porchswing.rhythm.strum import strum_for

CellT = TypeVar("CellT", bound=Timed)


def final_onset(roadmap: Roadmap, style: BandStyle) -> Fraction:
    """Return where in the last bar the band plays its last note, in quarters from its start.

    That is the last stroke of the strum's ending, or the bar's last chord where it enters later;
    a chord marked ``hold`` or ``stop`` has one stroke, on its own place.
    """
    bar = roadmap.bars[-1]
    pattern = strum_for(style.strum or bar.settings.strum, roadmap.meter)
    strokes = [
        cell.at
        for ending in pattern.placed("ending")[:1]
        for cell in ending.cells
        if cell.kind not in {"rest", "chuck", "ghost"}
    ]
    entry, end, marks = Fraction(0), bar.beats, frozenset[str]()
    for index, (at, slot) in enumerate(with_onsets(bar.slots)):
        if slot.chord is None:
            end = at
        elif index == 0 or slot.chord != bar.slots[index - 1].chord:
            entry, end, marks = at, bar.beats, frozenset(slot.marks)
    if marks & {"hold", "stop"}:
        return entry
    return max([entry, *(stroke for stroke in strokes if stroke < end)])


def ended_on(
    cells: Sequence[CellT],
    groove: Sequence[CellT],
    at: Fraction,
) -> tuple[CellT, ...]:
    """Return the cells of a last bar: the groove up to ``at``, then the ending's first beat there.

    ``cells`` are those of the ending's own bar; none of the groove's sounds beyond ``at``.
    """
    if at == 0:
        return tuple(cells)
    before = (
        replace(cell, duration_beats=min(cell.duration_beats, at - cell.onset_beats))
        for cell in groove
        if cell.onset_beats < at
    )
    last = (
        replace(cell, onset_beats=at, duration_beats=max(cell.duration_beats - at, Fraction(1, 4)))
        for cell in cells
        if cell.onset_beats == 0
    )
    return (*before, *last)
