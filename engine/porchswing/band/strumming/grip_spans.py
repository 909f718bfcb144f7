"""The changes as the fretting hand holds them: which grip is held from which beat to which.

One :class:`Held` is one grip under one chord, however many slots or bars it fills; a mark in
braces opens one of its own. Beats are quarters from the first bar of music.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from porchswing.chart.roadmap import Roadmap, with_onsets
from porchswing.grips.shapes.model import Grip, Voicing

PUSH_BEATS = Fraction(1, 2)
"""How early a pushed chord enters: an eighth, in quarters."""


class Held(NamedTuple):
    """One grip from ``onset_beats`` to ``end_beats``; ``grip`` is ``None`` under N.C.

    ``bar`` is the index of the played bar it was written in; ``is_pushed`` is true where it enters
    an eighth before its place; ``marks`` are the playing marks written after the chord.
    """

    onset_beats: Fraction
    end_beats: Fraction
    grip: Grip | None
    symbol: str
    bar: int
    marks: tuple[str, ...] = ()
    is_pushed: bool = False


def held_grips(roadmap: Roadmap, voicing: Voicing) -> list[Held]:
    """Return the held grips in playing order, without gaps; ``{push}`` already applied."""
    found: list[Held] = []
    for held in written_grips(roadmap, voicing):
        if found and _continues(found[-1], held):
            found[-1] = found[-1]._replace(end_beats=held.end_beats)
        else:
            found.append(held)
    for index, held in enumerate(found):
        if "push" in held.marks and can_push(found, index):
            push(found, index)
    return found


def can_push(held: list[Held], index: int) -> bool:
    """Say whether a grip has one before it that can spare an eighth."""
    if index == 0 or held[index].is_pushed or held[index].grip is None:
        return False
    before = held[index - 1]
    return before.end_beats - before.onset_beats > PUSH_BEATS


def push(held: list[Held], index: int) -> None:
    """Let the grip at ``index`` enter an eighth early, in place."""
    at = held[index].onset_beats - PUSH_BEATS
    held[index - 1] = held[index - 1]._replace(end_beats=at)
    held[index] = held[index]._replace(onset_beats=at, is_pushed=True)


def _continues(last: Held, held: Held) -> bool:
    same = last.symbol == held.symbol and last.grip == held.grip
    return same and not last.marks and not held.marks


def written_grips(roadmap: Roadmap, voicing: Voicing) -> Iterator[Held]:
    """Yield the grip of every slot of every played bar, each at its written place."""
    for index, bar in enumerate(roadmap.bars):
        own = voicing.voiced(bar)
        if len(own) != len(bar.slots):
            raise ValueError(
                f"the voicing has {len(own)} grips for bar {bar.bar} of {bar.section}, "
                f"the roadmap {len(bar.slots)} chords: voice the lane that is played"
            )
        onsets = with_onsets(bar.slots, bar.start_beats)
        for voiced, (onset, slot) in zip(own, onsets, strict=True):
            grip = None if slot.chord is None else voiced.grip
            symbol = "N.C." if voiced.chord is None else voiced.chord.symbol
            yield Held(onset, onset + slot.beats, grip, symbol, index, slot.marks)
