"""The changes as the rhythm section hears them: where each chord really enters and ends."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.theory.chords import Chord


class Change(NamedTuple):
    """One slot of one played bar: ``onset_beats`` and ``end_beats`` count from the first bar.

    ``enters`` is false where the chord sounded before already; ``chord`` None is N.C.
    """

    onset_beats: Fraction
    end_beats: Fraction
    chord: Chord | None
    enters: bool
    marks: tuple[str, ...] = ()


HEARD_MARKS = frozenset({"stop", "hold"})
"""The playing marks that the rhythm section obeys with the hand that strums."""


def changes_by_bar(roadmap: Roadmap) -> tuple[tuple[Change, ...], ...]:
    """Return the changes of every played bar; a chord written twice in a bar is one change."""
    before: Chord | None = None
    bars = []
    for bar in roadmap.bars:
        changes = _changes(bar, before)
        bars.append(changes)
        before = changes[-1].chord if changes else before
    return tuple(bars)


def _changes(bar: PlayedBar, before: Chord | None) -> tuple[Change, ...]:
    changes: list[Change] = []
    at = bar.start_beats
    for slot in bar.slots:
        end = at + slot.beats
        marks = tuple(mark for mark in slot.marks if mark in HEARD_MARKS)
        last = changes[-1] if changes else None
        if last is not None and slot.chord == last.chord and not marks and not last.marks:
            changes[-1] = last._replace(end_beats=end)
        else:
            enters = slot.chord is not None and slot.chord != before
            changes.append(Change(at, end, slot.chord, enters, marks))
        at, before = end, slot.chord
    return tuple(changes)
